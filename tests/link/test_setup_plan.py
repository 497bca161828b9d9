from __future__ import annotations

from typing import Any

import pytest

from panelbridge.config.panel_file import PanelFile
from panelbridge.errors import SetupRefused
from panelbridge.link.session import OutputValues, SetupPlan
from panelbridge.link.session.setup_items import AnalogueUse, ContactUse
from panelbridge.link.wire import ItemFlag, ItemKind, SetupBegin, SetupStatus
from panelbridge.link.wire.frames import crc16
from panelbridge.signals import Outputs
from panelbridge.simboard.board.setup_book import SetupBook
from tests.link.conftest import make_panel

CLOSES = ItemFlag.PULL_UP | ItemFlag.ACTIVE_LOW


def test_items_stand_in_their_fixed_order(panel: PanelFile) -> None:
    plan = SetupPlan.of(panel, "gear")
    assert [(i.index, i.kind, i.pin, i.flags, i.p1, i.p2, i.p3) for i in plan.items] == [
        (0, ItemKind.CONTACT, 2, CLOSES, 20, 0, 0),
        (1, ItemKind.CONTACT, 3, CLOSES, 20, 0, 0),
        (2, ItemKind.CONTACT, 4, CLOSES, 20, 0, 0),
        (3, ItemKind.LAMP, 5, ItemFlag.PWM, 0, 0, 0),
        (4, ItemKind.LAMP, 7, ItemFlag.ACTIVE_LOW, 0, 0, 0),  # pin 7 has no PWM
        (5, ItemKind.TONE, 8, 0, 700, 250, 250),
        (6, ItemKind.SERVO, 9, 0, 1000, 1000, 2000),
    ]
    assert plan.contacts == (
        ContactUse("gear_handle", "up"),
        ContactUse("gear_handle", "down"),
        ContactUse("horn_silence", "closed"),
    )
    assert plan.outputs == ("nose_green", "nose_red", "horn", "hydraulic_pressure")
    assert (plan.shape.contacts, plan.shape.analogues) == (3, 0)
    assert plan.checksum == crc16(b"".join(item.body() for item in plan.items))
    assert plan.idle_values == (0, 0, 0, 1000)
    assert plan.labels[1] == "switch gear_handle (down contact) on pin D3"


def test_each_board_gets_what_is_wired_to_it(panel: PanelFile) -> None:
    plan = SetupPlan.of(panel, "pedestal")
    assert plan.contacts == (ContactUse("lamp_test", "closed"),)
    assert plan.analogues == (AnalogueUse("dimmer", 0, 1023),)
    assert [(item.kind, item.pin, item.p1) for item in plan.items] == [
        (ItemKind.CONTACT, 4, 20),
        (ItemKind.ANALOGUE, 18, 4),
    ]
    assert plan.outputs == ()
    assert plan.idle_values == OutputValues(plan).of(Outputs({"nose_green": 1})) == ()


def test_a_contact_that_opens_when_operated_is_high_when_operated() -> None:
    switch = {"board": "gear", "form": "contact", "pin": "D4", "normally_closed": True}
    plan = SetupPlan.of(make_panel(switches={"horn_silence": switch}), "gear")
    assert plan.items[0].flags == ItemFlag.PULL_UP


def test_a_handle_whose_contacts_open() -> None:
    handle = {
        "board": "gear",
        "form": "two_contact",
        "up_pin": "D2",
        "down_pin": "D3",
        "normally_closed": True,
        "debounce_ms": 33,
    }
    plan = SetupPlan.of(make_panel(switches={"gear_handle": handle}), "gear")
    assert [(i.flags, i.p1) for i in plan.items[:2]] == [(ItemFlag.PULL_UP, 33)] * 2


@pytest.mark.parametrize("end", ["up", "down"])
def test_a_handle_with_one_contact(end: Any) -> None:
    handle = {"board": "gear", "form": "one_contact", "pin": "D2", "closed_means": end}
    plan = SetupPlan.of(make_panel(switches={"gear_handle": handle}), "gear")
    assert plan.contacts == (ContactUse("gear_handle", end),)
    assert plan.items[0].flags == CLOSES


def test_a_lamp_that_shall_not_be_dimmed_goes_without_pwm() -> None:
    lamp = {"board": "gear", "pin": "D5", "colour": "red", "dimmed": False}
    plan = SetupPlan.of(make_panel(lamps={"nose_red": lamp}), "gear")
    assert next(i for i in plan.items if i.kind == ItemKind.LAMP).flags == 0


def test_a_pin_that_the_board_lacks_is_named() -> None:
    lamps = {"nose_red": {"board": "gear", "pin": "D33", "colour": "red"}}
    with pytest.raises(SetupRefused, match="lamp nose_red is on pin D33, which a uno does not"):
        SetupPlan.of(make_panel(lamps=lamps), "gear")


def mega_panel(lamps: int) -> PanelFile:
    return make_panel(
        boards={"gear": {"board": "mega2560"}, "pedestal": {"board": "uno"}},
        lamps={
            f"lamp_{n}": {"board": "gear", "pin": f"D{2 + n % 50}", "colour": "red"}
            for n in range(lamps)
        },
    )


def test_too_many_pins_are_refused() -> None:
    SetupPlan.of(mega_panel(107), "gear")  # with three contacts, horn and gauge that is 112
    with pytest.raises(SetupRefused, match="113 pins are used, 112 is the most"):
        SetupPlan.of(mega_panel(108), "gear")


def test_what_does_not_fit_a_frame_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """No board of today has so many pins, so the limit is lowered."""
    monkeypatch.setattr("panelbridge.link.session.setup_plan.MAX_MESSAGE", 30)
    SetupPlan.of(mega_panel(19), "gear")
    with pytest.raises(SetupRefused, match="its outputs need a frame of 31 bytes, 30 is the most"):
        SetupPlan.of(mega_panel(20), "gear")
    monkeypatch.setattr("panelbridge.link.session.setup_plan.MAX_MESSAGE", 29)
    with pytest.raises(SetupRefused, match="its inputs need a frame of 30 bytes"):
        SetupPlan.of(mega_panel(1), "gear")


def chain(form: str, chips: int, data: int) -> dict[str, object]:
    pins = {"data_pin": f"D{data}", "clock_pin": f"D{data + 1}", "latch_pin": f"D{data + 2}"}
    return {"form": form, "chips": chips, **pins}


def test_chains_come_first_and_their_bits_are_pins() -> None:
    boards = {
        "gear": {
            "board": "uno",
            "chains": {"lights": chain("outputs", 1, 2), "knobs": chain("inputs", 2, 10)},
        },
        "pedestal": {"board": "leonardo"},
    }
    on_chain = {"board": "gear", "form": "contact"}
    panel = make_panel(
        boards=boards,
        switches={
            "horn_silence": {**on_chain, "pin": "knobs.0"},
            "lamp_test": {**on_chain, "pin": "knobs.9", "normally_closed": True},
            "steering_button": {**on_chain, "pin": "D5", "debounce_mode": "report_first"},
            "warning_test": {**on_chain, "pin": "knobs.15", "debounce_mode": "report_first"},
        },
        lamps={
            "nose_red": {"board": "gear", "pin": "lights.7", "colour": "red"},
            "nose_green": {
                "board": "gear",
                "pin": "lights.2",
                "colour": "green",
                "active_low": True,
            },
            "left_red": {"board": "gear", "pin": "D6", "colour": "red"},
        },
        horn=None,
        gauges={},
    )
    plan = SetupPlan.of(panel, "gear")
    hold = ItemFlag.HOLD_AFTER_EDGE
    assert [(i.kind, i.pin, i.flags, i.p1, i.p2, i.p3) for i in plan.items] == [
        (ItemKind.CHAIN_OUT, 2, 0, 3, 4, 1),
        (ItemKind.CHAIN_IN, 10, 0, 11, 12, 2),
        (ItemKind.CONTACT, 5, CLOSES | hold, 20, 0, 0),
        (ItemKind.CONTACT, 136, ItemFlag.ACTIVE_LOW, 20, 0, 0),
        (ItemKind.CONTACT, 145, 0, 20, 0, 0),
        (ItemKind.CONTACT, 151, ItemFlag.ACTIVE_LOW | hold, 20, 0, 0),
        (ItemKind.LAMP, 135, 0, 0, 0, 0),
        (ItemKind.LAMP, 130, ItemFlag.ACTIVE_LOW, 0, 0, 0),
        (ItemKind.LAMP, 6, ItemFlag.PWM, 0, 0, 0),
    ]
    assert plan.idle_values == (0, 0, 0)
    assert plan.labels[0] == "chain lights on pin D2"
    assert plan.labels[3] == "switch horn_silence on pin knobs.0"
    book = SetupBook(plan.board)
    book.begin(SetupBegin(1, len(plan.items), plan.checksum, 500, 100))
    assert {book.take(item) for item in plan.items} == {SetupStatus.OK}
    assert book.commit(plan.checksum) is SetupStatus.OK


def test_handles_report_first_when_they_shall() -> None:
    wired = {"board": "gear", "debounce_mode": "report_first"}
    two = {**wired, "form": "two_contact", "up_pin": "D2", "down_pin": "D3"}
    one = {**wired, "form": "one_contact", "pin": "D2", "closed_means": "up"}
    for handle, count in ((two, 2), (one, 1)):
        plan = SetupPlan.of(make_panel(switches={"gear_handle": handle}), "gear")
        flags = [item.flags for item in plan.items if item.kind == ItemKind.CONTACT]
        assert flags == [CLOSES | ItemFlag.HOLD_AFTER_EDGE] * count


@pytest.mark.parametrize("pin", ["knobs.16", "lights.0"])
def test_a_bit_that_is_not_there_is_named(pin: str) -> None:
    boards = {
        "gear": {"board": "uno", "chains": {"knobs": chain("inputs", 2, 10)}},
        "pedestal": {"board": "uno"},
    }
    switch = {"board": "gear", "form": "contact", "pin": pin}
    with pytest.raises(SetupRefused, match=f"on pin {pin}, which a uno does not have"):
        SetupPlan.of(make_panel(boards=boards, switches={"lamp_test": switch}), "gear")


def test_a_small_board_takes_less() -> None:
    chains = {"lights": chain("outputs", 8, 2)}
    lamps = {
        f"lamp_{n}": {"board": "gear", "pin": f"lights.{n}", "colour": "red"} for n in range(32)
    }
    panel = make_panel(
        boards={"gear": {"board": "uno", "chains": chains}, "pedestal": {"board": "uno"}},
        switches={},
        lamps=lamps,
        horn=None,
        gauges={},
    )
    with pytest.raises(SetupRefused, match="33 pins are used, 32 is the most"):
        SetupPlan.of(panel, "gear")
