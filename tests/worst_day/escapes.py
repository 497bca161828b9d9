"""Names that a terminal would obey: every line that a command prints is free of them.

Control functions of terminals begin with a character of C0 or C1 (ECMA-48); the marks that turn the
direction of writing are in the Unicode Standard, annex 9.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

from tests.worst_day.attack import Case, Ground, Lost, Survived
from tests.worst_day.cockpit import Cockpit, make_cockpit
from tests.worst_day.processes import Board, Process, runs_headless

_MARK = "\x1b[31m\x9b1m\x07\x08\r\x7f\u202e\u2028\x00\nforged"
"""Colour with a character of C0 and of C1, bell, backspace, return, delete, the other direction, a
separator of lines, null, and a line feed before what would look like a line of ours."""
_IN_PATHS = _MARK.replace("\x00", "")
_TURNS = frozenset("\u2028\u2029\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def _is_obeyed(one: str) -> bool:
    return (ord(one) < 0x20 and one not in "\n\t") or 0x7F <= ord(one) < 0xA0 or one in _TURNS


def _check_lines(process: Process) -> None:
    text = "\n".join((*process.lines, process.complaints()))
    obeyed = sorted({one for one in text if _is_obeyed(one)})
    if obeyed:
        at = text.index(obeyed[0])
        raise Lost(f"printed {obeyed}: {text[max(0, at - 40) : at + 20]!r}")
    if any(line.startswith("forged") for line in process.lines):
        raise Lost("a line feed in a name makes a line of its own")
    process.check_clean()


def _command(*arguments: str) -> Case:
    """A command with files whose every name has every mark in it."""

    def case(ground: Ground) -> Iterator[Survived]:
        cockpit = make_cockpit(ground.room, mark=_MARK)
        with ExitStack() as stack:
            process = stack.enter_context(Process(*_named(arguments, cockpit)))
            process.finish()
            _check_lines(process)
            if not process.lines and not process.complaints():
                raise Lost("nothing was printed")
            yield Survived()

    return case


def _named(arguments: tuple[str, ...], cockpit: Cockpit) -> list[str | Path]:
    return [getattr(cockpit, one, one) for one in arguments]


def _run_on_board(ground: Ground) -> Iterator[Survived]:
    """A run, on a board whose link and whose names have marks; and what the board prints."""
    cockpit = make_cockpit(ground.room, mark=_MARK)
    link = ground.room / f"board{_IN_PATHS}"
    with ExitStack() as stack:
        board = stack.enter_context(Board(cockpit.panel, link))
        run = stack.enter_context(runs_headless(cockpit.panel, link))
        run.wait_for("board_connected")
        board.order(f"gear_handle {_MARK}".replace("\n", " "))
        board.wait_for("? ")
        board.kill()
        run.wait_for("board_lost")
        run.stop()
        _check_lines(board)
        _check_lines(run)
        yield Survived()


def _junit(ground: Ground) -> Iterator[Survived]:
    """A report stays one that can be read."""
    cockpit = make_cockpit(ground.room, mark=_MARK)
    report, drawn, wave = (ground.room / f"out.{end}" for end in ("xml", "svg", "vcd"))
    for option, file in (("--junit", report), ("--timeline", drawn), ("--timeline", wave)):
        with Process("bench", cockpit.scenario, option, file) as bench:
            bench.finish()
            bench.check_clean()
        if not file.exists():
            raise Lost(f"no {file.name} was written: {bench.complaints()[-200:]}")
        text = file.read_text("utf-8")
        if any(_is_obeyed(one) for one in text if one not in _TURNS):
            raise Lost(f"control characters in {file.name}")
        if file.suffix != ".vcd":
            try:
                ET.fromstring(text)
            except ET.ParseError as error:
                raise Lost(f"{file.name} cannot be read: {error}") from error
        yield Survived()


def _bad_file(ground: Ground) -> Iterator[Survived]:
    """Errors quote what is wrong in a file: keys, values, words; and the file's own name."""
    bad = ground.room / f"bad{_IN_PATHS}.yaml"
    quoted = '"' + "".join(f"\\U{ord(one):08x}" for one in _MARK) + '"'
    bad.write_text(
        f"kind: panel\nformat: 2\nname: {quoted}\naircraft: {quoted}\n{quoted}: 1\n"
        f"boards:\n  main: {{ board: {quoted}, {quoted}: 2 }}\n"
        f"switches:\n  {quoted}: D2\n  gear_handle: {{ form: {quoted} }}\n"
        f"lamps: {{ {quoted}: D3 }}\n",
        "utf-8",
    )
    with Process("check", bad) as check:
        if (code := check.finish()) != 2:
            raise Lost(f"exit code {code}")
        _check_lines(check)
    yield Survived()


ESCAPES: dict[str, Case] = {
    "run": _command("run", "panel", "--simulate", "--headless", "--seconds", "0.5"),
    "run on a board": _run_on_board,
    "run on no port": _command(
        "run", "panel", "--port", "/dev/\x1b[31mnone", "--headless", "--seconds", "0.5"
    ),
    "check": _command("check", "panel", "aircraft", "feed"),
    "check of a bad file": _bad_file,
    "bench": _command("bench", "scenario"),
    "bench of a bad target": _command(
        "bench", "scenario", "--signals", "\x1b[31m*", "--timeline", "x.svg"
    ),
    "names": _command("names", "panel"),
    "charts": _command("charts", "aircraft"),
    "wrong option": _command("bench", "--\x1b[31mno"),
    "reports": _junit,
}
