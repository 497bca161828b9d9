"""The hand of a switch that is wired to a simulated board."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial

from msgspec import Struct

from panelbridge.config.panel_parts.switch_entries import ContactSwitch, LeverSwitch, WiredSwitch
from panelbridge.logic.switches import Declared, rest_of, words_of
from panelbridge.simboard.board.sim_board import SimBoard
from panelbridge.simboard.contacts.contact import Burst, Change
from panelbridge.simboard.contacts.hands import Hand, LeverHand
from panelbridge.simboard.contacts.wired_hands import DOWN, contact_hand


class _PinContact(Struct, frozen=True):
    board: SimBoard
    pin_name: str

    def closed_at(self, now_s: float) -> bool:
        self.board.advance(now_s)
        return self.board.contact_closed(self.pin_name)

    def plan(self, now_s: float, changes: Iterable[Change]) -> None:
        self.board.plan_contact(now_s, self.pin_name, changes)


def _put_wiper(board: SimBoard, wired: LeverSwitch, now_s: float, fraction: float | None) -> None:
    low, high = wired.counts_at_0, wired.counts_at_1
    counts = 0 if fraction is None else round(low + fraction * (high - low))
    board.set_analogue(now_s, wired.pin, counts)


def switch_hand(
    name: str,
    wired: WiredSwitch,
    board: SimBoard,
    pin_at: Callable[[str], str],
    now_s: float,
    *,
    travel_s: float,
    burst: Burst,
    declared: Declared,
) -> Hand:
    """A hand on a switch, which stands at its rest; a handle is down.

    Args:
        name: of the switch.
        wired: how it is wired.
        board: its board.
        pin_at: gives the name of a pin on the simulated board.
        now_s: when it is switched on.
        travel_s: how long the gear handle is between its contacts, s.
        burst: how contacts bounce.
        declared: the switches of the aircraft, for words and rests.
    """
    if isinstance(wired, LeverSwitch):
        return LeverHand(name, partial(_put_wiper, board, wired), rest_of(name, declared), now_s)
    start = words_of(name, declared).free if isinstance(wired, ContactSwitch) else DOWN
    return contact_hand(
        name,
        wired,
        start,
        now_s,
        lambda pin: _PinContact(board, pin_at(pin)),
        travel_s,
        burst,
        declared,
    )
