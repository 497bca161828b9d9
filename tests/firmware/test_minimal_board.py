"""The minimal board of ``firmware_examples``: on a simulated Uno, and compiled for this machine.

The contract of every board applies to it. What it leaves out (chains, servos, raw capture:
``tests.simboard.full_contract``) it must answer as ``PROTOCOL.md`` says.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import pytest

from panelbridge.config.boards import BoardCode, BoardKind
from panelbridge.link.wire import ItemFlag, ItemKind, SetupItem, SetupStatus
from tests.firmware.avr_bench import AvrBench
from tests.firmware.build import MINIMAL, TARGETS, avr_elf, native_minimal, size_of, symbol
from tests.firmware.machines import NativeBench
from tests.simboard.contract import MinimalContract
from tests.simboard.host import ONE_STEP_S, Bench, Host, Plan, contact

KIND: BoardKind = "uno"


class TestMinimalOnChip(MinimalContract):
    board_code = BoardCode.OTHER

    def make_bench(self) -> Bench:
        return AvrBench(KIND, sketch=MINIMAL)


class TestMinimalNative(MinimalContract):
    board_code = BoardCode.OTHER

    def make_bench(self) -> Bench:
        return NativeBench(KIND, program=native_minimal())


@pytest.fixture
def host() -> Iterator[Host]:
    bench = AvrBench(KIND, sketch=MINIMAL)
    yield Host(bench)
    bench.close()


def chip(host: Host) -> AvrBench:
    assert isinstance(host.bench, AvrBench)
    return host.bench


@pytest.mark.parametrize(
    "item",
    [
        SetupItem(1, ItemKind.SERVO, 9, 0, 0, 1000, 2000),
        SetupItem(1, ItemKind.CHAIN_IN, 10, 0, 11, 12, 2),
        SetupItem(1, ItemKind.CHAIN_OUT, 3, 0, 6, 13, 2),
    ],
)
def test_servos_and_chains_are_kinds_that_it_does_not_know(host: Host, item: SetupItem) -> None:
    plan = Plan((contact(0, 2), contact(1, 4)))
    host.begin(plan)
    host.send_items(plan.items[:1])
    assert host.ask(item.pack()).status == SetupStatus.UNKNOWN_KIND
    assert host.ask(plan.items[1].pack()).status == SetupStatus.OK


def test_a_capture_is_a_message_that_it_does_not_know(host: Host) -> None:
    host.set_up()
    host.capture(0, 100)
    host.until(lambda: host.last_report().bad_frames == 1)
    assert host.captured() == []


def test_a_second_horn_is_one_too_many(host: Host) -> None:
    tones = [SetupItem(n, ItemKind.TONE, 8 + n, 0, 700, 1, 1) for n in range(2)]
    host.begin(Plan(tuple(tones)))
    statuses = [reply.status for reply in host.send_items(tones)]
    assert statuses == [SetupStatus.OK, SetupStatus.TOO_MANY_ITEMS]


def test_it_takes_as_many_items_as_it_says_and_no_more(host: Host) -> None:
    most = host.greet().max_items
    plan = Plan(tuple(contact(n, 2 + n) for n in range(most + 1)))
    assert host.begin(plan).status == SetupStatus.TOO_MANY_ITEMS
    assert host.begin(Plan(plan.items[:most])).status == SetupStatus.OK


def test_a_knob_is_read(host: Host) -> None:
    plan = Plan((SetupItem(0, ItemKind.ANALOGUE, 14, 0, 4),))
    assert host.set_up(plan).analogues == (0,)
    chip(host).set_analogue("A0", 700)
    host.until(lambda: host.last_report().analogues == (700,), within_s=0.05)
    chip(host).set_analogue("A0", 703)  # within the noise gate
    host.pass_time(0.25)
    assert host.last_report().analogues == (700,)
    chip(host).set_analogue("A0", 1023)
    host.until(lambda: host.last_report().analogues == (1023,), within_s=0.05)


def test_a_lamp_that_a_low_pin_lights_does_not_flash(host: Host) -> None:
    flags = ItemFlag.ACTIVE_LOW
    host.set_up(Plan((SetupItem(0, ItemKind.LAMP, 7, flags), contact(1, 2))))
    host.pass_time(0.05)
    driven = chip(host).history[chip(host).place("D7")]
    assert {change.level for change in driven if change.how == "level"} == {1}
    host.command(1)
    host.until(lambda: chip(host).state("D7").level == 0)


def test_a_program_that_hangs_is_reset_and_drives_nothing(host: Host) -> None:
    host.set_up()
    host.command(200, 1, 0)
    host.until(lambda: host.bench.lamp("D7") == 255)
    before = host.hellos()
    chip(host).machine.order("hang")
    host.until(lambda: len(host.hellos()) > len(before), within_s=2.0)
    assert host.bench.lamp("D7") == 0
    assert chip(host).state("D7").how == "free"


def test_a_full_line_loses_no_frame_and_no_edge(host: Host) -> None:
    """Every item that the chip's pins allow, and a COMMAND every 4 ms."""
    contacts = tuple(contact(n, pin) for n, pin in enumerate((2, 4, 11, 12, 14, 15, 16, 17)))
    lamps = tuple(
        SetupItem(8 + n, ItemKind.LAMP, pin, ItemFlag.PWM * (pin in (5, 6, 9, 10)))
        for n, pin in enumerate((3, 5, 6, 7, 9, 10))
    )
    plan = Plan((*contacts, *lamps, SetupItem(14, ItemKind.TONE, 8, 0, 2000, 50, 50)))
    host.set_up(plan)
    for number in range(50):
        if number % 5 == 0:
            host.bench.set_contact("D2", number % 10 == 0)
        next_edge = host.last_report().first_edge + len(host.last_report().edges)
        sequence = host.command(*(number,) * 6, 1, ack=next_edge)
        host.pass_time(2 * ONE_STEP_S)
    host.until(lambda: host.last_report().command_sequence == sequence)
    assert host.last_report().bad_frames == 0
    assert chip(host).lost_bytes() == 0
    edges = {}
    for report in host.reports():
        edges.update({report.first_edge + n: edge.closed for n, edge in enumerate(report.edges)})
    assert edges == {n: n % 2 == 0 for n in range(10)}
    assert all(a.sequence < b.sequence for a, b in pairwise(host.reports()))


def test_it_leaves_room_for_additions() -> None:
    size, target = size_of(avr_elf(KIND, MINIMAL)), TARGETS[KIND]
    assert size.flash < target.flash / 3
    assert size.static_ram < 0.85 * target.ram


def test_the_stack_stays_clear_of_the_other_memory(host: Host) -> None:
    """Painted memory, then the longest messages in both directions with all that interrupts."""
    board = chip(host)
    end = symbol(avr_elf(KIND, MINIMAL), "_end")
    board.machine.order(f"paint {end}")
    host.pass_time(0.05)
    items = [contact(n, pin) for n, pin in enumerate((2, 4, 7, 11, 12))]
    items += [SetupItem(5 + n, ItemKind.ANALOGUE, 14 + n, 0, 4) for n in range(6)]
    items += [
        SetupItem(11 + n, ItemKind.LAMP, pin, ItemFlag.PWM) for n, pin in enumerate((5, 6, 9))
    ]
    items += [SetupItem(14, ItemKind.TONE, 8, 0, 4000, 20, 20)]
    host.set_up(Plan(tuple(items)), timeout_ms=100)
    for number in range(100):
        host.command(*(number % 256 for _ in range(3)), number % 3, ack=number)
        host.bench.set_contact("D2", number // 20 % 2 == 1)
        board.set_analogue("A1", 5 * number)
        host.pass_time(0.0017)
    host.pass_time(0.3)  # the host is silent
    host.release()
    host.set_up(Plan(tuple(items)))
    free, deep = map(int, board.machine.ask(f"untouched {end}")[-2][1:])
    assert 30 < deep < 250
    assert free >= 200
