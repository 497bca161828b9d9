"""The active session: COMMAND in, REPORT out, and the host time-out."""

from __future__ import annotations

from collections.abc import Callable
from math import floor, inf

from panelbridge.clock import TimerHeap
from panelbridge.errors import MessageError
from panelbridge.link.wire import (
    EDGE_MODULO,
    NO_CONTACT,
    Capture,
    Captured,
    Command,
    Report,
    ReportFlag,
)
from panelbridge.link.wire.time_outs import ANSWER_GAP_MS, EDGE_REPEAT_MS
from panelbridge.simboard.board.inputs import InputPins, RawCapture
from panelbridge.simboard.board.outputs import OutputPins, OutputView
from panelbridge.simboard.board.setup_book import SetupBook

EDGE_REPEAT_S = EDGE_REPEAT_MS / 1000.0
ANSWER_GAP_S = ANSWER_GAP_MS / 1000.0
"""Also the period of reading analogue pins."""
_NEWER = 1 << 15


class LiveSession:
    """From a commit to the end of its set-up.

    Args:
        book: the active set-up.
        inputs: its input pins.
        outputs: its output pins, at idle.
        send: takes (time in s, message without CRC) for the host.
        bad_frames: returns how many frames the board has refused.
        now_s: time of the commit; the first REPORT is sent when the contacts have settled.
    """

    def __init__(
        self,
        book: SetupBook,
        inputs: InputPins,
        outputs: OutputPins,
        send: Callable[[float, bytes], None],
        bad_frames: Callable[[], int],
        now_s: float,
    ) -> None:
        self._book = book
        self._inputs = inputs
        self.outputs = outputs
        self._send = send
        self._bad_frames = bad_frames
        self._host_silent = False
        self._report_sequence = 0
        self._command_sequence: int | None = None
        self._last_report_s = now_s
        self._capture: RawCapture | None = None
        self._timers = TimerHeap()
        self._timers.start("host", now_s + book.host_timeout_s)
        self._read_s = now_s
        if inputs.analogues:
            self._timers.start("analogues", now_s + ANSWER_GAP_S)
        self._time_next_report()

    @property
    def next_due_s(self) -> float:
        """Time of its next action without input, s."""
        return self._timers.next_due_s

    def do_next(self) -> None:
        """Do the next action that is due, at its own due time."""
        due = self._timers.pop_due(self._timers.next_due_s)
        assert due is not None
        due_s, name = due
        if name == "report":
            self.report(due_s)
        elif name == "analogues":
            self._read_s = due_s
            if not self._inputs.are_analogues_steady:
                self._timers.start("analogues", due_s + ANSWER_GAP_S)
            if self._inputs.read_analogues():
                self.report(due_s)
        elif name == "host":
            self.outputs.drive(due_s, None)
            self._host_silent = True
        elif name == "capture":
            assert self._capture is not None
            self._send(due_s, self._capture.result().pack())
            self._capture = None
        else:
            assert isinstance(name, int)
            self._sample(due_s, name)

    def view(self) -> OutputView:
        """The outputs now."""
        return self.outputs.view(host_silent=self._host_silent)

    def pin_changed(self, now_s: float, pin_name: str) -> None:
        """The contact at a pin has opened or closed."""
        contact = self._inputs.contact_on(pin_name)
        if contact is None:
            return
        capture = self._capture
        if capture is not None and capture.contact == contact:
            capture.sample(now_s, self._inputs.raw(contact))
            if capture.due_s < inf and not self._timers.running("capture"):
                self._timers.start("capture", capture.due_s)
        self._sample(now_s, contact)

    def voltage_changed(self, now_s: float) -> None:
        """The voltage at an analogue pin, or its noise, has changed: read on, in the old period.

        Readings that would find nothing new are left out: nobody has to wake up for them.
        """
        if self._inputs.analogues and not self._timers.running("analogues"):
            periods = floor((now_s - self._read_s) / ANSWER_GAP_S) + 1
            self._timers.start("analogues", self._read_s + periods * ANSWER_GAP_S)

    def capture(self, now_s: float, order: Capture) -> None:
        """Capture the raw changes of a contact, or stop capturing."""
        self._timers.cancel("capture")
        self._capture = None
        if order.contact != NO_CONTACT:
            self._capture = RawCapture(order, self._inputs.raw(order.contact))
        begins = Captured(self._book.session, order.contact, False, 0, RawCapture.RESOLUTION_US)
        self._send(now_s, begins.pack())

    def command(self, now_s: float, message: bytes) -> bool:
        """Carry out a COMMAND of this session; returns whether it was a new one.

        Raises: MessageError: a wrong length, or a value that is not valid.
        """
        command = Command.unpack(message, self._book.shape)
        if not self.outputs.acceptable(command.outputs):
            raise MessageError("COMMAND with a value that is not valid")
        last = self._command_sequence
        if last is not None and not 0 < (command.sequence - last) % EDGE_MODULO < _NEWER:
            return False
        self._command_sequence = command.sequence
        self._host_silent = False
        self._timers.start("host", now_s + self._book.host_timeout_s)
        self.outputs.drive(now_s, command.outputs)
        more_edges = self._inputs.edges.acknowledge(command.edge_ack)
        if more_edges or now_s - self._last_report_s >= ANSWER_GAP_S:
            self.report(now_s)
        else:
            self._time_next_report()
        return True

    def report(self, now_s: float) -> None:
        """Send a REPORT; none before the contacts have settled."""
        inputs, flags = self._inputs, ReportFlag.NONE
        if inputs.settling:
            if now_s < inputs.settled_s:
                return
            inputs.end_settling()
        if self._host_silent:
            flags |= ReportFlag.HOST_SILENT
        if inputs.edges.lost:
            flags |= ReportFlag.EDGES_LOST
        if inputs.noisy:
            flags |= ReportFlag.NOISY_CONTACT
        report = Report(
            self._book.session,
            self._report_sequence,
            self._command_sequence or 0,
            flags,
            self._bad_frames() % 256,
            inputs.edges.first,
            inputs.reported_bits,
            inputs.analogues,
            inputs.edges.take_oldest(),
        )
        self._send(now_s, report.pack(self._book.shape))
        self._report_sequence = (self._report_sequence + 1) % 65536
        self._last_report_s = now_s
        self._time_next_report()

    def _time_next_report(self) -> None:
        if self._inputs.settling:
            self._timers.start("report", self._inputs.settled_s)
            return
        wait_s = self._book.report_interval_s
        if self._inputs.edges:
            wait_s = min(wait_s, EDGE_REPEAT_S)
        self._timers.start("report", self._last_report_s + wait_s)

    def _sample(self, now_s: float, contact: int) -> None:
        has_edge = self._inputs.sample(now_s, contact)
        due_s = self._inputs.due_s(contact)
        if due_s < inf:
            self._timers.start(contact, due_s)
        else:
            self._timers.cancel(contact)
        if self._inputs.settling:
            self._time_next_report()
        elif has_edge:  # after the other contacts of this instant, as on a real board
            self._timers.start("report", now_s)
