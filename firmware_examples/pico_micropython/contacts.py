# Contacts: debounced states and their edges. PROTOCOL.md, 4.5 and 4.9.

import hardware
import micropython

from micropython import const
from terms import ACTIVE_LOW, EDGE_QUEUE, HOLD_AFTER_EDGE, MAX_EDGES

_LONG_US = const(100000000)  # longer than any debounce time


class Contact:
    def __init__(self, item, high, now):
        self._low_is_closed = bool(item.flags & ACTIVE_LOW)
        self._hold = bool(item.flags & HOLD_AFTER_EDGE)
        self._settle_us = item.p1 * 1000
        self._raw = self.stable = self.raw_of(high)
        self._timing = self.noisy = False
        self._due = 0
        self.in_burst = True  # a pull-up may have only begun to charge its wire
        self._changed = self._burst_begun = now
        self.moves = 1  # 1: something ends at `ends`, even if the pin does not change
        self.ends = now

    def raw_of(self, high):
        return bool(high) != self._low_is_closed

    def sample(self, now, high):
        # Returns whether this sample made an edge; `now` is in ticks of 1 us.
        before = self.stable
        raw = bool(high) != self._low_is_closed
        self._settle(now)
        if raw != self._raw:
            self._change(now, raw)
        self.moves = 1 if self._timing or self.in_burst else 0
        self.ends = self._due
        if self.in_burst:
            quiet = hardware.ticks_add(self._changed, self._settle_us)
            if not self._timing or hardware.ticks_diff(quiet, self._due) < 0:
                self.ends = quiet
        return self.stable != before

    def believe(self):
        # Takes the raw state as the debounced one.
        self.stable = self._raw

    def _settle(self, now):
        diff = hardware.ticks_diff
        while self._timing and diff(now, self._due) >= 0:
            if self._hold and self._raw != self.stable:
                # A change that came during the hold counts now and starts a hold of its own.
                self._due = hardware.ticks_add(self._due, self._settle_us)
            else:
                self._timing = False
            self.stable = self._raw
        if self.in_burst and diff(now, self._changed) >= self._settle_us:
            self.in_burst = False

    def _change(self, now, raw):
        self._raw = raw
        if not self.in_burst:
            self.in_burst = True
            self.noisy = False
            self._burst_begun = now
        self._changed = now
        if hardware.ticks_diff(now, self._burst_begun) > 2 * self._settle_us:
            self.noisy = True
        if self._hold:
            if self._timing:
                return
            self.stable = raw
        self._timing = True
        self._due = hardware.ticks_add(now, self._settle_us)


@micropython.viper
def _next_changed(place: int, count: int, where: ptr8, levels: ptr8, seen: ptr8) -> int:
    # The first contact from `place` on whose level is not the one seen last, or `count`.
    while place < count:
        if levels[where[place]] != seen[place]:
            break
        place += 1
    return place


@micropython.viper
def _next_moving(place: int, count: int, moving: ptr8) -> int:
    while place < count:
        if moving[place]:
            break
        place += 1
    return place


class Contacts:
    # All contacts of a set-up. One costs time only when its level changes or its time is over.
    # Until `end_settling` there are no edges.

    def __init__(self, items, levels, now):
        self.count = len(items)
        self.closed = bytearray((self.count + 7) // 8)  # the debounced states, as in a REPORT
        self.noisy = 0  # how many are
        self.edges = EdgeQueue(max(EDGE_QUEUE, self.count))
        self.settling = True
        self._levels = levels
        self._where = bytearray([item.pin for item in items])
        self._seen = bytearray([levels[item.pin] for item in items])
        self._contacts = [Contact(item, levels[item.pin], now) for item in items]
        self._moving = bytearray([1] * self.count)  # 1: something ends for this contact
        self._movers = self.count
        self._wake = now  # when it ends for the first of them

    def is_quiet(self):
        for contact in self._contacts:
            if contact.in_burst:
                return False
        return True

    def end_settling(self):
        # The state now makes no edge.
        self.settling = False
        place = 0
        for contact in self._contacts:
            contact.believe()
            if contact.stable:
                self.closed[place >> 3] |= 1 << (place & 7)
            place += 1

    def read(self, now):
        # Returns whether there was an edge.
        count = self.count
        where, levels, seen = self._where, self._levels, self._seen  # of four it would make a tuple
        edge = False
        place = _next_changed(0, count, where, levels, seen)
        while place < count:
            if self._sample(place, now):
                edge = True
            place = _next_changed(place + 1, count, where, levels, seen)
        if self._movers and hardware.ticks_diff(now, self._wake) >= 0:
            self._wake = hardware.ticks_add(now, _LONG_US)
            place = _next_moving(0, count, self._moving)
            while place < count:
                if self._sample(place, now):
                    edge = True
                place = _next_moving(place + 1, count, self._moving)
        return edge

    def _sample(self, place, now):
        contact = self._contacts[place]
        level = self._seen[place] = self._levels[self._where[place]]
        was_noisy = contact.noisy
        edge = contact.sample(now, level) and not self.settling
        if edge:
            self.closed[place >> 3] ^= 1 << (place & 7)
            self.edges.append(place | (0x80 if contact.stable else 0))
        if contact.noisy != was_noisy:
            self.noisy += -1 if was_noisy else 1
        moves = contact.moves
        if moves != self._moving[place]:
            self._moving[place] = moves
            self._movers += 1 if moves else -1
            if moves and self._movers == 1:
                self._wake = contact.ends
        if moves and hardware.ticks_diff(contact.ends, self._wake) < 0:
            self._wake = contact.ends
        return edge

    def raw(self, place):
        return self._contacts[place].raw_of(self._levels[self._where[place]])


class EdgeQueue:
    # The edges that the computer has not acknowledged, numbered modulo 65536.

    def __init__(self, most):
        self.first = 0
        self.count = 0
        self.lost = False
        self._most = most
        self._ring = bytearray(most)
        self._oldest = 0  # its place in the ring
        self._sent = 0  # how many of the oldest were in a REPORT

    def append(self, edge):
        if self.count == self._most:
            self._drop(1)
            self.lost = True
        self._ring[(self._oldest + self.count) % self._most] = edge
        self.count += 1

    def acknowledge(self, next_expected):
        # Returns whether edges are left that no REPORT has carried.
        count = (next_expected - self.first) & 0xFFFF
        if not 0 < count <= self.count:
            return False  # nothing new, or out of range
        self._drop(count)
        self.lost = False
        return self._sent < self.count

    def _drop(self, count):
        self._oldest = (self._oldest + count) % self._most
        self.count -= count
        self._sent = max(0, self._sent - count)
        self.first = (self.first + count) & 0xFFFF

    def write(self, message, at, contacts_at):
        # Writes the oldest edges into a REPORT; returns how many. The contacts in it, which are the
        # newest state, become the state after these edges: the later ones are undone.
        sent = min(self.count, MAX_EDGES)
        for nth in range(self.count - 1, sent - 1, -1):
            edge = self._ring[(self._oldest + nth) % self._most]
            message[contacts_at + ((edge & 0x7F) >> 3)] ^= 1 << (edge & 7)
        for nth in range(sent):
            message[at + nth] = self._ring[(self._oldest + nth) % self._most]
        self._sent = max(self._sent, sent)
        return sent
