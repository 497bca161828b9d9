"""Made-up set-ups: the large sketch, the minimal one and the simulated board answer alike.

They stand for the order of the checks and each BAD_VALUE in ``PROTOCOL.md``, section 4.2.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable
from contextlib import closing

import pytest
from msgspec.structs import replace

from panelbridge.config.boards import BOARDS, Board, BoardKind
from panelbridge.link.wire import ItemKind, SetupBegin, SetupItem, SetupStatus
from panelbridge.simboard.board.setup_book import SetupBook
from tests.firmware.build import native_minimal
from tests.firmware.machines import NativeBench
from tests.firmware.pico_bench import PicoBench
from tests.simboard.host import Bench, Host

NUMBERS = (0, 1, 2, 20, 30, 31, 255, 256, 500, 501, 700, 1023, 1024, 4000, 4096, 10_000, 10_001)
PINS = (0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 13, 14, 16, 17, 19, 20, 26, 28, 53, 54, 69, 128, 131)


def made_up(dice: random.Random, kinds: tuple[int, ...], index: int) -> SetupItem:
    """An item that is often good in all but one respect."""
    kind = dice.choice(kinds)
    typical: dict[int, tuple[int, int, int]] = {
        ItemKind.CONTACT: (20, 0, 0),
        ItemKind.ANALOGUE: (4, 0, 0),
        ItemKind.LAMP: (0, 0, 0),
        ItemKind.TONE: (dice.choice((700, 5000)), 200, 100),
        ItemKind.SERVO: (0, 1000, 2000),
    }
    of_chain = (dice.choice(PINS), dice.choice(PINS), dice.randint(0, 9))
    numbers = [*typical.get(kind, of_chain)]
    flags = dice.choice((0, 0, 1, 2, 3, 4, 6, 8, 11, 16, 128))
    if kind not in (ItemKind.CONTACT, ItemKind.LAMP) and dice.random() < 0.8:
        flags = 0
    if dice.random() < 0.3:
        numbers[dice.randrange(3)] = dice.choice(NUMBERS)
    pin = dice.choice(PINS + tuple(range(128, 180, 5)) * (dice.random() < 0.3))
    return SetupItem(index, kind, pin, flags, *numbers)


def answers(
    take: Callable[[SetupItem], int], seed: int, kinds: tuple[int, ...]
) -> list[SetupStatus]:
    """The answers to items that follow from the seed, and from the answers before."""
    dice = random.Random(seed)
    heard, index = [], 0
    for _ in range(60):
        item = made_up(dice, kinds, index if dice.random() < 0.9 else dice.randint(0, 9))
        heard.append(SetupStatus(take(item)))
        index += heard[-1] is SetupStatus.OK and item.index == index
    return heard


def compare(bench: Bench, board: Board, kinds: tuple[int, ...]) -> Counter[SetupStatus]:
    """How often each status came, the same from both boards."""
    host, book = Host(bench), SetupBook(board)
    begin = SetupBegin(7, board.items, 0, 500, 100)
    seen: Counter[SetupStatus] = Counter()
    for seed in range(40):
        assert host.ask(begin.pack()).status == book.begin(begin) == SetupStatus.OK
        some = kinds if seed % 2 else (kinds * 2)[seed // 2 % len(kinds) :][:2]  # some fill it
        wanted = answers(book.take, seed, some)
        assert answers(lambda item: host.ask(item.pack()).status, seed, some) == wanted, seed
        seen.update(wanted)
    return seen


ALL = (*ItemKind, 0x7F)
ON_ITEMS = {*SetupStatus} - {SetupStatus.BAD_CHECKSUM, SetupStatus.REPORT_TOO_LONG}


@pytest.mark.parametrize("kind", ["uno", "mega2560", "leonardo", "pico"])
def test_every_board_answers_as_the_simulated_one(kind: BoardKind) -> None:
    with closing(PicoBench() if kind == "pico" else NativeBench(kind)) as bench:
        assert set(compare(bench, BOARDS[kind], ALL)) == ON_ITEMS


def test_the_minimal_board_answers_alike_to_what_it_has() -> None:
    uno = BOARDS["uno"]
    pins = {name: replace(pin, pwm=pin.number in (5, 6, 9, 10)) for name, pin in uno.pins.items()}
    kinds = (ItemKind.CONTACT, ItemKind.ANALOGUE, ItemKind.LAMP, ItemKind.TONE, 0x7F)
    with closing(NativeBench("uno", program=native_minimal())) as bench:
        assert set(compare(bench, replace(uno, pins=pins, tones=1), kinds)) == ON_ITEMS
