"""The sketch builds without warnings for each board and fits on the smallest."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.firmware.build import SKETCH, TARGETS, avr_elf, need_tools, size_of

MOST_FLASH = {"uno": 0.60, "nano": 0.60, "mega2560": 0.10, "leonardo": 0.65, "micro": 0.65}
MOST_STATIC_RAM = {"uno": 0.60, "nano": 0.60, "mega2560": 0.40, "leonardo": 0.60, "micro": 0.60}


@pytest.mark.parametrize("board", TARGETS)
def test_it_builds_and_fits(board: str) -> None:
    size, target = size_of(avr_elf(board)), TARGETS[board]
    assert 0.02 < size.flash / target.flash <= MOST_FLASH[board]
    assert 0.05 < size.static_ram / target.ram <= MOST_STATIC_RAM[board]


def test_the_folder_is_as_the_arduino_ide_expects_it() -> None:
    # The Arduino IDE requires the sketch to have the name of its folder.
    assert [path.name for path in SKETCH.iterdir()].count(f"{SKETCH.name}.ino") == 1
    assert {path.name for path in SKETCH.iterdir()} == {f"{SKETCH.name}.ino", "src"}


def test_the_core_uses_only_the_hardware_layer() -> None:
    layer = {"avr_layer.cpp", "avr_layer.h", "avr_pulses.cpp", "avr_pulses.h", "avr_timer.h"}
    core = [path for path in sorted((SKETCH / "src").iterdir()) if path.name not in layer]
    assert len(core) > 10
    for path in core:
        text = re.sub("//.*", "", path.read_text(encoding="utf-8"))
        found = re.findall(r"Arduino\.h|avr/|\bmalloc\b|\bnew\b|std::", text)
        assert not found, f"{path.name} uses {found}"


def test_missing_tools_fail_in_ci_and_are_skipped_elsewhere(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("tests.firmware.build.ARDUINO", Path("/nowhere"))
    monkeypatch.setenv("CI", "true")
    with pytest.raises(pytest.fail.Exception, match="/nowhere missing: install gcc-avr"):
        need_tools()
    monkeypatch.delenv("CI")
    with pytest.raises(pytest.skip.Exception, match="/nowhere missing: install gcc-avr"):
        need_tools()
