# Outputs: lamps, horn and gauges. PROTOCOL.md, 2.8 and section 5.

import hardware

from terms import ACTIVE_LOW, LAMP, PWM, SERVO, TONE

SILENT, INTERMITTENT, CONTINUOUS = 0, 1, 2
FULL = 65535


def share_of(brightness):
    # To the eye, half the light looks much more than half as bright: a square law is close to that.
    # Rounded up, so that only brightness 0 is off.
    return (brightness * brightness * FULL + 65024) // 65025


class _Output:
    def __init__(self, item, chains):
        self.item = item
        self._chains = chains
        self.value = None
        self._sounding = False
        self._since_ms = 0
        self._lit_by_low = bool(item.flags & ACTIVE_LOW)
        if not item.on_chain:
            hardware.output(item.pin, 1 if self._lit_by_low else 0)

    @property
    def idle(self):
        return SILENT if self.item.kind == TONE else self.item.p1

    def set(self, value, now_ms):
        # An unchanged value is not set again: a horn pattern continues while COMMANDs repeat it.
        item = self.item
        if item.kind == SERVO and value:
            value = min(max(value, item.p2), item.p3)
        if value == self.value:
            return
        self.value = value
        if item.kind == LAMP:
            self._light(value)
        elif item.kind == TONE:
            self._since_ms = now_ms
            self._sound(value != SILENT)
        else:
            hardware.servo(item.pin, value)

    def play(self, now_ms):
        if self.item.kind != TONE or self.value != INTERMITTENT:
            return
        part_ms = self.item.p2 if self._sounding else self.item.p3
        if now_ms - self._since_ms >= part_ms:
            self._since_ms += part_ms
            self._sound(not self._sounding)

    def _light(self, brightness):
        item = self.item
        if item.on_chain:
            self._chains.set(item.pin, (brightness > 0) != self._lit_by_low)
        elif item.flags & PWM:
            share = share_of(brightness)
            hardware.dim(item.pin, FULL - share if self._lit_by_low else share)
        else:
            hardware.write(item.pin, (brightness > 0) != self._lit_by_low)

    def _sound(self, on):
        self._sounding = on
        hardware.tone(self.item.pin, self.item.p1, on)


class Outputs:
    def __init__(self, chains):
        self._chains = chains
        self._outputs = []

    def start(self, items, now_ms):
        self._outputs = [_Output(item, self._chains) for item in items]
        self.go_idle(now_ms)

    def go_idle(self, now_ms):
        for output in self._outputs:
            output.set(output.idle, now_ms)
        self._chains.write()

    def go_dark(self):
        # Call before the pins are released: the chips would keep their outputs.
        for output in self._outputs:
            if output.item.on_chain:
                output.set(0, 0)
        self._chains.write()
        self._outputs = []

    def values_of(self, message, at):
        # Returns the values of a COMMAND, or None if one is not valid or the length is wrong.
        values = []
        for output in self._outputs:
            width = 2 if output.item.kind == SERVO else 1
            value = int.from_bytes(message[at : at + width], "little")
            if output.item.kind == TONE and value > CONTINUOUS:
                return None
            values.append(value)
            at += width
        return values if at == len(message) else None

    def drive(self, values, now_ms):
        for output, value in zip(self._outputs, values):
            output.set(value, now_ms)
        self._chains.write()  # with every COMMAND, so that a disturbed chip is corrected

    def play(self, now_ms):
        for output in self._outputs:
            output.play(now_ms)
