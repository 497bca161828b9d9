"""A contact on the bench counts when that of its board would."""

from __future__ import annotations

import random
from typing import Literal

import pytest

from panelbridge.bench.world.switches_on_bench import SwitchOnBench
from panelbridge.config.panel_parts.switch_entries import (
    ContactSwitch,
    OneContactHandle,
    TwoContactHandle,
)
from panelbridge.signals import HandleContacts

Mode = Literal["wait_until_quiet", "report_first"]
COUNTS_AT_S: dict[Mode, float] = {"wait_until_quiet": 1.020, "report_first": 1.0}


def reads_first(switch: SwitchOnBench, expected: object, until_s: float = 1.1) -> float:
    """When the switch first reads ``expected``, looked at each ms."""
    for step in range(1000, round(until_s * 1000) + 1):
        switch.advance(step / 1000.0)
        if switch.read() == expected:
            return step / 1000.0
    return -1.0


@pytest.mark.parametrize("mode", COUNTS_AT_S)
def test_a_button(mode: Mode) -> None:
    wired = ContactSwitch(form="contact", board="b", pin="D2", debounce_mode=mode)
    switch = SwitchOnBench("horn_silence", wired, "released", random.Random(1))
    switch.hand.move(1.0, "pressed")
    assert reads_first(switch, True) == COUNTS_AT_S[mode]


@pytest.mark.parametrize("mode", COUNTS_AT_S)
def test_handles(mode: Mode) -> None:
    one = OneContactHandle(
        form="one_contact", board="b", pin="D2", closed_means="up", debounce_mode=mode
    )
    switch = SwitchOnBench("gear_handle", one, "down", random.Random(1))
    switch.hand.move(1.0, "up")
    assert reads_first(switch, HandleContacts.UP) == COUNTS_AT_S[mode]
    two = TwoContactHandle(
        form="two_contact", board="b", up_pin="D2", down_pin="D3", debounce_mode=mode
    )
    switch = SwitchOnBench("gear_handle", two, "down", random.Random(1))
    switch.hand.move(1.0, "up")
    assert reads_first(switch, HandleContacts.BETWEEN) == COUNTS_AT_S[mode]


def test_one_that_reports_first_is_not_looked_at_while_it_is_held() -> None:
    wired = ContactSwitch(
        form="contact", board="b", pin="D2", debounce_mode="report_first", debounce_ms=50
    )
    switch = SwitchOnBench("horn_silence", wired, "released", random.Random(1))
    switch.hand.move(1.0, "pressed")
    switch.hand.move(1.010, "released")
    switch.advance(1.049)
    assert switch.read() is True
    switch.advance(1.051)
    assert switch.read() is False


def test_a_board_that_begins_again_keeps_its_way() -> None:
    wired = ContactSwitch(form="contact", board="b", pin="D2", debounce_mode="report_first")
    switch = SwitchOnBench("horn_silence", wired, "released", random.Random(1))
    switch.power_up()
    switch.hand.move(1.0, "pressed")
    assert switch.read() is True
