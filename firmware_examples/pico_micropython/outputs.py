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
    def __init__(self, item, chains):
        self.item = item
        self._chains = chains
        self.value = None
        self._sounding = False
        self._since_ms = 0
        self._lit_by_low = bool(item.flags & ACTIVE_LOW)
        self.idle = SILENT if item.kind == TONE else item.p1
        if not item.on_chain:
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
        elif item.on_chain:
            self._chains.set(item.pin, (value > 0) != self._lit_by_low)
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


class Outputs:
    def __init__(self, chains):
        self._chains = chains
        self._let_go()

    def _let_go(self):
        self._outputs = []
        self._tones = []
        self._values = bytearray()  # of all outputs, as in a COMMAND
        self._owner = bytearray()  # which output each of those bytes belongs to
        self._begins = bytearray()  # the first of those bytes of each output
        self._tone_places = bytearray()  # those bytes that belong to tones

    def start(self, items):
        # Call `go_idle` next.
        self._outputs = [_Output(item, self._chains) for item in items]
        self._tones = [output for output in self._outputs if output.item.kind == TONE]
        for number, item in enumerate(items):
            self._begins.append(len(self._owner))
            if item.kind == TONE:
                self._tone_places.append(len(self._owner))
            self._owner.extend(bytes([number] * (2 if item.kind == SERVO else 1)))
        self._values = bytearray(len(self._owner))

    def go_idle(self, now_ms):
        number = 0
        for output in self._outputs:
            idle = output.idle
            begin = self._begins[number]
            self._values[begin] = idle & 0xFF
            if output.item.kind == SERVO:
                self._values[begin + 1] = idle >> 8
            output.set(idle, now_ms)
            number += 1
        self._chains.write()

    def go_dark(self):
        # Call before the pins are released: the chips would keep their outputs.
        for output in self._outputs:
            if output.item.on_chain:
                output.set(0, 0)
        self._chains.write()
        self._let_go()

    def fits(self, message, at, length):
        # Whether message[at:length] can be the values of a COMMAND.
        if length - at != len(self._values):
            return False
        for place in self._tone_places:
            if message[at + place] > CONTINUOUS:
                return False
        return True

    def drive(self, message, at, now_ms):
        values = self._values
        count = len(values)
        place = _next_change(0, count, values, message, at)
        while place < count:
            number = self._owner[place]
            output = self._outputs[number]
            place = self._begins[number]
            value = values[place] = message[at + place]
            place += 1
            if output.item.kind == SERVO:
                high = values[place] = message[at + place]
                value |= high << 8
                place += 1
            output.set(value, now_ms)
            place = _next_change(place, count, values, message, at)
        self._chains.write()  # with every COMMAND, so that a disturbed chip is corrected

    def play(self, now_ms):
        for output in self._tones:
            output.play(now_ms)
