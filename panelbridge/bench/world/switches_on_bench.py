"""The switches of a panel on the bench: hands, contacts, and the debouncing of their board.

A handle with two contacts leaves one, is between them for its travel, and makes the other. Each
contact goes through the very debouncer that a board runs, with the panel file's ``debounce_ms``;
the wire to the computer takes no time. Contacts are told as *made*: operated, or at that end.
"""

from __future__ import annotations

import random
from collections import deque
from collections.abc import Callable, Iterable, Sequence
from math import inf

from panelbridge.bench.language.plan import HANDLE, FaultKind, ScenarioPlan
from panelbridge.bench.world.contact_on_bench import Contact
from panelbridge.bench.world.lever_on_bench import LeverOnBench, dead_fraction, lever_fraction
from panelbridge.config.panel_file import (
    ContactSwitch,
    LeverSwitch,
    OneContactHandle,
    TwoContactHandle,
)
from panelbridge.errors import LogicError
from panelbridge.logic.switch_words import LEVERS, rest_of, words_of
from panelbridge.signals import HandleContacts

HAND_TRAVEL_S = 0.3
"""How long a hand takes to put the gear handle from one end to the other, s."""
UP, BETWEEN, DOWN = "up", "between", "down"

Reading = HandleContacts | bool | float | None
Wired = ContactSwitch | LeverSwitch | OneContactHandle | TwoContactHandle

_HANDLE = {
    (True, False): HandleContacts.UP,
    (False, True): HandleContacts.DOWN,
    (False, False): HandleContacts.BETWEEN,
    (True, True): HandleContacts.BOTH,
}
_ONE_CONTACT = {UP: HandleContacts.UP, DOWN: HandleContacts.DOWN}


class ContactsOnBench:
    """A handle or button.

    Args:
        name: its name.
        board: its board.
        positions: where it can be put; with ``between`` among them it takes time.
        contacts: its contacts.
        read: from its contacts to what the logic gets.
        start: where it stands.
        travel_s: from end to end, s.
        rng: rattles its contacts.
    """

    def __init__(
        self,
        name: str,
        board: str,
        positions: tuple[str, ...],
        contacts: Sequence[Contact],
        read: Callable[[], Reading],
        start: str,
        travel_s: float,
        rng: random.Random,
    ) -> None:
        self.name = name
        self.board = board
        self.read = read
        self._positions = positions
        self._contacts = tuple(contacts)
        self._travel_s = travel_s
        self._rng = rng
        self._path: list[tuple[float, str]] = [(-inf, start)]
        self._broken = False
        self._rattle_s = 0.0

    @property
    def next_due_s(self) -> float:
        """When one of its contacts has something to do."""
        return min(contact.next_due_s for contact in self._contacts)

    @property
    def noisy(self) -> bool:
        """A contact bounces for longer than debouncing can hide."""
        return any(contact.noisy for contact in self._contacts)

    def advance(self, now_s: float) -> None:
        """Do what is due."""
        for contact in self._contacts:
            contact.advance(now_s)

    def move(self, now_s: float, position: str | float) -> None:
        """Put it somewhere. Raises: LogicError: it does not go there."""
        if isinstance(position, (int, float)) and self.name in LEVERS:
            position = self._positions[position >= 0.5]
        if position not in self._positions:
            raise LogicError(f"{self.name} cannot be put to {position}")
        target = str(position)
        if target == self._path[-1][1]:
            return
        here = self._position(now_s)
        self._path = [(-inf, here)]
        arrival_s = now_s
        if BETWEEN in self._positions and target != BETWEEN:
            self._path.append((now_s, BETWEEN))
            arrival_s += self._travel_s * (0.5 if here == BETWEEN else 1.0)
        self._path.append((arrival_s, target))
        if not self._broken:
            self._plan(now_s)

    def break_down(self, now_s: float, kind: FaultKind, for_s: float) -> None:
        """Break it. Raises: LogicError: it cannot break so."""
        if kind is FaultKind.BOUNCING:
            self._rattle_s = for_s
            return
        if kind is FaultKind.CONTRADICTORY and len(self._contacts) < 2:
            raise LogicError(f"{self.name} has one contact only and cannot contradict itself")
        self._broken = True
        for contact in self._contacts:
            contact.planned.clear()
            if kind is FaultKind.DEAD:
                contact.put(now_s, made=contact.made_when_open)
            elif kind is FaultKind.CONTRADICTORY:
                contact.put(now_s, made=True)

    def mend(self, now_s: float) -> None:
        """Mend it: its contacts go to where it was put meanwhile."""
        self._rattle_s = 0.0
        if self._broken:
            self._broken = False
            self._plan(now_s)

    def power_up(self) -> None:
        """Its board begins anew."""
        for contact in self._contacts:
            contact.power_up()

    def _position(self, now_s: float) -> str:
        return [place for at_s, place in self._path if at_s <= now_s][-1]

    def _plan(self, now_s: float) -> None:
        """Plan what each contact does from now on."""
        path = [(now_s, self._position(now_s))]
        path += [step for step in self._path if step[0] > now_s]
        for contact in self._contacts:
            level, changes = contact.raw, list[tuple[float, bool]]()
            for at_s, place in path:
                wanted = place == contact.made_at
                if wanted is not level:
                    level = wanted
                    # A burst that the next movement overtakes ends there.
                    changes = [change for change in changes if change[0] < at_s]
                    changes += self._changes(at_s, contact, level)
            contact.planned = deque(changes)
            contact.advance(now_s)

    def _changes(self, at_s: float, contact: Contact, made: bool) -> list[tuple[float, bool]]:
        """A movement of a contact; a bad one rattles, and is quiet for long enough to be seen."""
        end_s = at_s + self._rattle_s
        unit_s = max(contact.settle_s, 0.001)
        changes, level = [(at_s, made)], made
        while self._rattle_s > 0.0:
            at_s += unit_s * self._rng.uniform(0.25, 1.75)
            if at_s >= end_s:
                break
            level = not level
            changes.append((at_s, level))
        if level is not made:
            changes.append((end_s, made))
        return changes


SwitchOnBench = ContactsOnBench | LeverOnBench


def start_positions(plan: ScenarioPlan, switches: Iterable[str]) -> dict[str, str | float]:
    """Where ``switches`` stand at the start of a scenario, and those that it puts somewhere."""
    positions: dict[str, str | float] = {
        name: rest_of(name) if name in LEVERS else words_of(name).free for name in switches
    }
    if HANDLE in positions:
        simulators = plan.start.gear_handle
        positions[HANDLE] = DOWN if simulators is None else simulators.value
    return positions | dict(plan.start_switches)


def switch_on_bench(
    name: str, wired: Wired, start: str | float, rng: random.Random
) -> SwitchOnBench:
    """The switch ``name`` as it is wired, standing at ``start``.

    Raises:
        LogicError: it cannot stand there.
    """
    if isinstance(wired, LeverSwitch):
        return LeverOnBench(name, wired.board, lever_fraction(name, start), dead_fraction(wired))
    settle_s = wired.debounce_ms / 1000.0
    hold = wired.debounce_mode == "report_first"
    positions: tuple[str, ...] = words_of(name)
    travel_s = 0.0
    if name in LEVERS:  # with one contact it is at one end or the other
        start = positions[lever_fraction(name, start) >= 0.5]
    if isinstance(wired, TwoContactHandle):
        positions, travel_s = (UP, BETWEEN, DOWN), min(HAND_TRAVEL_S, wired.travel_s / 2.0)
        places: tuple[str, ...] = (UP, DOWN)
    elif isinstance(wired, OneContactHandle):
        positions, places = (UP, DOWN), (wired.closed_means,)
    else:
        places = (positions[1],)
    if start not in positions:
        raise LogicError(f"{name} cannot be put to {start}")
    inverted = not isinstance(wired, OneContactHandle) and wired.normally_closed
    contacts = [
        Contact(place, settle_s, made=start == place, made_when_open=inverted, hold=hold)
        for place in places
    ]
    return ContactsOnBench(
        name,
        wired.board,
        positions,
        contacts,
        _reader(name, wired, contacts),
        str(start),
        travel_s,
        rng,
    )


def _reader(name: str, wired: Wired, contacts: Sequence[Contact]) -> Callable[[], Reading]:
    first = contacts[0]
    if isinstance(wired, TwoContactHandle):
        second = contacts[1]
        return lambda: _HANDLE[first.made, second.made]
    if isinstance(wired, OneContactHandle):
        made = _ONE_CONTACT[wired.closed_means]
        opened = _ONE_CONTACT[DOWN if wired.closed_means == UP else UP]
        return lambda: made if first.made else opened
    if name in LEVERS:
        return lambda: 1.0 if first.made else 0.0
    return lambda: first.made
