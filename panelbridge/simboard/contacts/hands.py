"""Hands that move switches: from the position of a switch to its contacts or its wiper."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from enum import StrEnum
from math import inf, nan
from typing import Protocol

from msgspec import Struct

from panelbridge.errors import UsageError
from panelbridge.logic.switches import LEVERS
from panelbridge.simboard.contacts.contact import Burst, Change, clean

BETWEEN = "between"
"""Position of a two-contact handle in mid-travel; it can also be left there."""


class SwitchFault(StrEnum):
    """The faults of a switch."""

    NONE = "none"
    STUCK = "stuck"
    """Its contacts or its wiper keep their state wherever it is moved."""
    DEAD_WIRE = "dead_wire"
    """The wire is broken: its contacts never close, a lever reads nothing."""
    CONTRADICTORY = "contradictory"
    """Both contacts of a two-contact handle are made."""


class ContactLine(Protocol):
    """The contact of a switch, at a pin of some board."""

    def closed_at(self, now_s: float) -> bool:
        """Whether it connects its pin to ground at ``now_s``, after all changes due by then."""
        ...

    def plan(self, now_s: float, changes: Iterable[Change]) -> None:
        """Plan changes in place of those planned before; those due at ``now_s`` happen at once."""
        ...


class SwitchContact(Struct, frozen=True):
    """One contact of a switch.

    Attributes:
        line: the contact itself.
        made_at: the position in which it is made, or operated.
        normally_closed: made means open.
    """

    line: ContactLine
    made_at: str
    normally_closed: bool = False

    def closed(self, position: str) -> bool:
        """Whether it connects its pin to ground in this position."""
        return (position == self.made_at) != self.normally_closed


class ContactHand:
    """A hand on a handle, toggle or button, which has several positions.

    Args:
        name: the switch's name in the panel file.
        positions: where it can be put; a number means the first (below 0.5) or the second one of
            a lever with one contact.
        contacts: its contacts.
        start: its first position.
        now_s: time of that, s.
        travel_s: time between the outer positions of a switch that has ``between``, s.

    Attributes:
        burst: how its contacts change at a movement.
        fault: what is broken.

    Raises:
        UsageError: it has no such position.
    """

    def __init__(
        self,
        name: str,
        positions: tuple[str, ...],
        contacts: Sequence[SwitchContact],
        start: str | float,
        now_s: float,
        travel_s: float = 0.0,
        burst: Burst = clean,
    ) -> None:
        self.name = name
        self.positions = positions
        self.burst = burst
        self.fault = SwitchFault.NONE
        self.contacts = tuple(contacts)
        self._travel_s = travel_s
        place = self._known(start)
        self._path: list[tuple[float, str]] = [(-inf, place)]
        for contact in self.contacts:
            contact.line.plan(now_s, [(now_s, contact.closed(place))])

    def position(self, now_s: float) -> str:
        """Its position."""
        return [place for at_s, place in self._path if at_s <= now_s][-1]

    def move(self, now_s: float, position: str | float) -> None:
        """Move it to another position. Raises: UsageError: it has no such position."""
        target = self._known(position)
        if target == self._path[-1][1]:
            return
        here = self.position(now_s)
        self._path = [(-inf, here)]
        arrival_s = now_s
        if BETWEEN in self.positions and target != BETWEEN:
            self._path.append((now_s, BETWEEN))
            arrival_s += self._travel_s * (0.5 if here == BETWEEN else 1.0)
        self._path.append((arrival_s, target))
        if self.fault is SwitchFault.NONE:
            self._plan(now_s)

    def break_down(self, now_s: float, fault: SwitchFault) -> None:
        """Break it, or repair it (``NONE``). Raises: UsageError: it cannot break this way."""
        if fault is SwitchFault.CONTRADICTORY and len(self.contacts) < 2:
            raise UsageError(
                f"{self.name} cannot contradict itself", hint="it has one contact only"
            )
        if fault is self.fault:
            return
        self.fault = fault
        if fault is SwitchFault.NONE:
            self._plan(now_s)
            return
        for contact in self.contacts:
            closed = contact.line.closed_at(now_s)
            if fault is SwitchFault.DEAD_WIRE:
                closed = False
            elif fault is SwitchFault.CONTRADICTORY:
                closed = contact.closed(contact.made_at)
            contact.line.plan(now_s, [(now_s, closed)])

    def _known(self, position: str | float) -> str:
        if not isinstance(position, str) and self.name in LEVERS:
            position = self.positions[position >= 0.5]
        if position not in self.positions:
            raise UsageError(
                f"{self.name} cannot be put to {position}",
                hint="it has the positions " + ", ".join(self.positions),
            )
        return str(position)

    def _plan(self, now_s: float) -> None:
        """Plan the changes of each contact from now on."""
        path = [(now_s, self.position(now_s))]
        path += [(at_s, place) for at_s, place in self._path if at_s > now_s]
        for contact in self.contacts:
            closed = contact.line.closed_at(now_s)  # a burst may be on
            changes: list[Change] = []
            for at_s, place in path:
                if contact.closed(place) != closed:
                    closed = not closed
                    # A burst that the next movement overtakes ends there.
                    changes = [change for change in changes if change[0] < at_s]
                    changes += self.burst(at_s, closed)
            contact.line.plan(now_s, changes)


class LeverHand:
    """A hand on a knob or lever, which can be anywhere from 0 to 1.

    Args:
        name: the switch's name in the panel file.
        put: moves the wiper: takes (time in s, fraction); None = its wire is off.
        start: where it stands at first, 0 to 1.
        now_s: when that is.

    Attributes:
        fault: what is broken.

    Raises:
        UsageError: ``start`` is out of range.
    """

    positions: tuple[str, ...] = ()
    burst: Burst = clean  # a wiper does not bounce

    def __init__(
        self,
        name: str,
        put: Callable[[float, float | None], None],
        start: str | float,
        now_s: float,
    ) -> None:
        self.name = name
        self.fault = SwitchFault.NONE
        self._put = put
        self.move(now_s, start)

    def position(self, now_s: float) -> float:
        """Its position, 0 to 1."""
        return self._fraction

    def move(self, now_s: float, position: str | float) -> None:
        """Turn it, 0 to 1. Raises: UsageError: it does not go there."""
        try:
            fraction = float(position)
        except ValueError:
            fraction = nan
        if not 0.0 <= fraction <= 1.0:
            raise UsageError(f"{self.name} cannot be put to {position}", hint="it goes from 0 to 1")
        self._fraction = fraction
        if self.fault is SwitchFault.NONE:
            self._put(now_s, fraction)

    def break_down(self, now_s: float, fault: SwitchFault) -> None:
        """Break it, or repair it (``NONE``). Raises: UsageError: it cannot break this way."""
        if fault is SwitchFault.CONTRADICTORY:
            raise UsageError(f"{self.name} cannot contradict itself", hint="it has no contacts")
        self.fault = fault
        if fault is not SwitchFault.STUCK:
            self._put(now_s, self._fraction if fault is SwitchFault.NONE else None)


Hand = ContactHand | LeverHand
