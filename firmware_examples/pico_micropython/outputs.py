# Outputs: lamps, horn and gauges. PROTOCOL.md, 2.8 and section 5.

import hardware
import micropython

from terms import ACTIVE_LOW, PWM, SERVO, TONE

SILENT, INTERMITTENT, CONTINUOUS = 0, 1, 2
FULL = 65535


def share_of(brightness):
    # To the eye, half the light looks much more than half as bright: a square law is close to that.
    # FULL * brightness^2 / 255^2, rounded up, so that only brightness 0 is off. 65535 / 255 is 257:
    # with it no number here exceeds 30 bits; larger ones would take memory.
    return (brightness * brightness * 257 + 254) // 255


class _Output:
    # One that has a pin of its own.

    def __init__(self, item, place):
        self.item = item
        self.place = place  # of its value in a COMMAND
        self.value = None
        self._sounding = False
        self._since_ms = 0
        self._lit_by_low = bool(item.flags & ACTIVE_LOW)
        hardware.output(item.pin, 1 if self._lit_by_low else 0)

    def set(self, value, now_ms):
        # An unchanged value is not set again: a horn pattern continues while COMMANDs repeat it.
        item = self.item
        kind = item.kind
        if kind == SERVO and value:
            value = min(max(value, item.p2), item.p3)
        if value == self.value:
            return
        self.value = value
        # Calls are not nested deeper than needed: the chip has a stack of 4 kB.
        if kind == SERVO:
            hardware.servo(item.pin, value)
        elif kind == TONE:
            self._since_ms = now_ms
            self._sound(value != SILENT)
        elif item.flags & PWM:
            share = share_of(value)
            hardware.dim(item.pin, FULL - share if self._lit_by_low else share)
        else:
            hardware.write(item.pin, (value > 0) != self._lit_by_low)

    def play(self, now_ms):
        if self.value != INTERMITTENT:
            return
        part_ms = self.item.p2 if self._sounding else self.item.p3
        if hardware.ticks_diff(now_ms, self._since_ms) >= part_ms:
            self._since_ms = hardware.ticks_add(self._since_ms, part_ms)
            self._sound(not self._sounding)

    def _sound(self, on):
        self._sounding = on
        hardware.tone(self.item.pin, self.item.p1, on)


@micropython.viper
def _next_change(place: int, count: int, values: ptr8, message: ptr8, at: int) -> int:
    # The first byte from `place` on in which the message differs, or `count`.
    while place < count:
        if values[place] != message[at + place]:
            break
        place += 1
    return place


@micropython.viper
def _light_bits(
    count: int, values: ptr8, message: ptr8, at: int, bits: ptr8, dark: ptr8, levels: ptr8
):
    # Takes the values of all lamps on chains.
    place = 0
    while place < count:
        bit = bits[place]
        if bit:
            value = message[at + place]
            values[place] = value
            level = dark[place]
            levels[bit] = 1 - level if value else level
        place += 1


class Outputs:
    def __init__(self, chains, levels):
        self._chains = chains
        self._levels = levels
        self._let_go()

    def _let_go(self):
        self._outputs = []
        self._tones = []
        # For each byte of the values in a COMMAND:
        self._values = bytearray()  # the present one
        self._idle = bytearray()
        self._owner = bytearray()  # number of the output, unless it is a lamp on a chain
        self._bits = bytearray()  # the bit of a lamp on a chain, or 0
        self._dark = bytearray()  # the level at which it is dark

    def start(self, items, now_ms):
        for item in items:
            idle = 0 if item.kind == TONE else item.p1
            self._idle.append(idle & 0xFF)
            self._owner.append(len(self._outputs))
            self._bits.append(item.pin if item.on_chain else 0)
            self._dark.append(1 if item.flags & ACTIVE_LOW else 0)
            if item.on_chain:
                continue
            output = _Output(item, len(self._idle) - 1)
            output.set(idle, now_ms)
            self._outputs.append(output)
            if item.kind == TONE:
                self._tones.append(output)
            if item.kind == SERVO:
                self._idle.append(idle >> 8)
                self._owner.append(len(self._outputs) - 1)
                self._bits.append(0)
                self._dark.append(0)
        self._values = bytearray(self._idle)
        self.go_idle(now_ms)

    def go_idle(self, now_ms):
        self.drive(self._idle, 0, now_ms)

    def go_dark(self):
        # Call before the pins are released: the chips would keep their outputs.
        self._light(bytearray(len(self._values)), 0)
        self._chains.write()
        self._let_go()

    def fits(self, message, at, length):
        # Whether message[at:length] can be the values of a COMMAND.
        if length - at != len(self._values):
            return False
        for output in self._tones:
            if message[at + output.place] > CONTINUOUS:
                return False
        return True

    def drive(self, message, at, now_ms):
        self._light(message, at)
        values = self._values
        count = len(values)
        place = _next_change(0, count, values, message, at)
        while place < count:
            output = self._outputs[self._owner[place]]
            place = output.place
            value = values[place] = message[at + place]
            place += 1
            if output.item.kind == SERVO:
                high = values[place] = message[at + place]
                value |= high << 8
                place += 1
            output.set(value, now_ms)
            place = _next_change(place, count, values, message, at)
        self._chains.write()  # with every COMMAND, so that a disturbed chip is corrected

    def _light(self, message, at):
        values = self._values
        _light_bits(len(values), values, message, at, self._bits, self._dark, self._levels)

    def play(self, now_ms):
        for output in self._tones:
            output.play(now_ms)
