from __future__ import annotations

from pathlib import Path

import pytest

from panelbridge.engine.frame_log import FrameLog, frame_text
from panelbridge.errors import UsageError
from panelbridge.link.wire import Release
from panelbridge.signals import Event, Level
from tests.engine.test_faults import live, rig

LOST = Event(12.5, "board_lost", Level.FAULT, "board a: the port went away")


def test_a_dump_says_why_and_lists_the_frames(tmp_path: Path) -> None:
    log = FrameLog(tmp_path / "frames.txt", ["first line"])
    log.dump(LOST, [(12.0, ">", Release().pack()), (12.1, "!", b"\x01\x02")])
    assert (tmp_path / "frames.txt").read_text(encoding="utf-8").splitlines() == [
        "first line",
        "",
        "12.500 board_lost: board a: the port went away",
        "    12.000 > RELEASE       06",
        "    12.100 ! damaged       01 02",
    ]


def test_any_bytes_have_a_text() -> None:
    assert frame_text("<", b"") == "empty         "
    assert frame_text("<", b"\xee").startswith("unknown")


def test_a_file_that_cannot_be_written_is_a_usage_error(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="cannot be written"):
        FrameLog(tmp_path / "no folder" / "frames.txt")


def test_a_lost_board_leaves_its_last_frames(tmp_path: Path) -> None:
    path = tmp_path / "frames.txt"
    with rig(frame_log=FrameLog(path)) as bench:
        bench.run_until(live)
        bench.run(1.0)
        assert path.read_text(encoding="utf-8") == ""
        bench.unplug("gear_panel")
        bench.run(1.0)
    text = path.read_text(encoding="utf-8")
    assert text.count("board_lost") == 1
    assert "SETUP_COMMIT" in text
    assert text.count("REPORT") > 5
