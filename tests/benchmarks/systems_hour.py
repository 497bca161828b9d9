"""An hour of flight with changing airspeed through every system of the twin jet.

``python -m tests.benchmarks.systems_hour`` plays 180,000 steps (50 Hz) with another airspeed in
each through ``PanelLogic`` with the shipped twin jet, which has every system, and through a loop
that does by hand what these systems have to do for it: see whether anything else has changed, hold
the airspeed against the warning's gate and the three limits for the gear, each with its hysteresis,
and act on edges alone. Both must sound the horn at the same steps. Processor time, in turns in one
run; the median of the rounds is held against what is wanted, in words.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import replace
from math import inf, sin

from panelbridge.config.load import load_aircraft
from panelbridge.config.shipped import shipped_config
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.signals import AircraftState, GearPosition, HandleContacts, SwitchState
from tests.benchmarks.logic_hour import STEP_S, STEPS, compare

RATIO_WANTED = 0.6
REAL_TIME_WANTED = 1000.0
AIRCRAFT = load_aircraft(shipped_config("aircraft/twin_jet.yaml"))
SWITCHES = SwitchState(
    gear_handle=HandleContacts.UP,
    horn_silence=False,
    lamp_test=False,
    warning_test=False,
    steering_button=False,
    dimmer_fraction=1.0,
    aux_pump=False,
    emergency_extend=False,
    antiskid=True,
    cold_weather=False,
    parking_brake_fraction=0.0,
    emergency_brake_fraction=0.0,
)
Edge = tuple[int, str]


def flight(steps: int) -> list[AircraftState]:
    """Gear up, one lever closed: the airspeed alone decides whether the horn sounds."""
    still = AircraftState(
        airspeed_kias=220.0,
        altitude_ft=9000.0,
        ground_speed_kt=240.0,
        throttle_fraction=(0.1, 0.7),
        flap_deg=0.0,
        strut_compressed=(False, False, False),
        gear_handle=GearPosition.UP,
        engine_running=(True, True),
        bus_powered=True,
        wheel_speed_rpm=(0.0, 0.0, 0.0, 0.0),
        brake_pedal_fraction=(0.0, 0.0),
        steering_pedal_fraction=0.0,
    )
    return [
        replace(still, airspeed_kias=207.0 + 25.0 * sin(n / 1500.0) + 0.4 * sin(n * 0.7))
        for n in range(steps)
    ]


def ours(states: Sequence[AircraftState]) -> list[Edge]:
    """Every change of the horn."""
    logic = PanelLogic(AIRCRAFT)
    edges: list[Edge] = []
    before = None
    for number, state in enumerate(states):
        result = logic.step(number * STEP_S, SWITCHES, state)
        if result.outputs is not before:
            before = result.outputs
            if not edges or edges[-1][1] != before.horn.value:
                edges.append((number, before.horn.value))
    return edges


def by_hand(states: Sequence[AircraftState]) -> list[Edge]:
    """The same for this flight: compares everything, works on edges alone."""
    warning, limits = AIRCRAFT.gear_warning, AIRCRAFT.speed_limits
    assert limits is not None
    assert warning.quiet_from_kias is not None
    quiet_from, quiet_above = (
        warning.quiet_from_kias,
        warning.quiet_from_kias + warning.quiet_hysteresis_kias,
    )
    extend, retract, out = (limit or inf for limit in limits.limits().values())
    hysteresis = limits.hysteresis_kias
    quiet = above_extend = above_retract = above_out = False
    edges: list[Edge] = []
    old, old_s = AircraftState(), -1.0
    switches: SwitchState | None = None
    due_s = silent_from_s = inf
    sounds, dirty = "silent", True
    for number, state in enumerate(states):
        now_s = number * STEP_S
        if now_s < old_s:
            raise ValueError(now_s)
        old_s = now_s
        if now_s >= due_s:
            due_s, dirty = inf, True
        if SWITCHES is not switches:
            switches, dirty = SWITCHES, True
        if state is not old:
            if (
                state.altitude_ft != old.altitude_ft
                or state.ground_speed_kt != old.ground_speed_kt
                or state.throttle_fraction is not old.throttle_fraction
                or state.flap_deg != old.flap_deg
                or state.hydraulic_pressure_psi != old.hydraulic_pressure_psi
                or state.strut_compressed is not old.strut_compressed
                or state.gear_handle is not old.gear_handle
                or state.engine_running is not old.engine_running
                or state.bus_powered is not old.bus_powered
                or state.wheel_speed_rpm is not old.wheel_speed_rpm
                or state.brake_pedal_fraction is not old.brake_pedal_fraction
                or state.steering_pedal_fraction != old.steering_pedal_fraction
            ):
                dirty = True
            kias = state.airspeed_kias
            if kias is None:
                dirty = True
            elif kias != old.airspeed_kias:
                now_quiet = kias >= (quiet_from if quiet else quiet_above)
                if now_quiet is not quiet:
                    quiet, dirty = now_quiet, True
                above = kias > (extend - hysteresis if above_extend else extend)
                if above is not above_extend:
                    above_extend, dirty = above, True
                above = kias > (retract - hysteresis if above_retract else retract)
                if above is not above_retract:
                    above_retract, dirty = above, True
                above = kias > (out - hysteresis if above_out else out)
                if above is not above_out:
                    above_out, dirty = above, True
            old = state
        if dirty:
            dirty = False
            wanted = not quiet  # a lever is closed all the time
            if wanted and sounds == "silent":
                sounds, silent_from_s = "intermittent", now_s + warning.shortest_sounding_s
            elif not wanted and sounds != "silent":
                if now_s >= silent_from_s:
                    sounds = "silent"
                else:
                    due_s = silent_from_s
            if not edges or edges[-1][1] != sounds:
                edges.append((number, sounds))
    return edges


def main() -> int:
    """Run and print; the exit code says only whether both give the same."""
    return compare(ours, by_hand, flight(STEPS), RATIO_WANTED, REAL_TIME_WANTED, __doc__)


if __name__ == "__main__":
    sys.exit(main())
