"""What a system looked at to decide what it publishes: the reasons of a signal that is no output.

The generic step notes what each update read. That names the signals behind a value, for people.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from panelbridge.errors import LogicError
from panelbridge.logic.aircraft_base import AircraftBase
from panelbridge.logic.aircraft_values import values_of
from panelbridge.logic.kit.handles import Fault, Handle
from panelbridge.logic.kit.readings import Reading
from panelbridge.logic.kit.system import System
from panelbridge.logic.kit.world import World
from panelbridge.logic.vocabulary import signals_of, switches_of
from panelbridge.signals import Reason, Value


class LookedAt:
    """Which signals stand behind the values that systems publish.

    Args:
        systems: in their order.
        aircraft: the aircraft file.
    """

    def __init__(self, systems: Sequence[System[Any]], aircraft: AircraftBase) -> None:
        values = values_of(aircraft)
        self._signals = signals_of(values, systems)
        self._inputs: dict[Handle[Any], list[str]] = {}
        for name, value in values.items():
            self._inputs.setdefault(value.cell, []).append(name)
        self._inputs |= {switch: [name] for name, switch in switches_of(systems).items()}
        self._published = {type(one.facts): [s.name for s in one.values] for one in systems}
        self._publisher = {s.name: system for system in systems for s in system.values}

    def publisher(self, name: str) -> System[Any] | None:
        """The system that publishes a value; None for a value from outside.

        Raises:
            LogicError: there is no such signal.
        """
        if name not in self._signals:
            outputs = dict.fromkeys(one.output for one in self._signals.values() if one.output)
            raise LogicError(f"no signal is named '{name}'", hint=f"outputs: {', '.join(outputs)}")
        return self._publisher.get(name)

    def reasons(self, name: str, read: Iterable[Any], world: World) -> tuple[Reason, ...]:
        """A reason for each signal behind a value: its name, and in the detail what it is.

        Args:
            name: of the value.
            read: what its system has read.
            world: with the values.
        """
        found = dict.fromkeys(self._behind(read, world))
        return tuple([reason for reason in found if reason.condition != name])

    def word(self, name: str, world: World) -> str:
        """A signal in words, with its unit."""
        signal = self._signals[name]
        value = signal.read(world)
        if value is None and signal.when_none:
            return signal.when_none
        return f"{_word(value)} {signal.unit}".rstrip() if value is not None else _word(value)

    def _behind(self, read: Iterable[Any], world: World) -> Iterator[Reason]:
        keys = [key.of if isinstance(key, Reading) else key for key in read]
        facts = [key for key in keys if not isinstance(key, Handle)]
        for key in keys:
            if isinstance(key, Fault) and world[key] is not None:
                yield Reason(f"fault of {key.name}".replace("_", " "), True, str(world[key]))
        names = [name for key in keys for name in self._inputs.get(key, ())]
        names += [name for kind in facts for name in self._published.get(kind, ())]
        for name in names:
            yield Reason(name, True, f"it is {self.word(name, world)}")


def _word(value: Value) -> str:
    if value is None:
        return "unknown"
    if isinstance(value, bool):
        return "true" if value else "false"
    return f"{value:g}" if isinstance(value, (int, float)) else value
