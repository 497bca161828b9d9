"""What the contract does not cover: pulses, patterns, bounces, watchdog, tick wrap-around."""

from __future__ import annotations

import random
from collections.abc import Iterator
from itertools import pairwise

import pytest

from panelbridge.config.boards import BOARDS
from panelbridge.link.wire import (
    Command,
    Edge,
    ItemFlag,
    ItemKind,
    ReportFlag,
    SetupItem,
    SetupStatus,
)
from panelbridge.link.wire.frames import encode_frame
from tests.firmware.pico_bench import FULL, PicoBench, need_micropython
from tests.simboard.host import CHAINS, CONTACT_FLAGS, PLAN, Host, Plan, contact
from tests.simboard.test_pulses import CAN, CAN_NOT, ITEM_FIELDS

HOLD = int(CONTACT_FLAGS | ItemFlag.HOLD_AFTER_EDGE)
ROUND_US = 1 << 30
MEAN_US, LONGEST_US, OUTLIER_US = 1557, 6200, 157_000


@pytest.fixture(autouse=True, scope="module")
def tools() -> None:
    """These tests need no compiler."""
    need_micropython()


@pytest.fixture
def bench() -> Iterator[PicoBench]:
    bench = PicoBench()
    yield bench
    bench.close()


@pytest.fixture
def host(bench: PicoBench) -> Host:
    return Host(bench)


# -- pins and pulses -------------------------------------------------------------------------------


def test_nothing_is_driven_before_a_set_up_and_after_a_release(
    bench: PicoBench, host: Host
) -> None:
    names = list(BOARDS["pico"].pins)
    assert {bench.pin(name)[0] for name in names} == {"in"}
    host.begin(PLAN)
    host.send_items(PLAN.items)
    assert {bench.pin(name)[0] for name in names} == {"in"}
    host.set_up()
    assert [bench.pin(f"D{n}")[0] for n in (2, 4, 5, 7, 8, 9)] == [
        "pull",
        "pull",
        "pwm",
        "out",
        "pwm",
        "in",
    ]
    host.release()
    host.pass_time(0.01)
    assert {bench.pin(name)[0] for name in names} == {"in"}


def test_a_contact_without_pull_up_has_none(bench: PicoBench, host: Host) -> None:
    host.set_up(Plan((contact(0, 2, flags=0),)))
    assert bench.pin("D2") == ["in"]


@pytest.mark.parametrize("brightness", [0, 1, 2, 64, 128, 254, 255])
def test_the_brightness_curve(bench: PicoBench, host: Host, brightness: int) -> None:
    lamps = (
        SetupItem(0, ItemKind.LAMP, 5, ItemFlag.PWM),
        SetupItem(1, ItemKind.LAMP, 6, ItemFlag.PWM | ItemFlag.ACTIVE_LOW),
        SetupItem(2, ItemKind.LAMP, 10, ItemFlag.ACTIVE_LOW),
    )
    host.set_up(Plan(lamps))
    assert bench.pin("D6") == ["pwm", "1000", str(FULL), "0"]  # dark from the start
    assert bench.pin("D10") == ["out", "1"]
    host.command(brightness, brightness, brightness)
    host.pass_time(0.01)
    share = int(bench.pin("D5")[2])
    assert share == -(-(brightness**2) * FULL // 255**2)
    assert (share == 0) == (brightness == 0)
    assert int(bench.pin("D6")[2]) == FULL - share
    assert bench.pin("D10") == ["out", "0" if brightness else "1"]


def test_no_lamp_flashes_when_its_pin_begins_to_drive(bench: PicoBench, host: Host) -> None:
    lamps = (
        SetupItem(0, ItemKind.LAMP, 5, ItemFlag.PWM),
        SetupItem(1, ItemKind.LAMP, 6, ItemFlag.PWM | ItemFlag.ACTIVE_LOW),
        SetupItem(2, ItemKind.LAMP, 10),
        SetupItem(3, ItemKind.LAMP, 11, ItemFlag.ACTIVE_LOW),
        SetupItem(4, ItemKind.TONE, 8, 0, 700, 200, 100),
        SetupItem(5, ItemKind.SERVO, 12, 0, 0, 1000, 2000),
    )
    host.set_up(Plan(lamps))
    assert bench.history("D5") == ["out 0", "pwm 1000 0 0"]
    assert bench.history("D6") == ["out 1", f"pwm 1000 {FULL} 0"]
    assert set(bench.history("D10")) == {"out 0"}
    assert set(bench.history("D11")) == {"out 1"}
    assert bench.history("D8") == ["out 0", "pwm 700 0 0"]
    assert bench.history("D12") == ["out 0", "pwm 50 0 0"]


def test_pull_ups_have_time_to_charge_their_wires(bench: PicoBench, host: Host) -> None:
    assert host.set_up(Plan((contact(0, 2), contact(1, 4, 500)))).contacts == 0
    host.pass_time(0.6)
    assert host.last_report().edges == ()


@pytest.mark.parametrize(
    ("pulse_us", "expected_us"),
    [(1000, 1000), (1500, 1500), (2000, 2000), (900, 1000), (2500, 2000), (0, 0), (1, 1000)],
)
def test_servo_pulses(bench: PicoBench, host: Host, pulse_us: int, expected_us: int) -> None:
    """F-12 (hobby servos, a convention): 1000-2000 us, 50 Hz; limited to the range of the item."""
    host.set_up(Plan((SetupItem(0, ItemKind.SERVO, 9, 0, 1200, 1000, 2000),)))
    assert bench.pin("D9") == ["pwm", "50", "0", "1200"]
    host.command(pulse_us)
    host.pass_time(0.01)
    assert bench.pin("D9") == ["pwm", "50", "0", str(expected_us)]


@pytest.mark.parametrize(
    ("item", "status"),
    [
        (SetupItem(0, ItemKind.TONE, 8, 0, 30, 1, 1), SetupStatus.BAD_VALUE),
        (SetupItem(0, ItemKind.TONE, 8, 0, 31, 1, 1), SetupStatus.OK),
        (SetupItem(0, ItemKind.TONE, 8, 0, 10_000, 1, 1), SetupStatus.OK),
        (SetupItem(0, ItemKind.TONE, 8, 0, 10_001, 1, 1), SetupStatus.BAD_VALUE),
        (SetupItem(0, ItemKind.TONE, 8, 0, 700, 0, 1), SetupStatus.BAD_VALUE),
        (SetupItem(0, ItemKind.TONE, 8, 0, 700, 1, 0), SetupStatus.BAD_VALUE),
        (SetupItem(0, ItemKind.SERVO, 9, 0, 0, 0, 2000), SetupStatus.BAD_VALUE),
        (SetupItem(0, ItemKind.SERVO, 9, 0, 0, 2000, 1999), SetupStatus.BAD_VALUE),
        (SetupItem(0, ItemKind.SERVO, 9, 0, 999, 1000, 2000), SetupStatus.BAD_VALUE),
        (SetupItem(0, ItemKind.SERVO, 9, 0, 2001, 1000, 2000), SetupStatus.BAD_VALUE),
        (SetupItem(0, ItemKind.SERVO, 9, 0, 0, 1000, 10_000), SetupStatus.OK),
        (SetupItem(0, ItemKind.SERVO, 9, 0, 0, 1000, 10_001), SetupStatus.BAD_VALUE),
        (SetupItem(0, ItemKind.ANALOGUE, 26, 0, 65_535), SetupStatus.OK),
        (SetupItem(0, ItemKind.ANALOGUE, 25), SetupStatus.NO_SUCH_PIN),
        (SetupItem(0, ItemKind.ANALOGUE, 28, 0, 1, 1), SetupStatus.BAD_VALUE),
        (SetupItem(0, ItemKind.CONTACT, 29, 3, 5), SetupStatus.NO_SUCH_PIN),
        (SetupItem(0, ItemKind.LAMP, 22, ItemFlag.PULL_UP), SetupStatus.BAD_VALUE),
    ],
)
def test_values_at_the_limits_of_their_ranges(
    host: Host, item: SetupItem, status: SetupStatus
) -> None:
    host.begin(Plan((item,)))
    assert host.ask(item.pack()).status == status


@pytest.mark.parametrize(("pairs", "status"), [(CAN, SetupStatus.OK), (CAN_NOT, 7)])
def test_pins_that_share_a_pulse_generator(
    host: Host, pairs: list[tuple[SetupItem, SetupItem]], status: int
) -> None:
    for first, second in pairs:
        other = SetupItem(1, *(getattr(second, name) for name in ITEM_FIELDS))
        host.begin(Plan((first, other)))
        assert host.ask(first.pack()).status == SetupStatus.OK
        assert host.ask(other.pack()).status == status, (first, second)


def test_the_number_of_items_that_hello_reports(host: Host) -> None:
    most = BOARDS["pico"].items
    assert host.greet().max_items == most
    chain = SetupItem(0, ItemKind.CHAIN_OUT, 0, 0, 1, 2, 16)
    lamps = [SetupItem(n, ItemKind.LAMP, 127 + n) for n in range(1, most)]
    plan = Plan((chain, *lamps))
    assert host.begin(Plan((*plan.items, chain))).status == SetupStatus.TOO_MANY_ITEMS
    host.set_up(plan)
    host.command(*(n % 2 for n in range(most - 1)))
    host.pass_time(0.01)
    assert host.last_report().bad_frames == 0


def test_a_report_that_would_not_fit_is_refused(host: Host) -> None:
    host.begin(Plan(CHAINS.items))
    items = [SetupItem(0, ItemKind.CHAIN_OUT, 0, 0, 1, 2, 16)]
    items += [SetupItem(n, ItemKind.LAMP, 127 + n) for n in range(1, 98)]
    items += [
        SetupItem(98 + n, ItemKind.SERVO, pin, 0, 0, 1000, 2000)
        for n, pin in enumerate((4, 6, 8, 10, 12, 14, 16, 18))
    ]
    host.begin(Plan(tuple(items)))
    statuses = [reply.status for reply in host.send_items(items[:105])]
    assert statuses == [SetupStatus.OK] * 105  # 6 + 97 + 7 * 2 = 117 bytes
    assert host.ask(items[105].pack()).status == SetupStatus.REPORT_TOO_LONG


def test_analogue_values_and_their_noise_gate(bench: PicoBench, host: Host) -> None:
    bench.set_analogue("A0", 40_000)
    bench.set_analogue("A2", 65_535)
    first = host.set_up(
        Plan(
            (
                SetupItem(0, ItemKind.ANALOGUE, 26, 0, 100),
                SetupItem(1, ItemKind.ANALOGUE, 28, 0, 0),
            )
        ),
        interval_ms=1000,
    )
    assert first.analogues == (40_000, 65_535)
    bench.set_analogue("A0", 40_100)
    host.pass_time(0.5)
    assert host.last_report() == first
    bench.set_analogue("A0", 39_899)
    host.pass_time(0.03)
    assert host.last_report().analogues == (39_899, 65_535)
    bench.set_analogue("A2", 65_534)
    host.pass_time(0.03)
    assert host.last_report().analogues == (39_899, 65_534)


# -- the horn's pattern ----------------------------------------------------------------------------


def horn_changes(
    bench: PicoBench, host: Host, seconds: float, every: float = 0.0
) -> list[tuple[int, bool]]:
    """When the horn's state changed, ms from now; with a COMMAND every ``every`` s."""
    begun, last, found = bench.now_s(), bench.sounding("D8"), []
    next_s = begun
    while bench.now_s() < begun + seconds:
        if every and bench.now_s() >= next_s:
            host.command(0, 0, 1)
            next_s += every
        host.pass_time(0.001)
        if bench.sounding("D8") != last:
            last = not last
            found.append((round((bench.now_s() - begun) * 1000), last))
    return found


@pytest.mark.parametrize("every", [0.0, 0.05])
def test_the_pattern_is_kept_to_the_millisecond(bench: PicoBench, host: Host, every: float) -> None:
    host.set_up()  # 700 Hz, 200 ms on, 100 ms off
    host.command(0, 0, 1)
    host.pass_time(0.002)
    assert bench.pin("D8")[:2] == ["pwm", "700"]
    changes = horn_changes(bench, host, 1.5, every)
    assert [state for _, state in changes[:4]] == [False, True, False, True]
    for (one, off), (two, _) in pairwise(changes):
        assert abs(two - one - (200 if off else 100)) <= 2
    assert abs(changes[-1][0] - changes[0][0] - 150 * (len(changes) - 1)) <= 60


def test_a_slow_loop_does_not_stretch_the_pattern(bench: PicoBench, host: Host) -> None:
    bench.order("loop", 7000)
    host.set_up()
    host.command(0, 0, 1)
    host.pass_time(0.01)
    changes = horn_changes(bench, host, 4.0)
    whole = [at for at, state in changes if state]
    assert abs((whole[-1] - whole[0]) / (len(whole) - 1) - 300) <= 1.5


def test_a_continuous_tone_and_silence(bench: PicoBench, host: Host) -> None:
    host.set_up()
    host.command(0, 0, 2)
    host.pass_time(0.005)
    assert bench.sounding("D8")
    assert horn_changes(bench, host, 0.6) == []
    host.command(0, 0, 1)  # an intermittent tone starts with its on time
    host.pass_time(0.19)
    assert bench.sounding("D8")
    host.pass_time(0.02)
    assert not bench.sounding("D8")
    host.command(0, 0, 0)
    host.pass_time(0.2)
    assert horn_changes(bench, host, 0.4) == []


# -- contacts --------------------------------------------------------------------------------------


def bounce(bench: PicoBench, length_us: int, closed: bool, seed: int) -> None:
    """Move the contact at D2; for ``length_us`` it toggles every 50 to 200 us."""
    chance, passed_us, level = random.Random(seed), 0, closed
    while passed_us < length_us or level is not closed:
        bench.set_contact("D2", level)
        step_us = chance.randrange(50, 200)
        bench.pass_time(step_us / 1e6)
        passed_us += step_us
        level = not level
    bench.set_contact("D2", closed)


@pytest.mark.parametrize("loop_us", [50, 300, 1000])
@pytest.mark.parametrize("flags", [CONTACT_FLAGS, HOLD])
@pytest.mark.parametrize("length_us", [MEAN_US, LONGEST_US])
def test_bursts_make_one_edge_each(
    bench: PicoBench, host: Host, length_us: int, flags: int, loop_us: int
) -> None:
    """G-1, J. Ganssle: 1557 us on average, 6200 us at most; debounce time 10 ms."""
    bench.order("loop", loop_us)
    host.set_up(Plan((contact(0, 2, 10, flags),)))
    expected = []
    for number in range(6):
        closed = number % 2 == 0
        bounce(bench, length_us, closed, number)
        host.pass_time(0.05)
        expected.append(Edge(0, closed))
        assert host.last_report().edges == tuple(expected)
    assert not host.last_report().flags & ReportFlag.NOISY_CONTACT


@pytest.mark.parametrize("flags", [CONTACT_FLAGS, HOLD])
def test_a_contact_with_too_long_a_burst_is_noisy(bench: PicoBench, host: Host, flags: int) -> None:
    """G-1: the switch that bounced for 157 ms; debounce time 20 ms."""
    host.set_up(Plan((contact(0, 2, 20, flags),)))
    bounce(bench, OUTLIER_US, True, 5)
    host.pass_time(0.15)
    assert host.last_report().flags & ReportFlag.NOISY_CONTACT
    assert host.last_report().contacts == 1
    bench.set_contact("D2", False)
    host.pass_time(0.15)
    assert not host.last_report().flags & ReportFlag.NOISY_CONTACT


@pytest.mark.parametrize(("glitch_ms", "edges"), [(4.0, 0), (12.0, 2)])
def test_a_glitch_is_seen_when_it_lasts(
    bench: PicoBench, host: Host, glitch_ms: float, edges: int
) -> None:
    host.set_up(Plan((contact(0, 2, 8),)))
    bench.set_contact("D2", True)
    host.pass_time(glitch_ms / 1000)
    bench.set_contact("D2", False)
    host.pass_time(0.1)
    assert len(host.last_report().edges) == edges


@pytest.mark.parametrize(("flags", "waits_ms"), [(CONTACT_FLAGS, (20, 21)), (HOLD, (0, 1))])
def test_how_soon_an_edge_is_reported(
    bench: PicoBench, host: Host, flags: int, waits_ms: tuple[int, int]
) -> None:
    bench.order("loop", 100)
    host.set_up(Plan((contact(0, 2, 20, flags),)), interval_ms=1000)
    bench.set_contact("D2", True)
    begun_us = bench.now_us()
    host.until(lambda: bool(host.last_report().edges))
    assert waits_ms[0] <= (bench.now_us() - begun_us) / 1000 <= waits_ms[1] + 2


def test_a_contact_on_a_chain_is_reported_in_time(bench: PicoBench, host: Host) -> None:
    bench.order("loop", 100)
    flags = int(ItemFlag.ACTIVE_LOW | ItemFlag.HOLD_AFTER_EDGE)
    host.set_up(Plan((*CHAINS.items[:2], contact(2, 143, 20, flags))), interval_ms=1000)
    bench.set_contact("D10.15", True)
    begun_us = bench.now_us()
    host.until(lambda: bool(host.last_report().edges))
    assert bench.now_us() - begun_us <= 4000  # a scan of 2 ms, and a step of 2 ms of this test


def test_changes_after_the_window_are_not_captured(bench: PicoBench, host: Host) -> None:
    host.set_up()
    host.capture(0, 15)
    host.until(lambda: len(host.captured()) == 1)
    bench.order("loop", 10_000)
    for level in (True, False, True, False):
        bench.set_contact("D2", level)
        host.pass_time(0.010)
    host.pass_time(0.05)
    seen = host.captured()[1]
    assert (seen.changes, seen.times_us) == (2, (0, 10_000))


def test_the_resolution_of_a_capture_is_reported(bench: PicoBench, host: Host) -> None:
    host.set_up()
    host.capture(0, 50)
    host.until(lambda: len(host.captured()) == 1)
    bench.order("loop", 4000)
    host.pass_time(0.012)
    bench.order("loop", 500)
    host.pass_time(0.002)
    bench.set_contact("D2", True)
    host.until(lambda: len(host.captured()) == 2)
    assert host.captured()[1].resolution_us == 4000


def test_sixty_contacts_that_change_at_once_are_all_reported_soon(
    bench: PicoBench, host: Host
) -> None:
    """They are more than the EDGE_QUEUE of 32, and than the 16 of one REPORT."""
    bench.order("chips", "in", 14, 15, 16, 8)
    flags = int(ItemFlag.ACTIVE_LOW)
    contacts = (contact(n, 127 + n, 5, flags) for n in range(1, 61))
    host.set_up(Plan((SetupItem(0, ItemKind.CHAIN_IN, 14, 0, 15, 16, 8), *contacts)))
    begun_us = bench.now_us()
    for bit in range(60):
        bench.set_contact(f"D14.{bit}", True)
    edges: dict[int, Edge] = {}
    first_us = 0
    while len(edges) < 60:
        host.pass_time(0.001)
        report = host.last_report()
        fresh = dict(enumerate(report.edges, report.first_edge))
        if fresh.keys() - edges.keys():
            first_us = first_us or bench.now_us()
            edges |= fresh
            host.command(ack=len(edges))
        assert not report.flags & ReportFlag.EDGES_LOST
        assert bench.now_us() - begun_us < 200_000
    assert bench.now_us() - first_us <= 10_000
    assert list(edges.values()) == [Edge(n, True) for n in range(60)]


# -- endurance -------------------------------------------------------------------------------------


def test_ticks_wrap_without_effect(bench: PicoBench, host: Host) -> None:
    bench.order("jump", ROUND_US - 300_000)
    host.set_up(Plan((contact(0, 2, 100), contact(1, 4, 100, HOLD), *PLAN_OUTPUTS)))
    host.command(100, 0, 1)
    host.pass_time(0.2)
    count = len(host.reports())
    host.capture(0, 300)
    for number in range(8):
        bench.set_contact("D2", number % 2 == 0)
        bench.set_contact("D4", number % 2 == 0)
        host.pass_time(0.25)
        host.command(100 + number, 0, 1)
    assert bench.now_us() > ROUND_US + 500_000
    assert len(host.last_report().edges) == 16
    assert not host.last_report().flags
    assert len(host.reports()) - count > 20
    assert (host.captured()[-1].changes, host.captured()[-1].times_us[0]) == (2, 0)
    assert abs(host.captured()[-1].times_us[1] - 250_000) < 1000
    host.until(lambda: bool(host.last_report().flags & ReportFlag.HOST_SILENT), within_s=6.0)


def test_twelve_days_without_a_reset(bench: PicoBench, host: Host) -> None:
    """The ticks of 1 ms wrap, too."""
    bench.order("jump", ROUND_US * 1000 - 400_000)
    host.set_up(timeout_ms=300)
    for number in range(20):
        host.command(100 + number, 0, 1)
        host.pass_time(0.05)
    assert bench.lamp("D5") == 119
    assert not host.last_report().flags & ReportFlag.HOST_SILENT
    assert 300 <= len([at for at, _ in horn_changes(bench, host, 1.2, every=0.05)]) * 150 <= 1350
    host.until(lambda: bool(host.last_report().flags & ReportFlag.HOST_SILENT), within_s=0.5)
    before = len(host.reports())
    host.pass_time(1.0)
    assert 9 <= len(host.reports()) - before <= 11
    host.release()
    before = len(host.hellos())
    host.pass_time(2.1)
    assert 4 <= len(host.hellos()) - before <= 5
    assert bench.now_us() > ROUND_US * 1000


PLAN_OUTPUTS = (
    SetupItem(2, ItemKind.LAMP, 5, ItemFlag.PWM, 10),
    SetupItem(3, ItemKind.LAMP, 7),
    SetupItem(4, ItemKind.TONE, 8, 0, 700, 200, 100),
)


def test_the_watchdog_is_fed_in_each_pass_whatever_arrives(bench: PicoBench, host: Host) -> None:
    host.set_up()
    chance = random.Random(3)
    host.command(9, 0, 0)
    good = encode_frame(Command(host.session, 2, 0, (5, 0, 0)).pack(PLAN.shape))
    before, begun_us = bench.feeds(), bench.now_us()
    for _ in range(40):
        bench.write(chance.randbytes(500) + b"\0" + good)
        host.pass_time(0.005)
    turns = (bench.now_us() - begun_us) // 500
    assert abs(bench.feeds() - before - turns) <= 1
    host.pass_time(0.5)
    assert host.last_report().bad_frames > 20


def test_commands_at_the_full_speed_of_the_line_are_all_accepted(
    bench: PicoBench, host: Host
) -> None:
    host.set_up(interval_ms=1000)
    for number in range(400):
        host.command(number % 256, 1, 0)
        bench.pass_time(0.00056)  # 14 bytes at 250000 bit/s
        if number % 20 == 0:
            host.listen()
    host.pass_time(1.1)
    assert host.last_report().command_sequence == 400
    assert host.last_report().bad_frames == 0


def test_the_on_board_led_shows_the_state(bench: PicoBench, host: Host) -> None:
    def blinks(seconds: float) -> int:
        states = []
        for _ in range(round(seconds / 0.01)):
            host.pass_time(0.01)
            states.append(bench.status_lamp())
        return sum(one and not two for one, two in pairwise(states))

    assert blinks(0.9) == 0  # a second for BOOTSEL
    assert bench.status_lamp()
    host.pass_time(0.2)
    assert blinks(2.0) in (3, 4)  # no session: twice a second
    host.set_up(timeout_ms=1000)
    host.command(1, 0, 0)
    assert blinks(0.9) == 0
    assert bench.status_lamp()
    host.until(lambda: bool(host.last_report().flags & ReportFlag.HOST_SILENT))
    assert blinks(2.0) in (9, 10)  # the computer is silent: five times a second
    host.release()
    assert blinks(2.0) in (3, 4)


def test_the_led_is_lit_for_a_second_after_each_reset(bench: PicoBench, host: Host) -> None:
    for _ in range(3):
        host.pass_time(0.05)
        for _ in range(9):
            assert bench.status_lamp()
            host.pass_time(0.1)
        states = set()
        for _ in range(100):
            host.pass_time(0.01)
            states.add(bench.status_lamp())
        assert states == {True, False}
        bench.reset()


def test_the_board_works_while_it_waits_for_bootsel(bench: PicoBench, host: Host) -> None:
    host.set_up()
    host.command(200, 0, 0)
    host.pass_time(0.02)
    assert bench.lamp("D5") == 200
    assert bench.now_s() < 0.5
    assert bench.status_lamp()


def test_bootsel_in_the_first_second_ends_the_program_and_drives_nothing(
    bench: PicoBench, host: Host
) -> None:
    for again in (False, True):
        if again:
            bench.reset()
        host.set_up()
        host.command(200, 1, 2)
        host.pass_time(0.02)
        assert not bench.at_prompt()
        bench.order("button", 1)
        host.pass_time(0.01)
        assert bench.at_prompt()
        assert not bench.status_lamp()
        assert {bench.pin(name)[0] for name in BOARDS["pico"].pins} == {"in"}
        bench.order("button", 0)
        host.listen()
        host.heard.clear()
        host.pass_time(2.0)
        assert host.heard == []


def test_bootsel_after_the_first_second_does_nothing(bench: PicoBench, host: Host) -> None:
    host.pass_time(1.1)
    bench.order("button", 1)
    host.pass_time(1.0)
    assert not bench.at_prompt()
    host.set_up()
