"""Steps one system by itself, as the composition does: timers at their due times, then inputs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Generic, TypeVar

from panelbridge.clock import TimerHeap
from panelbridge.logic.events import EventLog
from panelbridge.logic.rule import reasons_of
from panelbridge.logic.system import System
from panelbridge.signals import Event

S = TypeVar("S", bound=System)
Moment = tuple[float, dict[str, Any], tuple[str, str | None] | None]
"""How long to wait, which inputs change then, and what breaks or is mended."""


class Stage(Generic[S]):
    """One system with its timers and its log.

    Args:
        make: makes the system.
        update: has it look again: (system, time, every input by name).
        inputs: what the inputs are at first.
    """

    def __init__(
        self,
        make: Callable[[TimerHeap, EventLog], S],
        update: Callable[[S, float, dict[str, Any]], None],
        **inputs: Any,
    ) -> None:
        self.timers, self.log = TimerHeap(), EventLog()
        self.system = make(self.timers, self.log)
        self._update = update
        self.inputs = inputs
        self.now_s = 0.0
        self.events: list[Event] = []

    def at(self, now_s: float, **changes: Any) -> S:
        """One step at a time, with some of the inputs changed."""
        while (due := self.timers.pop_due(now_s)) is not None:
            due_s, name = due
            assert due_s >= self.now_s, "a timer in the past"
            assert isinstance(name, tuple)
            assert name[0] == self.system.timer_prefix
            self.system.timer_due(due_s, name)
            self._look(due_s)
        self.now_s = now_s
        assert set(changes) <= set(self.inputs), "an input that does not exist"
        self.inputs |= changes
        self._look(now_s)
        return self.system

    def after(self, step_s: float, **changes: Any) -> S:
        """One step, so much later than the last."""
        return self.at(self.now_s + step_s, **changes)

    def press(self, name: str, *, step_s: float = 0.01) -> S:
        """Switch on and off again."""
        self.after(step_s, **{name: True})
        return self.after(step_s, **{name: False})

    def fault(self, target: str, kind: str | None) -> S:
        """Break or mend a part now."""
        self.system.set_fault(self.now_s, target, kind)
        return self.at(self.now_s)

    def value(self, name: str) -> Any:
        """One of its values now."""
        return self.system.values(self.now_s)[name]

    @property
    def lit(self) -> set[str]:
        """The lamps that it lights."""
        return {name for name, on in self.system.lit().items() if on}

    @property
    def names(self) -> list[str]:
        """Names of all events so far."""
        return [event.name for event in self.events]

    @property
    def told(self) -> list[tuple[float, str, str]]:
        """Time (to the microsecond), name and subject of all events so far."""
        return [(round(h.time_s, 6), h.name, h.subject) for h in self.events]

    def hold(self) -> None:
        """What holds after every step: reasons lead to lamps and horn, values are as published."""
        system = self.system
        for lamp, on in system.lit().items():
            (decision,) = system.decisions(lamp)
            reasons = reasons_of((decision,))
            assert any(r.holds for r in reasons if r.condition.startswith("rule: ")) is on
            assert any(_concludes(rule, decision.told) for rule in decision.rules) is on, lamp
        if system.horn_rules:
            (decision,) = system.decisions("horn")
            sounds = any(_concludes(rule, decision.told) for rule in decision.rules)
            assert sounds is (system.horn().value != "silent")
        values = system.values(self.now_s)
        assert list(values) == [info.name for info in system.published]
        for info in system.published:
            value = values[info.name]
            if value is None:
                continue
            if info.form == "number":
                assert isinstance(value, float)
                assert info.low <= value <= info.high, (info.name, value)
            elif info.form == "word":
                assert value in info.words
            else:
                assert isinstance(value, bool)

    def play(self, script: Sequence[Moment], *, fine_s: float = 0.0) -> list[Any]:
        """Play (wait, changes or fault) moments, with steps between when ``fine_s`` is given.

        What is seen at each moment: lamps, horn, values to the millionth; at the end what was told.
        """
        seen: list[Any] = []
        for wait_s, changes, fault in script:
            until_s = self.now_s + wait_s
            while fine_s and self.now_s + fine_s < until_s:
                self.at(self.now_s + fine_s)
                self.hold()
            self.at(until_s, **changes)
            if fault is not None:
                self.fault(*fault)
            self.hold()
            seen.append((self.lit, self.system.horn(), self._rounded()))
        return [*seen, self.told]

    def _rounded(self) -> dict[str, Any]:
        values = self.system.values(self.now_s)
        return {
            name: round(value, 6) if isinstance(value, float) else value
            for name, value in values.items()
        }

    def _look(self, now_s: float) -> None:
        self._update(self.system, now_s, self.inputs)
        self.events.extend(self.log.take())


def _concludes(rule: Any, told: Any) -> bool:
    """Whether a rule holds by the first of the words of each field: that one is the field."""
    return all(told[field][0].holds is wanted for field, wanted in rule.needs)


def updated(system: Any, now_s: float, inputs: dict[str, Any]) -> None:
    """The plain way: every input is a keyword of ``update``."""
    system.update(now_s, **inputs)
