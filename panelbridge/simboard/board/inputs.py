"""What the board reads: debounced contacts with their edges, and analogue values."""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping, Sequence
from itertools import islice

from panelbridge.link.messages import (
    EDGE_MODULO,
    FIRST_CHAIN_PIN,
    MAX_EDGES,
    Edge,
    ItemFlag,
    ItemKind,
    SetupItem,
)
from panelbridge.logic.debounce import Debouncer
from panelbridge.simboard.board.wiring import Wiring

EDGE_QUEUE = 32
"""Most edges that the board holds for the host; then the oldest are lost."""


class EdgeQueue:
    """Edges that the host has not acknowledged, numbered modulo 65536."""

    def __init__(self) -> None:
        self._edges: deque[Edge] = deque()
        self.first = 0
        self.lost = False

    def __len__(self) -> int:
        return len(self._edges)

    def append(self, edge: Edge) -> None:
        """Add an edge; a full queue loses its oldest one."""
        self._edges.append(edge)
        if len(self._edges) > EDGE_QUEUE:
            self._edges.popleft()
            self.first = (self.first + 1) % EDGE_MODULO
            self.lost = True

    def acknowledge(self, next_expected: int) -> None:
        """Drop the edges before ``next_expected``; a number that makes no sense is ignored."""
        count = (next_expected - self.first) % EDGE_MODULO
        if count > len(self._edges):
            return
        for _ in range(count):
            self._edges.popleft()
        self.first = next_expected
        if count:
            self.lost = False

    def oldest(self) -> tuple[Edge, ...]:
        """The edges that the next REPORT carries, oldest first."""
        return tuple(islice(self._edges, MAX_EDGES))

    def waiting(self) -> tuple[Edge, ...]:
        """The edges that do not fit into the next REPORT, oldest first."""
        return tuple(islice(self._edges, MAX_EDGES, None))


class _Contact:
    def __init__(self, item: SetupItem, closed_to_ground: bool) -> None:
        self._flags = item.flags
        # The chips of a chain have no pull-up of their own, and a resistor at each input.
        self._pulled = bool(item.flags & ItemFlag.PULL_UP) or item.pin >= FIRST_CHAIN_PIN
        self._high = False  # what a pin without pull-up resistor floats at
        self.debouncer = Debouncer(
            item.p1 / 1000.0,
            hold_after_edge=bool(item.flags & ItemFlag.HOLD_AFTER_EDGE),
            initial=self.raw(closed_to_ground),
        )

    def raw(self, closed_to_ground: bool) -> bool:
        if closed_to_ground:
            self._high = False
        elif self._pulled:
            self._high = True
        return self._high != bool(self._flags & ItemFlag.ACTIVE_LOW)


class InputPins:
    """The inputs of a set-up, in its order.

    The state that the contacts have now is taken as settled, without an edge.

    Args:
        items: the set-up's input items.
        pin_names: name of each pin by its number.
        wiring: what the pins are connected to.
    """

    def __init__(
        self,
        items: Sequence[SetupItem],
        pin_names: Mapping[int, str],
        wiring: Wiring,
    ) -> None:
        self._wiring = wiring
        contacts = [item for item in items if item.kind == ItemKind.CONTACT]
        self._contacts = [_Contact(i, wiring.contact(pin_names[i.pin]).closed) for i in contacts]
        self._pins = [pin_names[item.pin] for item in contacts]
        self._contact_of = {name: at for at, name in enumerate(self._pins)}
        self._analogues = [
            (pin_names[item.pin], item.p1) for item in items if item.kind == ItemKind.ANALOGUE
        ]
        self._values = [wiring.reading(name) for name, _ in self._analogues]
        self.edges = EdgeQueue()
        self._bits = sum(1 << at for at, c in enumerate(self._contacts) if c.debouncer.stable)

    def contact_on(self, pin_name: str) -> int | None:
        """Which CONTACT of the set-up, from 0, is on this pin; None when none is."""
        return self._contact_of.get(pin_name)

    def sample(self, now_s: float, contact: int) -> bool:
        """Look at a contact: it has changed, or its debounce time is over.

        Gives whether that made an edge.
        """
        debouncer = self._contacts[contact].debouncer
        if not debouncer.sample(now_s, self.raw(contact)):
            return False
        closed = bool(debouncer.stable)
        mask = 1 << contact
        self._bits = self._bits | mask if closed else self._bits & ~mask
        self.edges.append(Edge(contact, closed))
        return True

    def raw(self, contact: int) -> bool:
        """How a contact is now, before debouncing."""
        return self._contacts[contact].raw(self._wiring.contact(self._pins[contact]).closed)

    def due_s(self, contact: int) -> float:
        """When a contact's debounce time is over; infinity when none runs."""
        return self._contacts[contact].debouncer.due_s

    @property
    def noisy(self) -> bool:
        """A contact bounces for longer than its debounce time can settle."""
        return any(contact.debouncer.noisy for contact in self._contacts)

    @property
    def reported_bits(self) -> int:
        """The contacts' state after the edges that the next REPORT carries."""
        bits = self._bits
        for edge in reversed(self.edges.waiting()):  # undone, newest first
            mask = 1 << edge.contact
            bits = bits & ~mask if edge.closed else bits | mask
        return bits

    @property
    def analogues(self) -> tuple[int, ...]:
        """The values as read last; changes within an item's noise gate are held back."""
        return tuple(self._values)

    def read_analogues(self) -> bool:
        """Read the analogue pins; gives whether a value left its noise gate."""
        changed = False
        for at, (name, gate) in enumerate(self._analogues):
            reading = self._wiring.reading(name)
            if abs(reading - self._values[at]) > gate:
                self._values[at] = reading
                changed = True
        return changed
