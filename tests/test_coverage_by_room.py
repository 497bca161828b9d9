"""The table of coverage: rooms by name, the sum last, shares of their own counts."""

from __future__ import annotations

from tests.coverage_by_room import COUNTS, rows_of


def test_files_are_summed_by_room() -> None:
    def file(*counts: int) -> dict[str, dict[str, int]]:
        return {"summary": dict(zip(COUNTS, counts, strict=True))}

    files = {
        "panelbridge/link/wire/frames.py": file(30, 30, 4, 1),
        "panelbridge/link/session.py": file(10, 0, 0, 0),
        "panelbridge/clock.py": file(60, 60, 0, 0),
    }
    assert [" ".join(row.split()) for row in rows_of(files)] == [
        "room statements branches",
        "link 75.0 % of 40 25.0 % of 4",
        "top level 100.0 % of 60 100.0 % of 0",
        "all 90.0 % of 100 25.0 % of 4",
    ]
