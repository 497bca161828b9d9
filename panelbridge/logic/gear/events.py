"""Every event of the landing gear, with its level and its text; and what takes them."""

from __future__ import annotations

from typing import Any, Protocol

from panelbridge.logic.kit.declarations import EventTexts
from panelbridge.signals import Level

_I, _C, _W, _F = Level.INFO, Level.CAUTION, Level.WARNING, Level.FAULT

GEAR_EVENTS: EventTexts = {
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
    "gear_up_held": (_C, "the gear stays down: air or ground is not known"),
    "gear_power_cut_off": (
        _C,
        "the gear took longer than its travel limit: its power is cut off until the reset",
    ),
    "gear_reset_refused": (_C, "the gear's power was not reset: only on the ground"),
    "gear_power_reset": (_I, "the gear's power was reset"),
    "gear_breaker_pulled": (_I, "the circuit breaker of the gear was pulled"),
    "gear_breaker_pushed_in": (_I, "the circuit breaker of the gear was pushed in"),
    "gear_up_pressure_lost": (_C, "the pressure that holds the gear up is gone"),
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
}


class EventLog(Protocol):
    """Takes the events of a part: the system that it belongs to."""

    def note(self, time_s: float, name: str, subject: str = "", **words: Any) -> None:
        """Note an event."""
        ...
