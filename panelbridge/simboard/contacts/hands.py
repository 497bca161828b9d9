"""Hands on the switches of a panel: from where a switch stands to what its contacts do."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from panelbridge.errors import UsageError
from panelbridge.simboard.board.sim_board import SimBoard
from panelbridge.simboard.contacts.bounce import ContactBounce

BETWEEN = "between"
"""Where a handle with two contacts is on its way, or where it can be left."""


class SwitchFault(StrEnum):
    """What can be broken at a switch."""

    NONE = "none"
    STUCK = "stuck"
    """Its contacts, or its wiper, stay as they are wherever it is moved."""
    DEAD_WIRE = "dead_wire"
    """The wire is off: its contacts never close, a lever reads nothing."""
    CONTRADICTORY = "contradictory"
    """Both contacts of a two-contact handle say that it has arrived."""


@dataclass(frozen=True, slots=True)
class ContactPoint:
    """One contact of a switch.

    Attributes:
        board: the board that it is wired to.
        pin_name: its pin there.
        made_at: the position in which it is made, or operated.
        normally_closed: made means open.
    """

    board: SimBoard
    pin_name: str
    made_at: str
    normally_closed: bool = False

    def closed(self, position: str) -> bool:
        """Whether it connects its pin to ground in this position."""
        return (position == self.made_at) != self.normally_closed

    @property
    def closed_when_made(self) -> bool:
        """Whether it connects its pin to ground when it is made."""
        return not self.normally_closed


class ContactHand:
    """A handle, toggle or button: it stands in one of several positions.

    Args:
        name: for messages.
        positions: where it can be put.
        contacts: its contacts.
        start: where it stands at first.
        now_s: when that is.
        travel_s: how long it is between two of its positions, seconds; only a switch that has the
            position ``between`` takes any time.
        bounce: makes its contacts bounce; None for contacts that do not.
    """

    def __init__(
        self,
        name: str,
        positions: tuple[str, ...],
        contacts: Sequence[ContactPoint],
        start: str,
        now_s: float,
        travel_s: float,
        bounce: ContactBounce | None,
    ) -> None:
        self.name = name
        self.positions = positions
        self._contacts = tuple(contacts)
        self._travel_s = travel_s
        self._bounce = bounce
        self._path: list[tuple[float, str]] = [(float("-inf"), start)]
        self.fault = SwitchFault.NONE
        for contact in self._contacts:
            contact.board.set_contact(now_s, contact.pin_name, contact.closed(start))

    def position(self, now_s: float) -> str:
        """Where it stands."""
        return [place for at_s, place in self._path if at_s <= now_s][-1]

    def move(self, now_s: float, position: str | float) -> None:
        """Put it in another position. Raises: UsageError: it has no such position."""
        if position not in self.positions:
            raise UsageError(
                f"{self.name} cannot be put to {position}",
                hint="it has the positions " + ", ".join(self.positions),
            )
        target = str(position)
        if target == self._path[-1][1]:
            return
        here = self.position(now_s)
        self._path = [(float("-inf"), here)]
        arrival_s = now_s
        if BETWEEN in self.positions and target != BETWEEN:
            self._path.append((now_s, BETWEEN))
            arrival_s += self._travel_s * (0.5 if here == BETWEEN else 1.0)
        self._path.append((arrival_s, target))
        if self.fault is SwitchFault.NONE:
            self._plan(now_s)

    def break_down(self, now_s: float, fault: SwitchFault) -> None:
        """Break it in this way, or repair it. Raises: UsageError: it cannot break so."""
        if fault is SwitchFault.CONTRADICTORY and len(self._contacts) < 2:
            raise UsageError(
                f"{self.name} cannot contradict itself", hint="it has one contact only"
            )
        self.fault = fault
        if fault is SwitchFault.NONE:
            self._plan(now_s)
            return
        for contact in self._contacts:
            contact.board.advance(now_s)
            closed = contact.board.contact_closed(contact.pin_name)
            if fault is SwitchFault.DEAD_WIRE:
                closed = False
            elif fault is SwitchFault.CONTRADICTORY:
                closed = contact.closed_when_made
            contact.board.set_contact(now_s, contact.pin_name, closed)

    def _plan(self, now_s: float) -> None:
        """Plan what each contact does from now on."""
        path = [(now_s, self.position(now_s))]
        path += [(at_s, place) for at_s, place in self._path if at_s > now_s]
        for contact in self._contacts:
            contact.board.advance(now_s)  # a bounce may be on: where does it leave the contact now?
            closed = contact.board.contact_closed(contact.pin_name)
            changes: list[tuple[float, bool]] = []
            for at_s, place in path:
                wanted = contact.closed(place)
                if wanted != closed:
                    closed = wanted
                    changes += self._change(at_s, closed)
            contact.board.plan_contact(now_s, contact.pin_name, _in_order(changes))

    def _change(self, at_s: float, closed: bool) -> list[tuple[float, bool]]:
        return self._bounce.changes(at_s, closed) if self._bounce else [(at_s, closed)]


class LeverHand:
    """A knob or lever: it stands anywhere from 0 to 1.

    Args:
        name: for messages.
        board: the board that it is wired to.
        pin_name: its pin there.
        counts_at_0: what the board reads at its lowest end.
        counts_at_1: what the board reads at its highest end.
        start: where it stands at first, 0 to 1.
        now_s: when that is.
    """

    positions: tuple[str, ...] = ()

    def __init__(
        self,
        name: str,
        board: SimBoard,
        pin_name: str,
        counts_at_0: int,
        counts_at_1: int,
        start: float,
        now_s: float,
    ) -> None:
        self.name = name
        self._board = board
        self._pin_name = pin_name
        self._ends = (counts_at_0, counts_at_1)
        self._fraction = start
        self.fault = SwitchFault.NONE
        self._turn(now_s)

    def position(self, now_s: float) -> float:
        """Where it stands, 0 to 1."""
        return self._fraction

    def move(self, now_s: float, position: str | float) -> None:
        """Turn it, 0 to 1. Raises: UsageError: it does not go there."""
        try:
            fraction = float(position)
        except ValueError:
            fraction = float("nan")
        if not 0.0 <= fraction <= 1.0:
            raise UsageError(f"{self.name} cannot be put to {position}", hint="it goes from 0 to 1")
        self._fraction = fraction
        if self.fault is SwitchFault.NONE:
            self._turn(now_s)

    def break_down(self, now_s: float, fault: SwitchFault) -> None:
        """Break it in this way, or repair it. Raises: UsageError: it cannot break so."""
        if fault is SwitchFault.CONTRADICTORY:
            raise UsageError(f"{self.name} cannot contradict itself", hint="it has no contacts")
        self.fault = fault
        if fault is SwitchFault.NONE:
            self._turn(now_s)
        elif fault is SwitchFault.DEAD_WIRE:
            self._board.set_analogue(now_s, self._pin_name, 0)

    def _turn(self, now_s: float) -> None:
        low, high = self._ends
        counts = round(low + self._fraction * (high - low))
        self._board.set_analogue(now_s, self._pin_name, counts)


Hand = ContactHand | LeverHand
Positions = Mapping[str, str | float]


def _in_order(changes: list[tuple[float, bool]]) -> list[tuple[float, bool]]:
    """A burst that the next one overtakes ends there: the last word is the last change's."""
    kept: list[tuple[float, bool]] = []
    for change in reversed(changes):
        if not kept or change[0] <= kept[-1][0]:
            kept.append(change)
    return kept[::-1]
