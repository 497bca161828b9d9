"""Master warning and master caution: lit by each new alert until their reset is pressed.

14 CFR 25.1322(c)(3) asks that each occurrence of an attention-getting cue can be acknowledged and
suppressed, and AC 25.1322-1 that the next occurrence brings it back. An occurrence is an event: its
level says which light it raises, and nothing else does, so that a lamp that is normal (the parking
brake set on the stand) raises neither. The reset acknowledges and does not inhibit: it changes no
other lamp, and an alert of the very instant of the reset lights its master all the same.
"""

from __future__ import annotations

from typing import Any, Self

from msgspec import Struct

from panelbridge.logic.alerts.facts import AlertsFacts
from panelbridge.logic.alerts.parameters import AlertsParameters
from panelbridge.logic.kit.declarations import Group, Lamp, Signal
from panelbridge.logic.kit.edges import RisingEdge
from panelbridge.logic.kit.handles import Button, Switch
from panelbridge.logic.kit.noted import NOTED
from panelbridge.logic.kit.rule import Rule, Words
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World
from panelbridge.signals import Level, Reason

MASTER_RESET = Button(
    "master_reset", "master reset", "Button that resets the master warning and the master caution."
)
WARNING_RESET = Button(
    "master_warning_reset", "master warning reset", "Button that resets the master warning."
)
CAUTION_RESET = Button(
    "master_caution_reset", "master caution reset", "Button that resets the master caution."
)
_RESETS = "lights until the reset, 14 CFR 25.1322(c)(3)"
_WARNING = Lamp(
    "master_warning_red",
    "master warning",
    (Rule("a warning not acknowledged", (("is_warning", True),), _RESETS),),
    legend="WARNING",
)
_CAUTION = Lamp(
    "master_caution_amber",
    "master caution",
    (Rule("a caution not acknowledged", (("is_caution", True),), _RESETS),),
    legend="CAUTION",
)


class _Master(Struct, frozen=True):
    """One master light: part of the memory.

    Attributes:
        reset: its button.
        seen: alerts that were counted.
        waiting: those of them that no reset has acknowledged.
        last: the last of the waiting ones, a sentence.
    """

    reset: RisingEdge = RisingEdge()
    seen: int = 0
    waiting: int = 0
    last: str = ""


class MasterAlerts(System[AlertsFacts]):
    """The master lights.

    Args:
        parameters: which of them there are, and their resets.
    """

    title = "Alerts"
    groups = (
        Group("alerts", AlertsParameters, "Master warning and master caution; null for none."),
    )
    events = {
        "master_warning_reset": (Level.INFO, "the master warning was reset"),
        "master_caution_reset": (Level.INFO, "the master caution was reset"),
    }
    switches: tuple[Switch[Any], ...] = (MASTER_RESET, WARNING_RESET, CAUTION_RESET)
    memory: tuple[_Master, _Master]

    def __init__(self, parameters: AlertsParameters) -> None:
        super().__init__()
        faults = (Level.FAULT,) if parameters.faults_raise_caution else ()
        self._levels = (
            (Level.WARNING,) if parameters.master_warning else (),
            (Level.CAUTION, *faults) if parameters.master_caution else (),
        )
        fitted = [bool(levels) for levels in self._levels]
        apart = parameters.separate_resets
        self._resets = (WARNING_RESET, CAUTION_RESET) if apart else (MASTER_RESET,) * 2
        used = [one for one, there in zip(self._resets, fitted, strict=True) if there]
        self.switches = tuple(dict.fromkeys(used))
        lamps = zip((_WARNING, _CAUTION), fitted, strict=True)
        self.lamps = tuple([lamp for lamp, there in lamps if there])
        self.values = tuple([value for value, there in zip(_VALUES, fitted, strict=True) if there])
        self.memory = (_Master(), _Master())
        self.facts = AlertsFacts()

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None for an aircraft without master lights."""
        parameters = build.aircraft.optional(AlertsParameters)
        return None if parameters is None else cls(parameters)

    def update(self, now_s: float, world: World) -> AlertsFacts:
        """Take the resets first, then what was noted since: a new alert outweighs a reset."""
        warning, caution = self.memory
        warning = self._follow(now_s, 0, warning, world)
        caution = self._follow(now_s, 1, caution, world)
        self.memory = (warning, caution)
        return AlertsFacts(warning.waiting, caution.waiting, warning.last, caution.last)

    def _follow(self, now_s: float, place: int, before: _Master, world: World) -> _Master:
        levels = self._levels[place]
        if not levels:
            return before
        reset = before.reset.take(world[self._resets[place]])
        waiting, last = before.waiting, before.last
        if waiting and before.reset.rises(reset):
            self.note(now_s, "master_caution_reset" if place else "master_warning_reset")
            waiting, last = 0, ""
        noted = [found for level in levels if (found := world[NOTED[level]]) is not None]
        seen = sum(one.number for one in noted)
        if seen > before.seen:
            waiting += seen - before.seen
            last = max(noted, key=lambda one: one.last.time_s).last.text
        return _Master(reset, seen, waiting, last)

    def words(self, world: World) -> Words:
        """How many alerts wait, and the last of them."""
        facts = world[AlertsFacts]
        return {
            "is_warning": (_reason("warning", facts.warnings, facts.last_warning),),
            "is_caution": (_reason("caution", facts.cautions, facts.last_caution),),
        }


def _reason(what: str, count: int, last: str) -> Reason:
    detail = f"{count}, the last: {last}" if count else "none since the reset"
    return Reason(f"a {what} not acknowledged", count > 0, detail)


_VALUES = (
    Signal(
        *("warnings_not_reset", "number", "warnings not reset"),
        lambda world: float(world[AlertsFacts].warnings),
        low=0.0,
        never_unknown=True,
    ),
    Signal(
        *("cautions_not_reset", "number", "cautions not reset"),
        lambda world: float(world[AlertsFacts].cautions),
        low=0.0,
        never_unknown=True,
    ),
)
