# Runs the board's real hardware.py on this machine, with a simulated `machine` module. This shows
# that the file loads and what it does with its pins, not how a real board behaves.

import sys

from array import array

log = []


def note(*words):
    log.append(" ".join([str(word) for word in words]))


class Pin:
    IN, OUT, PULL_UP = "in", "out", "up"

    def __init__(self, number, mode=None, value=None):
        if number == "LED" and "no_led" in sys.argv:
            raise ValueError("unknown named pin")
        self.number = number
        self.level = value

    def init(self, mode, pull=None, value=None):
        note("pin", self.number, mode, pull, value)

    def value(self, level=None):
        if level is not None:
            note("level", self.number, int(level))
        return 1

    __call__ = value


class PWM:
    # As in MicroPython's port for these chips: two outputs share a generator, and what an output
    # was last set to outlives its object. A new frequency sets both of its outputs again.
    pulses_ns = {}

    def __init__(self, pin, freq, duty_u16):
        self.number = pin.number
        generator, output = self._place = pin.number >> 1 & 7, pin.number & 1
        PWM.pulses_ns[self._place] = 0
        if PWM.pulses_ns.get((generator, 1 - output), 0) * freq > 1000000000:
            raise ValueError("duty larger than period")
        note("pwm", self.number, freq, duty_u16)

    def duty_u16(self, share):
        PWM.pulses_ns[self._place] = 0
        note("share", self.number, share)

    def duty_ns(self, ns):
        PWM.pulses_ns[self._place] = ns
        note("ns", self.number, ns)

    def deinit(self):
        note("pwm ends", self.number)


class ADC:
    def __init__(self, pin):
        self.pin = pin

    def read_u16(self):
        return 1000 + self.pin


class WDT:
    def __init__(self, timeout):
        note("watchdog", timeout)

    def feed(self):
        note("fed")


class Machine:
    pass


class Rp2:
    pressed = [0, 1]
    bootsel_button = staticmethod(lambda: Rp2.pressed.pop(0))


class Micropython:
    kbd_intr = staticmethod(lambda byte: note("interrupt", byte))
    const = staticmethod(lambda number: number)
    viper = None  # the compiler's own


for each in (Pin, PWM, ADC, WDT):
    setattr(Machine, each.__name__, each)
sys.modules["machine"] = Machine
sys.modules["rp2"] = Rp2
sys.modules["micropython"] = Micropython

import hardware as layer

layer.start()
layer.status_lamp(True)
layer.feed_watchdog()
note("button", layer.bootsel_pressed())
note("button", layer.bootsel_pressed())
layer.stop()
layer.start_watchdog()
layer.feed_watchdog()
layer.let_go(5)
layer.pull_up(5)
layer._GPIO_IN = array("I", [0x3000C021])  # in place of the chip's register
levels = bytearray(32)
layer.read_pins(levels)
note("levels", [pin for pin in range(32) if levels[pin] == 1], max(levels))
line = layer.line(5)
line(0)
note("line", line())
layer.output(6, 1)
layer.write(6, 0)
layer.dim(6, 100)
layer.dim(6, 200)
layer.let_go(6)
layer.tone(8, 700, True)
layer.tone(8, 700, False)
layer.servo(10, 1500)
layer.servo(10, 0)
layer.servo(10, 1500)
layer.let_go(10)
layer.dim(11, 300)
layer.let_go(11)
layer.servo(27, 1500)
layer.let_go(27)
layer.tone(10, 3000, True)
note("analogue", layer.analogue(26), layer.analogue(28))
note("pins", len(layer.PINS), 23 in layer.PINS, 22 in layer.PINS, 28 in layer.PINS)
note("boot", 0 <= layer.boot_id() <= 65535, type(layer.boot_id()).__name__)
note("ticks", layer.ticks_diff(layer.ticks_add(layer.ticks_us(), 1000), layer.ticks_us()) > 0)
for _ in range(3):
    count = layer.receive()
    note("received", bytes(layer.received[:count]))
layer.send(b"sent\n and no more", 5)
print("\n".join(log))
