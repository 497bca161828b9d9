"""Answers of the terminal, whole, in pieces and late: none of them is a key."""

from __future__ import annotations

import os
import threading

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.dashboard.terminal.whole_sequences import ESCAPE_S, REST_S, WholeSequences

READ = (
    "\x1b[?2026;2$y",  # report of a mode
    "\x1b[<35;10;7M",  # the mouse
    "\x1b[A",
    "\x1bOP",
    "\x1b[15~",
    "\x1b[I",
    "\x1b[200~",
    "\x1b[97;1;97u",  # a key as the kitty protocol reports it
)
UNREAD = (
    "\x1b[?62;22c",
    "\x1b[>0;276;0c",
    "\x1b[?0u",
    "\x1b[0n",
    "\x1bP>|terminal(1)\x1b\\",
    "\x1b]11;rgb:0000/0000/0000\x1b\\",
    "\x1b]11;rgb:0000/0000/0000\x07",
)


def passed(pieces: list[str], pause_s: float) -> list[str]:
    """What is passed on of pieces that come one after the other, looked at ten times a second."""
    whole, now_s, found = WholeSequences(), 100.0, []
    for piece in pieces:
        found.append(whole.take(piece, now_s))
        end_s = now_s + pause_s
        while now_s + 0.1 < end_s:
            now_s += 0.1
            found.append(whole.take("", now_s))
        now_s = end_s
    now_s += 2 * REST_S
    found.append(whole.take("", now_s))
    return [one for one in found if one]


@pytest.mark.parametrize("sequence", READ)
@pytest.mark.parametrize("pause_s", [0.0, 0.05, 1.5])
def test_a_sequence_in_pieces_is_passed_on_whole(sequence: str, pause_s: float) -> None:
    for at in range(2, len(sequence)):
        assert passed([sequence[:at], sequence[at:]], pause_s) == [sequence]


@pytest.mark.parametrize("sequence", UNREAD)
def test_an_answer_that_nobody_reads_is_no_key(sequence: str) -> None:
    for at in range(2, len(sequence)):
        assert passed([sequence[:at], sequence[at:]], 1.0) == []
    assert passed([f"2{sequence}3"], 0.0) == ["23"]


@pytest.mark.parametrize("sequence", [one for one in READ + UNREAD if one[1] == "["])
def test_an_answer_that_pauses_after_its_escape_has_that_key_and_no_other(sequence: str) -> None:
    expected = ["\x1b"] + [sequence] * (sequence in READ)
    assert passed(["\x1b", sequence[1:]], 1.0) == expected


def test_the_escape_key_is_passed_on_soon() -> None:
    whole = WholeSequences()
    assert whole.take("\x1b", 10.0) == ""
    assert whole.take("", 10.0 + ESCAPE_S / 2) == ""
    assert whole.take("", 10.0 + 2 * ESCAPE_S) == "\x1b"
    assert whole.take("?", 10.0 + 3 * ESCAPE_S) == "?"


def test_a_bracket_long_after_the_escape_key_is_a_key() -> None:
    assert passed(["\x1b", "[", "2"], 2 * REST_S) == ["\x1b", "[", "2"]


def test_a_sequence_that_never_ends_holds_no_later_key() -> None:
    assert passed(["\x1b[?20", "2"], 2 * REST_S) == ["2"]


@given(st.lists(st.sampled_from((*READ, *UNREAD, "2", "q", "é")), max_size=6), st.data())
def test_pieces_make_no_difference(sent: list[str], data: st.DataObject) -> None:
    text = "".join(sent)
    cuts = sorted(data.draw(st.sets(st.integers(0, len(text)), max_size=8)))
    pieces = [text[a:b] for a, b in zip([0, *cuts], [*cuts, len(text)], strict=True)]
    whole = WholeSequences()
    found = "".join([whole.take(piece, 0.0) for piece in pieces if piece])
    assert found == "".join(one for one in sent if one not in UNREAD)


def test_a_driver_whose_terminal_has_gone_reads_no_more() -> None:
    """End of file, again and again: the thread ends, or the process would never."""
    pytest.importorskip("termios", reason="Windows has a driver of its own")
    from panelbridge.dashboard.terminal.driver import PatientDriver

    reader, writer = os.pipe()
    os.close(writer)
    driver = object.__new__(PatientDriver)
    driver.fileno, driver._debug, driver.exit_event = reader, False, threading.Event()
    thread = threading.Thread(target=driver.run_input_thread, daemon=True)
    thread.start()
    thread.join(10.0)
    has_ended = not thread.is_alive()
    driver.exit_event.set()
    thread.join()
    os.close(reader)
    assert has_ended
