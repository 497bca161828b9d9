"""The pin table: each wired pin exactly once, in the order of wiring."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.config.panel_file import PanelFile
from panelbridge.link.session.setup_plan import SetupPlan
from panelbridge.wiring.electrics.wired import WiredPanel
from panelbridge.wiring.electrics.wired_panel import wired_panel
from panelbridge.wiring.sheet.connectors import pinout_of
from panelbridge.wiring.sheet.strips import strip_at_pin
from panelbridge.wiring.sheet.wires import wires_of
from tests.wiring.sheet.panels import SHIPPED, panel_files, shipped


def _pins_that_the_board_is_told(panel: PanelFile, board: str) -> Counter[str]:
    """Pins of a board's set-up, and those of its chains' clock and latch lines."""
    items = Counter(label.rpartition(" on pin ")[2] for label in SetupPlan.of(panel, board).labels)
    for chain in panel.boards[board].chains.values():
        items.update((chain.clock_pin, chain.latch_pin))
    return items


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_each_pin_that_a_shipped_panel_wires_is_in_the_table_once(path: Path) -> None:
    wired = shipped(path)
    for name in wired.boards:
        table = Counter(wire.pin for wire in wires_of(wired) if wire.board == name)
        assert table == _pins_that_the_board_is_told(wired.panel, name)
        assert set(table.values()) == {1}


@given(panel_files())
def test_each_pin_of_a_generated_panel_is_in_the_table_once(panel: PanelFile) -> None:
    table = Counter(wire.pin for wire in wires_of(wired_panel(panel)))
    board = panel.boards["main"]
    told = [entry.pin for entry in (*panel.own_switches.values(), *panel.lamps.values())]
    told += [entry.pin for entry in (panel.horn, panel.solenoids.handle_lock) if entry is not None]
    told += [entry.pin for _, entry in panel.gauges if entry is not None]
    for chain in board.chains.values():
        told += [chain.data_pin, chain.clock_pin, chain.latch_pin]
    assert table == Counter(told)


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_wires_follow_the_headers_so_that_one_can_wire_along(path: Path) -> None:
    wired = shipped(path)
    for board in wired.boards.values():
        order = list(pinout_of(board.hardware).places)
        wires = [wire for wire in wires_of(wired) if wire.board == board.name]
        own = [order.index(wire.pin) for wire in wires if "." not in wire.pin]
        assert own == sorted(own)
        assert all("." in wire.pin for wire in wires[len(own) :])


def _wire(wired: WiredPanel, name: str) -> tuple[str, ...]:
    wire = next(wire for wire in wires_of(wired) if wire.name == name)
    return wire.place, wire.pin, wire.what, wire.to, wire.note


def _panel(**groups: object) -> WiredPanel:
    base = {"kind": "panel", "format": 2, "name": "One", "aircraft": "a.yaml"}
    boards = {"main": {"board": "uno"}}
    return wired_panel(PanelFile.model_validate(base | {"boards": boards} | groups))


def test_what_a_wire_says() -> None:
    switches = {
        "closer": {"board": "main", "pin": "D2", "form": "contact"},
        "opener": {
            "board": "main",
            "pin": "D4",
            "form": "contact",
            "normally_closed": True,
            "pull_up_ohm": 4700.0,
        },
        "turned": {
            "board": "main",
            "pin": "A0",
            "form": "lever",
            "counts_at_0": 1000,
            "counts_at_1": 20,
        },
    }
    lamps = {
        "high": {"board": "main", "pin": "D9", "colour": "green", "legend": "HIGH"},
        "low": {"board": "main", "pin": "D10", "colour": "red", "active_low": True},
        "bulb": {
            "board": "main",
            "pin": "D11",
            "colour": "red",
            "light": "bulb",
            "driver": "transistor_array",
            "current_ma": 80.0,
            "supply": "bulbs",
        },
    }
    electrics = {"supplies": {"bulbs": {"voltage_v": 12.0}}}
    wired = _panel(own_switches=switches, lamps=lamps, electrics=electrics)
    assert _wire(wired, "closer") == ("DIGITAL (lower) 6", "D2", "contact", "ground", "")
    opener = "contact that opens when operated"
    pull_up = "pull-up 4.7 kΩ from the pin to 5V"
    assert _wire(wired, "opener") == ("DIGITAL (lower) 4", "D4", opener, "ground", pull_up)
    assert _wire(wired, "turned")[-1] == "the end at the lever's highest place to ground"
    assert _wire(wired, "high")[2:] == ("green LED", "ground", "")
    assert _wire(wired, "low")[3:] == ("5V", "its short leg to the resistor")
    assert _wire(wired, "bulb")[2:4] == ("red bulb", "driver A1, IN1 (pin 1)")


def test_which_symbols_hang_at_a_pin() -> None:
    at = {"board": "main", "form": "contact"}
    lamp = {"board": "main", "colour": "red"}
    wired = _panel(
        own_switches={
            "closer": {**at, "pin": "D2"},
            "opener": {**at, "pin": "D4", "normally_closed": True},
            "pulled_up": {**at, "pin": "D5", "pull_up_ohm": 4700.0},
            "both": {**at, "pin": "D6", "pull_up_ohm": 4700.0, "normally_closed": True},
            "knob": {"board": "main", "form": "lever", "pin": "A0"},
        },
        lamps={"high": {**lamp, "pin": "D9"}, "low": {**lamp, "pin": "D10", "active_low": True}},
        horn={"board": "main", "pin": "D8"},
        gauges={"hydraulic_pressure": {"board": "main", "pin": "D11"}},
        solenoids={"handle_lock": {"board": "main", "pin": "D12"}},
    )
    board = wired.boards["main"]
    strips = {part.name: strip_at_pin(board, part.circuit) for part in board.parts}
    assert {name: strip.kind for name, strip in strips.items()} == {
        "closer": "contact",
        "opener": "contact_closed",
        "pulled_up": "contact_pulled_up",
        "both": "contact_closed_pulled_up",
        "knob": "lever",
        "high": "led_to_ground",
        "low": "led_to_supply",
        "horn": "horn",
        "hydraulic_pressure": "servo",
        "handle_lock": "wire",
    }
    assert (strips["pulled_up"].resistor, strips["pulled_up"].supply) == ("4.7k", "5V")
    assert (strips["high"].resistor, strips["low"].supply) == ("680", "5V")


def test_the_second_array_begins_with_the_ninth_load() -> None:
    pins = [f"D{n}" for n in range(2, 14)]
    lamps = {
        f"lamp_{pin.lower()}": {
            "board": "main",
            "pin": pin,
            "colour": "red",
            "light": "bulb",
            "driver": "transistor_array",
            "current_ma": 80.0,
            "supply": "bulbs",
        }
        for pin in pins
    }
    wired = _panel(lamps=lamps, electrics={"supplies": {"bulbs": {"voltage_v": 12.0}}})
    targets = {wire.pin: wire.to for wire in wires_of(wired)}
    assert targets["D9"] == "driver A1, IN8 (pin 8)"
    assert targets["D10"] == "driver A2, IN1 (pin 1)"


@given(st.data())
def test_the_same_panel_gives_the_same_wires(data: st.DataObject) -> None:
    panel = data.draw(panel_files(most=8))
    assert wires_of(wired_panel(panel)) == wires_of(wired_panel(panel.model_copy(deep=True)))
