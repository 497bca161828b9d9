"""The throttle rule by N1 or torque instead of the lever; silence in the gear warning test."""

from __future__ import annotations

import pytest

from panelbridge.logic.aircraft_values import values_of
from panelbridge.logic.kit.conditions import UNKNOWN
from panelbridge.signals import HornPattern
from tests.logic.build import CLOSED, OPEN, Bench, changed, flying_gear_up, switches, twin

SILENT, SOUNDS = HornPattern.SILENT, HornPattern.INTERMITTENT


def horn(bench: Bench) -> HornPattern:
    return bench.result.outputs.horn


@pytest.mark.parametrize(("by", "field"), [("n1", "n1_fraction"), ("torque", "torque_fraction")])
def test_the_power_decides_and_not_the_lever(by: str, field: str) -> None:
    aircraft = twin(gear_warning={"power_by": by, "throttle_approach_fraction": 0.6})
    bench = flying_gear_up(aircraft)
    bench.after(1.0, aircraft=changed(bench.aircraft, throttle_fraction=(OPEN, OPEN)))
    assert horn(bench) is SILENT, "nothing is known of the power"
    for power, sounds in (((0.9, 0.61), SILENT), ((0.9, 0.6), SOUNDS), ((0.9, 0.7), SILENT)):
        bench.after(1.0, aircraft=changed(bench.aircraft, **{field: power}))
        bench.after(1.0)
        assert horn(bench) is sounds, power
    bench.after(1.0, aircraft=changed(bench.aircraft, throttle_fraction=(CLOSED, CLOSED)))
    bench.after(1.0)
    assert horn(bench) is SILENT


@pytest.mark.parametrize("by", ["lever", "n1", "torque"])
def test_only_what_is_looked_at_is_a_value_of_the_aircraft(by: str) -> None:
    names = {*values_of(twin(gear_warning={"power_by": by}))}
    for name in ("n1", "torque"):
        assert ({f"{name}_1", f"{name}_2"} <= names) is (by == name)
        assert (f"{name}_3") not in names
    assert UNKNOWN not in names


@pytest.mark.parametrize("stops", [True, False])
def test_a_silence_button_stops_the_horn_of_the_test_where_that_is_chosen(stops: bool) -> None:
    bench = flying_gear_up(twin(lamps={"silence_stops_test": stops}))
    assert horn(bench) is SILENT
    bench.after(1.0, switches("up", warning_test=True))
    assert horn(bench) is SOUNDS
    bench.after(1.0, switches("up", warning_test=True, horn_silence=True))
    expected = SILENT if stops else SOUNDS
    assert horn(bench) is expected
    bench.after(1.0, switches("up", warning_test=True))
    assert horn(bench) is expected, "for as long as the test goes on"
    bench.after(1.0, switches("up"))
    assert horn(bench) is SILENT
    bench.after(1.0, switches("up", warning_test=True))
    assert horn(bench) is SOUNDS, "the next test sounds again"


def test_a_button_that_is_held_before_the_test_silences_none() -> None:
    bench = flying_gear_up(twin(lamps={"silence_stops_test": True}))
    bench.after(1.0, switches("up", horn_silence=True))
    bench.after(1.0, switches("up", horn_silence=True, warning_test=True))
    assert horn(bench) is SOUNDS
