"""When something fails, nothing is driven or all outputs are idle, and the board recovers."""

from __future__ import annotations

import pytest

from panelbridge.config.boards import BOARDS, BoardKind
from panelbridge.link.wire import (
    ItemFlag,
    ItemKind,
    ReportFlag,
    SetupCommit,
    SetupItem,
    SetupStatus,
)
from tests.firmware.avr_bench import AvrBench, PinChange, avr, avr_host
from tests.simboard.host import PLAN, Host, Plan, contact

KINDS: tuple[BoardKind, ...] = ("uno", "mega2560", "leonardo")
LEDS_OF_USB = {"B0", "D5"}  # RX and TX LEDs of a 32U4 board, driven by the Arduino core
WATCHDOG_S = 0.5


host = pytest.fixture(params=KINDS, name="host")(avr_host)


def changes(host: Host, since_us: float = 0.0) -> dict[str, list[PinChange]]:
    """Every change at the pins, except those of the Arduino core."""
    own = {place: [c for c in h if c.at_us >= since_us] for place, h in avr(host).history.items()}
    return {place: happened for place, happened in own.items() if happened} | {
        place: [] for place in LEDS_OF_USB & own.keys() if avr(host).target.usb
    }


def driven(host: Host) -> set[str]:
    """Pins that are not free inputs now."""
    found = {p for p, history in avr(host).history.items() if history and history[-1].how != "free"}
    return found - LEDS_OF_USB if avr(host).target.usb else found


def test_nothing_is_driven_before_the_set_up_is_active(host: Host) -> None:
    host.pass_time(0.6)
    host.begin(PLAN)
    host.send_items(PLAN.items)
    host.pass_time(0.3)
    assert not any(changes(host).values())


def test_a_set_up_with_a_bad_checksum_changes_nothing(host: Host) -> None:
    for announced, committed in ((PLAN.checksum, 1), (PLAN.checksum ^ 1, 0), (1, 1)):
        host.begin(PLAN)  # the right one ...
        if announced != PLAN.checksum:
            wrong = Plan((*PLAN.items[:-1], SetupItem(4, ItemKind.TONE, 8, 0, 701, 200, 100)))
            host.begin(wrong)  # ... or one for other items
        host.send_items(PLAN.items)
        reply = host.ask(SetupCommit(PLAN.checksum ^ committed).pack())
        assert reply.status == SetupStatus.BAD_CHECKSUM
        host.pass_time(0.3)
        assert not any(changes(host).values())
        assert host.reports() == []
        assert host.greet().setup_checksum == 0
    host.set_up()


def test_a_lamp_never_flashes_when_its_pin_becomes_an_output(host: Host) -> None:
    low, pwm = ItemFlag.ACTIVE_LOW, ItemFlag.ACTIVE_LOW | ItemFlag.PWM
    host.set_up(Plan((SetupItem(0, ItemKind.LAMP, 7, low), SetupItem(1, ItemKind.LAMP, 3, pwm))))
    host.pass_time(0.1)
    host.release()
    host.pass_time(0.1)
    for place in (avr(host).place("D7"), avr(host).place("D3")):
        levels = [c.level for c in avr(host).history[place] if c.how == "level"]
        assert levels
        assert 0 not in levels  # dark is high here


@pytest.mark.parametrize("timeout_ms", [100, 500, 3000])
def test_the_outputs_go_idle_at_the_host_time_out(host: Host, timeout_ms: int) -> None:
    host.set_up(timeout_ms=timeout_ms)
    host.pass_time(0.05)
    sequence = host.command(200, 1, 2)
    host.until(lambda: host.last_report().command_sequence == sequence)
    lit = avr(host).state("D7")
    assert (lit.how, lit.level) == ("level", 1)
    host.pass_time(timeout_ms / 1000 + 0.01)
    dark = avr(host).state("D7")
    assert (dark.how, dark.level) == ("level", 0)
    waited_us = dark.at_us - lit.at_us
    assert 1000 * timeout_ms - 1000 < waited_us < 1000 * timeout_ms + 1500
    assert not host.bench.sounding("D8")
    assert host.bench.lamp("D5") == 10
    host.until(lambda: bool(host.last_report().flags & ReportFlag.HOST_SILENT))
    host.command(0, 1, 0)
    host.until(lambda: not host.last_report().flags & ReportFlag.HOST_SILENT)
    assert host.bench.lamp("D7") == 255


def test_the_watchdog_resets_a_program_that_hangs(host: Host) -> None:
    first = host.greet()
    host.set_up()
    host.command(200, 1, 2)
    host.until(lambda: host.bench.lamp("D7") == 255)
    avr(host).machine.order("hang")
    hung_s = host.bench.now_s()
    host.until(lambda: not driven(host), within_s=2 * WATCHDOG_S)
    assert host.bench.now_s() - hung_s > WATCHDOG_S / 2
    host.until(lambda: host.hellos()[-1].boot_id != first.boot_id)
    assert host.hellos()[-1].setup_checksum == 0
    assert not driven(host)
    host.pass_time(2.0)  # and the watchdog does not reset the new program
    assert len({hello.boot_id for hello in host.hellos()}) == 2
    host.set_up()


def test_a_power_failure_in_a_session_is_a_restart(host: Host) -> None:
    first = host.greet()
    host.set_up()
    host.command(200, 1, 2)
    host.until(lambda: host.bench.lamp("D7") == 255)
    avr(host).machine.order("brownout 40")
    host.pass_time(0.01)
    assert not driven(host)
    host.until(lambda: host.hellos()[-1].boot_id != first.boot_id)
    assert host.hellos()[-1].setup_checksum == 0
    reports = len(host.reports())
    host.command(200, 1, 2)  # of the session that has ended
    host.pass_time(0.3)
    assert not driven(host)
    assert len(host.reports()) == reports
    report = host.set_up()
    assert (report.sequence, report.first_edge) == (0, 0)


def test_a_hundred_resets_have_a_hundred_boot_ids(host: Host) -> None:
    seen = set()
    for _ in range(100):
        host.bench.reset()
        host.pass_time(0.02)
        seen.add(host.greet().boot_id)
    assert len(seen) == 100


@pytest.mark.parametrize("how", ["begin", "release"])
def test_all_pins_are_released(host: Host, how: str) -> None:
    pins = BOARDS[avr(host).kind].pins
    items = (
        contact(0, 2),
        SetupItem(1, ItemKind.LAMP, pins["D5"].number, ItemFlag.PWM, 255),
        SetupItem(2, ItemKind.LAMP, pins["D6"].number, ItemFlag.PWM, 100),
        SetupItem(3, ItemKind.LAMP, pins["D7"].number, 0, 1),
        SetupItem(4, ItemKind.TONE, 8, 0, 700, 200, 100),
        SetupItem(5, ItemKind.SERVO, 9, 0, 1500, 1000, 2000),
        SetupItem(6, ItemKind.ANALOGUE, pins["A0"].number, 0, 4),
    )
    host.set_up(Plan(items))
    host.command(255, 100, 1, 2, 1500)
    host.pass_time(0.1)
    assert len(driven(host)) == 6
    if how == "begin":
        host.begin(PLAN)
    else:
        host.release()
    host.pass_time(0.01)
    assert not driven(host)
    before_us = avr(host).machine.now_us
    host.pass_time(0.3)
    assert not any(changes(host, before_us).values())


def test_the_arduino_ide_can_start_the_boot_loader_of_a_board_with_native_usb() -> None:
    # The Arduino core arms the watchdog when the port is opened and closed at 1200 bit/s. A program
    # that kept feeding it could be replaced only with the reset button.
    bench = AvrBench("leonardo")
    host = Host(bench)
    first = host.greet()
    host.set_up()
    bench.machine.order("touch")
    host.until(lambda: host.hellos()[-1].boot_id != first.boot_id, within_s=1.5)
    bench.close()
