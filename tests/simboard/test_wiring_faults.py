"""Wiring faults to order: what a simulated panel with each of them does, without any bring-up."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelbridge.config.load import load_panel
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.shipped import shipped_config
from panelbridge.errors import UsageError
from panelbridge.link.wire import ItemFlag, ItemKind, SetupItem
from panelbridge.simboard.sim_panel import SimPanel
from panelbridge.simboard.wiring_faults import KINDS, miswired, parse_faults, strike


def _panel() -> PanelFile:
    return load_panel(shipped_config("panels/two_boards.yaml")).panel


def _sim(*faults: str) -> SimPanel:
    panel = _panel()
    parsed = parse_faults(faults, panel)
    made = SimPanel(miswired(panel, parsed), bounce=False)
    strike(made, 0.0, parsed)
    return made


def _closed(made: SimPanel, *pins: str, board: str = "gear_panel") -> tuple[bool, ...]:
    return tuple(made.boards[board].contact_closed(pin) for pin in pins)


def test_exchanged_switches() -> None:
    made = _sim("exchanged=lamp_test/warning_test")
    made.move(0.1, "lamp_test", "pressed")
    assert _closed(made, "D25", "D26") == (False, True)


def test_exchanged_across_boards() -> None:
    made = _sim("exchanged=lamp_test/horn_silence")
    made.move(0.1, "lamp_test", "pressed")
    assert _closed(made, "D2", board="pedestal") == (True,)


def test_exchanged_contacts_of_a_handle() -> None:
    made = _sim("contacts_exchanged=gear_handle")  # it stands down
    assert _closed(made, "D22", "D23") == (True, False)


def test_normally_closed() -> None:
    made = _sim("normally_closed=lamp_test", "normally_closed=gear_handle")
    assert _closed(made, "D25", "D22", "D23") == (True, True, False)
    made.move(0.1, "lamp_test", "pressed")
    assert _closed(made, "D25") == (False,)


@pytest.mark.parametrize("fault", ["broken_wire", "stuck"])
def test_a_switch_that_never_moves(fault: str) -> None:
    made = _sim(f"{fault}=lamp_test")
    made.move(0.1, "lamp_test", "pressed")
    assert _closed(made, "D25") == (False,)


def test_joined_wires_ground_both_pins() -> None:
    made = _sim("shorted=lamp_test/warning_test")
    board = made.boards["gear_panel"]
    flags = ItemFlag.PULL_UP | ItemFlag.ACTIVE_LOW
    from panelbridge.simboard.board.inputs import InputPins

    items = [
        SetupItem(at, ItemKind.CONTACT, pin, int(flags), p1=5) for at, pin in enumerate((25, 26))
    ]
    pins = InputPins(items, {25: "D25", 26: "D26"}, board._wiring, 0.0)
    assert [pins.raw(0), pins.raw(1)] == [False, False]
    made.move(0.1, "lamp_test", "pressed")
    assert [pins.raw(0), pins.raw(1)] == [True, True]
    made.move(0.2, "lamp_test", "released")
    assert [pins.raw(0), pins.raw(1)] == [False, False]


def test_a_contact_that_bounces_for_long() -> None:
    made = _sim("bouncing=lamp_test")
    contact = made.boards["gear_panel"]._wiring.contact("D25")
    made.move(1.0, "lamp_test", "pressed")
    times = [at_s for at_s, _ in contact._planned]
    assert 1.010 < times[-1] <= 1.018
    assert len(times) > 6


def test_reversed_and_noisy_levers() -> None:
    made = _sim("reversed=dimmer", "noisy=parking_brake")
    wiring = made.boards["pedestal"]._wiring
    assert wiring.counts("A0") == 12 + (1010 - 12)  # at its bright end, where the file has 12
    readings = {wiring.reading("A1") for _ in range(200)}
    assert max(readings) == 12  # the noise either way, cut at 0
    assert {wiring.reading("A2") for _ in range(200)} == {0}


def test_what_is_seen_of_lamps() -> None:
    made = _sim("dead=nose_green", "inverted=left_red", "exchanged=left_green/right_green")
    assert set(made.lit().values()) == {0}  # nothing is driven
    view = made.boards["gear_panel"]
    levels = {"D2": 255, "D3": 255, "D4": 0, "D6": 0}
    view._program.view = lambda: type("View", (), {"levels": levels})  # type: ignore
    lit = {name for name, light in made.lit().items() if light}
    assert lit == {"right_green", "left_red"}


def test_a_gauge_the_wrong_way_round() -> None:
    made = _sim("reversed=emergency_air")
    made.gauges_us = lambda: {"emergency_air": 1000, "hydraulic_pressure": 0}  # type: ignore
    assert made.needles() == {"emergency_air": 1.0, "hydraulic_pressure": None}


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("exchange=a/b", "no wiring fault is named 'exchange'"),
        ("exchanged=lamp_test", "does not name two parts"),
        ("dead=a/b", "does not name one part"),
        ("dead=nose_gren", "no part 'nose_gren'"),
        ("exchanged=gear_handle/lamp_test", "'gear_handle' has two contacts"),
        ("noisy=lamp_test", "'lamp_test' cannot have the fault noisy"),
        ("dead", "does not name one part|no part"),
    ],
)
def test_a_fault_that_cannot_be_says_so(text: str, words: str) -> None:
    with pytest.raises(UsageError, match=words):
        parse_faults([text], _panel())


def test_wires_of_two_boards_cannot_touch() -> None:
    with pytest.raises(UsageError, match="on two boards"):
        _sim("shorted=lamp_test/horn_silence")


def test_every_kind_is_in_use_here() -> None:
    text = Path(__file__).read_text("utf-8")
    assert all(f"{kind}=" in text for kind in KINDS if kind not in ("broken_wire", "stuck"))
