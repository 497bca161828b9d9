# The set-up: items are checked one by one. PROTOCOL.md, 2.5 and 4.2.

import hardware
import struct

from frames import CRC_START, crc16
from terms import *

_LONGEST = MAX_MESSAGE - 2
_COMMAND_HEAD = 6
_REPORT_HEAD = 11
_LOWEST_HZ, _HIGHEST_HZ = 31, 10000
_LONGEST_PULSE_US = 10000
_FLAGS = {
    CONTACT: PULL_UP | ACTIVE_LOW | HOLD_AFTER_EDGE,
    ANALOGUE: 0,
    LAMP: ACTIVE_LOW | PWM,
    TONE: 0,
    SERVO: 0,
    CHAIN_IN: 0,
    CHAIN_OUT: 0,
}


class Item:
    def __init__(self, body):
        self.kind, self.pin, self.flags, self.p1, self.p2, self.p3 = struct.unpack("<BBBHHH", body)
        self.is_chain = self.kind in (CHAIN_IN, CHAIN_OUT)
        self.is_output = LAMP <= self.kind < CHAIN_IN
        self.on_chain = self.pin >= FIRST_CHAIN_PIN

    def pins(self):
        return (self.pin, self.p1, self.p2) if self.is_chain else (self.pin,)

    def pulse_hz(self):
        # Frequency of the pulses that it needs, Hz; 0 = none.
        if self.kind == SERVO:
            return hardware.SERVO_HZ
        if self.kind == TONE:
            return self.p1
        return hardware.LAMP_HZ if self.kind == LAMP and self.flags & PWM else 0


class SetupBook:
    def __init__(self):
        self.forget()

    def forget(self):
        self.session = 0
        self.items = []
        self.host_timeout_ms = self.report_interval_ms = 0
        self._announced = 0
        self._wanted = 0
        self._last = None  # body of the last item, as received
        self.checksum = CRC_START  # of the items accepted so far

    def begin(self, message):
        self.forget()
        _, session, count, checksum, timeout_ms, interval_ms = struct.unpack("<BBBHHH", message)
        if not (session and timeout_ms and interval_ms):
            return BAD_VALUE
        if count > hardware.MAX_ITEMS:
            return TOO_MANY_ITEMS
        self.session = session
        self._announced = count
        self._wanted = checksum
        self.host_timeout_ms = timeout_ms
        self.report_interval_ms = interval_ms
        return OK

    def take(self, message):
        if not self.session:
            return BAD_ORDER
        index, body = message[1], message[2:]
        count = len(self.items)
        if index == count - 1 and body == self._last:
            return OK  # repeated because the reply was lost
        if index != count or index >= self._announced:
            return BAD_ORDER
        item = Item(body)
        status = self._judge(item)
        if status == OK:
            self.items.append(item)
            self._last = body
            self.checksum = crc16(body, self.checksum)
        return status

    def commit(self, checksum):
        if not self.session or len(self.items) != self._announced:
            return BAD_ORDER
        return OK if checksum == self._wanted == self.checksum else BAD_CHECKSUM

    def of_kind(self, kind):
        return [item for item in self.items if item.kind == kind]

    def outputs(self):
        return [item for item in self.items if item.is_output]

    def _judge(self, item):
        if item.kind not in _FLAGS:
            return UNKNOWN_KIND
        status = self._judge_pins(item)
        if status != OK:
            return status
        if item.flags & ~_FLAGS[item.kind] or not _values_fit(item):
            return BAD_VALUE
        chains = [other for other in self.items if other.is_chain]
        if item.is_chain:
            chips = item.p3 + sum(chain.p3 for chain in chains)
            return TOO_MANY_ITEMS if len(chains) >= MAX_CHAINS or chips > MAX_CHAIN_CHIPS else OK
        return self._judge_lengths(self.items + [item])

    def _judge_pins(self, item):
        bits = self._bits()
        wanted = item.pins()
        for pin in wanted:
            if pin not in hardware.PINS and not 0 <= pin - FIRST_CHAIN_PIN < len(bits):
                return NO_SUCH_PIN
        used = [pin for other in self.items for pin in other.pins()]
        for at, pin in enumerate(wanted):
            if pin in used or pin in wanted[:at]:
                return PIN_IN_USE
        if item.is_chain:
            return PIN_CANNOT if max(wanted) >= FIRST_CHAIN_PIN else OK
        if item.on_chain:
            able = CONTACT if bits[item.pin - FIRST_CHAIN_PIN] == CHAIN_IN else LAMP
            return PIN_CANNOT if item.kind != able or item.flags & (PULL_UP | PWM) else OK
        if item.kind == ANALOGUE and item.pin not in hardware.ANALOGUE_PINS:
            return PIN_CANNOT
        hz = item.pulse_hz()
        for other in self.items:
            other_hz = other.pulse_hz()
            if hz and other_hz and hardware.pulses_clash(item.pin, hz, other.pin, other_hz):
                return PIN_CANNOT
        return OK

    def _bits(self):
        # The kind of chain that each bit belongs to.
        return [item.kind for item in self.items if item.is_chain for _ in range(8 * item.p3)]

    def _judge_lengths(self, items):
        kinds = [item.kind for item in items]
        outputs = len([item for item in items if item.is_output]) + kinds.count(SERVO)
        report = _REPORT_HEAD + (kinds.count(CONTACT) + 7) // 8 + 2 * kinds.count(ANALOGUE)
        if report + MAX_EDGES > _LONGEST or _COMMAND_HEAD + outputs > _LONGEST:
            return REPORT_TOO_LONG
        return OK


def _values_fit(item):
    p1, p2, p3 = item.p1, item.p2, item.p3
    alone = p2 == 0 and p3 == 0
    if item.kind == CONTACT:
        return alone and 1 <= p1 <= 500
    if item.kind == ANALOGUE:
        return alone and p1 <= hardware.COUNTS
    if item.kind == LAMP:
        return alone and p1 <= 255
    if item.kind == TONE:
        return _LOWEST_HZ <= p1 <= _HIGHEST_HZ and p2 > 0 and p3 > 0
    if item.kind == SERVO:
        return 0 < p2 <= p3 <= _LONGEST_PULSE_US and (p1 == 0 or p2 <= p1 <= p3)
    return 1 <= p3 <= MAX_CHAIN_CHIPS
