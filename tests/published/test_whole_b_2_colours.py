"""B-2: 14 CFR 25.1322(e), (f) (from memory): red for warnings, amber for cautions.

Green is for safe operation (23.1322, Amdt 23-43); other colours for neither. A lamp tells its
colour in its name, and that is the one colour that a panel may give it.
"""

from __future__ import annotations

import pytest

from panelbridge.logic.inventory import lamps_of
from panelbridge.logic.kit.declarations import Lamp
from tests.logic.whole_aircraft import KINDS


def lamps(kind: str) -> dict[str, Lamp]:
    return dict(lamps_of(KINDS[kind]))


@pytest.mark.parametrize("kind", KINDS)
def test_a_lamp_has_one_of_the_colours_of_a_panel(kind: str) -> None:
    colours = {lamp.colour for lamp in lamps(kind).values()}
    assert colours <= {"red", "amber", "green", "white", "blue"}


@pytest.mark.parametrize("kind", KINDS)
def test_red_warns_and_green_is_safe(kind: str) -> None:
    aircraft, names = KINDS[kind], set(lamps(kind))
    legs = [leg.name for leg in aircraft.legs]
    reds = {name for name in names if name.endswith("_red")}
    greens = {name for name in names if name.endswith("_green")}
    others = {"takeoff_config_red", "master_warning_red"}
    assert reds - others == {f"{leg}_red" for leg in legs} | {"handle_red"}
    safe = {"steering_green", "parking_brake_holds_green", "wheel_lock_green"}
    assert greens - safe == {f"{leg}_green" for leg in legs}
    own = set(aircraft.own_lamps)
    rest = names - reds - greens - own - {"handle_light_white"}
    assert all(name.endswith("_amber") for name in rest), "the rest are cautions"


def test_what_asks_for_action_later_is_amber() -> None:
    for name in ("parking_brake_amber", "antiskid_off_amber", "hydraulic_fluid_low_amber"):
        assert lamps("jet")[name].colour == "amber"
