"""Steps one system by itself, over the real generic step: due times first, then inputs."""

from __future__ import annotations

import pickle
from collections.abc import Mapping, Sequence
from typing import Any, Generic, TypeVar

from msgspec.structs import replace

from panelbridge.logic.kit.handles import Handle, Switch
from panelbridge.logic.kit.rule import Rule, Words, reasons_of
from panelbridge.logic.kit.step import SystemStep
from panelbridge.logic.kit.system import System
from panelbridge.logic.kit.world import Facts
from panelbridge.signals import Event, HornPattern

S = TypeVar("S", bound=System[Any])
Moment = tuple[float, dict[str, Any], tuple[str, str | None] | None]
"""How long to wait, which inputs change then, and what breaks or is mended."""
Input = Handle[Any] | tuple[type[Facts], str] | tuple[type[Facts], str, int]
"""A handle, or a field (or a place in it) of what another system publishes."""


class Stage(Generic[S]):
    """One system with its cells.

    Args:
        system: the system.
        names: what each input is called in a test, and its cell, or a field of another's facts.
        facts: what other systems publish at first; the defaults of their classes when not given.
        beside: systems before it in the order, whose facts it sees.
        behind: systems after it in the order.
        first: what inputs are at first; others are unknown.
    """

    def __init__(
        self,
        system: S,
        names: Mapping[str, Input],
        facts: Sequence[Facts] = (),
        beside: Sequence[System[Any]] = (),
        behind: Sequence[System[Any]] = (),
        **first: Any,
    ) -> None:
        self.system = system
        self._names = {switch.name: switch for switch in system.switches} | dict(names)
        handles = [one for one in names.values() if isinstance(one, Handle)]
        handles += [reading.of for reading in system.readings]
        self._others: dict[type[Facts], Facts] = {type(one): one for one in facts}
        for one in names.values():
            if not isinstance(one, Handle):
                self._others.setdefault(one[0], one[0]())
        self.loop = SystemStep([*beside, system, *behind], [*handles, *self._others])  # type: ignore[list-item]
        self.loop.cells.update(self._others)
        self.now_s = 0.0
        self.events: list[Event] = []
        self._set(first)

    def _set(self, changes: Mapping[str, Any]) -> None:
        assert set(changes) <= set(self._names), "an input that does not exist"
        for name, value in changes.items():
            one = self._names[name]
            if isinstance(one, Switch):
                self.loop.set_switch(one, value)
            elif isinstance(one, Handle):
                self.loop.set(one, value)
            else:
                kind, field, *place = one
                if place:
                    values = [*getattr(self._others[kind], field)]
                    values += [None] * (place[0] + 1 - len(values))
                    values[place[0]] = value
                    value = tuple(values)  # noqa: PLW2901
                self._others[kind] = replace(self._others[kind], **{field: value})
                self.loop.set(kind, self._others[kind])  # type: ignore[arg-type]

    def at(self, now_s: float, **changes: Any) -> S:
        """One step at a time, with some of the inputs changed."""
        while self.loop.next_due_s < now_s:
            due_s = max(self.loop.next_due_s, self.now_s)
            self.now_s = due_s
            self._look(due_s)
        self.now_s = now_s
        self._set(changes)
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
        (fault,) = (one for one in self.system.faults if one.name == target)
        assert kind is None or kind in fault.kinds
        self.loop.set(fault, kind)
        return self.at(self.now_s)

    def value(self, name: str) -> Any:
        """One of its values now."""
        (info,) = (one for one in self.system.values if one.name == name)
        return info.read(self.loop.world(self.now_s))

    def resume(self, other: Stage[S]) -> None:
        """Go on from where another stage of the same system is: what it saved is restored here."""
        self.loop.restore(pickle.loads(pickle.dumps(other.loop.save())))
        self._others = dict(other._others)
        self.now_s = other.now_s

    @property
    def facts(self) -> Any:
        """What it publishes."""
        return self.system.facts

    @property
    def lit(self) -> set[str]:
        """The lamps that it lights."""
        return {lamp.name for lamp in self.system.lamps if lamp.lit(self.system.facts)}

    @property
    def names(self) -> list[str]:
        """Names of all events so far."""
        return [event.name for event in self.events]

    @property
    def logged(self) -> list[tuple[float, str, str]]:
        """Time (to the microsecond), name and subject of all events so far."""
        return [(round(h.time_s, 6), h.name, h.subject) for h in self.events]

    def hold(self) -> None:
        """What holds after every step: reasons lead to lamps and horn, values are as declared."""
        system, world = self.system, self.loop.world(self.now_s)
        for lamp in system.lamps:
            (decision,) = system.decisions(lamp.name, world)
            reasons = reasons_of((decision,))
            on = lamp.lit(system.facts)
            assert any(r.holds for r in reasons if r.condition.startswith("rule: ")) is on
            assert any(_concludes(rule, decision.words) for rule in decision.rules) is on, lamp.name
        if system.horn:
            (decision,) = system.decisions("horn", world)
            sounds = any(_concludes(rule, decision.words) for rule in decision.rules)
            assert sounds is (system.sounds() is not HornPattern.SILENT)
        for info in system.values:
            value = info.read(world)
            if value is None:
                assert not info.never_unknown, info.name
                continue
            if info.form == "number":
                assert isinstance(value, float), info.name
                assert info.low <= value <= info.high, (info.name, value)
            elif info.form == "word":
                assert value in info.words, info.name
            else:
                assert isinstance(value, bool), info.name

    def play(self, script: Sequence[Moment], *, fine_s: float = 0.0) -> list[Any]:
        """Play (wait, changes or fault) moments, with steps between when ``fine_s`` is given.

        What is seen at each moment: lamps, horn, values to the millionth; at the end the events.
        """
        seen: list[Any] = []
        for wait_s, changes, fault in script:
            end_s = self.now_s + wait_s
            while fine_s and self.now_s + fine_s < end_s:
                self.at(self.now_s + fine_s)
            self.at(end_s, **changes)
            if fault is not None:
                self.fault(*fault)
            self.hold()
            world = self.loop.world(self.now_s)
            values = {info.name: _rounded(info.read(world)) for info in self.system.values}
            seen.append((sorted(self.lit), self.system.sounds(), values))
        return [*seen, self.logged]

    def _look(self, now_s: float) -> None:
        self.events += self.loop.look(now_s)


def _rounded(value: Any) -> Any:
    return round(value, 6) if isinstance(value, float) else value


def _concludes(rule: Rule, words: Words) -> bool:
    """Whether the reasons of a rule, read by themselves, say that it holds."""
    return all(words[need][0].holds is wanted for need, wanted in rule.needs if words[need])
