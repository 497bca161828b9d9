"""The cockpit of a scenario in virtual time: the logic, its panel and its aircraft.

Time moves from event to event: a contact that changes or has settled, a ramp's next value, a timer
of the logic. Nothing is looked at in between, because nothing can change there but the travel of
legs, and that is told whenever it is asked for.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields
from operator import attrgetter
from typing import assert_never

from panelbridge.bench.language.plan import (
    Action,
    ClearFault,
    MoveSwitch,
    RampValues,
    ScenarioPlan,
    SetFault,
    SetValues,
)
from panelbridge.bench.verdict.trace import Sample
from panelbridge.bench.world.aircraft_on_bench import AircraftOnBench
from panelbridge.bench.world.faults import Faults, board_is_lost, lamp_is_dead
from panelbridge.bench.world.panel_on_bench import PanelOnBench
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.signals import Commands, Event, LegState, LogicView, Outputs, Reason

SETTLING_S = 1.0
"""The logic runs for so long before a scenario begins, s: contacts have settled, and handle and
gear have agreed or have been found to disagree."""
_sample_fields = attrgetter(*(field.name for field in fields(Sample)))
_MOVING = frozenset({LegState.EXTENDING, LegState.RETRACTING})


class BenchCockpit:
    """The cockpit of a scenario. Its time is the scenario's: it is made at ``-SETTLING_S``.

    Args:
        plan: the scenario.
    """

    def __init__(self, plan: ScenarioPlan) -> None:
        travel_s = plan.panel.handle_travel_s if plan.panel is not None else 1.0
        shaping = plan.panel.steering_shaping if plan.panel is not None else None
        self.logic = PanelLogic(plan.aircraft, handle_travel_s=travel_s, shaping=shaping)
        self._panel = PanelOnBench(plan)
        self._aircraft = AircraftOnBench(plan.aircraft, plan.start)
        self._faults = Faults(self.logic, self._panel, self._aircraft)
        self._commands = Commands()
        self._events: list[Event] = []
        self._result = self.logic.step(-SETTLING_S, self._panel.state, self._aircraft.state)
        self._use(-SETTLING_S)
        self._view = self.logic.view()
        self._seen_updates = self.logic.updates
        self._moving = False
        self._shown: dict[str, int] = {}
        self._shown_outputs: Outputs | None = None
        self._shown_dead: frozenset[str] = frozenset()
        self._shown_unplugged: frozenset[str] = frozenset()
        while self.next_due_s < 0.0:
            self.advance(self.next_due_s)
        self.advance(0.0)
        self._events = [told for told in self._events if told.time_s >= 0.0]
        self.latest = self._make(0.0)
        """The last sample."""

    @property
    def next_due_s(self) -> float:
        """When something happens by itself."""
        return min(self._panel.next_due_s, self._aircraft.next_due_s, self.logic.next_due_s)

    @property
    def on_ramps(self) -> bool:
        """New values of a ramp are due next."""
        due_s = self._aircraft.next_due_s
        return due_s < self.logic.next_due_s and due_s < self._panel.next_due_s

    @property
    def legs_move(self) -> bool:
        """A leg is on its way, so that the last sample's travel gets old."""
        return self._moving

    def advance(self, now_s: float) -> None:
        """Do all that is due at ``now_s``, and have the logic look at it."""
        if self._panel.next_due_s <= now_s:
            self._panel.advance(now_s)
        if self._aircraft.next_due_s <= now_s:
            self._aircraft.advance(now_s)
        self.step(now_s)

    def glide(self, until_s: float, visit: Callable[[Sample], object]) -> float | None:
        """Go on while ramps give new values and nothing else changes, with a sample for each.

        Args:
            until_s: only before this time.
            visit: gets the samples; what it gives ends it, if that is true.

        Returns:
            When new values have changed more than themselves: ``advance`` and ``sample`` of that
            time tell what. None when there was no such time.
        """
        aircraft, logic, switches = self._aircraft, self.logic, self._panel.state
        latest, updates, result = self.latest, self._seen_updates, self._result
        until_s = min(until_s, self._panel.next_due_s)
        if self._moving or self._changed():
            return None
        _, _, _, outputs, lamps, view, gear = _sample_fields(latest)
        try:
            while (now_s := aircraft.next_due_s) < until_s and now_s < logic.next_due_s:
                aircraft.advance(now_s)
                state = aircraft.state
                self._result = logic.step(now_s, switches, state)
                if self._result is not result or logic.updates != updates:
                    self._use(now_s)
                    return now_s
                latest = Sample(now_s, switches, state, outputs, lamps, view, gear)
                if visit(latest):
                    return None
        finally:
            self.latest = latest
        return None

    def do(self, now_s: float, action: Action) -> None:
        """Do an action; the logic looks at it in the next step.

        Raises:
            LogicError: it names something that is not on the bench.
        """
        match action:
            case SetValues():
                self._aircraft.put(action.values)
            case RampValues():
                self._aircraft.ramp(now_s, action)
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
        """
        if not self._changed() and not (fresh and self._has_moved()):
            return None
        self.latest = self._make(now_s)
        return self.latest

    def reasons(self, name: str) -> tuple[Reason, ...]:
        """Why a lamp (by its name in the logic) or the ``horn`` is as it is, faults included."""
        reasons = self.logic.reasons(name)
        if name in self._faults.dead_lamps:
            reasons += (lamp_is_dead(name),)
        board = self._panel.board_of_lamp.get(name)
        if board in self._panel.unplugged:
            reasons += (board_is_lost(board, "its cable is unplugged"),)
        return reasons

    def _use(self, now_s: float) -> None:
        for told in (self._panel.events, self._aircraft.events):
            if told:
                self._events.extend(told)
                told.clear()
        result = self._result
        self._events.extend(result.events)
        if result.commands is not self._commands:
            self._commands = result.commands
            self._aircraft.follow(result.commands)

    def _changed(self) -> bool:
        """Whether anything that a sample is made of is another object than in the last one."""
        latest, result, faults = self.latest, self._result, self._faults
        return (
            self._aircraft.state is not latest.aircraft
            or result.outputs is not latest.outputs
            or self.logic.updates != self._seen_updates
            or self._panel.state is not latest.switches
            or result.commands is not self._shown_commands
            or faults.dead_lamps is not self._shown_dead
            or self._panel.unplugged is not self._shown_unplugged
        )

    def _has_moved(self) -> bool:
        """Whether legs are on their way, or a value of a system has gone on by itself."""
        if self._moving:
            return True
        view = self.logic.view()
        if view.values == self._view.values:
            return False
        self._view = view
        return True

    def _make(self, now_s: float) -> Sample:
        result = self._result
        self._shown_commands = result.commands
        gear = result.commands.gear
        return Sample(
            now_s,
            self._panel.state,
            self._aircraft.state,
            result.outputs,
            self._lamps(),
            self._look(),
            "none" if gear is None else gear.value,
        )

    def _look(self) -> LogicView:
        """The view of this instant; the last one while it cannot have changed."""
        updates = self.logic.updates
        if updates != self._seen_updates or self._moving:
            self._seen_updates = updates
            self._view = self.logic.view()
            self._moving = any(leg.state in _MOVING for leg in self._view.legs)
        return self._view

    def _lamps(self) -> dict[str, int]:
        """How bright each lamp of the panel really is."""
        outputs, dead = self._result.outputs, self._faults.dead_lamps
        unplugged = self._panel.unplugged
        if (
            outputs is not self._shown_outputs
            or dead is not self._shown_dead
            or unplugged is not self._shown_unplugged
        ):
            self._shown_outputs, self._shown_dead, self._shown_unplugged = outputs, dead, unplugged
            lamps = outputs.lamps
            self._shown = {
                name: 0 if name in dead or board in unplugged else lamps.get(name, 0)
                for name, board in self._panel.board_of_lamp.items()
            }
        return self._shown
