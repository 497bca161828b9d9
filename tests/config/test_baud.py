"""``check`` warns of speeds that work badly, and the file stays good."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelbridge.config import commands
from panelbridge.config.baud import sketch_setting
from panelbridge.config.load import check_file
from panelbridge.config.shipped import shipped_folder

GOOD = Path(__file__).parent / "bad" / "good"


def panel_at(folder: Path, kind: str, baud: int | None) -> Path:
    (folder / "aircraft.yaml").write_text((GOOD / "aircraft.yaml").read_text("utf-8"), "utf-8")
    text = (GOOD / "panel.yaml").read_text("utf-8")
    entry = f"board: {kind}" + (f", baud: {baud}" if baud else "")
    if kind != "mega2560":
        text = text.replace("D22", "D5").replace("D23", "D6").replace("D24", "D7")
    text = text.replace("colour: green }", "colour: green, dimmed: false }")
    path = folder / "panel.yaml"
    path.write_text(text.replace("board: mega2560", entry), "utf-8")
    return path


WARNED = [
    ("mega2560", 115_200, "off by +2.1 %"),
    ("uno", 115_200, "off by +2.1 %"),
    ("nano", 57_600, "off by +2.1 %"),
    ("uno", 230_400, "off by -3.5 %"),
    ("uno", 1_000_000, "loses frames: it is not fast enough"),
    ("uno", 501_000, "loses frames: it is not fast enough"),
]
FINE = [
    ("uno", None),
    ("uno", 250_000),
    ("mega2560", 500_000),
    ("nano", 9_600),
    ("nano", 38_400),
    ("leonardo", 115_200),  # USB of its own: the speed means nothing
    ("micro", 1_000_000),
]


@pytest.mark.parametrize(("kind", "baud", "words"), WARNED)
def test_it_warns_and_recommends(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], kind: str, baud: int, words: str
) -> None:
    path = panel_at(tmp_path, kind, baud)
    assert commands.check([path, path]) == 0
    printed = capsys.readouterr()
    assert "good panel file" in printed.out
    assert printed.err.count("warning:") == 1
    assert f"{path}:6:" in printed.err
    assert words in printed.err
    assert "Write 250000 or 500000: both are exact; the sketch must have the same" in printed.err


@pytest.mark.parametrize(("kind", "baud"), FINE)
def test_it_is_silent(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], kind: str, baud: int | None
) -> None:
    assert commands.check([panel_at(tmp_path, kind, baud)]) == 0
    assert capsys.readouterr().err == ""


def test_errors_come_after_the_warnings_of_other_files(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_text("kind: nothing\n", "utf-8")
    assert commands.check([panel_at(tmp_path, "uno", 115_200), bad]) == 2
    err = capsys.readouterr().err
    assert err.index("warning:") < err.index("there is no kind of file")
    assert err.endswith("1 error\n")


def test_no_shipped_panel_is_warned_of() -> None:
    for path in (shipped_folder() / "panels").glob("*.yaml"):
        assert check_file(path).warnings == ()


def test_the_boards_core_sets_one_speed_without_doubling() -> None:
    assert sketch_setting(16_000_000, 57_600).ubrr == 16
    assert sketch_setting(16_000_000, 57_601).ubrr == 34
