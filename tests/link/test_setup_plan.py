from __future__ import annotations

from typing import Any

import pytest

from panelbridge.config.panel_file import PanelFile
from panelbridge.errors import SetupRefused
from panelbridge.link.frames import crc16
from panelbridge.link.messages import ItemFlag, ItemKind
from panelbridge.link.output_values import OutputValues
from panelbridge.link.setup_plan import AnalogueUse, ContactUse, SetupPlan
from panelbridge.signals import Outputs
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
    monkeypatch.setattr("panelbridge.link.setup_plan.MAX_MESSAGE", 30)
    SetupPlan.of(mega_panel(19), "gear")
    with pytest.raises(SetupRefused, match="its outputs need a frame of 31 bytes, 30 is the most"):
        SetupPlan.of(mega_panel(20), "gear")
    monkeypatch.setattr("panelbridge.link.setup_plan.MAX_MESSAGE", 29)
    with pytest.raises(SetupRefused, match="its inputs need a frame of 30 bytes"):
        SetupPlan.of(mega_panel(1), "gear")
