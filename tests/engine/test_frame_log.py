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
    assert log.close() == 0
    assert (tmp_path / "frames.txt").read_text(encoding="utf-8").splitlines() == [
        "panelbridge frames",
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
    with pytest.raises(UsageError, match="the folder of this file is not there"):
        FrameLog(tmp_path / "no folder" / "frames.txt")


def test_another_kind_of_file_is_not_touched(tmp_path: Path) -> None:
    path = tmp_path / "panel.yaml"
    path.write_text("name: mine\n")
    with pytest.raises(UsageError, match="is not a file of frames of this program"):
        FrameLog(path)
    assert path.read_text() == "name: mine\n"


def test_the_next_run_keeps_what_stands_there(tmp_path: Path) -> None:
    path = tmp_path / "frames.txt"
    for number in range(2):
        log = FrameLog(path, [f"run {number}"])
        log.dump(LOST, [])
        assert log.close() == 0
    text = path.read_text(encoding="utf-8")
    assert text.splitlines()[0] == "panelbridge frames"
    words = ("panelbridge frames", "run 0", "run 1", "board_lost")
    assert [text.count(word) for word in words] == [1, 1, 1, 2]


def test_a_file_that_has_grown_too_far_is_put_aside(tmp_path: Path) -> None:
    path = tmp_path / "frames.txt"
    log = FrameLog(path, most_bytes=500)
    for number in range(40):
        log.dump(Event(float(number), "board_lost", Level.FAULT, "board a: " + "x" * 40), [])
        assert log.flushed()
    log.close()
    files = sorted(tmp_path.iterdir())
    assert [one.name for one in files] == ["frames.txt", "frames.txt.1"]
    for file in files:
        text = file.read_text(encoding="utf-8")
        assert text.startswith("panelbridge frames\n")
        assert len(text) < 700
    assert "39.000 board_lost" in files[0].read_text(encoding="utf-8")


def test_a_full_disk_loses_frames_and_nothing_else(tmp_path: Path) -> None:
    log = FrameLog(tmp_path / "frames.txt")
    (tmp_path / "frames.txt").unlink()
    (tmp_path / "frames.txt").mkdir()  # as bad as a full disk: it can be written no more
    log.dump(LOST, [])
    assert log.close() == 1


def test_a_lost_board_leaves_its_last_frames(tmp_path: Path) -> None:
    path = tmp_path / "frames.txt"
    log = FrameLog(path)
    with rig(frame_log=log) as bench:
        bench.run_until(live)
        bench.run(1.0)
        assert path.read_text(encoding="utf-8") == "panelbridge frames\n"
        bench.unplug("gear_panel")
        bench.run(1.0)
    log.close()
    text = path.read_text(encoding="utf-8")
    assert text.count("board_lost") == 1
    assert "SETUP_COMMIT" in text
    assert text.count("REPORT") > 5
