"""Events that the parts of an aircraft never give are none of its events.

Worked out by hand from what each event needs: a bottle that can be empty, a lever that is there, a
source that can fail. Each row is an aircraft with the part and one without; only those events
differ. That none of them is left out wrongly is held by every other test: to note an event that
an aircraft does not have is an error.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest

from panelbridge.logic.inventory import events_of
from tests.logic.build import twin

Changes = Mapping[str, Any]
HYDRAULICS: Changes = {
    "supplies": [{"engine": 1, "kind": "engine_pump", "flow_l_per_s": 0.3}],
    "aux_pump": None,
}
SERVED: Changes = {**HYDRAULICS, "accumulator": {"serves": ["wheel_brakes", "parking_brake"]}}
UNSERVED: Changes = {**HYDRAULICS, "accumulator": {"serves": []}}
AIR, FALL = {"means": "air"}, {"means": "free_fall"}
BY_ITSELF = {"needs_hydraulics": False, "emergency_brake": False}
LIMITED = {"power": "electric_pack", "travel_limit_s": 14.0}
_PARKING = (
    *("parking_brake_set", "parking_brake_released", "parking_brake_not_set"),
    *("parking_brake_bled_down", "parking_brake_holds_again", "parking_brake_trapped"),
    "landing_brake_warned",
    *("takeoff_config_warned", "takeoff_config_ended", "takeoff_warning_silenced"),
)
_SOURCE = ("parking_brake_not_set", "parking_brake_bled_down", "parking_brake_holds_again")
_CUT_OFF = ("gear_power_cut_off", "gear_power_reset", "gear_reset_refused")
_LEGS = ("simulator_legs_disagreed", "simulator_legs_agreed")
ROWS: tuple[tuple[str, Changes, Changes, tuple[str, ...]], ...] = (
    (
        "a bottle can be empty",
        {"emergency": AIR},
        {"emergency": FALL},
        ("emergency_extension_failed", "emergency_air_low"),
    ),
    (
        "an emergency brake",
        {"emergency": AIR, "brakes": {"needs_hydraulics": False}},
        {"emergency": AIR, "brakes": BY_ITSELF},
        ("emergency_brake_pulled", "emergency_brake_released"),
    ),
    (
        "a parking brake that needs the pedals",
        {"brakes": {**BY_ITSELF, "parking_needs_pedals": True}},
        {"brakes": {**BY_ITSELF, "parking_brake": False}},
        _PARKING,
    ),
    (
        "a source of the parking brake that can fail",
        {"brakes": {**BY_ITSELF, "parking_needs_pedals": True}},
        {"brakes": BY_ITSELF},
        _SOURCE,
    ),
    (
        "an accumulator that can run out",
        {"hydraulics": SERVED, "brakes": {"emergency_brake": False}},
        {"hydraulics": UNSERVED, "brakes": {"emergency_brake": False}},
        ("brake_energy_low",),
    ),
    (
        "an emergency extension that takes the steering away",
        {"emergency": FALL},
        {},
        (
            *("emergency_extension_begun", "emergency_extension_reset", "emergency_reset_refused"),
            *("retract_locked_out", "steering_refused"),
        ),
    ),
    (
        "a travel limit whose reset is for the ground",
        {"gear_power": {**LIMITED, "reset_in_flight": False}},
        {"gear_power": {"power": "electric_pack"}},
        _CUT_OFF,
    ),
    (
        "a travel limit of a gear that needs no power counts for nothing",
        {"gear_power": {**LIMITED, "reset_in_flight": False}},
        {"gear_power": {**LIMITED, "power": "none_needed", "reset_in_flight": False}},
        _CUT_OFF,
    ),
    (
        "a reset that can be refused",
        {"gear_power": {**LIMITED, "reset_in_flight": False}},
        {"gear_power": LIMITED},
        ("gear_reset_refused",),
    ),
    ("legs of the feed", {"authority": {"legs": "feed"}}, {}, _LEGS),
    (
        "pressure that needs an engine",
        {"hydraulics": SERVED, "gear_power": {"power": "hydraulic"}},
        {"hydraulics": SERVED},
        ("engine_data_missing",),
    ),
)


@pytest.mark.parametrize(("part", "present", "absent", "only"), ROWS, ids=[row[0] for row in ROWS])
def test_its_events_come_and_go_with_a_part(
    part: str, present: Changes, absent: Changes, only: tuple[str, ...]
) -> None:
    with_it, without = events_of(twin(**present)), events_of(twin(**absent))
    assert {*with_it} - {*without} == {*only}
    assert {*without} <= {*with_it}
