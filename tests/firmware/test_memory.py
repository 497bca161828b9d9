"""The chips' memory: how often EEPROM is written, how deep the stack gets."""

from __future__ import annotations

from itertools import pairwise

import pytest

from panelbridge.config.boards import BOARDS
from panelbridge.link.wire import ItemFlag, ItemKind, SetupItem
from tests.firmware.avr_bench import avr, avr_host
from tests.firmware.build import TARGETS, avr_elf, symbol
from tests.simboard.host import Host, Plan, contact

LASTS_WRITES = 100_000
"""Of a cell of EEPROM: data sheet ATmega328P 8271H, "100,000 write/erase cycles"."""


CHIPS = {target.mcu: board for board, target in reversed(TARGETS.items())}
"""A board with each chip: those with the same chip have the same memory."""

host = pytest.fixture(params=sorted(CHIPS.values()), name="host")(avr_host)


def eeprom_writes(host: Host) -> tuple[int, int]:
    """All writes, and those of the byte that was written most."""
    words = avr(host).machine.ask("eeprom")[-2]
    return int(words[1]), int(words[2])


def boot_ids(host: Host, order: str, times: int) -> list[int]:
    found = [host.greet().boot_id]
    for _ in range(times):
        avr(host).machine.order(order)
        before = len(host.hellos())
        host.until(lambda before=before: len(host.hellos()) > before)  # type: ignore[misc]
        found.append(host.hellos()[-1].boot_id)
    return found


def test_a_thousand_resets_write_no_eeprom(host: Host) -> None:
    host.greet()
    before = eeprom_writes(host)
    assert before[0] <= 1  # the power-up
    for _ in range(1000 if avr(host).kind == "uno" else 100):
        host.bench.reset()
        host.bench.pass_time(0.006)
    assert eeprom_writes(host) == before
    found = boot_ids(host, "reset", 20)
    assert all(a != b for a, b in pairwise(found))


def test_losses_of_power_are_spread_over_the_cells(host: Host) -> None:
    host.greet()
    times = 70  # more than one round of the 64 cells
    found = boot_ids(host, "brownout 5", times)
    assert len(set(found)) == times + 1
    all_writes, most = eeprom_writes(host)
    assert all_writes == times + 1
    assert most <= times // 64 + 1  # 6,400,000 losses of power in all
    found = boot_ids(host, "reset", 3) + boot_ids(host, "brownout 5", 1)[1:]
    assert len(set(found)) == 5  # neither repeats what the other has counted


def test_the_stack_stays_clear_of_the_other_memory(host: Host) -> None:
    """Painted memory, then the longest messages in both directions with all that interrupts."""
    board = avr(host)
    heap = symbol(avr_elf(board.kind), "_end")
    board.machine.order(f"paint {heap}")
    host.pass_time(0.05)
    pins = BOARDS[board.kind].pins
    items: list[SetupItem] = [SetupItem(0, ItemKind.CHAIN_IN, 10, 0, 11, 12, 2)]
    items += [contact(1 + n, 128 + n, flags=0) for n in range(8)]
    items += [SetupItem(9, ItemKind.TONE, 8, 0, 4000, 20, 20)]
    items += [SetupItem(10, ItemKind.SERVO, 7, 0, 0, 500, 2500)]
    dimmed = [pin.number for pin in pins.values() if pin.pwm and pin.number not in (10, 11, 12)]
    for number in dimmed[:4]:
        items.append(SetupItem(len(items), ItemKind.LAMP, number, ItemFlag.PWM))
    analogue = [pin for pin in pins.values() if pin.analogue][:6]
    for pin in analogue:
        items.append(SetupItem(len(items), ItemKind.ANALOGUE, pin.number, 0, 4))
    host.set_up(Plan(tuple(items)), timeout_ms=100)
    for number in range(150):
        host.command(2, 500 + 13 * number, *(number % 256 for _ in dimmed[:4]), ack=number)
        board.machine.order(f"in {board.place('D10')} {number // 20 % 2}")
        board.set_analogue(analogue[number % len(analogue)].name, 5 * number)
        if number % 10 == 0:
            host.capture(0, 5)
        host.pass_time(0.0017)
    host.pass_time(0.3)  # the host is silent
    host.release()
    host.set_up(Plan(tuple(items)))
    host.pass_time(0.1)
    free, deep = map(int, board.machine.ask(f"untouched {heap}")[-2][1:])
    assert 30 < deep < 250
    assert free > 2 * deep
    assert free >= 512
