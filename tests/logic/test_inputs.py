"""The cells of the aircraft follow its state, whatever is missing or too much in it."""

from __future__ import annotations

from math import nan

import pytest
from msgspec.structs import replace

from panelbridge.config.load import load_aircraft
from panelbridge.config.shipped import shipped_config
from panelbridge.logic.inputs import PanelInputs
from panelbridge.logic.kit.aircraft_cells import AIRSPEED_KIAS, engine_running, throttle, wheel_rpm
from panelbridge.logic.systems import fresh_systems
from panelbridge.signals import AircraftState
from tests.logic.build import switches

WHOLE = AircraftState(
    airspeed_kias=150.0,
    throttle_fraction=(0.5, 0.6),
    engine_running=(True, False),
    wheel_speed_rpm=(100.0, 101.0, 102.0, 103.0),
)
JET = load_aircraft(shipped_config("aircraft/twin_jet.yaml"))  # two engines, four braked wheels


def known_after(*states: AircraftState) -> list[float | bool | None]:
    """What the cells hold after these states: airspeed, throttles, engines, wheels."""
    inputs = PanelInputs(fresh_systems(JET, None), JET)
    for state in states:
        inputs.take(switches(), state)
    world = inputs.step.world(0.0)
    return [
        world[AIRSPEED_KIAS],
        *[world[throttle(place)] for place in range(2)],
        *[world[engine_running(place)] for place in range(2)],
        *[world[wheel_rpm(place)] for place in range(4)],
    ]


def test_each_value_has_its_cell() -> None:
    assert known_after(WHOLE) == [150.0, 0.5, 0.6, True, False, 100.0, 101.0, 102.0, 103.0]


@pytest.mark.parametrize(
    ("given", "known"),
    [
        ((), [None] * 4),
        ((100.0, 107.0), [100.0, 107.0, None, None]),
        ((100.0, 101.0, 102.0, 103.0, 999.0), [100.0, 101.0, 102.0, 103.0]),
        ((100.0, None, nan, 103.0), [100.0, None, None, 103.0]),
    ],
    ids=["none", "too few", "too many", "unknown ones"],
)
def test_those_without_a_value_become_unknown(
    given: tuple[float | None, ...], known: list[float | None]
) -> None:
    there = replace(WHOLE, wheel_speed_rpm=given)
    assert known_after(WHOLE, there)[-4:] == known
    assert known_after(there)[-4:] == known
    assert known_after(there, WHOLE) == known_after(WHOLE)


def test_values_of_parts_that_the_aircraft_has_not_do_no_harm() -> None:
    assert known_after(replace(WHOLE, n1_fraction=(0.9,) * 9, leg_locks=())) == known_after(WHOLE)
