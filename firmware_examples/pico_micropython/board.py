# The board's program: its dialogue with the computer. PROTOCOL.md, section 4.

import capture
import hardware
import struct

from chains import Chains
from contacts import Contact, EdgeQueue
from frames import FrameReader, encode_frame
from outputs import Outputs
from setup_book import SetupBook
from terms import *

PULL_UP_RISE_US = 200
_LENGTHS = {
    HELLO_REQUEST: 2,
    SETUP_BEGIN: 9,
    SETUP_ITEM: 11,
    SETUP_COMMIT: 3,
    RELEASE: 1,
    CAPTURE: 5,
}
_COMMAND_HEAD = 6
# Half-periods of the on-board LED, ms. It is lit steadily during a session.
_WAITING_MS = 250
_SILENT_MS = 100
_START_MS = 1000  # it is lit after each start, too


class Board:
    def __init__(self):
        self._reader = FrameReader()
        self._book = SetupBook()
        self._chains = Chains()
        self._outputs = Outputs(self._chains)
        self._now = hardware.ticks_us()
        self._now_ms = 0
        self._boot_id = 0
        self._active = self._host_silent = False
        self._hello_ms = 0
        self._edges = EdgeQueue()
        self._contacts = []
        self._analogues = []  # [pin, noise gate, value]
        self._capture = None
        self._lamp = None
        self._starting = True

    def start(self):
        self._boot_id = hardware.boot_id()
        self._let_go()
        self._say_hello()

    def stop(self):
        # Leaves nothing driven.
        self._end_session()

    def poll(self):
        self._pass_time()
        for byte in hardware.read_bytes():
            message = self._reader.take(byte)
            if message is not None and not self._dispatch(message):
                self._reader.bad += 1
        if self._active:
            self._live()
        elif not self._book.session and self._now_ms - self._hello_ms >= BOARD_HELLO_EACH_MS:
            self._hello_ms += BOARD_HELLO_EACH_MS
            self._say_hello()
        self._show()

    # -- time -----------------------------------------------------------------------------------

    def _pass_time(self):
        passed_ms = hardware.ticks_diff(hardware.ticks_us(), self._now) // 1000
        if passed_ms > 0:
            self._now = hardware.ticks_add(self._now, passed_ms * 1000)
            self._now_ms += passed_ms

    def _show(self):
        if self._starting:
            self._starting = self._now_ms < _START_MS
        if self._starting or (self._active and not self._host_silent):
            lit = True
        else:
            half_ms = _SILENT_MS if self._active else _WAITING_MS
            lit = self._now_ms // half_ms % 2 == 0
        if lit != self._lamp:
            self._lamp = lit
            hardware.status_lamp(lit)

    # -- receiving ------------------------------------------------------------------------------

    def _dispatch(self, message):
        # Returns whether the message is valid.
        kind = message[0]
        if kind == COMMAND:
            return self._command(message)
        if len(message) != _LENGTHS.get(kind):
            return False
        if kind == HELLO_REQUEST:
            self._say_hello()
        elif kind == SETUP_BEGIN:
            self._end_session()
            self._reply(SETUP_BEGIN, 0, self._book.begin(message))
        elif kind == SETUP_ITEM:
            self._reply(SETUP_ITEM, message[1], self._book.take(message))
        elif kind == SETUP_COMMIT:
            self._commit(message[1] | message[2] << 8)
        elif kind == RELEASE:
            self._end_session()
            self._say_hello()
        else:
            return self._watch(message)
        return True

    def _commit(self, checksum):
        status = self._book.commit(checksum)
        self._reply(SETUP_COMMIT, 0, status)
        if self._active or status != OK:
            return
        book = self._book
        self._chains.start(book.items)
        self._outputs.start(book.outputs(), self._now_ms)
        contacts = book.of_kind(CONTACT)
        for item in contacts:
            if item.flags & PULL_UP:
                hardware.pull_up(item.pin)
        hardware.pause_us(PULL_UP_RISE_US)
        self._chains.read()
        self._contacts = [Contact(item, self._is_high(item)) for item in contacts]
        self._analogues = [
            [item.pin, item.p1, hardware.analogue(item.pin)] for item in book.of_kind(ANALOGUE)
        ]
        self._edges = EdgeQueue()
        self._active = True
        self._host_silent = False
        self._sequence = 0
        self._command_sequence = None
        self._host_heard_ms = self._analogues_ms = self._chains_ms = self._now_ms
        self._report()

    def _command(self, message):
        if len(message) < _COMMAND_HEAD:
            return False
        _, session, sequence, acknowledged = struct.unpack("<BBHH", message[:_COMMAND_HEAD])
        if not self._active or session != self._book.session:
            return True  # from an earlier session
        values = self._outputs.values_of(message, _COMMAND_HEAD)
        if values is None:
            return False
        last = self._command_sequence
        if last is not None and not 0 < (sequence - last) & 0xFFFF < 32768:
            return True  # a duplicate, or older than the last one
        self._command_sequence = sequence
        self._host_silent = False
        self._host_heard_ms = self._now_ms
        self._outputs.drive(values, self._now_ms)
        self._edges.acknowledge(acknowledged)
        if self._now_ms - self._reported_ms >= ANSWER_GAP_MS:
            self._report()
        return True

    def _watch(self, message):
        _, session, place, window_ms = struct.unpack("<BBBH", message)
        if not self._active or session != self._book.session:
            return True
        if place >= len(self._contacts) and place != NO_CONTACT:
            return False
        if not 1 <= window_ms <= MAX_CAPTURE_WINDOW_MS:
            return False
        self._capture = None
        if place != NO_CONTACT:
            contact = self._contacts[place]
            raw = contact.raw_of(self._is_high(contact))
            self._capture = capture.RawCapture(place, window_ms, raw, hardware.ticks_us())
        self._send(capture.empty(session, place))
        return True

    def _end_session(self):
        if self._active:
            self._outputs.go_dark()
        self._let_go()
        self._book.forget()
        self._capture = None
        self._active = False
        self._hello_ms = self._now_ms

    def _let_go(self):
        for pin in hardware.PINS:
            hardware.let_go(pin)

    # -- the active session ---------------------------------------------------------------------

    def _live(self):
        now_ms = self._now_ms
        if self._chains.has_inputs and (self._capture or now_ms != self._chains_ms):
            self._chains_ms = now_ms
            self._chains.read()
        report_due = self._read_contacts()
        if self._analogues and now_ms - self._analogues_ms >= ANSWER_GAP_MS:
            self._analogues_ms = now_ms
            report_due = self._read_analogues() or report_due
        self._outputs.play(now_ms)
        if not self._host_silent and now_ms - self._host_heard_ms >= self._book.host_timeout_ms:
            self._host_silent = True
            self._outputs.go_idle(now_ms)
        wait_ms = self._book.report_interval_ms
        if len(self._edges):
            wait_ms = min(wait_ms, EDGE_REPEAT_MS)
        if report_due or now_ms - self._reported_ms >= wait_ms:
            self._report()
        if self._capture and self._capture.is_done(hardware.ticks_us()):
            self._send(self._capture.message(self._book.session))
            self._capture = None

    def _is_high(self, contact):
        return self._chains.is_high(contact.pin) if contact.on_chain else hardware.read(contact.pin)

    def _read_contacts(self):
        now = hardware.ticks_us()
        edge = False
        for place, contact in enumerate(self._contacts):
            high = self._is_high(contact)
            if contact.sample(now, high):
                self._edges.append(place, contact.stable)
                edge = True
            if self._capture and place == self._capture.place:
                self._capture.sample(contact.raw_of(high), now)
        return edge

    def _read_analogues(self):
        changed = False
        for entry in self._analogues:
            reading = hardware.analogue(entry[0])
            if abs(reading - entry[2]) > entry[1]:
                entry[2] = reading
                changed = True
        return changed

    # -- sending --------------------------------------------------------------------------------

    def _report(self):
        bits = bytearray((len(self._contacts) + 7) // 8)
        flags = 0
        for place, contact in enumerate(self._contacts):
            if contact.stable:
                bits[place >> 3] |= 1 << (place & 7)
            if contact.noisy:
                flags |= NOISY_CONTACT
        # Report the state after the edges of this REPORT: undo the later ones, newest first.
        for edge in self._edges.waiting():
            place = edge & 0x7F
            mask = 1 << (place & 7)
            if edge & 0x80:
                bits[place >> 3] &= ~mask & 0xFF
            else:
                bits[place >> 3] |= mask
        if self._host_silent:
            flags |= HOST_SILENT
        if self._edges.lost:
            flags |= EDGES_LOST
        edges = self._edges.oldest()
        head = struct.pack(
            "<BBHHBBHB",
            REPORT,
            self._book.session,
            self._sequence,
            self._command_sequence or 0,
            flags,
            self._reader.bad & 0xFF,
            self._edges.first,
            len(edges),
        )
        values = b"".join([struct.pack("<H", entry[2]) for entry in self._analogues])
        self._send(head + bits + values + edges)
        self._sequence = (self._sequence + 1) & 0xFFFF
        self._reported_ms = self._now_ms

    def _say_hello(self):
        checksum = self._book.checksum if self._active else 0
        self._send(
            struct.pack(
                "<BBBBBHHB",
                HELLO,
                PROTOCOL_VERSION,
                hardware.BOARD_CODE,
                FIRMWARE_MAJOR,
                FIRMWARE_MINOR,
                self._boot_id,
                checksum,
                hardware.MAX_ITEMS,
            )
        )

    def _reply(self, answers, index, status):
        book = self._book
        self._send(
            struct.pack("<BBBBBH", SETUP_REPLY, book.session, answers, index, status, book.checksum)
        )

    def _send(self, message):
        hardware.write_bytes(encode_frame(message))
