"""Lamps that a board cannot dim: `check` warns of them, the bench shows what the wiring can do.

By hand: an Uno has pulse width on D3, D5, D6, D9, D10 and D11 (data sheet ATmega328P, timer outputs
OC0A to OC2B); a 74HC595 has none. A lamp without it is dark or at 255, whatever is commanded.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.bench.world.faults import as_wired
from panelbridge.cli.app import run_app
from panelbridge.config.boards import BOARDS
from panelbridge.config.dimming import can_dim, undimmed_lamps
from panelbridge.config.load import check_file, load_panel
from panelbridge.config.panel_parts.output_entries import LampEntry
from panelbridge.config.shipped import shipped_config
from panelbridge.errors import ConfigError

SMALL = shipped_config("panels/chains_on_small_board.yaml")


def panel_with(folder: Path, *changes: tuple[str, str]) -> Path:
    text = SMALL.read_text("utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path = folder / "panel.yaml"
    path.write_text(text.replace("../", f"{SMALL.parent.parent.as_posix()}/"), encoding="utf-8")
    return path


CHAIN_SAYS_IT = ("        dimmed: false # its lamps are dark or fully lit\n", "")
ON_D12 = ("pin: D11, legend: PARK", "pin: D12, legend: PARK")


def warnings_of(path: Path) -> list[tuple[int, int, str, str]]:
    return [(one.line, one.column, one.what, one.hint) for one in check_file(path).warnings]


def test_the_shipped_panels_say_what_is_meant() -> None:
    for path in sorted(SMALL.parent.glob("*.yaml")):
        assert check_file(path).warnings == (), path.name


def test_a_chain_and_a_pin_are_warned_of_once_each(tmp_path: Path) -> None:
    path = panel_with(tmp_path, CHAIN_SAYS_IT, ON_D12)
    lines = path.read_text("utf-8").splitlines()
    chain, lamp = (
        next(n for n, line in enumerate(lines, 1) if line.strip().startswith(start))
        for start in ("lights:", "parking_brake_amber:")
    )
    assert warnings_of(path) == [
        (
            lamp,
            31,
            "the lamp 'parking_brake_amber' is dark or fully lit: pin 'D12' of a uno cannot dim it",
            "To dim it use D3, D5 to D6 or D9 to D11; write 'dimmed: false' if it is meant so",
        ),
        (
            chain,
            7,
            "the chain 'lights' cannot dim: 8 lamps on it are dark or fully lit",
            "To dim a lamp use a pin of the board that can do pulse width; "
            "write 'dimmed: false' at the chain if it is meant so",
        ),
    ]


def test_meant_so_or_without_a_dimmer_nobody_is_warned(tmp_path: Path) -> None:
    meant = ("pin: D11, legend: PARK", "pin: D12, dimmed: false, legend: PARK")
    assert warnings_of(panel_with(tmp_path, meant)) == []
    knob = ("  dimmer: A0 # a knob needs a pin of the board itself\n", "")
    left_out = ("not_fitted:\n", "not_fitted:\n  - dimmer\n")
    assert warnings_of(panel_with(tmp_path, CHAIN_SAYS_IT, ON_D12, knob, left_out)) == []
    night = (knob[0], "  night: knobs.11\n")
    assert len(warnings_of(panel_with(tmp_path, CHAIN_SAYS_IT, ON_D12, night, left_out))) == 2


def test_the_command_prints_them_and_is_content(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run_app(["check", str(panel_with(tmp_path, ON_D12))]) == 0
    said = capsys.readouterr()
    assert ": warning: the lamp 'parking_brake_amber' is dark or fully lit" in said.err
    assert "good panel file" in said.out


def test_a_chain_that_shall_dim_is_an_error(tmp_path: Path) -> None:
    path = panel_with(tmp_path, (CHAIN_SAYS_IT[0], "        dimmed: true\n"))
    with pytest.raises(ConfigError, match=r"the chain 'lights' cannot be dimmed"):
        load_panel(path)


def test_which_pins_can_dim() -> None:
    lamps = {pin: LampEntry(board="x", pin=pin, colour="red") for pin in ("D9", "D8", "x.1")}
    assert [can_dim(lamp, BOARDS["uno"]) for lamp in lamps.values()] == [True, False, False]
    off = LampEntry(board="x", pin="D9", colour="red", dimmed=False)
    assert not can_dim(off, BOARDS["uno"])
    small = load_panel(SMALL).panel
    assert undimmed_lamps(small) == {*small.lamps} - {"handle_red", "parking_brake_amber"}


@given(lamps=st.dictionaries(st.sampled_from("abc"), st.integers(0, 255)))
def test_law_a_lamp_that_cannot_be_dimmed_is_dark_or_full(lamps: dict[str, int]) -> None:
    shown = as_wired(lamps, {"a", "b"})
    assert shown.keys() == lamps.keys()
    for name, value in lamps.items():
        assert shown[name] == (value if name == "c" else 255 * (value > 0))
