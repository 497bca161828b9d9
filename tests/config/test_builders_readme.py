"""What the builders' README says is what the program, the sketch and the files are."""

from __future__ import annotations

import re
from pathlib import Path

from panelbridge.config.boards import BOARDS
from panelbridge.config.panel_parts.board_entry import BoardEntry
from panelbridge.config.panel_parts.switch_entries import ContactSwitch
from panelbridge.config.shipped import shipped_folder
from tests.config.builders_table import table

FOLDER = Path(__file__).parents[2] / "firmware_examples"
TEXT = (FOLDER / "README.md").read_text("utf-8")
WORDS = " ".join(TEXT.split())


def test_the_table_of_boards_is_computed() -> None:
    """To renew it: ``python -m tests.config.builders_table``."""
    assert table() in TEXT


def test_the_table_counts_right() -> None:
    """Counted by hand from the boards' drawings."""
    assert "| Uno | `uno` | 18 | 6 | 6 | 0 | 32 | 30 |" in table()
    assert "| Nano | `nano` | 18 | 6 | 6 | 2 | 32 | 30 |" in table()
    assert "| Mega 2560 | `mega2560` | 68 | 15 | 16 | 0 | 112 | 110 |" in table()
    assert "| Leonardo | `leonardo` | 20 | 7 | 6 | 0 | 32 | 30 |" in table()
    assert "| Pico-class | `pico` | 26 | 26 | 3 | 0 | 112 | 110 |" in table()
    assert table().count("\n") == 2 + len(BOARDS)


def test_the_files_that_are_copied_are_those_that_are_there() -> None:
    match = re.search(r"mpremote fs cp (.*) :\n", TEXT)
    assert match
    assert match[1].split() == sorted(
        path.name for path in (FOLDER / "pico_micropython").glob("*.py")
    )


def test_every_path_and_key_that_it_names_is_there() -> None:
    for path in re.findall(r"\]\(([^)#]+)\)", TEXT):
        assert (FOLDER / path).exists(), path
    for path in re.findall(r"`(configs/[^`]+)`", TEXT):
        assert (shipped_folder() / path.removeprefix("configs/")).is_file(), path
    for path in re.findall(r"`(firmware_examples/[^`]+)`", TEXT):
        assert (FOLDER.parent / path).exists(), path
    assert "debounce_mode" in ContactSwitch.model_fields
    assert ContactSwitch.model_fields["debounce_ms"].default == 20


def test_the_speed_is_that_of_the_sketch_and_of_the_panel_file() -> None:
    sketch = (FOLDER / "panelbridge_board" / "panelbridge_board.ino").read_text("utf-8")
    match = re.search(r"kBaud = (\d+);", sketch)
    assert match
    assert int(match[1]) == BoardEntry.model_fields["baud"].default
    assert f"is {match[1]} bit/s" in WORDS


def test_it_warns_before_it_wires() -> None:
    for words in (
        "Disconnect the power before you touch a wire",
        "Each LED needs its own resistor",
        "sum of all currents",
        "flyback diode",
        "harm your hearing",
        "local electrical codes",
        "licensed person",
    ):
        assert words in WORDS
        assert WORDS.index(words) < WORDS.index("## Flashing")
    assert (5 - 2) / 0.01 == 300


def test_the_main_readme_leads_here() -> None:
    main = (FOLDER.parent / "README.md").read_text("utf-8")
    assert "(firmware_examples/README.md)" in main
