"""The inputs of the board: debounced contacts with their edges, raw capture, analogue values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import inf

from panelbridge.link.wire import (
    EDGE_MODULO,
    FIRST_CHAIN_PIN,
    MAX_CAPTURE_TIMES,
    MAX_EDGES,
    Capture,
    Captured,
    Edge,
    ItemFlag,
    ItemKind,
    SetupItem,
)
from panelbridge.link.wire.time_outs import EDGE_QUEUE, SETTLE_LEAST_MS, SETTLE_MOST_MS
from panelbridge.simboard.board.wiring import Wiring
from panelbridge.simboard.contacts.contact import PlannedContact
from panelbridge.simboard.contacts.debounce import Debouncer


class EdgeQueue:
    """Edges that the host has not acknowledged, numbered modulo 65536."""

    def __init__(self, contacts: int) -> None:
        self._edges: list[Edge] = []
        self._most = max(EDGE_QUEUE, contacts)
        self._sent = 0  # the oldest ones, in a REPORT already
        self.first = 0
        self.lost = False

    def __len__(self) -> int:
        return len(self._edges)

    def append(self, edge: Edge) -> None:
        """Add an edge; a full queue loses its oldest one."""
        self._edges.append(edge)
        if len(self._edges) > self._most:
            self._drop(1)
            self.lost = True

    def acknowledge(self, next_expected: int) -> bool:
        """Drop the edges before ``next_expected``; returns whether those left must be sent now.

        A number out of range is ignored.
        """
        count = (next_expected - self.first) % EDGE_MODULO
        if not 0 < count <= len(self._edges):
            return False
        self._drop(count)
        self.lost = False
        return self._sent < len(self._edges)

    def _drop(self, count: int) -> None:
        del self._edges[:count]
        self.first = (self.first + count) % EDGE_MODULO
        self._sent = max(0, self._sent - count)

    def take_oldest(self) -> tuple[Edge, ...]:
        """The edges for the REPORT that is sent now, oldest first."""
        oldest = tuple(self._edges[:MAX_EDGES])
        self._sent = max(self._sent, len(oldest))
        return oldest

    def waiting(self) -> tuple[Edge, ...]:
        """The edges that do not fit into the next REPORT, oldest first."""
        return tuple(self._edges[MAX_EDGES:])


class _ContactInput:
    def __init__(self, item: SetupItem, wired: PlannedContact) -> None:
        self._wired = wired
        self._active_low = bool(item.flags & ItemFlag.ACTIVE_LOW)
        # The chips of a chain have no internal pull-up, but a resistor at each input.
        self._pulled = bool(item.flags & ItemFlag.PULL_UP) or item.pin >= FIRST_CHAIN_PIN
        self._high = False  # level at which a pin without pull-up floats
        self.debouncer = Debouncer(
            item.p1 / 1000.0,
            hold_after_edge=bool(item.flags & ItemFlag.HOLD_AFTER_EDGE),
            initial=self.raw(),
        )

    def raw(self) -> bool:
        if self._wired.grounds_pin:
            self._high = False
        elif self._pulled:
            self._high = True
        return self._high != self._active_low


class InputPins:
    """The inputs of a set-up, in its order.

    Until ``end_settling`` the contacts make no edges: their pull-ups may have only begun to charge
    what is connected to them.

    Args:
        items: the set-up's input items.
        pin_names: name of each pin by its number.
        wiring: what the pins are connected to.
        now_s: when the set-up becomes active, s.
    """

    def __init__(
        self,
        items: Sequence[SetupItem],
        pin_names: Mapping[int, str],
        wiring: Wiring,
        now_s: float,
    ) -> None:
        self._wiring = wiring
        contacts = [item for item in items if item.kind == ItemKind.CONTACT]
        self._contact_of = {pin_names[item.pin]: at for at, item in enumerate(contacts)}
        self._contacts = [_ContactInput(i, wiring.contact(pin_names[i.pin])) for i in contacts]
        self._analogues = [
            (pin_names[item.pin], item.p1) for item in items if item.kind == ItemKind.ANALOGUE
        ]
        self._values = [wiring.reading(name) for name, _ in self._analogues]
        self.edges = EdgeQueue(len(contacts))
        self._bits = 0
        self._least_s = now_s + SETTLE_LEAST_MS / 1000.0 if contacts else now_s
        self._most_s = now_s + SETTLE_MOST_MS / 1000.0
        self.settling = True
        for contact in self._contacts:
            contact.debouncer.begin_burst(now_s)

    @property
    def settled_s(self) -> float:
        """When the contacts will have been quiet long enough for the first REPORT, s."""
        quiet_s = max((c.debouncer.quiet_s for c in self._contacts), default=self._least_s)
        return min(max(self._least_s, quiet_s), self._most_s)

    def end_settling(self) -> None:
        """Take the contacts' present state as debounced, without an edge."""
        self.settling = False
        for at, contact in enumerate(self._contacts):
            contact.debouncer.believe()
            self._bits |= bool(contact.debouncer.stable) << at

    def contact_on(self, pin_name: str) -> int | None:
        """Index of the CONTACT on this pin, from 0; None = none."""
        return self._contact_of.get(pin_name)

    def sample(self, now_s: float, contact: int) -> bool:
        """Sample a contact that has changed or is due; returns whether it made an edge."""
        debouncer = self._contacts[contact].debouncer
        if not debouncer.sample(now_s, self.raw(contact)) or self.settling:
            return False
        self._bits ^= 1 << contact
        self.edges.append(Edge(contact, bool(debouncer.stable)))
        return True

    def raw(self, contact: int) -> bool:
        """State of a contact now, before debouncing."""
        return self._contacts[contact].raw()

    def due_s(self, contact: int) -> float:
        """When a contact's debounce time ends; infinity when none is running."""
        return self._contacts[contact].debouncer.due_s

    @property
    def noisy(self) -> bool:
        """Whether a contact bounces for too long for its debounce time."""
        return any(contact.debouncer.noisy for contact in self._contacts)

    @property
    def reported_bits(self) -> int:
        """The contacts' state after the edges that the next REPORT carries."""
        bits = self._bits
        for edge in self.edges.waiting():  # undone: each edge toggles its contact
            bits ^= 1 << edge.contact
        return bits

    @property
    def analogues(self) -> tuple[int, ...]:
        """The last values; changes within an item's noise gate are ignored."""
        return tuple(self._values)

    @property
    def are_analogues_steady(self) -> bool:
        """Whether reading them again finds nothing new until a voltage is changed."""
        return all(self._wiring.is_steady(name) for name, _ in self._analogues)

    def read_analogues(self) -> bool:
        """Read the analogue pins; returns whether a value left its noise gate."""
        changed = False
        for at, (name, gate) in enumerate(self._analogues):
            reading = self._wiring.reading(name)
            if abs(reading - self._values[at]) > gate:
                self._values[at] = reading
                changed = True
        return changed


_MOST = 65535


class RawCapture:
    """Captures one contact, as a CAPTURE orders.

    Args:
        order: what to capture.
        raw: state of the contact now, before debouncing.

    Attributes:
        contact: the contact that is captured.
        due_s: when the window ends; infinity while no change has come.
    """

    RESOLUTION_US = 1
    """The simulated board misses no change; its times are exact to 1 us."""

    def __init__(self, order: Capture, raw: bool) -> None:
        self.contact = order.contact
        self.due_s = inf
        self._order = order
        self._raw = self._first_closed = raw
        self._first_s = 0.0
        self._changes = 0
        self._times_us: list[int] = []

    def sample(self, now_s: float, raw: bool) -> None:
        """Take the contact's state now."""
        if raw == self._raw:
            return
        self._raw = raw
        if not self._changes:
            self._first_s, self._first_closed = now_s, raw
            self.due_s = now_s + self._order.window_ms / 1000.0
        self._changes += 1
        if len(self._times_us) < MAX_CAPTURE_TIMES:
            self._times_us.append(round((now_s - self._first_s) * 1e6))

    def result(self) -> Captured:
        """The changes captured so far."""
        return Captured(
            self._order.session,
            self.contact,
            self._first_closed,
            min(self._changes, _MOST),
            self.RESOLUTION_US,
            tuple(self._times_us),
        )
