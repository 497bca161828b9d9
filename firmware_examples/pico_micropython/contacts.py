# Contacts: debounced states and their edges. PROTOCOL.md, 4.5 and 4.9.

import hardware

from terms import ACTIVE_LOW, EDGE_QUEUE, HOLD_AFTER_EDGE, MAX_EDGES


class Contact:
    def __init__(self, item, high):
        self.pin = item.pin
        self.on_chain = item.on_chain
        self._low_is_closed = bool(item.flags & ACTIVE_LOW)
        self._hold = bool(item.flags & HOLD_AFTER_EDGE)
        self._settle_us = item.p1 * 1000
        self._raw = self.stable = self.raw_of(high)
        self._timing = self._in_burst = self.noisy = False
        self._due = self._changed = self._burst_begun = 0

    def raw_of(self, high):
        return bool(high) != self._low_is_closed

    def sample(self, now, high):
        # Returns whether this sample made an edge; `now` is in ticks of 1 us.
        raw = bool(high) != self._low_is_closed
        if raw == self._raw and not self._timing and not self._in_burst:
            return False
        before = self.stable
        self._settle(now)
        if raw != self._raw:
            self._change(now, raw)
        return self.stable != before

    def _settle(self, now):
        diff = hardware.ticks_diff
        while self._timing and diff(now, self._due) >= 0:
            if self._hold and self._raw != self.stable:
                # A change that came during the hold counts now and starts a hold of its own.
                self._due = hardware.ticks_add(self._due, self._settle_us)
            else:
                self._timing = False
            self.stable = self._raw
        if self._in_burst and diff(now, self._changed) >= self._settle_us:
            self._in_burst = False

    def _change(self, now, raw):
        self._raw = raw
        if not self._in_burst:
            self._in_burst = True
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


class EdgeQueue:
    # The edges that the computer has not acknowledged, numbered modulo 65536.

    def __init__(self):
        self._edges = []
        self.first = 0
        self.lost = False

    def __len__(self):
        return len(self._edges)

    def append(self, place, closed):
        self._edges.append(place | (0x80 if closed else 0))
        if len(self._edges) > EDGE_QUEUE:
            self._edges.pop(0)
            self.first = (self.first + 1) & 0xFFFF
            self.lost = True

    def acknowledge(self, next_expected):
        count = (next_expected - self.first) & 0xFFFF
        if count > len(self._edges):
            return  # out of range
        self._edges = self._edges[count:]
        self.first = next_expected
        if count:
            self.lost = False

    def oldest(self):
        return bytes(self._edges[:MAX_EDGES])

    def waiting(self):
        # The edges that do not fit into the next REPORT, newest first.
        return reversed(self._edges[MAX_EDGES:])
