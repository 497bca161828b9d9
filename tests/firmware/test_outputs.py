"""Lamps, tones and servo pulses on the chips, measured at the pins to a cycle."""

from __future__ import annotations

from itertools import pairwise

import pytest

from panelbridge.config.boards import BOARDS, BoardKind
from panelbridge.link.wire import Command, ItemFlag, ItemKind, SetupItem, SetupStatus
from panelbridge.link.wire.frames import encode_frame
from tests.firmware.avr_bench import PinChange, avr, avr_host
from tests.firmware.machines import lamp_share
from tests.simboard.host import Host, Plan

KINDS: tuple[BoardKind, ...] = ("uno", "mega2560", "leonardo")
LEVELS = (0, 1, 2, 10, 16, 77, 128, 200, 254, 255)


host = pytest.fixture(params=KINDS, name="host")(avr_host)


def levels(host: Host, pin: str, since_us: float) -> list[PinChange]:
    history = avr(host).history[avr(host).place(pin)]
    return [change for change in history if change.at_us >= since_us and change.how == "level"]


def pulses(host: Host, pin: str, since_us: float) -> list[tuple[float, float]]:
    """(start, length) of each whole pulse, us."""
    found = levels(host, pin, since_us)
    return [(a.at_us, b.at_us - a.at_us) for a, b in pairwise(found) if a.level and not b.level]


def flood(host: Host, outputs: tuple[int, ...], seconds: float) -> None:
    """Send as many COMMANDs as the line carries, for ``seconds``."""
    frame = encode_frame(Command(host.session, 1, 0, outputs).pack(host.shape))
    number = int(seconds * 25_000 / len(frame))
    for _ in range(number):
        host.command(*outputs)
    host.pass_time(seconds)


# -- lamps ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("flags", [ItemFlag.PWM, ItemFlag.PWM | ItemFlag.ACTIVE_LOW])
def test_every_pwm_pin_dims_along_the_brightness_curve(host: Host, flags: ItemFlag) -> None:
    pins = [pin for pin in BOARDS[avr(host).kind].pins.values() if pin.pwm]
    items = [SetupItem(n, ItemKind.LAMP, pin.number, flags) for n, pin in enumerate(pins)]
    host.set_up(Plan(tuple(items)), timeout_ms=60_000)
    low = bool(flags & ItemFlag.ACTIVE_LOW)
    for level in LEVELS:
        values = [(level + 37 * n) % 256 if 0 < level < 255 else level for n in range(len(pins))]
        host.command(*values)
        host.pass_time(0.03)
        for pin, value in zip(pins, values, strict=True):
            share = avr(host).dimmed_to(pin.name)
            if share is None:
                share = 255 * avr(host).state(pin.name).level
            assert share == (255 - lamp_share(value) if low else lamp_share(value)), pin.name


def test_the_brightness_curve() -> None:
    shares = [lamp_share(value) for value in range(256)]
    assert shares == sorted(shares)
    assert (shares[0], shares[1], shares[255]) == (0, 1, 255)  # only 0 is off
    for value in range(256):
        assert abs(shares[value] - 255 * (value / 255) ** 2.0) <= 1.0


# -- tones ---------------------------------------------------------------------------------------

HORN = Plan((SetupItem(0, ItemKind.TONE, 8, 0, 700, 250, 150), SetupItem(1, ItemKind.LAMP, 7)))


def sounding_parts(host: Host, since_us: float) -> list[tuple[float, float]]:
    """(start, end) of each time that the tone sounds, us."""
    found = [change.at_us for change in levels(host, "D8", since_us) if change.level]
    parts = [[found[0], found[0]]]
    for at_us in found[1:]:
        if at_us - parts[-1][1] > 5000:
            parts.append([at_us, at_us])
        parts[-1][1] = at_us
    return [(start, end) for start, end in parts]


@pytest.mark.parametrize("busy", [False, True], ids=["line at rest", "line full"])
def test_the_board_plays_the_horn_whatever_the_host_does(host: Host, busy: bool) -> None:
    host.set_up(HORN, timeout_ms=60_000)
    since_us = avr(host).machine.now_us
    host.command(1, 0)
    if busy:
        for _ in range(8):
            flood(host, (1, 0), 0.25)
    else:
        host.pass_time(2.0)
    parts = sounding_parts(host, since_us)
    assert len(parts) == 5
    for (start, end), (following, _) in pairwise(parts):
        assert abs(following - start - 400_000) < 2500  # 250 ms on, 150 ms off
        assert 246_000 < end - start < 252_000


@pytest.mark.parametrize("hz", [31, 200, 700, 2000, 5000])
def test_the_frequency_of_a_tone(host: Host, hz: int) -> None:
    host.set_up(Plan((SetupItem(0, ItemKind.TONE, 8, 0, hz, 250, 150),)))
    since_us = avr(host).machine.now_us + 5000
    host.command(2)
    host.pass_time(0.4)
    rises = [change.at_us for change in levels(host, "D8", since_us) if change.level]
    heard_hz = 1e6 * (len(rises) - 1) / (rises[-1] - rises[0])
    assert abs(heard_hz / hz - 1) < 0.005
    host.command(0)
    host.pass_time(0.02)
    quiet = avr(host).state("D8")
    assert (quiet.how, quiet.level) == ("level", 0)
    assert avr(host).machine.now_us - quiet.at_us > 10_000


def test_two_tones_at_once(host: Host) -> None:
    items = [SetupItem(n, ItemKind.TONE, 7 + n, 0, hz, 9, 9) for n, hz in enumerate((500, 1300))]
    host.set_up(Plan(tuple(items)))
    since_us = avr(host).machine.now_us + 5000
    host.command(2, 2)
    host.pass_time(0.3)
    for pin, hz in (("D7", 500), ("D8", 1300)):
        rises = [change.at_us for change in levels(host, pin, since_us) if change.level]
        assert abs(1e6 * (len(rises) - 1) / (rises[-1] - rises[0]) / hz - 1) < 0.005


# -- servos --------------------------------------------------------------------------------------


@pytest.mark.parametrize("busy", [False, True], ids=["line at rest", "line full"])
@pytest.mark.parametrize(
    ("pulse_us", "expected_us"),
    [(1000, 1000), (1500, 1500), (2000, 2000), (400, 900), (3000, 2100)],
)
def test_servo_pulses(host: Host, pulse_us: int, expected_us: int, busy: bool) -> None:
    """F-12: 1000, 1500, 2000 us, every 20 ms; limited to the range of the item."""
    host.set_up(Plan((SetupItem(0, ItemKind.SERVO, 9, 0, 1500, 900, 2100),)), timeout_ms=60_000)
    host.command(pulse_us)
    host.pass_time(0.05)
    since_us = avr(host).machine.now_us
    if busy:
        flood(host, (pulse_us,), 0.4)
    else:
        host.pass_time(0.4)
    found = pulses(host, "D9", since_us)
    assert len(found) >= 19
    for _, length_us in found:
        assert abs(length_us - expected_us) <= 8
    for (first_us, _), (second_us, _) in pairwise(found):
        assert abs(second_us - first_us - 20_000) <= 20


def test_a_servo_at_idle_and_without_pulse(host: Host) -> None:
    host.set_up(Plan((SetupItem(0, ItemKind.SERVO, 9, 0, 1200, 1000, 2000),)))
    since_us = avr(host).machine.now_us
    host.pass_time(0.1)
    assert {round(length / 20) for _, length in pulses(host, "D9", since_us)} == {60}
    host.command(0)
    host.pass_time(0.03)
    since_us = avr(host).machine.now_us
    host.pass_time(0.1)
    assert levels(host, "D9", since_us) == []


def test_two_tones_servos_and_dimmed_lamps_leave_time_for_a_full_line(host: Host) -> None:
    dimmed = {"uno": (9, 10), "mega2560": (44, 45, 46), "leonardo": (5,)}[avr(host).kind]
    servos = (2, 3, 4, 6, 7, 11)
    items = [SetupItem(n, ItemKind.TONE, pin, 0, 4000, 250, 250) for n, pin in enumerate((8, 12))]
    items += [SetupItem(2 + n, ItemKind.SERVO, p, 0, 0, 500, 2500) for n, p in enumerate(servos)]
    items += [SetupItem(8 + n, ItemKind.LAMP, p, ItemFlag.PWM) for n, p in enumerate(dimmed)]
    host.set_up(Plan(tuple(items)), timeout_ms=60_000)
    for number in range(400):
        widths = [600 + 200 * n + number % 100 for n in range(6)]
        host.command(2, 2, *widths, *((number * 7 + 50 * n) % 256 for n in range(len(dimmed))))
    host.pass_time(400 * (2 + 12 + 3 + 10) / 25_000 + 0.2)
    assert host.last_report().command_sequence == host.sequence
    assert host.last_report().bad_frames == 0
    assert avr(host).lost_bytes() == 0


def test_tones_that_are_too_fast_together_are_refused(host: Host) -> None:
    first = SetupItem(0, ItemKind.TONE, 8, 0, 5000, 250, 250)
    for hz, status in ((3001, SetupStatus.BAD_VALUE), (3000, SetupStatus.OK)):
        second = SetupItem(1, ItemKind.TONE, 12, 0, hz, 250, 250)
        host.begin(Plan((first, second)))
        assert [r.status for r in host.send_items((first, second))] == [SetupStatus.OK, status]


def test_eight_servos_a_horn_and_a_dimmed_lamp_on_the_same_timer(host: Host) -> None:
    dimmed = {"uno": 10, "mega2560": 45, "leonardo": 5}[avr(host).kind]
    pins = [pin for pin in (2, 3, 4, 5, 6, 7, 9, 11, 12) if pin != dimmed][:8]
    items = [SetupItem(n, ItemKind.SERVO, pin, 0, 0, 500, 2500) for n, pin in enumerate(pins)]
    items += [
        SetupItem(8, ItemKind.TONE, 8, 0, 700, 250, 250),
        SetupItem(9, ItemKind.LAMP, dimmed, ItemFlag.PWM),
    ]
    widths = [500 + 250 * n for n in range(8)]
    host.set_up(Plan(tuple(items)), timeout_ms=60_000)
    host.command(*widths, 2, 128)
    host.pass_time(0.05)
    since_us = avr(host).machine.now_us
    host.pass_time(0.3)
    for pin, width in zip(pins, widths, strict=True):
        found = pulses(host, f"D{pin}", since_us)
        assert len(found) >= 14
        assert max(abs(length - width) for _, length in found) <= 20, pin
    assert avr(host).dimmed_to(f"D{dimmed}") == lamp_share(128)
