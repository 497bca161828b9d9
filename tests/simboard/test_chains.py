from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.clock import VirtualClock
from panelbridge.config.boards import BOARDS
from panelbridge.errors import LogicError
from panelbridge.link.wire import (
    FIRST_CHAIN_PIN,
    Edge,
    ItemKind,
    SetupBegin,
    SetupItem,
    SetupStatus,
)
from panelbridge.simboard.board.chains import ChainBit, chain_bits
from panelbridge.simboard.board.setup_book import SetupBook
from panelbridge.simboard.board.sim_board import SimBoard
from panelbridge.simboard.cable.cable import Cable
from panelbridge.simboard.serving.orders import Orders
from tests.simboard.host import CHAINS
from tests.simboard.test_core import reports, set_up


@given(st.lists(st.tuples(st.booleans(), st.integers(1, 4)), max_size=4))
def test_the_bits_of_all_chains_follow_one_another(chains: list[tuple[bool, int]]) -> None:
    items = [
        SetupItem(n, ItemKind.CHAIN_OUT if out else ItemKind.CHAIN_IN, 20 + n, 0, 30 + n, 40 + n, c)
        for n, (out, c) in enumerate(chains)
    ]
    bits = chain_bits(items)
    assert list(bits) == list(
        range(FIRST_CHAIN_PIN, FIRST_CHAIN_PIN + 8 * sum(c for _, c in chains))
    )
    expected = [ChainBit(i.kind, i.pin, bit) for i in items for bit in range(8 * i.p3)]
    assert list(bits.values()) == expected


def test_sixteen_chips_are_the_most_and_the_last_bit_is_255() -> None:
    book = SetupBook(BOARDS["pico"])
    book.begin(SetupBegin(1, 3, 0, 500, 100))
    assert book.take(SetupItem(0, ItemKind.CHAIN_IN, 0, 0, 1, 2, 16)) == SetupStatus.OK
    more = SetupItem(1, ItemKind.CHAIN_OUT, 3, 0, 4, 5, 1)
    assert book.take(more) == SetupStatus.TOO_MANY_ITEMS
    assert book.take(SetupItem(1, ItemKind.CONTACT, 255, 0, 5)) == SetupStatus.OK
    assert max(chain_bits(book.items)) == 255


def test_a_pin_that_can_only_be_read_as_a_voltage_moves_no_chain() -> None:
    board = BOARDS["nano"]
    knob = board.pins["A7"].number
    for pin, clock, latch in ((knob, 4, 5), (4, knob, 5), (4, 5, knob)):
        book = SetupBook(board)
        book.begin(SetupBegin(1, 1, 0, 500, 100))
        item = SetupItem(0, ItemKind.CHAIN_IN, pin, 0, clock, latch, 1)
        assert book.take(item) == SetupStatus.PIN_CANNOT


def test_contacts_at_the_chips_are_there_before_and_after_the_set_up() -> None:
    board = SimBoard("uno")
    board.set_contact(0.0, "D10.0", True)
    set_up(board, 1.0, CHAINS, timeout_ms=60_000)
    board.plan_contact(1.1, "D10.0", [(1.2, False), (1.201, True), (1.202, False)])
    board.advance(1.5)
    found = [(t, r.edges) for t, r in reports(board, CHAINS) if r.edges]
    assert [edges for _, edges in found[:1]] == [(Edge(0, False),)]
    assert round(found[0][0], 6) == 1.207
    board.reset(2.0)
    assert not board.contact_closed("D10.0")


def test_the_chips_keep_what_they_were_told() -> None:
    board = SimBoard("uno")
    set_up(board, 1.0, CHAINS)
    assert board.outputs.lamps == {"D3.0": 0, "D3.10": 255, "D3.15": 0}
    assert board.outputs.levels["D3.15"] == 255
    board.power_off(1.1)
    assert board.outputs.lamps == {}
    assert board.chain_bit_high("D3.10")


@pytest.mark.parametrize("name", ["D10.", "D10.128", "D99.0", ".3", "D10.x", "D10.-1", "A0x.1"])
def test_there_is_no_such_bit(name: str) -> None:
    board = SimBoard("uno")
    with pytest.raises(LogicError, match="no contact pin"):
        board.set_contact(0.0, name, True)
    with pytest.raises(LogicError, match="no analogue pin"):
        board.set_analogue(0.0, "D10.0", 3)


def test_orders_move_contacts_of_a_chain() -> None:
    board = SimBoard("uno")
    orders = Orders(Cable(board), VirtualClock(), None)
    assert orders.carry_out("pin D10.3 closed") == []
    assert board.contact_closed("D10.3")
    assert orders.carry_out("pin D99.3 closed") == ["? there is no contact pin D99.3"]
    assert orders.carry_out("pin D10.128 open") == ["? there is no contact pin D10.128"]
