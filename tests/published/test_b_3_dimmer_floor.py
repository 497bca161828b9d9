"""B-3: 14 CFR 23.1322, Amdt 23-43, 58 FR 18976: colours, and effective under all lighting."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from pydantic import ValidationError

from panelbridge.logic.inventory import lamps_of
from panelbridge.logic.lamps.facts import LampFacts
from panelbridge.logic.lamps.parameters import LampParameters
from panelbridge.logic.lamps.shine import shine
from tests.logic.build import changed, flying_gear_down, on_ground, switches, twin

LAMPS = list(lamps_of(twin()))
KNOB = st.one_of(st.none(), st.floats(-1.0, 2.0))


@given(knob=KNOB, floor=st.floats(0.001, 1.0), other=st.floats(0.001, 1.0))
def test_no_dimmer_puts_a_lit_lamp_out(knob: float | None, floor: float, other: float) -> None:
    """14 CFR 23.1322: a dim command must not extinguish a warning, whatever the numbers."""
    numbers = LampParameters(warning_floor_fraction=floor, other_floor_fraction=other)
    lit = dict.fromkeys(LAMPS, True)
    levels = shine(lit, numbers, LampFacts(dimmer_fraction=knob))
    assert all(1 <= level <= 255 for level in levels.values())
    for name, level in levels.items():
        own = floor if name.endswith(("_red", "_amber")) else other
        assert level >= round(255 * own) or level == 1


@pytest.mark.parametrize("floor", [0.0, -0.1, 1.01])
def test_a_floor_of_zero_cannot_be_configured(floor: float) -> None:
    """14 CFR 23.1322: the floor under red lamps is above zero."""
    with pytest.raises(ValidationError):
        LampParameters(warning_floor_fraction=floor)
    with pytest.raises(ValidationError):
        LampParameters(other_floor_fraction=floor)


def test_the_reds_of_a_gear_in_transit_stay_lit_with_the_knob_at_its_lowest() -> None:
    """14 CFR 23.1322: effective under all probable cockpit lighting."""
    bench = flying_gear_down()
    bench.after(1.0, switches("up", dimmer=0.0))
    bench.after(2.0)
    lamps = bench.result.outputs.lamps
    for name in ("nose_red", "left_red", "right_red", "handle_red"):
        assert lamps[name] == round(0.25 * 255)
    assert lamps["nose_green"] == 0


def test_green_is_safe_and_red_is_not() -> None:
    """14 CFR 23.1322(a), (c): red for danger, green for safe operation."""
    lamps = lamps_of(twin())
    assert {name: lamp.colour for name, lamp in lamps.items() if "green" in name} == {
        f"{what}_green": "green" for what in ("nose", "left", "right", "steering")
    }
    for name in ("nose_red", "left_red", "right_red", "handle_red"):
        assert lamps[name].colour == "red"


def test_the_dimmer_moves_nothing_but_brightness() -> None:
    """14 CFR 23.1322: it is a knob of brightness, not of alerts."""
    bench = on_ground()
    view, horn = bench.logic.view(), bench.horn
    for knob in (0.0, 0.3, None, 1.0):
        bench.after(1.0, changed(bench.switches, dimmer=knob))
        said = () if knob is not None else ("no signal: the last position counts for dimmer",)
        assert (bench.logic.view(), bench.horn) == (replace(view, faults=said), horn)
        assert bench.names == []
