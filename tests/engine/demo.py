"""What the demonstration flight must show, worked out from its script and the aircraft file.

Written for the twin jet as it ships: what its numbers make of the script is worked out here by
arithmetic of its own, without the logic.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from panelbridge.config.aircraft_file import AircraftFile
from panelbridge.feeds.flight_script import (
    DURATION_S,
    LOCKED_WHEEL,
    PEDAL_POINTS,
    PILOT_ACTIONS,
    STRUT_CHANGES,
)
from panelbridge.feeds.flight_values import values_at
from panelbridge.logic.air_ground.parameters import AirGroundParameters
from panelbridge.logic.antiskid.parameters import AntiskidParameters
from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.cold_weather.parameters import ColdWeatherParameters
from panelbridge.logic.gear_warning.parameters import GearWarningParameters
from panelbridge.logic.hydraulics.parameters import HydraulicsParameters
from panelbridge.logic.speed_limits.parameters import SpeedLimitsParameters

SWITCH_LAG_S = 0.12
"""Debounce (20 ms), bounce (at most 6.2 ms each way) and a few ticks of 20 ms."""
HANDLE_TRAVEL_S = 0.3
"""How long the simulated hand moves the handle from one contact to the other."""
TICK_S = 0.02


@dataclass(frozen=True)
class Expected:
    """An event and the window in which it must come, seconds of the flight."""

    name: str
    subject: str
    earliest_s: float
    latest_s: float


@dataclass(frozen=True)
class Sheet:
    """Takes what is expected."""

    expected: list[Expected]

    def add(self, name: str, at_s: float, subject: str = "", lag_s: float = SWITCH_LAG_S) -> None:
        """``name`` comes at ``at_s`` or up to ``lag_s`` later."""
        self.expected.append(Expected(name, subject, at_s, at_s + lag_s))


_OF_SWITCHES = {
    ("lamp_test", "pressed"): "lamp_test_started",
    ("lamp_test", "released"): "lamp_test_ended",
    ("steering_button", "pressed"): "steering_engaged",
    ("steering_button", "released"): "steering_released",
    ("horn_silence", "pressed"): "horn_silenced",
    ("lever_horn_silence", "pressed"): "horn_silenced",
    ("parking_brake", 1.0): "parking_brake_set",
    ("parking_brake", 0.0): "parking_brake_released",
}
"""Events that come with a movement of a switch."""


def expected_events(aircraft: AircraftFile) -> list[Expected]:
    """All of them but the link's and the feed's, by earliest time."""
    sheet = Sheet([])
    for action in PILOT_ACTIONS:
        name = _OF_SWITCHES.get((action.switch, action.position))
        if name is not None:
            sheet.add(name, action.time_s)
    up_s, down_s = (time + HANDLE_TRAVEL_S for time in _times("gear_handle"))
    _expect_gear(aircraft, up_s, "up", sheet)
    down_locked_s = _expect_gear(aircraft, down_s, "down", sheet)
    _expect_air_ground(aircraft, sheet)
    _expect_pressure(aircraft, sheet)
    _expect_antiskid(aircraft, sheet)
    _expect_pumping(aircraft, down_locked_s, sheet)
    for at_s in _throttle_warnings(aircraft, up_s, down_s):
        sheet.add("horn_sounded", at_s, lag_s=2 * TICK_S)
    speeds = aircraft.group(SpeedLimitsParameters)
    limit = speeds.vlo_extend_kias
    assert limit is not None
    sheet.add("speed_limit_exceeded", down_s, "vlo_extend")
    below = limit - speeds.hysteresis_kias
    slow_s = _first(lambda t: values_at(t).airspeed_kias <= below, down_s)
    sheet.add("speed_limit_exceedance_ended", slow_s - TICK_S, "vlo_extend", lag_s=3 * TICK_S)
    return sorted(sheet.expected, key=lambda e: e.earliest_s)


def _times(switch: str, *positions: str | float) -> list[float]:
    """When the pilot moves a switch, to some positions or to any."""
    moves = [a for a in PILOT_ACTIONS if a.switch == switch]
    return [a.time_s for a in moves if not positions or a.position in positions]


def _first(holds: Callable[[float], bool], from_s: float) -> float:
    """The first tick from ``from_s`` on at which something holds in the script."""
    tick = int(from_s / TICK_S)
    while not holds(tick * TICK_S):
        tick += 1
        assert tick * TICK_S < DURATION_S
    return tick * TICK_S


def _expect_gear(aircraft: AircraftFile, at_s: float, position: str, sheet: Sheet) -> float:
    """The legs and doors, group by group; gives when the last leg locks."""
    sheet.add(f"gear_handle_moved_{position}", at_s)
    sheet.add(f"gear_{position}_commanded", at_s)
    order = aircraft.gear_order
    named = order.retract if position == "up" else order.extend
    groups = named or [[leg.name for leg in aircraft.legs]]
    legs = {leg.name: leg for leg in aircraft.legs}
    assert sorted(name for group in groups for name in group) == sorted(legs)
    begins_s = at_s
    for group in groups:
        locked = []
        for name in group:
            leg, door = legs[name], legs[name].door
            assert door is not None
            assert door.close_when_down
            travel_s = leg.retract_s if position == "up" else leg.extend_s
            opened_s = begins_s + door.open_s
            unlocked_s = opened_s + leg.unlock_s
            sheet.add("gear_door_opened", opened_s, name)
            sheet.add("leg_unlocked", unlocked_s, name)
            sheet.add(f"leg_locked_{position}", unlocked_s + travel_s, name)
            sheet.add("gear_door_closed", unlocked_s + travel_s + door.close_s, name)
            locked.append(unlocked_s + travel_s)
        begins_s = max(locked)
    sheet.add(f"gear_locked_{position}", begins_s)
    return begins_s


def _expect_air_ground(aircraft: AircraftFile, sheet: Sheet) -> None:
    settle_s = aircraft.group(AirGroundParameters).settle_s
    off_s = max(changes[1][0] for changes in STRUT_CHANGES.values())
    on_s = max(changes[2][0] for changes in STRUT_CHANGES.values())
    sheet.add("took_off", off_s + settle_s, lag_s=2 * TICK_S)
    sheet.add("touched_down", on_s + settle_s, lag_s=2 * TICK_S)


def _expect_pressure(aircraft: AircraftFile, sheet: Sheet) -> None:
    """The auxiliary pump fills the accumulator, less what leaks and what the brakes store.

    Their accumulator fills from the pressure on at which consumers are served.
    """
    hydraulics = aircraft.group(HydraulicsParameters)
    pump = hydraulics.aux_pump
    assert pump is not None
    (on_s,) = _times("aux_pump", "on")
    flow = pump.flow_l_per_s - hydraulics.internal_leak_l_per_s

    store = aircraft.group(BrakesParameters).accumulator
    assert store is not None

    def fluid_l(psi: float) -> float:
        gas = hydraulics.accumulator
        return gas.gas_volume_l * (1 - (gas.precharge_psi + 14.7) / (psi + 14.7))

    def filled_s(psi: float) -> float:
        served_l = fluid_l(hydraulics.usable_again_psi)
        rest_l = fluid_l(psi) - served_l
        return on_s + served_l / flow + rest_l / (flow - store.fill_l_per_s)

    sheet.add("aux_pump_started", on_s)
    sheet.add("hydraulic_pressure_rose", filled_s(hydraulics.low_clear_psi))
    full_s = filled_s(pump.cut_out_psi)
    sheet.add("aux_pump_stopped", full_s)
    # The parking brake draws an application, and the accumulator of the brakes goes on filling.
    band_l = fluid_l(pump.cut_out_psi) - fluid_l(pump.cut_in_psi)
    taken_l = aircraft.group(BrakesParameters).application_l
    out = store.fill_l_per_s + hydraulics.internal_leak_l_per_s
    again_s = full_s + (band_l - taken_l) / out
    sheet.add("aux_pump_started", again_s)
    sheet.add("aux_pump_stopped", again_s + band_l / (flow - store.fill_l_per_s))
    # Long before it is switched off, and before anything takes pressure.
    assert filled_s(pump.cut_out_psi) < min(_times("aux_pump", "off") + _times("parking_brake"))


def _expect_antiskid(aircraft: AircraftFile, sheet: Sheet) -> None:
    self_test_s = aircraft.group(AntiskidParameters).self_test_s
    for on_s in _times("antiskid", "on"):
        sheet.add("antiskid_tested", on_s + self_test_s)
    off_s, _ = _times("antiskid", "off")
    sheet.add("antiskid_left_off", off_s)
    side, locks_s, _ = LOCKED_WHEEL
    wheels = [wheel.name for wheel in aircraft.group(BrakesParameters).wheels if wheel.side == side]
    sheet.add("locked_wheel_let_go", locks_s, wheels[1], lag_s=2 * TICK_S)


def _expect_pumping(aircraft: AircraftFile, down_locked_s: float, sheet: Sheet) -> None:
    """The third stroke counts where both pedals pass what counts as pressed."""
    cold = aircraft.group(ColdWeatherParameters)
    sheet.add("brake_pumping_asked", down_locked_s)
    _, on_s = _times("antiskid", "on")
    strokes = []
    before = PEDAL_POINTS[0]
    for point in PEDAL_POINTS:
        limit = cold.pedal_pressed_fraction
        if before[1] <= limit < point[1] and down_locked_s < point[0] < on_s:
            part = (limit - before[1]) / (point[1] - before[1])
            strokes.append(before[0] + (point[0] - before[0]) * part)
        before = point
    sheet.add("brakes_pumped", strokes[cold.brake_pumps - 1], lag_s=3 * TICK_S)
    sheet.add("antiskid_switched_on_again", on_s)


def _throttle_warnings(aircraft: AircraftFile, up_s: float, down_s: float) -> list[float]:
    """When a closed lever sounds the horn: as it closes, or as the aircraft gets slow enough."""
    warning = aircraft.group(GearWarningParameters)
    gate = warning.quiet_from_kias
    assert gate is not None
    slow_s = _first(lambda t: values_at(t).airspeed_kias < gate, 100.0)
    limit = warning.throttle_approach_fraction or 0.0

    def is_closed(lever: int) -> Callable[[float], bool]:
        return lambda time_s: values_at(time_s).throttles[lever] <= limit

    found = []
    for lever in (0, 1):
        closes_s = _first(is_closed(lever), up_s)
        assert closes_s < down_s
        settled_s = closes_s - TICK_S + warning.throttle_settle_s
        found.append(max(settled_s, slow_s - TICK_S))
    return found
