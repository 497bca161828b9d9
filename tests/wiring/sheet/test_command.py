"""The command ``wiring``: which files it writes, and what it never overwrites."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelbridge.cli.app import run_app
from panelbridge.config.shipped import shipped_folder

TWO_BOARDS = shipped_folder() / "panels" / "two_boards.yaml"
FILES = {
    "html": ["two_boards_wiring.html"],
    "md": ["two_boards_wiring.md"],
    "csv": ["two_boards_currents.csv", "two_boards_parts.csv", "two_boards_pins.csv"],
    "svg": ["two_boards_gear_panel-2.svg", "two_boards_gear_panel.svg", "two_boards_pedestal.svg"],
}


@pytest.fixture(autouse=True)
def in_an_empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


@pytest.mark.parametrize("form", FILES)
def test_each_form_writes_its_files_and_may_write_them_again(
    form: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    line = ["wiring", str(TWO_BOARDS), "--format", form]
    assert run_app(line) == 0
    written = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    assert sorted(written) == FILES[form]
    assert sorted(capsys.readouterr().out.splitlines()) == [f"wrote {name}" for name in FILES[form]]
    assert run_app(line) == 0  # over its own files
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == written


@pytest.mark.parametrize("form", FILES)
def test_a_file_of_another_kind_is_left_and_nothing_is_written(
    form: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = tmp_path / FILES[form][-1]
    other.write_text("mine", encoding="utf-8")
    assert run_app(["wiring", str(TWO_BOARDS), "--format", form]) == 2
    assert [path.name for path in tmp_path.iterdir()] == [other.name]
    assert other.read_text(encoding="utf-8") == "mine"
    assert other.name in capsys.readouterr().err


def test_output_is_a_file_or_a_folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    panel = str(TWO_BOARDS)
    assert run_app(["wiring", panel, "--output", "page.html"]) == 0
    assert (tmp_path / "page.html").is_file()
    assert run_app(["wiring", panel, "--format", "csv", "--output", "tables"]) == 2
    assert "no such folder" in capsys.readouterr().err
    (tmp_path / "tables").mkdir()
    assert run_app(["wiring", panel, "--format", "csv", "--output", "tables"]) == 0
    assert len(list((tmp_path / "tables").iterdir())) == 3


def test_a_date_is_printed_when_it_is_given(tmp_path: Path) -> None:
    assert run_app(["wiring", str(TWO_BOARDS), "--date", "30 November 2026"]) == 0
    text = (tmp_path / "two_boards_wiring.html").read_text("utf-8")
    assert text.count("30 November 2026") == 1 + 3  # the page, and each sheet


def test_an_unknown_form_and_a_wrong_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run_app(["wiring", str(TWO_BOARDS), "--format", "pdf"]) == 2
    assert "html, svg, csv, md" in capsys.readouterr().err
    (tmp_path / "panel.yaml").write_text("kind: panel\n", encoding="utf-8")
    assert run_app(["wiring", "panel.yaml"]) == 2
    assert "panel.yaml" in capsys.readouterr().err
