"""Hands without a board: any contact that can be planned will do."""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from panelbridge.config.panel_parts.switch_entries import ContactSwitch, TwoContactHandle
from panelbridge.errors import UsageError
from panelbridge.simboard.contacts.contact import Change, PlannedContact
from panelbridge.simboard.contacts.hands import SwitchFault
from panelbridge.simboard.contacts.wired_hands import contact_hand


class Line(PlannedContact):
    """A contact that follows its plan when it is asked."""

    def closed_at(self, now_s: float) -> bool:
        while self.next_change_s <= now_s:
            _, self.closed = self.take_change()
        return self.closed

    def plan(self, now_s: float, changes: Iterable[Change]) -> None:
        self.replace_plan(changes)


@pytest.fixture
def lines() -> dict[str, Line]:
    return {"D2": Line(), "D3": Line()}


HANDLE = TwoContactHandle(form="two_contact", board="b", up_pin="D2", down_pin="D3")


def states(lines: dict[str, Line], now_s: float) -> tuple[bool, bool]:
    return lines["D2"].closed_at(now_s), lines["D3"].closed_at(now_s)


def test_a_handle_travels_from_one_contact_to_the_other(lines: dict[str, Line]) -> None:
    hand = contact_hand("gear_handle", HANDLE, "down", 0.0, lines.__getitem__, travel_s=0.2)
    assert states(lines, 0.0) == (False, True)
    hand.move(1.0, "up")
    assert [states(lines, at_s) for at_s in (1.0, 1.19, 1.21)] == [
        (False, False),
        (False, False),
        (True, False),
    ]
    assert [hand.position(at_s) for at_s in (0.9, 1.1, 1.3)] == ["down", "between", "up"]


def test_repairing_a_whole_switch_changes_nothing(lines: dict[str, Line]) -> None:
    hand = contact_hand("gear_handle", HANDLE, "down", 0.0, lines.__getitem__, travel_s=0.2)
    hand.move(1.0, "up")
    hand.break_down(1.1, SwitchFault.NONE)
    assert states(lines, 1.3) == (True, False)


def test_a_lever_with_one_contact_takes_numbers_and_a_button_does_not(
    lines: dict[str, Line],
) -> None:
    wired = ContactSwitch(form="contact", board="b", pin="D2")
    lever = contact_hand("parking_brake", wired, 0.7, 0.0, lines.__getitem__)
    assert lines["D2"].closed_at(0.0)
    lever.move(1.0, 0.4)
    assert not lines["D2"].closed_at(1.0)
    button = contact_hand("horn_silence", wired, "released", 0.0, lines.__getitem__)
    with pytest.raises(UsageError, match="horn_silence cannot be put to 1"):
        button.move(1.0, 1)
