"""A sink that is slow, full or closed costs lines and no time."""

from __future__ import annotations

import errno
import threading

from hypothesis import given
from hypothesis import strategies as st

from panelbridge.printing.line_writer import LineWriter


class Sink:
    """Takes lines while it is open; then holds the writer, or fails."""

    def __init__(self) -> None:
        self.lines: list[str] = []
        self.is_open = threading.Event()
        self.is_open.set()
        self.reached = threading.Event()
        self.error: OSError | None = None

    def write(self, text: str) -> None:
        self.reached.set()
        self.is_open.wait()
        if self.error is not None:
            raise self.error
        self.lines += text.splitlines()


@given(st.lists(st.text("abc", min_size=1), max_size=30))
def test_every_line_comes_in_its_order(lines: list[str]) -> None:
    sink = Sink()
    writer = LineWriter(sink.write)
    for line in lines:
        writer.put(line)
    assert writer.close(10.0) == 0
    assert sink.lines == lines


def test_a_stopped_sink_holds_nobody_up_and_a_line_says_what_is_missing() -> None:
    sink = Sink()
    sink.is_open.clear()
    writer = LineWriter(sink.write, most_lines=10)
    writer.put("first")
    assert sink.reached.wait(10.0)
    for number in range(25):
        writer.put(f"line {number}")
    assert writer.lost == 15
    sink.is_open.set()
    assert writer.flushed(10.0)
    writer.put("again")
    assert writer.close(10.0) == 15
    gap = "(15 lines were lost here: the output was too slow)"
    assert sink.lines == ["first", *[f"line {number}" for number in range(10)], gap, "again"]


def test_what_is_missing_at_the_end_is_said_at_the_end() -> None:
    sink = Sink()
    sink.is_open.clear()
    writer = LineWriter(sink.write, most_lines=1)
    writer.put("first")
    assert sink.reached.wait(10.0)
    writer.put("second")
    writer.put("third")
    sink.is_open.set()
    assert writer.close(10.0) == 1
    assert sink.lines[-1] == "(1 lines were lost here: the output was too slow)"


def test_a_sink_that_stays_stopped_does_not_hold_up_the_end() -> None:
    sink = Sink()
    sink.is_open.clear()
    writer = LineWriter(sink.write)
    writer.put("first")
    assert sink.reached.wait(10.0)
    writer.put("second")
    assert writer.close(0.0) == 1
    sink.is_open.set()


def test_a_full_disk_is_said_once_and_lines_go_on_when_there_is_room_again() -> None:
    sink, errors = Sink(), list[OSError]()
    sink.error = OSError(errno.ENOSPC, "No space left on device")
    writer = LineWriter(sink.write, errors.append)
    for number in range(3):
        writer.put(f"line {number}")
        assert writer.flushed(10.0)
    assert errors == [sink.error]
    sink.error = None
    writer.put("room again")
    assert writer.close(10.0) == 3
    assert sink.lines == ["room again"]


def test_a_line_after_the_end_is_lost_and_counted() -> None:
    sink = Sink()
    writer = LineWriter(sink.write)
    writer.close(10.0)
    writer.put("late")
    assert writer.lost == 1
    assert sink.lines == []


def test_lines_are_clean() -> None:
    sink = Sink()
    writer = LineWriter(sink.write)
    writer.put("\x1b[31mred")
    writer.close(10.0)
    assert sink.lines == ["\\x1b[31mred"]
