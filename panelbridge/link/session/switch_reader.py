"""From all boards' contacts and analogue values to one ``SwitchState``.

Every method returns the state after it: the *same object* while nothing has changed, so that the
engine can compare by identity.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache

from panelbridge.config.panel_file import PanelFile
from panelbridge.link.session.setup_items import AnalogueUse
from panelbridge.link.session.setup_plan import SetupPlan
from panelbridge.link.wire import Edge
from panelbridge.logic.switches import LEVERS
from panelbridge.signals import HandleContacts, SwitchPosition, SwitchState

LEVER_STEPS = 255
"""Resolution of a lever, steps: noise below one step makes no new state."""

_KEPT_STATES = 256


class SwitchReader:
    """Holds the last known switches of one panel.

    Args:
        panel: what is wired where.
    """

    def __init__(self, panel: PanelFile) -> None:
        self._boards = {name: _BoardSwitches(SetupPlan.of(panel, name)) for name in panel.boards}
        self._values: dict[str, SwitchPosition] = {
            switch: None for board in self._boards.values() for switch in board.switches
        }
        # A panel returns to the same few states again and again.
        self._state_of = lru_cache(maxsize=_KEPT_STATES)(self._state_at)
        self._state = self._make()

    @property
    def state(self) -> SwitchState:
        """All switches now; those of boards that are not live are unknown."""
        return self._state

    def board_lost(self, name: str) -> SwitchState:
        """The board is lost: its switches are unknown."""
        board = self._boards[name]
        board.contacts = board.analogues = None
        return self._use(dict.fromkeys(board.switches))

    def set_state(self, name: str, contacts: int, analogues: tuple[int, ...]) -> SwitchState:
        """All inputs of a live board: ``contacts`` is a bit map, ``analogues`` are counts."""
        board = self._boards[name]
        if contacts == board.contacts and analogues == board.analogues:
            return self._state
        board.contacts = contacts
        board.analogues = analogues
        return self._use(board.read_all())

    def apply_edge(self, name: str, contact: int, closed: bool) -> SwitchState:
        """One contact of a live board has changed.

        Args:
            name: the board.
            contact: place among the board's contacts.
            closed: what it changed to: operated, or at that end of the handle's travel.
        """
        board = self._boards[name]
        if board.contacts is None:
            return self._state
        bit = 1 << contact
        board.contacts = board.contacts | bit if closed else board.contacts & ~bit
        switch, read = board.switch_of[contact]
        value = read(board.contacts)
        if self._values[switch] != value:
            self._values[switch] = value
            self._state = self._make()
        return self._state

    def _use(self, values: dict[str, SwitchPosition]) -> SwitchState:
        before = self._values
        if any(before[switch] != value for switch, value in values.items()):
            before.update(values)
            self._state = self._make()
        return self._state

    def _make(self) -> SwitchState:
        return self._state_of(*self._values.values())

    def _state_at(self, *positions: SwitchPosition) -> SwitchState:
        return SwitchState(**dict(zip(self._values, positions, strict=True)))


def at_one_instant(edges: Sequence[Edge]) -> Iterator[Sequence[Edge]]:
    """Groups of edges, in their order, that are taken as having come at one instant each.

    Edges have no times, and what opens or closes at once comes as several edges of a REPORT: two
    contacts of a handle would pass through a position in which it never was. So no group has two
    edges of one contact: a short press is a group that closes it and another that opens it.
    """
    start, contacts = 0, 0
    for place, edge in enumerate(edges):
        bit = 1 << edge.contact
        if contacts & bit:
            yield edges[start:place]
            start, contacts = place, 0
        contacts |= bit
    yield edges[start:]


class _BoardSwitches:
    """One board's last inputs; None while it is not live."""

    def __init__(self, plan: SetupPlan) -> None:
        roles: dict[str, dict[str, int]] = {}
        for place, use in enumerate(plan.contacts):
            roles.setdefault(use.switch, {})[use.role] = 1 << place
        self._readers = {name: contact_reader(name, bits) for name, bits in roles.items()}
        in_order = [use.switch for use in plan.contacts]
        self.switch_of = [(name, self._readers[name]) for name in in_order]
        self._levers = {lever.switch: lever for lever in plan.analogues}
        self.switches = [*self._readers, *self._levers]
        self.contacts: int | None = None
        self.analogues: tuple[int, ...] | None = None

    def read_all(self) -> dict[str, SwitchPosition]:
        contacts, analogues = self.contacts or 0, self.analogues or ()
        values: dict[str, SwitchPosition] = {
            switch: reader(contacts) for switch, reader in self._readers.items()
        }
        for (name, lever), counts in zip(self._levers.items(), analogues, strict=True):
            values[name] = lever_fraction(lever, counts)
        return values


def lever_fraction(lever: AnalogueUse, counts: int) -> float:
    """Position of a lever, 0 to 1, in steps of 1/255."""
    span = lever.counts_at_1 - lever.counts_at_0
    if span == 0:
        return 0.0
    fraction = (counts - lever.counts_at_0) / span
    return round(min(max(fraction, 0.0), 1.0) * LEVER_STEPS) / LEVER_STEPS


def contact_reader(switch: str, roles: dict[str, int]) -> Callable[[int], SwitchPosition]:
    """A function that reads a switch from the board's bit map; ``roles`` are its bits."""
    if "closed" in roles:
        bit = roles["closed"]
        if switch in LEVERS:  # a lever with one contact is at one end or the other
            return lambda contacts: 1.0 if contacts & bit else 0.0
        return lambda contacts: bool(contacts & bit)
    if len(roles) == 2:
        up, down = roles["up"], roles["down"]
        of_both = {
            up: HandleContacts.UP,
            down: HandleContacts.DOWN,
            0: HandleContacts.BETWEEN,
            up | down: HandleContacts.BOTH,
        }
        both = up | down
        return lambda contacts: of_both[contacts & both]
    role, bit = next(iter(roles.items()))
    closed, opened = HandleContacts.UP, HandleContacts.DOWN
    if role == "down":
        closed, opened = opened, closed
    return lambda contacts: closed if contacts & bit else opened
