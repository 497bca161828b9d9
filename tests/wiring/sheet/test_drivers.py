"""Drivers on the drawn sheet: one where the panel needs it, with all that belongs to it."""

from __future__ import annotations

from typing import Any

import pytest

from panelbridge.config.panel_file import PanelFile
from panelbridge.wiring.electrics.wired import WiredPanel
from panelbridge.wiring.electrics.wired_panel import wired_panel
from panelbridge.wiring.sheet.board_sheet import board_pages
from panelbridge.wiring.sheet.parts_list import parts_list
from tests.wiring.sheet.panels import SHIPPED, shipped


def _panel(**groups: Any) -> WiredPanel:
    base = {"kind": "panel", "format": 2, "name": "One", "aircraft": "a.yaml"}
    electrics = {"supplies": {"coils": {"voltage_v": 12.0}}}
    boards = {"main": {"board": "uno"}}
    panel = {**base, "boards": boards, "electrics": electrics, **groups}
    return wired_panel(PanelFile.model_validate(panel))


def _coil(driver: str, **keys: Any) -> WiredPanel:
    coil = {"board": "main", "pin": "D7", "driver": driver, "supply": "coils", **keys}
    return _panel(solenoids={"handle_lock": coil})


def _texts(wired: WiredPanel) -> list[str]:
    pages = [page for board in wired.boards.values() for page in board_pages(wired, board)]
    return [text.text for page in pages for text in (*page.texts, *page.notes)]


def _parts(wired: WiredPanel) -> dict[str, int]:
    return {f"{line.kind} {line.value.partition(',')[0]}": line.count for line in parts_list(wired)}


@pytest.mark.parametrize(
    ("driver", "terminals", "series"), [("mosfet", "GDS", "220"), ("npn", "BCE", "1k")]
)
def test_a_transistor_has_its_resistors_and_its_diode(
    driver: str, terminals: str, series: str
) -> None:
    # O-7: 100 to 220 ohm at the gate, 10 kohm from gate to source. Flyback diode: F-13.
    wired = _coil(driver)
    texts = _texts(wired)
    assert {series, "10k", "D7", "coils (12 V)", *terminals} <= set(texts)
    assert any("Flyback diode across the coil" in text for text in texts)
    parts = _parts(wired)
    assert parts["resistor 10 kΩ 1/4 W"] == 1
    assert parts["diode 1N4007 class (common practice"] == 1


def test_what_the_file_leaves_out_is_not_drawn() -> None:
    wired = _coil("mosfet", pull_down=False, flyback_diode=False)
    texts = _texts(wired)
    assert "10k" not in texts
    assert not any("Flyback diode" in text for text in texts)
    assert not any(part.startswith(("diode", "resistor 10 kΩ")) for part in _parts(wired))


def test_the_array_has_its_common_pin_at_the_coils_supply() -> None:
    # O-6: the clamp diodes protect only when COM is tied to the coil's supply.
    texts = " ".join(_texts(_coil("transistor_array")))
    assert "COM 10" in texts
    assert "to the plus of coils (12 V)" in texts
    assert "OUT1 18" in texts
    assert "from D7" in texts
    parts = _parts(_coil("transistor_array"))
    assert parts["chip ULN2803A"] == 1
    assert not any(part.startswith(("diode", "transistor ", "resistor")) for part in parts)


def test_the_common_pin_is_free_where_there_are_only_bulbs() -> None:
    bulb = {"board": "main", "pin": "D7", "colour": "red", "light": "bulb", "current_ma": 80.0}
    lamps = {"nose_red": {**bulb, "driver": "transistor_array", "supply": "coils"}}
    texts = " ".join(_texts(_panel(lamps=lamps)))
    assert "to the plus of" not in texts


def test_a_magnetic_buzzer_is_a_coil_and_a_piezo_is_not() -> None:
    horn = {"board": "main", "pin": "D8", "driver": "npn", "supply": "coils"}
    magnetic = _parts(_panel(horn={**horn, "sounder": "magnetic_buzzer"}))
    assert any(part.startswith("diode") for part in magnetic)
    piezo = _parts(_panel(horn={**horn, "sounder": "piezo"}))
    assert not any(part.startswith("diode") for part in piezo)


def test_a_panel_without_drivers_has_no_drawing_of_one() -> None:
    for path in SHIPPED:
        wired = shipped(path)
        drivers = [part for part in wired.parts if part.circuit.driver is not None]
        titles = [text for text in _texts(wired) if ": driver " in text]
        assert len(titles) == len(drivers), path.name


def test_a_supply_of_its_own_has_a_fuse_and_joins_its_ground() -> None:
    # O: "share grounds between supplies; fuse each 5 V branch" (cautions of section O).
    gauge = {"board": "main", "pin": "D9", "supply": "coils"}
    solenoids = {"handle_lock": {"board": "main", "pin": "D7", "supply": "coils"}}
    wired = _panel(gauges={"hydraulic_pressure": gauge}, solenoids=solenoids)
    texts = _texts(wired)
    written = " ".join(texts)
    assert texts.count("main: supply coils (12 V)") == 1
    assert "through a fuse to hydraulic_pressure, handle_lock, up to 2000 mA in all" in written
    assert "to the ground rail of the board" in written


def test_loads_whose_supply_has_no_name_share_none_but_servos() -> None:
    gauges = {
        name: {"board": "main", "pin": pin}
        for name, pin in (("hydraulic_pressure", "D9"), ("emergency_air", "D10"))
    }
    solenoids = {"handle_lock": {"board": "main", "pin": "D7"}}
    texts = _texts(_panel(gauges=gauges, solenoids=solenoids))
    titles = [text for text in texts if text.startswith("main: supply")]
    assert titles == ["main: supply of the servos", "main: supply of handle_lock"]


def test_what_the_board_feeds_has_no_supply_of_its_own() -> None:
    texts = _texts(shipped(next(path for path in SHIPPED if path.stem == "first_lamp")))
    assert not any("through a fuse" in text for text in texts)
