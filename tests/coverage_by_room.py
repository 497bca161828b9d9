"""Coverage of a run of the tests, statements and branches, a line per room: a plugin of pytest.

``PYTEST_PLUGINS=tests.coverage_by_room python -m pytest -q -n auto``, and after it
``python -m tests.coverage_by_room ROOM`` names the lines of a room where unreached blocks begin.

What tests start as processes of their own is not counted, nor are the few modules that our own
plugin of pytest has loaded before this one.
"""

from __future__ import annotations

import json
import os
import sys
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from pathlib import Path, PurePosixPath

import pytest

from tests.marks import PACKAGE, REACHED, REPOSITORY, Finder, Mark, stored

RESULT = REPOSITORY / "build" / "coverage.json"
BEFORE = {
    Path(str(module.__file__)).relative_to(REPOSITORY).as_posix()
    for name, module in sys.modules.items()
    if name.partition(".")[0] == PACKAGE and getattr(module, "__file__", None)
}
"""What was loaded before it could be marked."""
sys.meta_path.insert(0, Finder())


def room_of(path: str) -> str:
    """The folder in the package that a file is in."""
    inner = PurePosixPath(path).parts[1:]
    return inner[0] if len(inner) > 1 else "top level"


def rows_of(files: Mapping[str, tuple[Sequence[Mark], Sequence[int]]]) -> list[str]:
    """The table; rooms by name, the sum last.

    Args:
        files: marks of each file, and which of them were reached, by its path.
    """
    rooms: dict[str, Counter[str]] = defaultdict(Counter)
    for path, (marks, reached) in files.items():
        for room in (room_of(path), "all"):
            rooms[room].update({"files": 1})
            for mark, is_reached in zip(marks, reached, strict=True):
                for what, many in (("statements", mark.statements), ("branches", mark.is_arm)):
                    rooms[room].update({what: many, f"{what} reached": many * bool(is_reached)})
    order = sorted(rooms, key=lambda room: (room == "all", room))
    return [f"{'room':<12} {'statements':>16} {'branches':>16}"] + [
        f"{room:<12} {_share(rooms[room], 'statements')} {_share(rooms[room], 'branches')}"
        for room in order
    ]


def _share(counts: Counter[str], what: str) -> str:
    total = counts[what]
    share = 100 * counts[f"{what} reached"] / total if total else 100.0
    return f"{share:7.1f} % of {total:<5}"


def _all_marks() -> dict[str, list[Mark]]:
    paths = sorted((REPOSITORY / PACKAGE).rglob("*.py"))
    names = {path: path.relative_to(REPOSITORY).as_posix() for path in paths}
    return {name: stored(path)[0] for path, name in names.items() if name not in BEFORE}


# -- the plugin -----------------------------------------------------------------------------------


def pytest_configure(config: pytest.Config) -> None:
    """Make the marks once, before the workers start; a pytest that a test starts goes without."""
    if hasattr(config, "workerinput") or not config.getoption("numprocesses", None):
        os.environ.pop("PYTEST_PLUGINS", None)
    else:
        _all_marks()


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: object, error: object) -> None:
    """A worker has ended: add what it has reached."""
    for path, reached in getattr(node, "workeroutput", {}).get("reached", {}).items():
        mine = REACHED.setdefault(path, bytearray(len(reached)))
        mine[:] = bytes(a | b for a, b in zip(mine, reached, strict=True))


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Hand over what was reached in this process."""
    if hasattr(session.config, "workerinput"):
        output = session.config.workeroutput  # type: ignore[attr-defined]
        output["reached"] = {path: bytes(reached) for path, reached in REACHED.items()}


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Print the table, and keep what was not reached."""
    marks = _all_marks()
    reached = {path: REACHED.get(path, bytearray(len(of))) for path, of in marks.items()}
    count = f"{len(marks)} files, without {len(BEFORE)} that were loaded before"
    terminalreporter.section(f"reached by {' '.join(sys.argv[1:])}: {count}")
    for row in rows_of({path: (of, reached[path]) for path, of in marks.items()}):
        terminalreporter.write_line(row)
    left = {
        path: [
            mark.line for mark, is_reached in zip(of, reached[path], strict=True) if not is_reached
        ]
        for path, of in marks.items()
    }
    RESULT.write_text(json.dumps(left), "utf-8")


def main() -> int:
    """Print where what the last run has not reached begins, of the rooms that are named."""
    for path, lines in json.loads(RESULT.read_text("utf-8")).items():
        if lines and room_of(path) in sys.argv[1:]:
            print(f"{path}: {', '.join(map(str, sorted(set(lines))))}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
