"""Consoles that cannot show every sign: another one stands for it, and nothing fails."""

from __future__ import annotations

import io
import os
import sys
from pathlib import Path

import pytest

from panelbridge.cli.app import run_app
from panelbridge.clock import VirtualClock
from panelbridge.config.shipped import shipped_config
from panelbridge.dashboard.text.big_letters import _LETTERS, big_text
from panelbridge.engine import assemble
from panelbridge.engine.waiter import Waiter
from panelbridge.printing import say, shown_in
from panelbridge.printing.signs import REPLACEMENTS, VARIABLE

REPOSITORY = Path(__file__).parents[2]
ENCODINGS = ("cp437", "cp1252", "ascii")
NAME = "Fl\u00fcg\u0142\u0434\u6f22 \u2192 \u25cf"
"""Letters and signs of which no code page has all."""


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_every_sign_of_the_program_has_one_in_every_encoding(encoding: str) -> None:
    used = {
        one
        for path in (REPOSITORY / "panelbridge").rglob("*.py")
        for one in path.read_text("utf-8")
        if not one.isascii()
    }
    assert len(used) > 20
    for one in sorted(used | {*REPLACEMENTS}):
        shown = shown_in(one, encoding)
        shown.encode(encoding)
        assert shown != "?", f"{one} has no sign in {encoding}"
        assert len(shown) == 1


def test_signs_that_the_encoding_has_stay() -> None:
    assert shown_in("▲ ● █▀▄ ─ ■ é", "utf-8") == "▲ ● █▀▄ ─ ■ é"
    assert shown_in("▲ ○ █▀▄ ─ ■ é", "cp437") == "^ o █▀▄ ─ ■ é"
    assert shown_in("● – é ▄", "cp1252") == "• – é o"
    assert shown_in("●█─○ é \u6f22", "ascii") == "*#-o e ??"


def test_large_letters_stay_different_in_ascii() -> None:
    drawn = {
        letter: tuple(shown_in(row, "ascii") for row in big_text(letter)) for letter in _LETTERS
    }
    alike = [{"0", "O"}, {"S", "5"}]
    for one, its in drawn.items():
        for other, others in drawn.items():
            assert one == other or {one, other} in alike or its != others, (one, other)


def test_the_variable_chooses_the_signs(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(VARIABLE, "ascii")
    stream = io.TextIOWrapper(io.BytesIO(), encoding="utf-8")
    say("● up – ▲", stream)
    stream.seek(0)
    assert stream.read() == "* up - ^\n"


def test_a_variable_that_names_no_encoding_is_an_error(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv(VARIABLE, "petscii")
    assert run_app(["schema", "panel"]) == 2
    assert "PANELBRIDGE_SIGNS: there is no encoding 'petscii'" in capsys.readouterr().err


def _files(folder: Path) -> tuple[Path, Path, Path, Path]:
    """A folder, a panel, a feed and a scenario, whose names have such letters."""
    no_text = "\udcff" if os.name == "posix" else ""
    odd = folder / f"odd {no_text} {NAME}"
    odd.mkdir()
    feed, panel, scenario = odd / f"{NAME}.yaml", odd / "panel.yaml", odd / "scenario.yaml"
    known = shipped_config("feeds/link_json.yaml").read_text("utf-8")
    feed.write_text(known.replace("name: JSON", f"name: '{NAME}'").replace("4513", "4593"), "utf-8")
    assert NAME in feed.read_text("utf-8")
    aircraft = shipped_config("aircraft/twin_jet.yaml")
    lines = shipped_config("panels/demo_panel.yaml").read_text("utf-8").splitlines()
    lines = [one for one in lines if not one.startswith(("aircraft:", "feed:", "name:"))]
    panel.write_text("\n".join([*lines, f"aircraft: {aircraft}", f"name: '{NAME}'"]), "utf-8")
    scenario.write_text(
        f"kind: scenario\nformat: 2\nname: '{NAME}'\naircraft: {aircraft}\n"
        "start: parked\nsteps:\n  - { expect: { horn: silent } }\n",
        "utf-8",
    )
    return odd, panel, feed, scenario


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_no_name_ends_a_command_with_a_traceback(
    tmp_path: Path, encoding: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    odd, panel, feed, scenario = _files(tmp_path)
    # In virtual time the boards come however busy the machine is.
    monkeypatch.setattr(assemble, "LiveClock", VirtualClock)
    monkeypatch.setattr(assemble, "LiveWaiter", Waiter)
    commands: tuple[tuple[int, list[str | Path]], ...] = (
        (0, ["run", panel, "--simulate", "--feed", feed, "--headless", "--seconds", "2"]),
        (0, ["check", panel, scenario]),
        (0, ["names", panel]),
        (0, ["bench", scenario]),
        (2, ["bench", odd / "nothing"]),
        (1, ["listen", feed, "--seconds", "0.2"]),
        (0, ["ports"]),
    )
    for code, arguments in commands:
        printed, complained = tmp_path / "out.txt", tmp_path / "err.txt"
        with (
            printed.open("w", encoding=encoding) as out,
            complained.open("w", encoding=encoding, errors="backslashreplace") as errors,
        ):
            monkeypatch.setattr(sys, "stdout", out)
            monkeypatch.setattr(sys, "stderr", errors)
            ended = run_app([os.fspath(one) for one in arguments])
        text = printed.read_bytes() + complained.read_bytes()
        assert ended == code, (arguments[0], text)
        assert b"Traceback" not in text
        text.decode(encoding)
