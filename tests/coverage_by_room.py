"""Coverage of a run of the tests, statements and branches, a line per room.

``python -m pytest -q -n auto --cov --cov-report= && python -m tests.coverage_by_room``
"""

from __future__ import annotations

import json
import sys
import tempfile
from collections import Counter, defaultdict
from pathlib import Path, PurePath

from coverage import Coverage

COUNTS = ("num_statements", "covered_lines", "num_branches", "covered_branches")


def rows_of(files: dict[str, dict[str, dict[str, int]]]) -> list[str]:
    """The table; rooms by name, the sum last.

    Args:
        files: the entry ``files`` of coverage's JSON report.
    """
    rooms: dict[str, Counter[str]] = defaultdict(Counter)
    for path, entry in files.items():
        parts = PurePath(path).parts
        inner = parts[parts.index("panelbridge") + 1 :]
        for room in (inner[0] if len(inner) > 1 else "top level", "all"):
            rooms[room].update({name: entry["summary"][name] for name in COUNTS})
    order = sorted(rooms, key=lambda room: (room == "all", room))
    return [f"{'room':<12} {'statements':>16} {'branches':>16}"] + [
        f"{room:<12} {_share(counts, *COUNTS[:2])} {_share(counts, *COUNTS[2:])}"
        for room, counts in ((room, rooms[room]) for room in order)
    ]


def _share(counts: Counter[str], all_of: str, covered: str) -> str:
    total = counts[all_of]
    share = 100 * counts[covered] / total if total else 100.0
    return f"{share:7.1f} % of {total:<5}"


def main() -> int:
    """Print the table of the last run."""
    coverage = Coverage()
    coverage.load()
    with tempfile.TemporaryDirectory() as folder:
        report = Path(folder) / "coverage.json"
        coverage.json_report(outfile=str(report))
        print("\n".join(rows_of(json.loads(report.read_text("utf-8"))["files"])))
    return 0


if __name__ == "__main__":
    sys.exit(main())
