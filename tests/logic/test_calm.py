"""Steps in which no number crosses a limit are not looked at, and that changes nothing."""

from __future__ import annotations

from dataclasses import replace
from math import inf, nan
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelbridge.logic.bands import NEVER_CALM
from panelbridge.logic.calm import ALWAYS_CALM, Calm, calm_of, common
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.signals import AircraftState, GearPosition
from tests.logic.build import air, switches, twin

BEFORE = air(
    airspeed_kias=150.0,
    altitude_ft=5000.0,
    flap_deg=10.0,
    hydraulic_pressure_psi=None,
    gear_handle=GearPosition.DOWN,
)
OWN_LAMP = {"label": "fast", "lit_when": {"airspeed_kias": {"above": 150}}}


def calm(**bands: Any) -> Calm:
    given: dict[str, Any] = dict.fromkeys(
        ("kias", "altitude_ft", "ground_speed_kt", "flap_deg", "pressure_psi"), ALWAYS_CALM
    )
    levers = [ALWAYS_CALM] * len(BEFORE.throttle_fraction)
    return calm_of(BEFORE, lambda state: state.gear_handle, **{**given, "levers": levers, **bands})


@pytest.mark.parametrize(
    ("changes", "band", "holds"),
    [
        ({"airspeed_kias": 200.0}, {"kias": (100.0, 200.0)}, True),
        ({"airspeed_kias": 200.1}, {"kias": (100.0, 200.0)}, False),
        ({"airspeed_kias": 100.0}, {"kias": (100.0, 200.0)}, False),
        ({"airspeed_kias": None}, {}, False),
        ({"airspeed_kias": nan}, {}, False),
        ({"altitude_ft": 6000.0}, {"altitude_ft": (0.0, 5500.0)}, False),
        ({"flap_deg": 20.0}, {"flap_deg": (-inf, 15.0)}, False),
        ({"hydraulic_pressure_psi": 10.0}, {}, False),
        ({"hydraulic_pressure_psi": None}, {"pressure_psi": NEVER_CALM}, True),
        ({"ground_speed_kt": 10.0}, {"ground_speed_kt": NEVER_CALM}, False),
        ({"throttle_fraction": (0.9, 0.2)}, {}, True),
        ({"throttle_fraction": (0.9, None)}, {}, False),
        ({"throttle_fraction": (0.9,)}, {}, False),
        ({"gear_handle": None}, {}, False),
        ({"strut_compressed": (None,) * 3}, {}, True),  # not read by these states
    ],
)
def test_calm_holds_inside_its_bands(changes: Any, band: Any, holds: bool) -> None:
    assert calm(**band)(replace(BEFORE, **changes)) is holds


def test_a_lever_out_of_its_band() -> None:
    bands: Any = {"levers": [(0.3, inf), ALWAYS_CALM]}
    assert calm(**bands)(replace(BEFORE, throttle_fraction=(0.31, 0.0)))
    assert not calm(**bands)(replace(BEFORE, throttle_fraction=(0.3, 0.0)))


def test_the_common_band() -> None:
    assert common([(1.0, 5.0), (2.0, 9.0), ALWAYS_CALM]) == (2.0, 5.0)
    assert common([(1.0, 2.0), (2.0, 3.0)]) == NEVER_CALM
    assert common([]) == ALWAYS_CALM


VALUES = st.fixed_dictionaries(
    {
        "airspeed_kias": st.sampled_from([None, 80.0, 139.0, 141.0, 149.9, 150.1, 200.0, 261.0]),
        "altitude_ft": st.sampled_from([None, 9000.0, 11_000.0, 13_000.0]),
        "flap_deg": st.sampled_from([None, 0.0, 20.0, 20.1]),
        "throttle_fraction": st.tuples(*[st.sampled_from([None, 0.2, 0.26, 0.3, 0.9])] * 2),
        "hydraulic_pressure_psi": st.sampled_from([None, 1004.9, 1005.1, 2000.0]),
        "ground_speed_kt": st.sampled_from([None, 5.0, 60.0]),
    }
)
GATES = {"quiet_from_kias": 140.0, "inhibit_above_ft": 12_000.0, "enable_below_ft": 10_000.0}


@settings(max_examples=150, deadline=None)
@given(st.lists(VALUES, min_size=1, max_size=25))
def test_law_what_is_not_looked_at_changes_nothing(course: list[dict[str, Any]]) -> None:
    """The same course with every step looked at gives the same, events and words too."""
    aircraft = twin(
        gear_warning=GATES,
        speed_limits={"vlo_kias": 200.0, "vle_kias": 260.0},
        own_lamps={"fast_amber": OWN_LAMP},
    )
    quick, thorough = PanelLogic(aircraft), PanelLogic(aircraft)
    panel = switches("down")
    for number, changes in enumerate(course):
        state = replace(air(), **changes)
        thorough._systems.calm = None
        now_s = number * 0.25
        assert quick.step(now_s, panel, state) == thorough.step(now_s, panel, state)
        assert quick.view() == thorough.view()
        for name in ("handle_red", "horn", "fast_amber"):
            assert quick.reasons(name) == thorough.reasons(name)


def test_a_cruise_is_not_looked_at() -> None:
    """A test of speed without a clock: while nothing crosses a limit the systems are not asked."""
    logic = PanelLogic(twin())
    asked = 0
    take = logic._systems.take_aircraft

    def counted(now_s: float, aircraft: AircraftState) -> bool:
        nonlocal asked
        asked += 1
        return take(now_s, aircraft)

    logic._systems.take_aircraft = counted  # type: ignore[method-assign]
    for number in range(1000):
        state = air(airspeed_kias=200.0 + number * 0.01, altitude_ft=10_000.0 + number)
        logic.step(number * 0.02, switches("down"), state)
    assert asked <= 3


def test_a_switch_for_a_builders_own_lamp_alone_makes_no_system_look() -> None:
    lamp = {"label": "tested", "lit_when": {"warning_test": "pressed"}}
    logic = PanelLogic(twin(own_lamps={"tested_white": lamp}))
    logic.step(0.0, switches("down"), air())
    looks = logic.updates
    lit = logic.step(1.0, switches("down", warning_test=True), air()).outputs.lamps
    assert lit["tested_white"] > 0
    assert logic.step(2.0, switches("down"), air()).outputs.lamps["tested_white"] == 0
    logic.step(3.0, switches("down", horn_silence=True), air())
    assert logic.updates == looks
