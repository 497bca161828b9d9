"""The cockpit of a scenario in virtual time: the logic, its panel and its aircraft.

Time moves from event to event: a contact that changes or has settled, a ramp's next value, a timer
of the logic. In between only numbers change that are functions of time, like the travel of legs.
"""

from __future__ import annotations

from typing import assert_never

from msgspec.structs import replace

from panelbridge.bench.language.plan import (
    Action,
    AddNoise,
    ClearFault,
    MoveSwitch,
    RampValues,
    ScenarioPlan,
    SetFault,
    SetValues,
)
from panelbridge.bench.verdict.trace import Sample
from panelbridge.bench.world.aircraft_on_bench import AircraftOnBench
from panelbridge.bench.world.faults import (
    DIMMED,
    Faults,
    as_wired,
    board_is_lost,
    lamp_cannot_be_dimmed,
    lamp_is_dead,
)
from panelbridge.bench.world.panel_on_bench import PanelOnBench
from panelbridge.logic.lamps.facts import ShownFacts
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.signals import AircraftState, Commands, Event, Reason

SETTLING_S = 1.0
"""The logic runs this long before a scenario begins, s: contacts settle, and handle and gear are
found to agree or not."""


class BenchCockpit:
    """The cockpit of a scenario. Its time is the scenario's: it is made at ``-SETTLING_S``."""

    def __init__(self, plan: ScenarioPlan) -> None:
        panel = plan.panel
        self.logic = PanelLogic(plan.aircraft, panel.numbers if panel is not None else None)
        self._panel = PanelOnBench(plan)
        self._aircraft = AircraftOnBench(plan.aircraft, plan.start)
        self._faults = Faults(self.logic, self._panel, self._aircraft)
        self._commands = Commands()
        self._events: list[Event] = []
        self._result = self.logic.step(-SETTLING_S, self._panel.state, self._aircraft.state)
        self._use(-SETTLING_S)
        while self.next_due_s < 0.0:
            self.advance(self.next_due_s)
        self.advance(0.0)
        for leg, travel in plan.legs.items():
            self.logic.place(0.0, leg, travel)
        self.step(0.0)
        self._events = [event for event in self._events if event.time_s >= 0.0]
        self._last_seen = self._seen()
        self._last_state: AircraftState = self._aircraft.state
        self.latest = self._make(0.0)
        """The last sample."""

    @property
    def next_due_s(self) -> float:
        """When something changes by itself."""
        return min(self._panel.next_due_s, self._aircraft.next_due_s, self.logic.next_due_s)

    def advance(self, now_s: float) -> None:
        """Do all that is due at ``now_s``, and have the logic look at it."""
        if self._panel.next_due_s <= now_s:
            self._panel.advance(now_s)
        if self._aircraft.next_due_s <= now_s:
            self._aircraft.advance(now_s)
        self.step(now_s)

    def do(self, now_s: float, action: Action) -> None:
        """Do an action; the logic looks at it in the next step."""
        match action:
            case SetValues():
                self._aircraft.put(now_s, action.values)
            case RampValues():
                self._aircraft.ramp(now_s, action)
            case AddNoise():
                self._aircraft.add_noise(now_s, action)
            case MoveSwitch():
                self._panel.move(now_s, action.switch, action.position)
            case SetFault():
                self._faults.set(now_s, action)
            case ClearFault():
                self._faults.clear(now_s, action)
            case _ as unreachable:
                assert_never(unreachable)

    def step(self, now_s: float) -> None:
        """One step of the logic; a second one if the simulator's handle followed a command."""
        before = None
        while before is not self._aircraft.state:
            before = self._aircraft.state
            self._result = self.logic.step(now_s, self._panel.state, before)
            self._use(now_s)

    def take_events(self) -> list[Event]:
        """What happened since this was last called, by time."""
        events, self._events = self._events, []
        return events

    def sample(self, now_s: float, *, fresh: bool = False) -> Sample | None:
        """The whole panel now; None when nothing has changed since the last sample.

        Args:
            now_s: seconds.
            fresh: what changes by itself counts as a change: legs on their way, pressures.
                Ramps always do.
        """
        seen = self._seen()
        if seen != self._last_seen:
            self._last_seen = seen
            self.latest = self._make(now_s)
        elif self._aircraft.state is not self._last_state or (fresh and now_s > self.latest.time_s):
            self._last_state = self._aircraft.state
            late = self.latest
            # The lines of ramps are in the time of the scenario, and show nothing of another.
            self.latest = late.later(now_s) if late.now_s == late.time_s else self._make(now_s)
        else:
            return None
        return self.latest

    def reasons(self, name: str) -> tuple[Reason, ...]:
        """Why a lamp (by its name in the logic) or the ``horn`` is as it is, faults included."""
        reasons = self.logic.reasons(name)
        if name in self._faults.dead_lamps:
            reasons += (lamp_is_dead(name),)
        if name in self._panel.undimmed and self._result.outputs.lamps.get(name, 0) in DIMMED:
            reasons += (lamp_cannot_be_dimmed(name),)
        board = self._panel.board_of_lamp.get(name)
        if board in self._panel.unplugged:
            reasons += (board_is_lost(board, "its cable is unplugged"),)
        return reasons

    def _use(self, now_s: float) -> None:
        for events in (self._panel.events, self._aircraft.events):
            if events:
                self._events.extend(events)
                events.clear()
        result = self._result
        self._events.extend(result.events)
        if result.commands is not self._commands:
            self._commands = result.commands
            self._aircraft.follow(now_s, result.commands)

    def _seen(self) -> tuple[object, ...]:
        """All that a sample is made of but what is a function of time."""
        result, panel = self._result, self._panel
        made = (self.logic.changes, self.logic.rate, self._aircraft.changes, panel.state)
        return (*made, result.outputs, result.commands, self._faults.dead_lamps, panel.unplugged)

    def _make(self, now_s: float) -> Sample:
        self._last_state = self._aircraft.state
        world = self.logic.world()
        shown = replace(world[ShownFacts], lamps=self._lamps())
        moving = self._aircraft.moving if world.now_s == now_s else {}
        return Sample(now_s, world.having({ShownFacts: shown, **moving}), self.logic.rate)

    def _lamps(self) -> dict[str, int]:
        """How bright each lamp of the panel really is, as its wiring can do it."""
        panel, dead = self._panel, self._faults.dead_lamps
        lamps = as_wired(self._result.outputs.lamps, panel.undimmed)
        return {
            name: 0 if name in dead or board in panel.unplugged else lamps.get(name, 0)
            for name, board in panel.board_of_lamp.items()
        }
