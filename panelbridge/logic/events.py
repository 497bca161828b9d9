"""Every event that the logic can tell, with its level and its words."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from panelbridge.signals import Event, Level

_I, _C, _W, _F = Level.INFO, Level.CAUTION, Level.WARNING, Level.FAULT

EVENTS: Mapping[str, tuple[Level, str]] = MappingProxyType(
    {
        "took_off": (_I, "the aircraft left the ground"),
        "touched_down": (_I, "the aircraft stands on its struts"),
        "struts_disagreed": (
            _F,
            "the squat switches disagree: ground for commands, air for warnings",
        ),
        "struts_agreed": (_I, "the squat switches agree again"),
        "gear_handle_moved_up": (_I, "the gear handle was moved up"),
        "gear_handle_moved_down": (_I, "the gear handle was moved down"),
        "gear_handle_contradicted": (
            _F,
            "both contacts of the gear handle are closed: nothing is commanded; check its wires",
        ),
        "gear_handle_stuck_between": (
            _F,
            "neither contact of the gear handle closed within its travel time: nothing is"
            " commanded; check its wires",
        ),
        "gear_handle_recovered": (_I, "the gear handle's contacts are valid again"),
        "gear_handle_disagreed": (
            _C,
            "the gear handle stands {position} and the gear does not: nothing moves until they"
            " agree or the handle is moved",
        ),
        "gear_handle_agreed": (_I, "the gear handle agrees with the gear"),
        "gear_up_commanded": (_I, "the gear was commanded up"),
        "gear_down_commanded": (_I, "the gear was commanded down"),
        "ground_retract_refused": (_W, "ground retract attempt: the gear stays down"),
        "retract_locked_out": (
            _C,
            "the gear stays down: after an emergency extension nothing retracts it until the reset",
        ),
        "handle_lock_overridden": (
            _C,
            "the gear handle was raised on the ground with the down-lock release held",
        ),
        "handle_lock_forced": (
            _C,
            "the gear handle was raised though it is locked: the panel's handle is not held",
        ),
        "gear_power_cut_off": (
            _C,
            "the gear took longer than its travel limit: its power is cut off until the reset",
        ),
        "gear_power_reset": (_I, "the gear's power was reset"),
        "gear_up_pressure_lost": (_C, "the pressure that holds the gear up is gone"),
        "gear_up_held": (_C, "the gear stays down: air or ground is not known"),
        "leg_unlocked": (_I, "the {subject} leg was unlocked"),
        "leg_locked_up": (_I, "the {subject} leg is locked up"),
        "leg_locked_down": (_I, "the {subject} leg is locked down"),
        "gear_door_opened": (_I, "the door of the {subject} leg is open"),
        "gear_door_closed": (_I, "the door of the {subject} leg is closed"),
        "gear_locked_up": (_I, "the gear is locked up"),
        "gear_locked_down": (_I, "the gear is locked down"),
        "leg_locks_contradicted": (
            _F,
            "both lock switches of the {subject} leg are made: it counts as not locked",
        ),
        "leg_switch_contradicted": (
            _F,
            "a lock switch of the {subject} leg is made though the leg is not locked",
        ),
        "horn_sounded": (_W, "the horn sounds: {cause}"),
        "horn_silenced": (_I, "the horn was silenced"),
        "horn_stopped": (_I, "the horn stopped"),
        "lamp_test_started": (_I, "the lamp test began"),
        "lamp_test_ended": (_I, "the lamp test ended"),
        "warning_test_started": (_I, "the gear warning test began"),
        "warning_test_ended": (_I, "the gear warning test ended"),
        "steering_engaged": (_I, "nose-wheel steering was engaged"),
        "steering_released": (_I, "nose-wheel steering was released"),
        # emergency extension
        "emergency_extension_begun": (_W, "the emergency extension was begun"),
        "emergency_extension_failed": (
            _W,
            "the emergency extension did nothing: the air bottle is too empty",
        ),
        "emergency_extension_reset": (_I, "the emergency extension was reset"),
        "emergency_reset_refused": (
            _C,
            "the emergency extension was not reset: only on the ground with the gear locked down",
        ),
        "emergency_air_low": (_C, "the emergency air is low"),
        # nose-wheel steering
        "steering_refused": (
            _C,
            "nose-wheel steering was refused: it does not work after an emergency extension",
        ),
        # brakes
        "parking_brake_set": (_I, "the parking brake was set"),
        "parking_brake_released": (_I, "the parking brake was released"),
        "parking_brake_not_set": (_C, "the parking brake was not set: there is no pressure for it"),
        "parking_brake_bled_down": (_W, "the parking brake has bled down and no longer holds"),
        "parking_brake_trapped": (_F, "the parking brake did not let its pressure go"),
        "emergency_brake_pulled": (_W, "the emergency brake was pulled"),
        "emergency_brake_released": (_I, "the emergency brake was released"),
        "brake_energy_low": (_C, "the stored energy of the brakes is low"),
        "takeoff_with_brake_warned": (
            _W,
            "take-off thrust with the parking brake not fully released",
        ),
        # anti-skid
        "antiskid_failed": (_C, "anti-skid failed on the {subject} wheel"),
        "antiskid_left_off": (_C, "anti-skid is off with the gear down in the air"),
        "antiskid_tested": (_I, "the self-test of anti-skid ended"),
        "locked_wheel_let_go": (_I, "the {subject} wheel locked and was let go"),
        # hydraulics
        "hydraulic_pressure_fell": (_C, "hydraulic pressure is low"),
        "hydraulic_pressure_rose": (_I, "hydraulic pressure is normal"),
        "hydraulic_fluid_fell_low": (_C, "hydraulic fluid is low"),
        "hydraulic_fluid_filled": (_I, "hydraulic fluid is no more low"),
        "hydraulic_reservoir_emptied": (_F, "the hydraulic reservoir ran dry"),
        "hydraulic_supply_failed": (_F, "the {subject} gives no pressure"),
        "aux_pump_started": (_I, "the auxiliary hydraulic pump started"),
        "aux_pump_stopped": (_I, "the auxiliary hydraulic pump stopped"),
        "aux_pump_ran_on": (
            _F,
            "the auxiliary hydraulic pump did not stop: the relief valve limits the pressure",
        ),
        "aux_pump_left_on": (
            _C,
            "the auxiliary hydraulic pump was left on beyond its limit: it cycles and wears",
        ),
        # speed limits
        "speed_limit_exceeded": (_C, "the airspeed is above {words}, {limit} knots"),
        "speed_limit_exceedance_ended": (
            _I,
            "the exceedance of {words} is over: the highest was {highest} knots",
        ),
        # cold weather
        "leave_gear_down_asked": (_C, "the gear is to be left down for {seconds} s"),
        "gear_raised_early": (_W, "the gear handle was raised before its time: lower the gear"),
        "gear_may_be_raised": (_I, "the gear was left down for long enough: it may be raised"),
        "brake_pumping_asked": (
            _C,
            "before landing: {first}the brakes to be pumped {count} times",
        ),
        "brakes_pumped": (_C, "the brakes were pumped{then}"),
        "antiskid_switched_on_again": (_I, "anti-skid was switched on again"),
    }
)


class EventLog:
    """Collects what happens within one step."""

    def __init__(self) -> None:
        self._noted: list[Event] = []

    def note(self, time_s: float, name: str, subject: str = "", **words: str) -> None:
        """Note the event ``name``; ``words`` fill its text. A wrong name is a KeyError."""
        level, text = EVENTS[name]
        filled = text.format(subject=subject, **words) if "{" in text else text
        self._noted.append(Event(time_s, name, level, filled, subject))

    def take(self) -> tuple[Event, ...]:
        """Give all that was noted and begin anew."""
        noted = tuple(self._noted)
        self._noted.clear()
        return noted
