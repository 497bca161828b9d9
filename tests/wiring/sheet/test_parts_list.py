"""The parts list adds up with the panel."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
from hypothesis import given

from panelbridge.config.panel_file import PanelFile
from panelbridge.wiring.electrics.circuits import LedCircuit
from panelbridge.wiring.electrics.wired import WiredPanel
from panelbridge.wiring.electrics.wired_panel import wired_panel
from panelbridge.wiring.sheet.parts_list import parts_list
from panelbridge.wiring.sheet.wires import wires_of
from tests.wiring.sheet.panels import SHIPPED, panel_files, shipped


def _counts(wired: WiredPanel) -> Counter[str]:
    counts: Counter[str] = Counter()
    for line in parts_list(wired):
        counts[line.kind] += line.count
    return counts


def _check(wired: WiredPanel) -> None:
    """Counted from the file itself, not from the circuits."""
    panel, counts = wired.panel, _counts(wired)
    leds = [lamp for lamp in panel.lamps.values() if lamp.light == "led"]
    colours: Counter[str] = Counter()
    for lamp in leds:
        colours[lamp.colour] += lamp.leds
    listed = {line.value: line.count for line in parts_list(wired) if line.kind == "LED"}
    assert listed == colours
    assert counts["bulb"] == len(panel.lamps) - len(leds)
    assert counts["board"] == len(panel.boards)
    entries = panel.wired_switches.values()
    assert counts["potentiometer"] == sum(entry.form == "lever" for entry in entries)
    assert counts["contact"] == len(entries) - counts["potentiometer"]
    assert counts["servo"] == sum(gauge is not None for _, gauge in panel.gauges)
    assert counts["coil"] == sum(coil is not None for _, coil in panel.solenoids)
    assert counts["sounder"] == (panel.horn is not None)
    chains = [chain for board in panel.boards.values() for chain in board.chains.values()]
    arrays = {
        (part.board, part.circuit.driver.chip)
        for part in wired.parts
        if part.circuit.driver is not None and part.circuit.driver.chip
    }
    assert counts["chip"] == sum(chain.chips for chain in chains) + len(arrays)
    assert counts["supply"] == len(panel.electrics.supplies)
    pull_ups = series = across = 0
    for entry in (entry for entry in entries if entry.form != "lever"):
        pins = [pin for key, pin in entry if key.endswith("pin")]
        pull_ups += sum("." in pin or entry.pull_up_ohm is not None for pin in pins)
        series += len(pins) * bool(entry.series_ohm)
        across += len(pins) * bool(entry.capacitor_nf)
    drivers = [part.circuit.driver for part in wired.parts if part.circuit.driver is not None]
    single = [driver for driver in drivers if driver.kind != "transistor_array"]
    at_drivers = len(single) + sum(driver.pull_down for driver in single)
    resistors = sum(colours.values()) + pull_ups + series + at_drivers
    unlit = [part.circuit for part in wired.parts if isinstance(part.circuit, LedCircuit)]
    resistors -= sum(circuit.leds for circuit in unlit if circuit.resistor is None)
    assert counts["resistor"] == resistors
    assert counts["capacitor"] == across + sum(chain.chips for chain in chains)


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_a_shipped_panels_list_adds_up(path: Path) -> None:
    _check(shipped(path))


@given(panel_files(most=30))
def test_a_generated_panels_list_adds_up(panel: PanelFile) -> None:
    _check(wired_panel(panel))


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_there_is_a_resistor_for_each_one_in_the_pin_table(path: Path) -> None:
    wired = shipped(path)
    in_table: Counter[str] = Counter()
    for wire in wires_of(wired):
        if wire.resistor:
            each, _, value = wire.resistor.rpartition(" × ")
            in_table[f"{value}, {wire.bands}"] += int(each or 1)
    listed = Counter(
        {one.value: one.count for one in parts_list(wired) if one.used_for.startswith("LEDs")}
    )
    assert listed == in_table


def test_cheap_parts_have_a_spare_and_dear_ones_have_not() -> None:
    for line in (line for path in SHIPPED for line in parts_list(shipped(path))):
        if line.kind in ("LED", "resistor", "capacitor"):
            assert 1 <= line.spare <= max(1, line.count // 5), line
        if line.kind in ("board", "servo", "supply"):
            assert line.spare == 0, line
