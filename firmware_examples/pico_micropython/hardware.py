# The hardware layer for a Pico-class board (RP2040 or RP2350): pins, time, serial line, watchdog.
#
# The other files use the hardware only through this one; the tests replace it with another file of
# the same name. It was written from the documentation and has never run on a real board.

import machine
import micropython
import os
import rp2
import select
import sys
import time

BOARD_CODE = 6
MAX_ITEMS = 112
COUNTS = 65535
ANALOGUE_PINS = (26, 27, 28)
PINS = tuple(range(23)) + ANALOGUE_PINS  # 23 to 25 are inside the board

LAMP_HZ = 1000
SERVO_HZ = 50
MOST_AT_ONCE = 64  # bytes, so that a full line does not delay the contacts
WATCHDOG_MS = 3000  # a computer that opens the port and does not read can block us for 0.5 s

ticks_ms = time.ticks_ms
ticks_us = time.ticks_us
ticks_diff = time.ticks_diff
ticks_add = time.ticks_add

received = bytearray(MOST_AT_ONCE)

_GPIO_IN = 0xD0000004  # the levels of all pins; the same address in RP2040 and RP2350

_pins = {}
_pwms = {}
_adcs = {}
_watchdog = None
try:
    _lamp = machine.Pin("LED", machine.Pin.OUT, value=0)
except (TypeError, ValueError):
    _lamp = None  # not every board has such a pin
_poll = select.poll()
_poll.register(sys.stdin, select.POLLIN)
# Bound once, because each `object.method` without a call would allocate.
_ipoll = _poll.ipoll
_readinto = sys.stdin.buffer.readinto
_write = sys.stdout.buffer.write
_places = [memoryview(received)[at : at + 1] for at in range(MOST_AT_ONCE)]


def start():
    micropython.kbd_intr(-1)  # byte 3 must not interrupt the program


def stop():
    # The program ends, and a person takes over.
    status_lamp(False)
    micropython.kbd_intr(3)


def bootsel_pressed():
    return bool(rp2.bootsel_button())


def start_watchdog():
    # It cannot be stopped again.
    global _watchdog
    _watchdog = machine.WDT(timeout=WATCHDOG_MS)


def feed_watchdog():
    if _watchdog is not None:
        _watchdog.feed()


def boot_id():
    high, low = os.urandom(2)
    return high << 8 | low


def status_lamp(on):
    if _lamp is not None:
        _lamp.value(on)


def pulses_clash(pin, hz, other, other_hz):
    # Pins share pulse generators: 2n and 2n + 1 have one clock and so one frequency; n and n + 16
    # are the same output.
    if (pin >> 1) & 7 != (other >> 1) & 7:
        return False
    return pin & 1 == other & 1 or hz != other_hz


def _pin(pin):
    if pin not in _pins:
        _pins[pin] = machine.Pin(pin)
    return _pins[pin]


def _pulse(pin, hz, share):
    # The pin must be an output. PWM starts with this share, so that no lamp flashes.
    if pin in _pwms:
        _pwms[pin].duty_u16(share)
    else:
        _pwms[pin] = machine.PWM(_pin(pin), freq=hz, duty_u16=share)


def let_go(pin):
    # Makes the pin an input without pull-up, so that nothing is driven.
    if pin in _pwms:
        pwm = _pwms.pop(pin)
        # A generator keeps the pulse of each of its outputs. A servo's would be too long for the
        # frequency of a lamp or a horn in the next session, and stop the program.
        pwm.duty_u16(0)
        pwm.deinit()
    _pin(pin).init(machine.Pin.IN, None)


def pull_up(pin):
    _pin(pin).init(machine.Pin.IN, machine.Pin.PULL_UP)


@micropython.viper
def _spread(register: ptr32, levels: ptr8):
    bits = register[0]
    pin = 0
    while pin < 30:
        levels[pin] = bits >> pin & 1
        pin += 1


def read_pins(levels):
    # Puts the level of each pin, 0 or 1, at the place of its number.
    _spread(_GPIO_IN, levels)


def line(pin):
    # A line of a chain: called without a value it reads the pin, with one it writes it.
    return _pin(pin)


def output(pin, high):
    # Sets the level before the pin drives, so that a lamp never flashes.
    _pin(pin).init(machine.Pin.OUT, value=high)


def write(pin, high):
    # The pin must be an output.
    _pins[pin].value(high)


def dim(pin, share):
    # High for share / 65535 of the time.
    _pulse(pin, LAMP_HZ, share)


def tone(pin, hz, sounding):
    _pulse(pin, hz, 32768 if sounding else 0)


def servo(pin, pulse_us):
    if pin not in _pwms:
        _pulse(pin, SERVO_HZ, 0)
    _pwms[pin].duty_ns(pulse_us * 1000)


def analogue(pin):
    if pin not in _adcs:
        _adcs[pin] = machine.ADC(pin)
    return _adcs[pin].read_u16()


@micropython.native
def receive():
    # Puts the bytes that have arrived into `received`, and returns how many. Never blocks: a read
    # of more than one byte would wait for all of them.
    count = 0
    while count < MOST_AT_ONCE:
        for _ in _ipoll(0):
            break
        else:
            break
        if not _readinto(_places[count]):
            break
        count += 1
    return count


def send(data, count):
    _write(data, count)
