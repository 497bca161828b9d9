# The board's program: its dialogue with the computer. PROTOCOL.md, section 4.
#
# A turn of the loop, a COMMAND and a REPORT allocate no memory; set-up messages, HELLO_REQUEST and
# CAPTURE do. So the garbage collector has nothing to do while a session runs.

import capture
import hardware
import struct

from chains import Chains
from contacts import Contacts
from frames import FrameReader, FrameWriter, copy
from outputs import Outputs
from setup_book import SetupBook
from terms import *

_LENGTHS = {
    HELLO_REQUEST: 2,
    SETUP_BEGIN: 9,
    SETUP_ITEM: 11,
    SETUP_COMMIT: 3,
    RELEASE: 1,
    CAPTURE: 5,
}
_COMMAND_HEAD = const(6)
_REPORT_HEAD = const(11)
# Half-periods of the on-board LED, ms. It is lit steadily during a session.
_WAITING_MS = const(250)
_SILENT_MS = const(100)
_START_MS = const(1000)  # it is lit after each start, too


class _Analogue:
    def __init__(self, item):
        self.pin = item.pin
        self.gate = item.p1
        self.value = hardware.analogue(item.pin)


class Board:
    def __init__(self):
        self._reader = FrameReader()
        self._writer = FrameWriter()
        self._book = SetupBook()
        self._levels = bytearray(256)  # of all pins, and of the bits of chains
        self._chains = Chains(self._levels)
        self._outputs = Outputs(self._chains, self._levels)
        self._contacts = Contacts([], self._levels, 0)
        self._analogues = []
        self._capture = None
        self._boot_id = 0
        self._active = self._host_silent = False
        self._sequence = 0
        self._command_sequence = None
        # Times, in ticks of 1 ms.
        self._now_ms = self._started_ms = self._hello_ms = hardware.ticks_ms()
        self._committed_ms = self._host_heard_ms = self._now_ms
        self._reported_ms = self._analogues_ms = self._now_ms
        self._starting = True
        self._lamp = None

    def start(self):
        self._boot_id = hardware.boot_id()
        self._let_go()
        self._say_hello()
        self._show()

    def stop(self):
        # Leaves nothing driven.
        self._end_session()

    def poll(self):
        now_ms = hardware.ticks_ms()
        new_ms = now_ms != self._now_ms  # what is measured in ms is done once in each
        self._now_ms = now_ms
        count = hardware.receive()
        if count:
            reader = self._reader
            message = reader.message
            at = 0
            while at < count:
                at = reader.take(hardware.received, at, count)
                length = reader.length
                if not length:
                    continue
                if message[0] == COMMAND:
                    valid = self._command(message, length)
                else:
                    valid = self._dispatch(bytes(message[:length]))
                if not valid:
                    reader.bad += 1
        if self._active:
            self._live(new_ms)
        elif new_ms and not self._book.session:
            self._repeat_hello()
        if new_ms:
            self._show()

    def _repeat_hello(self):
        if hardware.ticks_diff(self._now_ms, self._hello_ms) >= BOARD_HELLO_EACH_MS:
            self._hello_ms = hardware.ticks_add(self._hello_ms, BOARD_HELLO_EACH_MS)
            self._say_hello()

    def _show(self):
        now_ms = self._now_ms
        if self._starting:
            self._starting = hardware.ticks_diff(now_ms, self._started_ms) < _START_MS
        if self._starting or (self._active and not self._host_silent):
            lit = True
        else:
            lit = now_ms // (_SILENT_MS if self._active else _WAITING_MS) % 2 == 0
        if lit != self._lamp:
            self._lamp = lit
            hardware.status_lamp(lit)

    # -- receiving ------------------------------------------------------------------------------

    def _dispatch(self, message):
        # Returns whether the message, which is no COMMAND, is valid.
        kind = message[0]
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
        self._chains.read()
        hardware.read_pins(self._levels)
        self._contacts = Contacts(contacts, self._levels, hardware.ticks_us())
        self._analogues = [_Analogue(item) for item in book.of_kind(ANALOGUE)]
        self._active = True
        self._host_silent = False
        self._sequence = 0
        self._command_sequence = None
        self._committed_ms = self._host_heard_ms = self._analogues_ms = self._now_ms
        self._report()

    def _command(self, message, length):
        if length < _COMMAND_HEAD:
            return False
        if not self._active or message[1] != self._book.session:
            return True  # from an earlier session
        if not self._outputs.fits(message, _COMMAND_HEAD, length):
            return False
        sequence = message[2] | message[3] << 8
        last = self._command_sequence
        if last is not None and not 0 < (sequence - last) & 0xFFFF < 32768:
            return True  # a duplicate, or older than the last one
        now_ms = self._now_ms
        self._command_sequence = sequence
        self._host_silent = False
        self._host_heard_ms = now_ms
        self._outputs.drive(message, _COMMAND_HEAD, now_ms)
        more = self._contacts.edges.acknowledge(message[4] | message[5] << 8)
        if more or hardware.ticks_diff(now_ms, self._reported_ms) >= ANSWER_GAP_MS:
            self._report()
        return True

    def _watch(self, message):
        _, session, place, window_ms = struct.unpack("<BBBH", message)
        if not self._active or session != self._book.session:
            return True
        if place >= self._contacts.count and place != NO_CONTACT:
            return False
        if not 1 <= window_ms <= MAX_CAPTURE_WINDOW_MS:
            return False
        self._capture = None
        if place != NO_CONTACT:
            hardware.read_pins(self._levels)
            raw = self._contacts.raw(place)
            self._capture = capture.RawCapture(place, window_ms, raw, hardware.ticks_us())
        self._send(capture.write_empty(self._writer.message, session, place))
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

    def _live(self, new_ms):
        watched = self._capture
        if self._chains.has_inputs and (new_ms or watched is not None):
            self._chains.read()
        now = hardware.ticks_us()
        hardware.read_pins(self._levels)
        report_due = self._contacts.read(now)
        if watched is not None:
            watched.sample(self._contacts.raw(watched.place), now)
        if new_ms and self._pass_ms():
            report_due = True
        if report_due:
            self._report()
        if watched is not None and watched.is_done(now):
            self._send(watched.write(self._writer.message, self._book.session))
            self._capture = None

    def _pass_ms(self):
        # Returns whether a REPORT is due.
        diff = hardware.ticks_diff
        now_ms = self._now_ms
        report_due = False
        if self._analogues and diff(now_ms, self._analogues_ms) >= ANSWER_GAP_MS:
            self._analogues_ms = now_ms
            report_due = self._read_analogues()
        self._outputs.play(now_ms)
        book = self._book
        if not self._host_silent and diff(now_ms, self._host_heard_ms) >= book.host_timeout_ms:
            self._host_silent = True
            self._outputs.go_idle(now_ms)
        if self._contacts.settling:
            return True
        wait_ms = book.report_interval_ms
        if self._contacts.edges.count and wait_ms > EDGE_REPEAT_MS:
            wait_ms = EDGE_REPEAT_MS
        return report_due or diff(now_ms, self._reported_ms) >= wait_ms

    def _have_settled(self):
        if not self._contacts.count:
            return True
        waited_ms = hardware.ticks_diff(self._now_ms, self._committed_ms)
        if waited_ms < SETTLE_LEAST_MS:
            return False
        return waited_ms >= SETTLE_MOST_MS or self._contacts.is_quiet()

    def _read_analogues(self):
        changed = False
        for analogue in self._analogues:
            reading = hardware.analogue(analogue.pin)
            if abs(reading - analogue.value) > analogue.gate:
                analogue.value = reading
                changed = True
        return changed

    # -- sending --------------------------------------------------------------------------------

    def _report(self):
        contacts = self._contacts
        if contacts.settling:
            if not self._have_settled():
                return
            contacts.end_settling()
        message = self._writer.message
        edges = contacts.edges
        count = len(contacts.closed)
        copy(contacts.closed, count, message, _REPORT_HEAD)
        at = _REPORT_HEAD + count
        for analogue in self._analogues:
            message[at] = analogue.value & 0xFF
            message[at + 1] = analogue.value >> 8
            at += 2
        sent = edges.write(message, at, _REPORT_HEAD)
        flags = NOISY_CONTACT if contacts.noisy else 0
        if self._host_silent:
            flags |= HOST_SILENT
        if edges.lost:
            flags |= EDGES_LOST
        struct.pack_into(
            "<BBHHBBHB",
            message,
            0,
            REPORT,
            self._book.session,
            self._sequence,
            self._command_sequence or 0,
            flags,
            self._reader.bad & 0xFF,
            edges.first,
            sent,
        )
        self._send(at + sent)
        self._sequence = (self._sequence + 1) & 0xFFFF
        self._reported_ms = self._now_ms

    def _say_hello(self):
        checksum = self._book.checksum if self._active else 0
        struct.pack_into(
            "<BBBBBHHB",
            self._writer.message,
            0,
            HELLO,
            PROTOCOL_VERSION,
            hardware.BOARD_CODE,
            FIRMWARE_MAJOR,
            FIRMWARE_MINOR,
            self._boot_id,
            checksum,
            hardware.MAX_ITEMS,
        )
        self._send(10)

    def _reply(self, answers, index, status):
        book = self._book
        struct.pack_into(
            "<BBBBBH",
            self._writer.message,
            0,
            SETUP_REPLY,
            book.session,
            answers,
            index,
            status,
            book.checksum,
        )
        self._send(7)

    def _send(self, length):
        hardware.send(self._writer.frame, self._writer.seal(length))
