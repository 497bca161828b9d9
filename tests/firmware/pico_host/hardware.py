# Replaces firmware_examples/pico_micropython/hardware.py on this machine: simulated pins and chips,
# and a clock that the bench advances. Runs in MicroPython.
#
# The program's loop ends with feed_watchdog: it advances the clock, and at the end of the time that
# the bench gave it reads the next commands. A command is a line, and so is its answer.

import sys

BOARD_CODE = 6
MAX_ITEMS = 112
COUNTS = 65535
ANALOGUE_PINS = (26, 27, 28)
PINS = tuple(range(23)) + ANALOGUE_PINS

LAMP_HZ = 1000
SERVO_HZ = 50
PULL_UP_RISE_US = 150  # a long wire
PERIOD = 1 << 30  # ticks of a real board wrap here


class Reset(Exception):
    pass


class Pin:
    def __init__(self, number):
        self.number = number
        self.closed = False
        self.counts = 0
        self.history = []
        self.let_go()

    def let_go(self):
        self.risen = 0
        self.mode, self.level, self.share, self.hz, self.pulse_us = "in", 0, 0, 0, 0

    def __call__(self, high=None):
        if high is None:
            return read(self.number)
        return write(self.number, high)

    def text(self):
        if self.mode == "out":
            return "out %d" % self.level
        if self.mode == "pwm":
            return "pwm %d %d %d" % (self.hz, self.share, self.pulse_us)
        return self.mode


class Chips:
    # 74HC595 in a row; register[0] is Q0 of the chip at the board's data pin.

    def __init__(self, is_out, data, clock, latch, chips):
        self.is_out = is_out
        self.data, self.clock, self.latch = data, clock, latch
        self.register = [0] * (8 * chips)
        self.outside = [0 if is_out else 1] * (8 * chips)
        self.clock_level = self.latch_level = 0

    def moved(self, pins):
        clock, latch = pins[self.clock].level, pins[self.latch].level
        if clock and not self.clock_level and (self.is_out or latch):
            self.shift(pins[self.data].level)
        if self.is_out and latch and not self.latch_level:
            self.outside = self.register[:]
        if not self.is_out and not latch:
            self.register = self.outside[:]
        self.clock_level, self.latch_level = clock, latch

    def shift(self, level):
        self.register = [level] + self.register[:-1]


class Chips165(Chips):
    # 74HC165, whose output is D7; register[0] is D0 of the first chip.

    def data_out(self):
        return self.register[7]

    def shift(self, level):
        # The last chip shifts in a low level; each chip passes its D7 to the one before it.
        stages = self.register
        for first in range(0, len(stages), 8):
            after = stages[first + 15] if first + 15 < len(stages) else 0
            stages[first : first + 8] = [after] + stages[first : first + 7]


received = bytearray(64)

_pins = {pin: Pin(pin) for pin in PINS}
_chips = []
_loop_us = 500
_now = 0
_until = 0
_received = b""
_sent = b""
_boots = 0
_feeds = 0
_lamp = 0
_button = False
_at_prompt = False


def ticks_ms():
    return _now // 1000 % PERIOD


def ticks_us():
    return _now % PERIOD


def ticks_add(ticks, change):
    return (ticks + change) % PERIOD


def ticks_diff(late, early):
    return (late - early + PERIOD // 2) % PERIOD - PERIOD // 2


def start():
    pass


def stop():
    status_lamp(False)


def bootsel_pressed():
    return _button


def start_watchdog():
    pass


def boot_id():
    return _boots


def status_lamp(on):
    global _lamp
    _lamp = int(on)


def pulses_clash(pin, hz, other, other_hz):
    if (pin >> 1) & 7 != (other >> 1) & 7:
        return False
    return pin & 1 == other & 1 or hz != other_hz


def let_go(pin):
    _pins[pin].let_go()


def pull_up(pin):
    _pins[pin].mode = "pull"
    _pins[pin].risen = _now + PULL_UP_RISE_US


def read(pin):
    for chips in _chips:
        if chips.data == pin and not chips.is_out:
            return chips.data_out()
    if _pins[pin].closed:
        return 0
    return 1 if _pins[pin].mode == "pull" and _now >= _pins[pin].risen else 0


def read_pins(levels):
    for pin in PINS:
        levels[pin] = read(pin)


def line(pin):
    return _pins[pin]


def output(pin, high):
    _pins[pin].mode, _pins[pin].level = "out", int(high)
    _pins[pin].history.append(_pins[pin].text())
    _tell(pin)


def write(pin, high):
    if _pins[pin].mode != "out":
        raise ValueError("pin %d is no output" % pin)
    _pins[pin].level = int(high)
    _tell(pin)


def _tell(pin):
    for chips in _chips:
        if pin in (chips.clock, chips.latch, chips.data):
            chips.moved(_pins)


def _pulse(pin, hz, share, pulse_us=0):
    state = _pins[pin]
    if state.mode not in ("out", "pwm"):
        raise ValueError("pin %d is no output" % pin)
    state.mode, state.hz, state.share, state.pulse_us = "pwm", hz, share, pulse_us
    state.history.append(state.text())


def dim(pin, share):
    _pulse(pin, LAMP_HZ, share)


def tone(pin, hz, sounding):
    _pulse(pin, hz, 32768 if sounding else 0)


def servo(pin, pulse_us):
    _pulse(pin, SERVO_HZ, 0, pulse_us)


def analogue(pin):
    return _pins[pin].counts


def receive():
    global _received
    count = min(len(_received), 64)
    received[:count] = _received[:count]
    _received = _received[count:]
    return count


def send(data, count):
    global _sent
    _sent += data[:count]


def feed_watchdog():
    global _now, _feeds
    _feeds += 1
    _now += _loop_us
    while _now >= _until:
        line = sys.stdin.readline()
        if not line:
            raise SystemExit
        print(_order(line.split()))


def _order(words):
    global _until, _received, _sent, _now, _loop_us, _button
    verb = words[0]
    if verb == "run":
        _until += int(words[1])  # short steps add up to passes of the loop
    elif verb == "receive":
        _received += bytes.fromhex(words[1])
    elif verb == "sent":
        data, _sent = _sent, b""
        return data.hex() or "-"
    elif verb == "contact":
        _contact(words[1], words[2] == "1")
    elif verb == "counts":
        _pins[int(words[1])].counts = int(words[2])
    elif verb == "chips":
        numbers = [int(word) for word in words[2:]]
        _chips.append((Chips if words[1] == "out" else Chips165)(words[1] == "out", *numbers))
    elif verb == "pin":
        return _pins[int(words[1])].text()
    elif verb == "history":
        return ", ".join(_pins[int(words[1])].history) or "none"
    elif verb == "bit":
        data, bit = words[1].split(".")
        return str([c for c in _chips if c.data == int(data)][0].outside[int(bit)])
    elif verb == "now":
        return "%d %d %d %d" % (_now, _feeds, _lamp, _at_prompt)
    elif verb == "jump":  # close to where the ticks wrap
        _now = _until = int(words[1])
    elif verb == "loop":
        _loop_us = int(words[1])
    elif verb == "button":
        _button = words[1] == "1"
    elif verb == "reset":
        raise Reset
    return "ok"


def _contact(name, closed):
    if "." not in name:
        _pins[int(name)].closed = closed
        return
    data, bit = name.split(".")
    for chips in _chips:
        if chips.data == int(data):
            chips.outside[int(bit)] = 0 if closed else 1
            chips.moved(_pins)


def run_for_ever(run):
    # Each time from power-on to the next reset.
    global _boots, _received, _sent, _at_prompt
    while True:
        _boots += 1
        _received = _sent = b""
        for pin in _pins.values():
            pin.let_go()
        _at_prompt = False
        try:
            run()
            _at_prompt = True
            while True:
                feed_watchdog()
        except Reset:
            print("ok")
