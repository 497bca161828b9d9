"""The switches of a panel on the bench: hands and contacts, and the debouncing of their board.

Hands and contacts are those of the simulated board. Each contact has the debouncer of a real board,
with the panel file's ``debounce_ms``; the line to the computer takes no time.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable, Mapping
from functools import partial
from math import inf

from panelbridge.bench.language.plan import HANDLE, FaultKind, ScenarioPlan
from panelbridge.config.panel_parts.switch_entries import (
    LeverSwitch,
    OneContactHandle,
    TwoContactHandle,
)
from panelbridge.link.session.switch_reader import contact_reader
from panelbridge.logic.inventory import switches_of
from panelbridge.logic.switches import Declared, is_lever, rest_of, words_of
from panelbridge.logic.systems import SWITCHES
from panelbridge.signals import HandleContacts
from panelbridge.simboard.contacts.contact import Change, PlannedContact, clean, rattling
from panelbridge.simboard.contacts.debounce import Debouncer
from panelbridge.simboard.contacts.hands import Hand, LeverHand, SwitchFault
from panelbridge.simboard.contacts.wired_hands import (
    DOWN,
    HAND_TRAVEL_S,
    ContactWiring,
    contact_hand,
)

Reading = HandleContacts | bool | float | None
Wired = ContactWiring | LeverSwitch

SWITCH_FAULTS: Mapping[FaultKind, SwitchFault] = {
    FaultKind.STUCK: SwitchFault.STUCK,
    FaultKind.DEAD: SwitchFault.DEAD_WIRE,
    FaultKind.CONTRADICTORY: SwitchFault.CONTRADICTORY,
}


class DebouncedContact(PlannedContact):
    """A contact with the debouncer of its board.

    Args:
        wired: the switch that it belongs to.
    """

    def __init__(self, wired: ContactWiring) -> None:
        super().__init__()
        self._settings = (wired.debounce_ms / 1000.0, wired.debounce_mode == "report_first")
        self._debouncer = Debouncer(*self._settings)
        self._made_open = not isinstance(wired, OneContactHandle) and wired.normally_closed

    @property
    def made(self) -> bool:
        """Made, or operated, after debouncing."""
        return self._debouncer.stable is not self._made_open

    @property
    def noisy(self) -> bool:
        """It bounces for longer than debouncing can hide."""
        return self._debouncer.noisy

    @property
    def next_due_s(self) -> float:
        """When it next changes by itself, or has settled."""
        return min(self.next_change_s, self._debouncer.due_s)

    def advance(self, now_s: float) -> None:
        """Do what is due."""
        while self.next_change_s <= now_s:
            at_s, self.closed = self.take_change()
            self._debouncer.sample(at_s, self.closed)
        if self._debouncer.due_s <= now_s:
            self._debouncer.sample(now_s, self.closed)

    def closed_at(self, now_s: float) -> bool:
        """Whether it is closed at ``now_s``, before debouncing."""
        self.advance(now_s)
        return self.closed

    def plan(self, now_s: float, changes: Iterable[Change]) -> None:
        """Plan changes in place of those planned before."""
        self.replace_plan(changes)
        self.advance(now_s)

    def power_up(self) -> None:
        """Its board restarts: the present state counts as settled."""
        self._debouncer = Debouncer(*self._settings, initial=self.closed)


class SwitchOnBench:
    """A switch, from the hand on it to what the logic reads.

    Args:
        name: its name in the panel file.
        wired: how it is wired.
        start: where it stands.
        rng: random source for bad contacts.
        declared: the switches of the aircraft, for its words.

    Raises:
        UsageError: it cannot stand at ``start``.
    """

    def __init__(
        self,
        name: str,
        wired: Wired,
        start: str | float,
        rng: random.Random,
        declared: Declared = SWITCHES,
    ) -> None:
        self.name = name
        self.board = wired.board
        self._wired = wired
        self._rng = rng
        self._contacts: list[DebouncedContact] = []
        self._fraction = 0.0
        if isinstance(wired, LeverSwitch):
            self.hand: Hand = LeverHand(name, self._put_wiper, start, 0.0)
            self._reader: Callable[[int], Reading] = lambda made: self._fraction
            return
        travel_s = HAND_TRAVEL_S
        if isinstance(wired, TwoContactHandle):
            travel_s = min(travel_s, wired.travel_s / 2.0)
        self.hand = hand = contact_hand(
            *(name, wired, start, 0.0, self._new_contact, travel_s), declared=declared
        )
        roles = [each.made_at if name == HANDLE else "closed" for each in hand.contacts]
        self._reader = contact_reader(name, {role: 1 << at for at, role in enumerate(roles)})

    @property
    def next_due_s(self) -> float:
        """When one of its contacts has something to do."""
        return min((contact.next_due_s for contact in self._contacts), default=inf)

    @property
    def noisy(self) -> bool:
        """A contact bounces for longer than debouncing can hide."""
        return any(contact.noisy for contact in self._contacts)

    def read(self) -> Reading:
        """What the logic gets."""
        return self._reader(sum(each.made << at for at, each in enumerate(self._contacts)))

    def advance(self, now_s: float) -> None:
        """Do what is due."""
        for contact in self._contacts:
            contact.advance(now_s)

    def break_down(self, now_s: float, kind: FaultKind, rattles_s: float) -> None:
        """Break it; bad contacts rattle for ``rattles_s`` at each movement.

        Raises: UsageError: it cannot break this way.
        """
        if kind is FaultKind.BOUNCING and not isinstance(self._wired, LeverSwitch):
            quiet_s = self._wired.debounce_ms / 1000.0
            self.hand.burst = partial(rattling, self._rng, rattles_s, quiet_s)
        else:
            self.hand.break_down(now_s, SWITCH_FAULTS[kind])

    def mend(self, now_s: float, kind: FaultKind) -> None:
        """Mend one fault; with none left its contacts go to where it was put meanwhile."""
        if kind is FaultKind.BOUNCING:
            self.hand.burst = clean
        elif self.hand.fault is SWITCH_FAULTS[kind]:  # else a later fault has taken its place
            self.hand.break_down(now_s, SwitchFault.NONE)

    def power_up(self) -> None:
        """Its board restarts."""
        for contact in self._contacts:
            contact.power_up()

    def _new_contact(self, pin: str) -> DebouncedContact:
        assert not isinstance(self._wired, LeverSwitch)
        self._contacts.append(DebouncedContact(self._wired))
        return self._contacts[-1]

    def _put_wiper(self, now_s: float, fraction: float | None) -> None:
        assert isinstance(self._wired, LeverSwitch)
        off = float(self._wired.counts_at_1 < self._wired.counts_at_0)  # no voltage, no counts
        self._fraction = off if fraction is None else fraction


def start_positions(plan: ScenarioPlan, switches: Iterable[str]) -> dict[str, str | float]:
    """Where ``switches`` stand at the start of a scenario, and those that it sets."""
    known = switches_of(plan.aircraft)
    positions: dict[str, str | float] = {
        name: rest_of(name, known) if is_lever(name, known) else words_of(name, known).free
        for name in switches
    }
    if HANDLE in positions:
        simulators = plan.start.gear_handle
        positions[HANDLE] = DOWN if simulators is None else simulators.value
    return positions | dict(plan.start_switches)
