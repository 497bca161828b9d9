"""Data that never came: throttles, flaps, engines.

14 CFR 25.729(e)(6): no failure blocks the warning. That a fault says that it cannot work is our own
decision. Limits: on the ground, and while the squat switches are unknown too, nothing is said.

By hand, limit 10 s: throttle 2 unknown from 5.0 on in the air: fault at 15.0; known at 14.9: none.
"""

from __future__ import annotations

from typing import Any

import pytest

from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.signals import AircraftState
from tests.logic.build import DOWN, OPEN, Bench, air, changed, ground, switches, twin
from tests.logic.whole_aircraft import PLAIN

LAMP = "gear_warning_failed_amber"
FAULT = "the gear warning cannot work: throttles or flaps are unknown"


def flying(aircraft: AircraftParameters | None = None, **changes: Any) -> Bench:
    """In the air, gear and handle down."""
    bench = Bench(aircraft)
    bench.at(0.0, switches("down"), air(**{"gear_handle": DOWN, **changes}))
    return bench


@pytest.mark.parametrize(
    ("lost", "named"),
    [
        ({"throttle_fraction": (OPEN, None)}, "throttle 2"),
        ({"throttle_fraction": ()}, "throttle 1, throttle 2"),
        ({"flap_deg": None}, "the flap angle"),
        ({"flap_deg": None, "throttle_fraction": (None, OPEN)}, "throttle 1, the flap angle"),
    ],
)
def test_throttles_or_flaps_unknown_in_the_air_are_a_fault(lost: Any, named: str) -> None:
    """The figures of the head."""
    bench = flying()
    bench.at(5.0, aircraft=changed(bench.aircraft, **lost))
    bench.at(14.99)
    assert bench.names == []
    bench.at(15.0)
    assert bench.logged == [(15.0, "warning_data_missing", "")]
    assert bench.events[0].text.endswith(f"does not give {named}")
    assert LAMP in bench.lit
    assert FAULT in bench.logic.view().faults
    reasons = {one.condition: one for one in bench.logic.reasons(LAMP)}
    reason = reasons["throttles or flaps unknown in the air for 10 s"]
    assert (reason.holds, reason.detail) == (True, f"unknown: {named}")
    bench.at(30.0, aircraft=air(gear_handle=DOWN))
    assert bench.names == ["warning_data_missing", "warning_data_found"]
    assert LAMP not in bench.lit
    assert bench.logic.view().faults == ()


def test_data_that_is_back_in_time_is_no_fault() -> None:
    bench = flying()
    bench.at(5.0, aircraft=changed(bench.aircraft, throttle_fraction=(OPEN, None)))
    bench.at(14.9, aircraft=air(gear_handle=DOWN))
    bench.at(100.0)
    assert bench.names == []


@pytest.mark.parametrize(
    "state",
    [
        ground((), None),
        AircraftState(),
        AircraftState(airspeed_kias=120.0),
    ],
)
def test_nothing_is_said_on_the_ground_or_without_any_data(state: AircraftState) -> None:
    bench = flying()
    bench.at(5.0, aircraft=state)
    bench.at(100.0)
    assert "warning_data_missing" not in bench.names
    assert LAMP not in bench.lit


@pytest.mark.parametrize(
    ("group", "lost"),
    [
        ({"warning_limit_s": None}, {"throttle_fraction": (), "flap_deg": None}),
        ({"flaps_expected": False}, {"flap_deg": None}),
    ],
)
def test_an_aircraft_may_do_without(group: dict[str, Any], lost: dict[str, Any]) -> None:
    bench = flying(twin(missing_data=group))
    bench.at(5.0, aircraft=changed(bench.aircraft, **lost))
    bench.at(500.0)
    assert bench.names == []


def starved(**changes: Any) -> Bench:
    """In the air, gear down; no supply is known to run. Then the handle goes up."""
    aircraft = AircraftParameters.model_validate({**PLAIN["jet"], **changes})
    bench = flying(aircraft, engine_running=())
    bench.at(30.0)
    bench.at(31.0, switches("up"))
    bench.at(32.0)
    return bench


def test_no_data_of_the_engines_is_said_as_the_reason_why_the_gear_has_no_power() -> None:
    """Our own decision: engines that are unknown give no pressure, and the panel says so."""
    bench = starved()
    assert bench.names.count("engine_data_missing") == 1
    said = "the gear has no pressure: the feed does not say whether the engines run"
    assert said in bench.logic.view().faults
    details = {one.condition: one.detail for one in bench.logic.reasons("gear_power_amber")}
    assert details["power for the gear"] == "no pressure, and nothing is known of the engines"
    bench.at(33.0, aircraft=changed(bench.aircraft, engine_running=(False, None)))
    details = {one.condition: one.detail for one in bench.logic.reasons("gear_power_amber")}
    assert details["power for the gear"] == "no pressure"
    assert said not in bench.logic.view().faults


def test_a_file_may_expect_no_data_of_the_engines() -> None:
    assert "engine_data_missing" not in starved(missing_data={"engines_expected": False}).names
