"""The simulated board: its power, pins and program, on time that is passed in."""

from __future__ import annotations

import random
import threading
from collections import deque
from collections.abc import Callable, Iterable
from math import inf

from msgspec.structs import replace

from panelbridge.clock import TimerHeap
from panelbridge.config.boards import BOARDS, Board, BoardKind
from panelbridge.link.wire import PROTOCOL_VERSION, Hello
from panelbridge.link.wire.frames import encode_frame
from panelbridge.simboard.board.outputs import OutputView
from panelbridge.simboard.board.program import BoardProgram
from panelbridge.simboard.board.wiring import Wiring
from panelbridge.simboard.contacts.contact import Change


class SimBoard:
    """A board in software that speaks the real protocol. Safe to use from several threads.

    Pure: it advances only in the calls below. Each call first does what has become due, in order
    and at its own due time, so one late call gives the same bytes as many early ones. A time before
    that of the last call counts as that of the last call.

    Args:
        kind: kind of board, a key of ``BOARDS``, or what a board of another kind can do.
        firmware: version in HELLO, (major, minor).
        boot_id: number of the first run; each reset adds one (modulo 65536).
        protocol: version in HELLO; set another one only to test that the host refuses it.
        now_s: when it is switched on.
        noise_counts: largest deviation of an analogue reading either way, counts.
        seed: of the noise.
        on_message: called with each message that passes all checks and is acted upon.
        on_send: called with each message that is sent.
    """

    def __init__(
        self,
        kind: BoardKind | Board,
        *,
        firmware: tuple[int, int] = (1, 0),
        boot_id: int = 1,
        protocol: int = PROTOCOL_VERSION,
        now_s: float = 0.0,
        noise_counts: int = 0,
        seed: int = 0,
        on_message: Callable[[bytes], None] = lambda message: None,
        on_send: Callable[[bytes], None] = lambda message: None,
    ) -> None:
        self.board = kind if isinstance(kind, Board) else BOARDS[kind]
        self.lock = threading.RLock()
        code, items = self.board.code, self.board.items
        self._identity = Hello(protocol, code, *firmware, boot_id, 0, items)
        self._on_message = on_message
        self._on_send = on_send
        self._now_s = now_s
        self._wiring = Wiring(self.board, random.Random(seed), noise_counts)
        self._contact_timers = TimerHeap()
        # Bounded: there may be no reader.
        self._sent: deque[tuple[float, bytes]] = deque(maxlen=100_000)
        self._program: BoardProgram | None = self._boot()

    @property
    def next_due_s(self) -> float:
        """Time of its next action without input, s; infinity = none."""
        with self.lock:
            program_s = self._program.next_due_s if self._program else inf
            return min(program_s, self._contact_timers.next_due_s)

    def advance(self, now_s: float) -> None:
        """Do everything due up to ``now_s``, each action at its own due time."""
        with self.lock:
            timers = self._contact_timers
            while (due_s := self.next_due_s) <= now_s:
                # At the same instant the program goes first: it has not seen the change yet.
                if self._program and self._program.next_due_s <= due_s:
                    self._program.do_next()
                elif (due := timers.pop_due(due_s)) is not None:
                    self._change_contact(due_s, str(due[1]))
            self._now_s = max(self._now_s, now_s)

    def receive(self, now_s: float, data: bytes) -> None:
        """Handle bytes from the host; any bytes are allowed."""
        with self.lock:
            self.advance(now_s)
            if self._program:
                self._program.receive(self._now_s, data)

    def take_output(self) -> bytes:
        """The bytes that the board has sent since the last call, in their order."""
        return b"".join(data for _, data in self.take_timed_output())

    def take_timed_output(self) -> list[tuple[float, bytes]]:
        """Like ``take_output``, as a list of (time of sending, frame)."""
        with self.lock:
            sent = list(self._sent)
            self._sent.clear()
            return sent

    def set_contact(self, now_s: float, pin_name: str, closed: bool) -> None:
        """Connect a pin to ground, or open that contact; its planned changes are dropped.

        Raises: LogicError: the board has no such pin.
        """
        self.plan_contact(now_s, pin_name, [(now_s, closed)])

    def plan_contact(self, now_s: float, pin_name: str, changes: Iterable[Change]) -> None:
        """Plan changes of a contact, (time in s, closed) each, in place of those planned before.

        Raises: LogicError: the board has no such pin.
        """
        with self.lock:
            self.advance(now_s)
            contact = self._wiring.contact(pin_name)
            contact.replace_plan(changes)
            self._await_change(pin_name, contact.next_change_s)
            self.advance(self._now_s)  # a change that is due already

    def contact_closed(self, pin_name: str) -> bool:
        """Whether the contact at a pin is closed now. Raises: LogicError."""
        return self._wiring.contact(pin_name).closed

    def chain_bit_high(self, bit_name: str) -> bool:
        """Whether an output of a 74HC595 is high, by its chain's data pin and bit: ``D3.9``."""
        return self._wiring.latched(bit_name)

    def set_analogue(self, now_s: float, pin_name: str, counts: int) -> None:
        """Put a voltage on an analogue pin, counts. Raises: LogicError: no such pin."""
        with self.lock:
            self.advance(now_s)
            self._wiring.set_counts(pin_name, counts)
            self._voltage_changed()

    def set_noise(self, pin_name: str, counts: int) -> None:
        """Noise of one analogue pin either way, counts. Raises: LogicError: no such pin."""
        with self.lock:
            self._wiring.set_noise(pin_name, counts)
            self._voltage_changed()

    def join_pins(self, now_s: float, pin_name: str, other: str) -> None:
        """Let the wires of two contacts touch: each connects both pins to ground.

        Raises: LogicError: the board has no such pin.
        """
        with self.lock:
            self.advance(now_s)
            self._wiring.join(pin_name, other)

    def reset(self, now_s: float) -> None:
        """Press the reset button, or restore power: the program starts with a new boot id."""
        with self.lock:
            self.advance(now_s)
            self._identity = replace(self._identity, boot_id=(self.boot_id + 1) % 65536)
            self._program = self._boot()

    def power_off(self, now_s: float) -> None:
        """Remove power: nothing is driven, read or sent until ``reset``."""
        with self.lock:
            self.advance(now_s)
            self._program = None

    @property
    def outputs(self) -> OutputView:
        """The outputs at the time of the last call."""
        with self.lock:
            return self._program.view() if self._program else OutputView()

    @property
    def powered(self) -> bool:
        """Whether its program runs."""
        return self._program is not None

    @property
    def boot_id(self) -> int:
        """Number of its last start, as in HELLO."""
        return self._identity.boot_id

    @property
    def bad_frames(self) -> int:
        """Number of bad frames since its last start."""
        with self.lock:
            return self._program.bad_frames if self._program else 0

    def _boot(self) -> BoardProgram:
        return BoardProgram(
            self.board, self._identity, self._wiring, self._send, self._on_message, self._now_s
        )

    def _voltage_changed(self) -> None:
        if self._program:
            self._program.voltage_changed(self._now_s)

    def _send(self, now_s: float, message: bytes) -> None:
        self._on_send(message)
        self._sent.append((now_s, encode_frame(message)))

    def _await_change(self, pin_name: str, due_s: float) -> None:
        if due_s == inf:
            self._contact_timers.cancel(pin_name)
        else:
            self._contact_timers.start(pin_name, max(due_s, self._now_s))

    def _change_contact(self, now_s: float, pin_name: str) -> None:
        contact = self._wiring.contact(pin_name)
        _, closed = contact.take_change()
        self._now_s = now_s
        self._await_change(pin_name, contact.next_change_s)
        if self._wiring.set_closed(pin_name, closed) and self._program:
            for moved in self._wiring.pins_moved_by(pin_name):
                self._program.pin_changed(now_s, moved)
