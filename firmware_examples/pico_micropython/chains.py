# Chains of 74HC165 and 74HC595 chips. PROTOCOL.md, section 6.

import hardware

from terms import CHAIN_IN, FIRST_CHAIN_PIN


class _Chain:
    def __init__(self, item, first):
        self.data, self.clock, self.latch = item.pin, item.p1, item.p2
        self.first = first
        self.count = 8 * item.p3
        self.is_input = item.kind == CHAIN_IN
        hardware.output(self.clock, 0)
        hardware.output(self.latch, 1 if self.is_input else 0)
        if not self.is_input:
            hardware.output(self.data, 0)


class Chains:
    def __init__(self):
        self._chains = []
        self._high = bytearray()
        self.has_inputs = False

    def start(self, items):
        self._chains = []
        first = 0
        for item in items:
            if item.is_chain:
                self._chains.append(_Chain(item, first))
                first += 8 * item.p3
        self._high = bytearray(first)
        self.has_inputs = any(chain.is_input for chain in self._chains)

    def is_high(self, pin):
        return self._high[pin - FIRST_CHAIN_PIN]

    def set(self, pin, high):
        self._high[pin - FIRST_CHAIN_PIN] = 1 if high else 0

    def read(self):
        write, read, high = hardware.write, hardware.read, self._high
        for chain in self._chains:
            if not chain.is_input:
                continue
            write(chain.latch, 0)
            write(chain.latch, 1)
            # The chip at the data pin comes first; each chip sends D7 first.
            for chip in range(chain.first, chain.first + chain.count, 8):
                for bit in range(chip + 7, chip - 1, -1):
                    high[bit] = read(chain.data)
                    write(chain.clock, 1)
                    write(chain.clock, 0)

    def write(self):
        write, high = hardware.write, self._high
        for chain in self._chains:
            if chain.is_input:
                continue
            # The first bit sent ends up in Q7 of the last chip.
            for bit in range(chain.first + chain.count - 1, chain.first - 1, -1):
                write(chain.data, high[bit])
                write(chain.clock, 1)
                write(chain.clock, 0)
            write(chain.latch, 1)
            write(chain.latch, 0)
