"""Air/ground: what the squat switches of all struts say together.

For *commands* the aircraft is on the ground as soon as one strut says so or does not answer: any
doubt opens the retract circuit. For *warnings* it is in the air when in doubt. While the struts
differ for a short time (rotation, a touchdown on one wheel) warnings keep what was agreed last;
differing for longer than the limit is a fault.

Source: FAA Airplane Flying Handbook ch. 12, fig. 12-12 (the squat switch opens the retract
circuit). That doubt counts as ground for commands and as air for warnings is our own decision.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

from pydantic import Field
from statemachine import State

from panelbridge.clock import TimerHeap
from panelbridge.logic.chart import Chart
from panelbridge.logic.debounce import NEVER, Debouncer
from panelbridge.logic.events import EventLog
from panelbridge.logic.parameters import Parameters

_LIMIT = "struts differ"


class AirGroundParameters(Parameters):
    """The squat switches of the struts."""

    settle_s: Annotated[float, Field(ge=0.0, le=2.0)] = 0.2
    """A squat switch must keep a new state for so long before it counts, s."""
    disagree_limit_s: Annotated[float, Field(ge=0.5, le=120.0)] = 15.0
    """Struts may disagree for so long (nose up at take-off and landing) before it is a fault, s."""


class AirGroundChart(Chart):
    """What the struts say together."""

    ag_unknown = State(initial=True)
    ag_ground = State()
    ag_air = State()
    ag_split = State()
    ag_fault = State()

    all_compressed = (
        ag_unknown.to(ag_ground)
        | ag_air.to(ag_ground)
        | ag_split.to(ag_ground)
        | ag_fault.to(ag_ground)
    )
    all_extended = (
        ag_unknown.to(ag_air) | ag_ground.to(ag_air) | ag_split.to(ag_air) | ag_fault.to(ag_air)
    )
    struts_differ = ag_unknown.to(ag_split) | ag_ground.to(ag_split) | ag_air.to(ag_split)
    limit_passed = ag_split.to(ag_fault)
    strut_lost = (
        ag_ground.to(ag_unknown)
        | ag_air.to(ag_unknown)
        | ag_split.to(ag_unknown)
        | ag_fault.to(ag_unknown)
    )


class AirGround:
    """The squat switches of all struts.

    Args:
        parameters: its numbers.
        legs: number of legs.
        timers: for settling and for the limit.
        log: takes its events.
    """

    def __init__(
        self, parameters: AirGroundParameters, legs: int, timers: TimerHeap, log: EventLog
    ) -> None:
        self._parameters = parameters
        self._timers = timers
        self._log = log
        self._chart = AirGroundChart()
        self._contacts = [Debouncer(parameters.settle_s) for _ in range(legs)]
        self._raw: list[bool | None] = [None] * legs
        self._said = ""
        self._agreed_ground: bool | None = None
        self.struts: tuple[bool | None, ...] = (None,) * legs
        """Debounced squat switch of each leg; None when unknown."""
        self.ground_for_commands = True
        """On the ground, or not known to be in the air."""
        self.has_weight = False
        """A strut is known to carry weight."""
        self.air_for_warnings = True
        """In the air, or not known to be on the ground."""

    @property
    def is_fault(self) -> bool:
        """The squat switches have differed for too long."""
        return self._chart.state_id == "ag_fault"

    def take(self, now_s: float, compressed: Sequence[bool | None]) -> None:
        """Take the raw squat switches; missing ones are unknown."""
        for leg in range(len(self._contacts)):
            raw = compressed[leg] if leg < len(compressed) else None
            if raw is None:
                self._timers.cancel(("strut", leg))
            elif self._raw[leg] is None:  # found (again): what it says now counts as settled
                self._contacts[leg] = Debouncer(self._parameters.settle_s)
            self._raw[leg] = raw
            if raw is not None:
                self._sample(now_s, leg, raw)
        self._settle()

    def timer_due(self, now_s: float, name: object) -> bool:
        """Whether the timer ``name`` is of this system; if so, act."""
        if name == _LIMIT:
            self._send(now_s, "limit_passed")
            return True
        if not (isinstance(name, tuple) and name[0] == "strut"):
            return False
        raw = self._raw[name[1]]
        if raw is not None:
            self._sample(now_s, name[1], raw)
            self._settle()
        return True

    def update(self, now_s: float) -> None:
        """Tell the chart what the struts say together, if that has changed."""
        struts = self.struts
        if None in struts:
            said = "strut_lost"
        elif all(struts):
            said = "all_compressed"
        elif not any(struts):
            said = "all_extended"
        else:
            said = "struts_differ"
        if said == self._said:
            return
        self._said = said
        if said == "struts_differ":
            self._timers.start(_LIMIT, now_s + self._parameters.disagree_limit_s)
        else:
            self._timers.cancel(_LIMIT)
        self._send(now_s, said)

    def _sample(self, now_s: float, leg: int, raw: bool) -> None:
        contact = self._contacts[leg]
        contact.sample(now_s, raw)
        if contact.due_s != NEVER:
            self._timers.start(("strut", leg), contact.due_s)
        else:
            self._timers.cancel(("strut", leg))

    def _settle(self) -> None:
        pairs = zip(self._raw, self._contacts, strict=True)
        self.struts = tuple(None if raw is None else contact.stable for raw, contact in pairs)
        self.has_weight = True in self.struts

    def _send(self, now_s: float, trigger: str) -> None:
        before = self._chart.state_id
        self._chart.send_trigger(trigger)
        state = self._chart.state_id
        if state == before:
            return
        if before == "ag_fault":
            self._log.note(now_s, "struts_agreed")
        if state == "ag_fault":
            self._log.note(now_s, "struts_disagreed")
        elif state in ("ag_ground", "ag_air"):
            ground = state == "ag_ground"
            if self._agreed_ground is not None and ground is not self._agreed_ground:
                self._log.note(now_s, "touched_down" if ground else "took_off")
            self._agreed_ground = ground
        self.ground_for_commands = state != "ag_air"
        # A short disagreement keeps what was agreed; any other doubt is air.
        settled = state in ("ag_ground", "ag_split")
        self.air_for_warnings = not (settled and self._agreed_ground is True)
