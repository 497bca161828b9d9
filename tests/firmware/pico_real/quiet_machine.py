# A simulated `machine` module that allocates nothing: import it before the real hardware.py.

import micropython
import sys

deepest = 0  # most bytes of the stack that were in use when the program set or read a pin


def look():
    global deepest
    deepest = max(deepest, micropython.stack_use())


class Pin:
    IN, OUT, PULL_UP = 0, 1, 2
    levels = bytearray(b"\1" * 30)

    def __init__(self, number, mode=0, value=0):
        self.number = 29 if isinstance(number, str) else number

    def init(self, mode, pull=None, value=None):
        look()

    def value(self, level=None):
        look()
        return Pin.levels[self.number]

    __call__ = value


class PWM:
    def __init__(self, pin, freq, duty_u16):
        look()

    def duty_u16(self, share):
        look()

    duty_ns = duty_u16

    def deinit(self):
        pass


class ADC:
    def __init__(self, pin):
        pass

    def read_u16(self):
        look()
        return 1000


class WDT:
    def __init__(self, timeout):
        pass

    def feed(self):
        pass


class Machine:
    pass


for each in (Pin, PWM, ADC, WDT):
    setattr(Machine, each.__name__, each)
sys.modules["machine"] = Machine
sys.modules["rp2"] = Machine
