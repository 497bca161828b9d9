"""REPORTs in and COMMANDs out once the board is set up. Every switch edge takes this path, so it
makes no object that it does not need.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import inf

from panelbridge.errors import LinkLost
from panelbridge.link.ports.frame_port import Heard
from panelbridge.link.session.round_trip import RoundTripProbe
from panelbridge.link.session.session_outputs import (
    BoardLive,
    EdgesArrived,
    LinkCounts,
    StateArrived,
)
from panelbridge.link.session.setup_plan import SetupPlan
from panelbridge.link.wire import EDGE_MODULO, MAX_EDGES, Edge, MessageType, ReportFlag
from panelbridge.link.wire.time_outs import HEARTBEAT_S, SILENCE_S

_NOW = float("-inf")
_HALF = EDGE_MODULO // 2
_MASK = EDGE_MODULO - 1
# Plain numbers: an attribute of an enum costs more than the rest of its line.
_COMMAND = int(MessageType.COMMAND)
_HOST_SILENT = int(ReportFlag.HOST_SILENT)
_REPORT = int(MessageType.REPORT)
_EDGES = tuple(Edge(byte & 0x7F, byte >= 0x80) for byte in range(256))
_SILENCE = {
    Heard.NOTHING: "the board has been silent",
    Heard.NOISE: "bytes come but no good frame",
    Heard.FRAMES: "frames come but no report of this session",
}

ReportOutput = BoardLive | EdgesArrived | StateArrived


class LiveDialogue:
    """Reads REPORTs of one session and writes its COMMANDs.

    Args:
        plan: the board's set-up.
        session: number of the session.
        now_s: when the set-up came into force, s.
        where: board and port, for messages.
        counts: the link's counts, updated here.

    Attributes:
        session: number of the session.
        next_edge: number of the next edge expected.
        is_live: a REPORT of this session has come.
        last_report_s: when the last valid REPORT came (before the first: ``now_s``), s.
        last_command_s: when the last COMMAND went (before the first: ``now_s``), s.
        answer_due: a REPORT must be answered at once.
        flags: ``ReportFlag`` bits of the last REPORT.
        edges_were_lost: the board could not hold all edges of this session.
        flags_changed: ``flags`` or ``edges_were_lost`` is new; the caller clears this.
    """

    def __init__(
        self, plan: SetupPlan, session: int, now_s: float, where: str, counts: LinkCounts
    ) -> None:
        shape = plan.shape
        self.session = session
        self._where = where
        self._heartbeat_s = min(HEARTBEAT_S, plan.entry.host_timeout_ms / 3000)
        self._contact_limit = 1 << shape.contacts
        self._codes = bytes(code for code in range(256) if code & 0x7F < shape.contacts)
        self._report = shape.report_layout
        self._command = shape.command_layout
        self._values = plan.idle_values
        self._sent_sequence = 0
        self._report_sequence = -1
        self.next_edge = 0
        self._contacts = 0
        self._analogues: tuple[int, ...] = ()
        self._probe = RoundTripProbe(now_s)
        self.is_live = False
        self.last_report_s = now_s
        self.last_command_s = now_s
        self.answer_due = True  # the lamps are set as soon as the set-up is active
        self.flags = 0
        self.flags_changed = False
        self.edges_were_lost = False
        self.counts = counts
        counts.board_errors = 0
        self._last_old = 0
        self._doubt_ends_s = inf

    @property
    def next_due_s(self) -> float:
        """When ``message_due`` next has something to do, s."""
        if self.answer_due:
            return _NOW
        last_report_s = self.last_report_s
        return min(
            self.last_command_s + self._heartbeat_s,
            self._probe.due_s(last_report_s),
            last_report_s + SILENCE_S,
            self._doubt_ends_s,
        )

    def message_due(self, now_s: float, heard: Heard) -> bytes | None:
        """The COMMAND that is due as a heartbeat, if any.

        Args:
            now_s: the time, s.
            heard: what has come since the last REPORT.

        Raises:
            LinkLost: no valid REPORT has come for ``SILENCE_S``, or after a silence of the host
                none that names a new COMMAND.
        """
        if now_s >= self.last_report_s + SILENCE_S:
            hint = "check the cable, and that the board has not lost its supply"
            raise LinkLost(f"{_SILENCE[heard]} for {SILENCE_S:g} s", self._where, hint)
        if now_s >= self._doubt_ends_s:
            hint = "check the cable: bytes come from it, but do not go to it"
            raise LinkLost(f"the board has heard nothing for {SILENCE_S:g} s", self._where, hint)
        # An answer to a REPORT waits for the logic, which may change an output.
        if self.answer_due or now_s < self.next_due_s:
            return None
        return self.command(now_s)

    def want(self, values: tuple[int, ...]) -> bool:
        """Set the values of the outputs; returns whether they differ from those before."""
        if values == self._values:
            return False
        self._values = values
        return True

    def command(self, now_s: float) -> bytes:
        """The next COMMAND: the state of all outputs; acknowledges all edges that have come."""
        sequence = self._sent_sequence = (self._sent_sequence + 1) & _MASK
        self._probe.sent(now_s, sequence, self.last_report_s)
        self.last_command_s = now_s
        self.answer_due = False
        return self._command.pack(_COMMAND, self.session, sequence, self.next_edge, *self._values)

    def doubt(self, now_s: float) -> None:
        """The host was silent, so REPORTs that have come since are old, and their edges too.

        The state counts again once a REPORT names a COMMAND from now on; it comes as StateArrived.
        """
        self._last_old = self._sent_sequence
        self._doubt_ends_s = now_s + SILENCE_S
        self.last_report_s = now_s
        self.answer_due = True

    def host_was_silent(self, messages: Iterable[bytes]) -> bool:
        """Whether a REPORT among ``messages`` is the first to say so, of a board without doubt."""
        for message in messages:
            if (
                len(message) >= self._report.size
                and message[6] & _HOST_SILENT
                and message[0] == _REPORT
                and message[1] == self.session
                and self._is_newer(int.from_bytes(message[2:4], "little"))
            ):
                return self.is_live and self._doubt_ends_s == inf
        return False

    def _is_newer(self, sequence: int) -> bool:
        return 0 < ((sequence - self._report_sequence) & _MASK) < _HALF

    def take_report(self, now_s: float, message: bytes) -> ReportOutput | None:
        """Take a REPORT; returns what has changed, None when nothing has or it is not for us."""
        layout = self._report
        size = layout.size
        if len(message) < size:
            self.counts.malformed += 1
            return None
        _, session, sequence, command_sequence, flags, bad, first, count, bits, *analogues = (
            layout.unpack_from(message)
        )
        if session != self.session:
            return None
        contacts = int.from_bytes(bits, "little")
        codes = message[size:]
        if (
            len(codes) != count
            or count > MAX_EDGES
            or contacts >= self._contact_limit
            or codes.translate(None, self._codes)  # a code that is left names no contact of ours
        ):
            self.counts.malformed += 1
            return None
        if self.is_live and not self._is_newer(sequence):
            return None  # a duplicate, or out of order
        self._report_sequence = sequence
        self.last_report_s = now_s
        if flags != self.flags:
            self.flags_changed = True
            self.flags = flags
        if flags & _HOST_SILENT:
            self.answer_due = True
        self.counts.board_errors = bad
        trip_s = self._probe.named(now_s, command_sequence)
        if trip_s is not None:
            self.counts.round_trip_ms = trip_s * 1000
        event = self._take_state(contacts, tuple(analogues), first, codes)
        if self._doubt_ends_s < inf:
            # A full REPORT may be followed by more edges from the time of the silence.
            is_new = 0 < ((command_sequence - self._last_old) & _MASK) < _HALF
            event = None
            if is_new and count < MAX_EDGES:
                self._doubt_ends_s = inf
                event = StateArrived(contacts, tuple(analogues))
        return event

    def _take_state(
        self, contacts: int, analogues: tuple[int, ...], first: int, codes: bytes
    ) -> ReportOutput | None:
        changed = contacts != self._contacts or analogues != self._analogues
        self._contacts = contacts
        self._analogues = analogues
        known = (self.next_edge - first) & _MASK
        self.next_edge = (first + len(codes)) & _MASK
        if codes:
            self.answer_due = True
        if not self.is_live:
            # Edges from before the board was live do not count, only its state does.
            self.is_live = True
            return BoardLive(contacts, analogues)
        if known >= _HALF:  # the oldest edge that the board still has is newer than expected
            self.counts.edges_lost += EDGE_MODULO - known
            self.edges_were_lost = True
            self.flags_changed = True
            known = 0
        if known < len(codes):
            edges = tuple([_EDGES[code] for code in codes[known:]])
            return EdgesArrived(edges, contacts, analogues)
        if known > len(codes):
            self.counts.malformed += 1  # edge numbers run backwards: follow them, deliver nothing
        return StateArrived(contacts, analogues) if changed else None
