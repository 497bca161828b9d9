# Chains of 74HC165 and 74HC595 chips. PROTOCOL.md, section 6.

import hardware
import micropython

from terms import CHAIN_IN, FIRST_CHAIN_PIN


class _Chain:
    def __init__(self, item, first):
        self.first = first
        self.count = 8 * item.p3
        self.is_input = item.kind == CHAIN_IN
        hardware.output(item.p1, 0)
        hardware.output(item.p2, 1 if self.is_input else 0)
        if not self.is_input:
            hardware.output(item.pin, 0)
        self.data = hardware.line(item.pin)
        self.clock = hardware.line(item.p1)
        self.latch = hardware.line(item.p2)

    @micropython.native
    def read(self, levels):
        data, clock, latch = self.data, self.clock, self.latch
        latch(0)
        latch(1)
        # The chip at the data pin comes first; each chip sends D7 first.
        chip = self.first
        end = chip + self.count
        while chip < end:
            bit = chip + 8
            while bit > chip:
                bit -= 1
                levels[bit] = data()
                clock(1)
                clock(0)
            chip += 8

    @micropython.native
    def write(self, levels):
        data, clock, latch = self.data, self.clock, self.latch
        # The first bit sent ends up in Q7 of the last chip.
        first = self.first
        bit = first + self.count
        while bit > first:
            bit -= 1
            data(levels[bit])
            clock(1)
            clock(0)
        latch(1)
        latch(0)


class Chains:
    # Their bits are pins from FIRST_CHAIN_PIN on, among the levels of all pins.

    def __init__(self, levels):
        self._levels = levels
        self._inputs = []
        self._outputs = []
        self.has_inputs = False

    def start(self, items):
        self._inputs = []
        self._outputs = []
        first = FIRST_CHAIN_PIN
        for item in items:
            if item.is_chain:
                chain = _Chain(item, first)
                (self._inputs if chain.is_input else self._outputs).append(chain)
                first += chain.count
        self.has_inputs = bool(self._inputs)

    def read(self):
        for chain in self._inputs:
            chain.read(self._levels)

    def write(self):
        for chain in self._outputs:
            chain.write(self._levels)
