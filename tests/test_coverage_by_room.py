"""The table of coverage: what a mark counts, which blocks are reached, shares by room."""

from __future__ import annotations

import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

from tests.marks import NAME, Mark, marked

SOURCE = '''"""Docstring."""
from __future__ import annotations

def sign(number: int, words: list[str]) -> int:
    """Docstring."""
    words.append("came")
    if number < 0:
        return -1
    for word in words:
        if word == "stop":
            break
    else:
        words.append("all")
    try:
        number /= number
    except ZeroDivisionError:
        return 0
    match number:
        case 1:
            return 1
        case _:
            words.append("never")
            return 2
'''
RETURN_MINUS, BREAK, NO_STOP, IS_ZERO, IS_ONE, NEVER = 8, 11, 13, 17, 20, 22


def lines_left(*calls: tuple[int, list[str]]) -> tuple[list[Mark], set[int]]:
    """The marks of the function, and lines of those that these calls do not reach."""
    marks, code = marked(SOURCE.encode(), "sign.py")
    reached = bytearray(len(marks))
    space = {NAME: reached, "__name__": "sign"}
    exec(code, space)
    assert space["__doc__"] == "Docstring."
    sign = space["sign"]
    assert callable(sign)
    assert sign.__doc__ == "Docstring."
    assert sign.__annotations__["number"] == "int"
    for number, words in calls:
        assert sign(number, words) == (number > 0) - (number < 0)
    return marks, {mark.line for mark, one in zip(marks, reached, strict=True) if not one}


def test_what_no_call_reaches_is_left() -> None:
    every = {RETURN_MINUS, BREAK, NO_STOP, IS_ZERO, IS_ONE, NEVER}
    assert every < lines_left()[1]
    assert lines_left((-1, []))[1] & every == every - {RETURN_MINUS}
    assert lines_left((0, []))[1] & every == every - {NO_STOP, IS_ZERO}
    loops = lines_left((3, ["stop"]), (1, []))[1]
    assert loops & every == {RETURN_MINUS, IS_ZERO, NEVER}


def test_every_statement_counts_once_and_every_arm() -> None:
    marks = lines_left()[0]
    # The function, and what is in it without its docstring.
    assert sum(mark.statements for mark in marks) == 1 + 14
    # Each of 'if' twice and 'for' has two, written or not; the match has two cases.
    assert sum(mark.is_arm for mark in marks) == 8


def test_files_are_summed_by_room(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "meta_path", [*sys.meta_path])  # what is tested here marks nothing
    from tests.coverage_by_room import rows_of

    def marks(*reached: int) -> tuple[list[Mark], list[int]]:
        return [Mark(1, 30, False), Mark(2, 10, True), Mark(3, 0, True)], list(reached)

    files = {
        "panelbridge/link/wire/frames.py": marks(1, 1, 0),
        "panelbridge/link/session.py": marks(1, 0, 0),
        "panelbridge/clock.py": ([Mark(1, 20, False)], [1]),
    }
    assert [" ".join(row.split()) for row in rows_of(files)] == [
        "room statements branches",
        "link 87.5 % of 80 25.0 % of 4",
        "top level 100.0 % of 20 100.0 % of 0",
        "all 90.0 % of 100 25.0 % of 4",
    ]


def test_what_workers_reach_is_added_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "meta_path", [*sys.meta_path])
    from tests import coverage_by_room

    reached: dict[str, bytearray] = {}
    monkeypatch.setattr(coverage_by_room, "REACHED", reached)
    path = Path("panelbridge/clock.py").as_posix()
    for one in (b"\1\0\0", b"\0\0\1"):
        node = SimpleNamespace(workeroutput={"reached": {path: one}})
        coverage_by_room.pytest_testnodedown(node, None)
    coverage_by_room.pytest_testnodedown(SimpleNamespace(), "it was killed")
    assert reached == {path: bytearray(b"\1\0\1")}
