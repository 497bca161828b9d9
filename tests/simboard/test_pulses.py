"""Pins of a Pico-class board share their pulse generators: what cannot be is refused."""

from __future__ import annotations

import pytest

from panelbridge.config.boards import BOARDS, BoardKind
from panelbridge.link.wire import ItemFlag, ItemKind, SetupBegin, SetupItem, SetupStatus
from panelbridge.simboard.board.setup_book import SetupBook


def lamp(pin: int) -> SetupItem:
    return SetupItem(0, ItemKind.LAMP, pin, ItemFlag.PWM)


def plain(pin: int) -> SetupItem:
    return SetupItem(0, ItemKind.LAMP, pin)


def tone(pin: int, hz: int = 700) -> SetupItem:
    return SetupItem(0, ItemKind.TONE, pin, 0, hz, 250, 250)


def servo(pin: int) -> SetupItem:
    return SetupItem(0, ItemKind.SERVO, pin, 0, 0, 1000, 2000)


def contact(pin: int) -> SetupItem:
    return SetupItem(0, ItemKind.CONTACT, pin, ItemFlag.PULL_UP, 5)


CAN = [
    (lamp(4), lamp(5)),
    (lamp(4), lamp(21)),
    (servo(4), servo(5)),
    (tone(4), tone(5)),
    (tone(4), lamp(6)),
    (tone(4), plain(5)),
    (plain(4), servo(5)),
    (contact(4), servo(5)),
    (servo(4), contact(20)),
    (tone(4, 1000), lamp(5)),
]
CAN_NOT = [
    (lamp(4), lamp(20)),  # the very same output
    (lamp(4), tone(5)),
    (lamp(4), servo(5)),
    (tone(4), servo(5)),
    (tone(4), tone(5, 800)),
    (servo(5), servo(21)),
    (lamp(0), tone(16)),
    (tone(1, 1000), lamp(17)),
]


def statuses(kind: BoardKind, pair: tuple[SetupItem, SetupItem]) -> list[SetupStatus]:
    book = SetupBook(BOARDS[kind])
    book.begin(SetupBegin(1, 2, 0, 500, 100))
    first, second = pair
    second = SetupItem(1, *(getattr(second, name) for name in ITEM_FIELDS))
    return [book.take(first), book.take(second)]


ITEM_FIELDS = ("kind", "pin", "flags", "p1", "p2", "p3")


@pytest.mark.parametrize("pair", CAN)
def test_pairs_that_can_be(pair: tuple[SetupItem, SetupItem]) -> None:
    assert statuses("pico", pair) == [SetupStatus.OK, SetupStatus.OK]
    assert statuses("pico", (pair[1], pair[0]))[0] == SetupStatus.OK


@pytest.mark.parametrize("pair", CAN_NOT)
def test_pairs_that_cannot_be(pair: tuple[SetupItem, SetupItem]) -> None:
    assert statuses("pico", pair) == [SetupStatus.OK, SetupStatus.PIN_CANNOT]


def test_tones_of_a_program_are_not_too_fast_together() -> None:
    first, second = (SetupItem(n, ItemKind.TONE, 2 + 2 * n, 0, 4001, 200, 100) for n in range(2))
    pair = (first, second)
    assert statuses("uno", pair) == [SetupStatus.OK, SetupStatus.BAD_VALUE]
    assert statuses("pico", pair) == [SetupStatus.OK, SetupStatus.OK]


def test_other_boards_have_a_generator_for_each_pin() -> None:
    pins = BOARDS["mega2560"].pins
    for first in pins.values():
        assert not BOARDS["mega2560"].pulses_clash(first, 700, pins["D5"], 50)
    assert statuses("mega2560", (lamp(4), tone(5))) == [SetupStatus.OK, SetupStatus.OK]
