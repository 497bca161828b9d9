"""The links and the log: exact widths, and everything in words."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from panelbridge.dashboard.blocks.links import MESSAGE_LINES, cut_links, draw_links
from panelbridge.dashboard.blocks.log import draw_log
from panelbridge.dashboard.pages.screen_rows import share_rows
from panelbridge.dashboard.text.lines import width_of
from panelbridge.dashboard.text.state_words import LEVEL_WORDS, LINK_WORDS
from panelbridge.link.session import BoardHealth, LinkState
from panelbridge.signals import Event, Level
from tests.dashboard import scenes
from tests.dashboard.text import text_of

BUSY = BoardHealth(
    "pedestal",
    "pico",
    "/dev/ttyACM1",
    LinkState.LIVE,
    frames_received=1234567,
    frames_sent=1234568,
    frame_errors=17,
    board_errors=5,
    round_trip_ms=12.34,
    reconnects=3,
    edges_lost=4,
)


def link_texts(*boards: BoardHealth, width: int = 80) -> list[str]:
    return [text_of(line) for line in draw_links(boards, width)]


@given(
    st.integers(min_value=1, max_value=200),
    st.lists(
        st.builds(
            BoardHealth,
            st.text(max_size=30),
            st.just("uno"),
            st.text(max_size=30),
            st.sampled_from(LinkState),
            frames_received=st.integers(min_value=0),
            round_trip_ms=st.none() | st.floats(min_value=0, max_value=1e4),
            message=st.text(max_size=300),
        ),
        max_size=4,
    ),
)
@settings(deadline=None)
def test_link_lines_are_exactly_as_wide_as_the_screen(
    width: int, boards: list[BoardHealth]
) -> None:
    assert {width_of(line) for line in draw_links(boards, width)} == {width}


def test_a_boards_figures_stand_under_their_names() -> None:
    names, figures = link_texts(BUSY)
    for name, value in {
        "Frames in": "1234567",
        "out": "1234568",
        "Errors": "22",
        "Trip ms": "12.3",
        "Reconnects": "3",
        "Edges lost": "4",
    }.items():
        end = names.index(name) + len(name)
        assert figures[:end].endswith(value), name
    assert "pedestal" in figures
    assert "● live" in figures


def test_on_a_wide_screen_kind_and_port_are_shown() -> None:
    assert "pico on /dev/ttyACM1" in link_texts(BUSY, width=120)[1]
    assert "pico on no port" in link_texts(replace(BUSY, url=""), width=120)[1]


@pytest.mark.parametrize("state", LinkState)
@pytest.mark.parametrize("width", [120, 80, 60, 40])
def test_every_link_state_has_its_sign_and_word(state: LinkState, width: int) -> None:
    sign, word, _ = LINK_WORDS[state]
    assert f"{sign} {word}" in link_texts(replace(BUSY, state=state), width=width)[1]
    assert len({entry[1] for entry in LINK_WORDS.values()}) == len(LinkState)


@pytest.mark.parametrize("width", [120, 80, 60])
def test_a_refused_board_says_what_to_do(width: int) -> None:
    whole = " ".join(" ".join(link_texts(*scenes.REFUSED.boards, width=width)).split())
    assert "the board is a mega2560 and the panel file says uno" in whole
    assert "write 'board: mega2560' under 'boards: gear:' in the panel file" in whole
    assert "or plug in the right board" in whole


def test_a_live_board_has_no_message() -> None:
    assert len(link_texts(replace(BUSY, message="old words"))) == 2


@pytest.mark.parametrize("width", [120, 80, 60, 40])
@pytest.mark.parametrize("message", ["there is no such port", "COM7: there is no such port"])
def test_a_message_says_once_which_port_it_is_about(width: int, message: str) -> None:
    board = replace(BUSY, url="COM7", state=LinkState.WAITING, message=message)
    lines = link_texts(board, width=width)
    assert " ".join(lines[2:]).count("COM7") == (0 if width >= 112 and ":" not in message else 1)
    assert "COM7" in " ".join(lines)
    assert "there is no such port" in " ".join(" ".join(lines).split())


def test_a_very_long_message_is_cut_and_says_so() -> None:
    lines = link_texts(replace(BUSY, state=LinkState.WAITING, message="word " * 400))
    assert len(lines) == 2 + MESSAGE_LINES
    assert lines[-1].rstrip().endswith("…")


def test_without_a_board_the_links_say_so() -> None:
    assert "no board yet" in link_texts()[1]


def test_links_give_up_their_heading_first() -> None:
    lines = draw_links(scenes.LOST.boards, 60)
    assert cut_links(lines, 60, len(lines)) == lines
    assert cut_links(lines, 60, len(lines) - 1) == lines[1:]
    two = cut_links(lines, 60, 2)
    assert "gear" in text_of(two[0])
    assert "more" in text_of(two[1])
    assert cut_links(lines, 60, 0) == []


# The log


def log_texts(events: tuple[Event, ...], **options: int) -> list[str]:
    given_ = {"back": 0, "width": 80, "rows": 8} | options
    return [
        text_of(line) for line in draw_log(events, given_["back"], given_["width"], given_["rows"])
    ]


@given(
    st.integers(min_value=1, max_value=150),
    st.integers(min_value=0, max_value=40),
    st.integers(min_value=-3, max_value=60),
    st.lists(
        st.builds(
            Event,
            st.floats(min_value=0, max_value=1e6),
            st.just("name"),
            st.sampled_from(Level),
            st.text(max_size=200),
        ),
        max_size=30,
    ),
)
@settings(deadline=None)
def test_the_log_fills_exactly_its_place(
    width: int, rows: int, back: int, events: list[Event]
) -> None:
    lines = draw_log(events, back, width, rows)
    assert len(lines) == rows
    assert {width_of(line) for line in lines} <= {width}


@pytest.mark.parametrize("level", Level)
def test_every_level_has_its_sign_and_word(level: Level) -> None:
    sign, word, _ = LEVEL_WORDS[level]
    lines = log_texts((Event(67.3, "x", level, "something happened"),))
    assert lines[1].startswith("  1:07.3")
    assert f"{sign} {word}" in lines[1]
    assert "something happened" in lines[1]
    small = log_texts((Event(67.3, "x", level, "it happened"),), width=30)
    assert f" {sign} it happened" in small[1]


def test_levels_differ_without_colour() -> None:
    assert len({entry[0] for entry in LEVEL_WORDS.values()}) == len(Level)
    assert len({entry[1] for entry in LEVEL_WORDS.values()}) == len(Level)


def test_the_newest_stands_at_the_bottom() -> None:
    lines = log_texts(scenes.CRUISE.events, rows=4)
    assert "Log" in lines[0]
    assert "nose leg locked up" in lines[-1]
    assert "right leg locked up" in lines[-2]


def test_reading_back_leaves_out_the_newest_and_says_so() -> None:
    lines = log_texts(scenes.CRUISE.events, rows=4, back=2)
    assert "left leg locked up" in lines[-1]
    assert "2 newer below" in lines[0]


def test_reading_back_stops_at_the_oldest() -> None:
    lines = log_texts(scenes.CRUISE.events, rows=4, back=999)
    assert "board gear is live" in lines[1]


def test_a_long_text_goes_on_under_itself() -> None:
    lines = log_texts(scenes.HORN.events, width=60, rows=4)
    start = lines[-2].index("horn sounds")
    assert lines[-1].startswith(" " * start + "closed")


def test_of_a_text_that_is_too_long_the_beginning_is_shown() -> None:
    assert "horn sounds" in log_texts(scenes.HORN.events, width=60, rows=1)[0]


def test_of_the_oldest_the_beginning_is_shown_too() -> None:
    long = Event(1.0, "x", Level.FAULT, "no such port; " * 12)
    short = tuple(Event(2.0 + at, "x", Level.INFO, f"then {at}") for at in range(2))
    lines = log_texts((long, *short), rows=4)
    assert lines[1].startswith("  0:01.0  X FAULT   no such port;")
    assert lines[1].rstrip().endswith("…")
    assert [line.split()[-2:] for line in lines[2:]] == [["then", "0"], ["then", "1"]]


def test_an_empty_log_says_so() -> None:
    assert "no events yet" in " ".join(log_texts(()))


# Rows of the screen


@given(
    st.integers(min_value=1, max_value=80),
    st.integers(min_value=1, max_value=40),
    st.integers(min_value=1, max_value=20),
    st.booleans(),
)
def test_the_parts_fill_the_screen_exactly(
    height: int, board: int, links: int, large_log: bool
) -> None:
    plan = share_rows(height, board, links, large_log=large_log)
    assert plan.board + plan.links + plan.log + plan.keys == height
    assert min(plan.board, plan.links, plan.log, plan.keys) >= 0
    if not large_log:
        assert plan.links <= links
        assert plan.board <= board


def test_the_board_comes_first_and_the_log_gets_the_rest() -> None:
    plan = share_rows(40, 18, 3)
    assert (plan.board, plan.links, plan.log, plan.keys) == (18, 3, 18, 1)


def test_the_links_are_readable_on_a_low_screen() -> None:
    plan = share_rows(20, 18, 5)
    assert plan.links == 4
    assert plan.board == 15


def test_a_large_log_leaves_header_and_horn() -> None:
    plan = share_rows(24, 16, 2, large_log=True)
    assert (plan.board, plan.links, plan.log, plan.keys) == (3, 0, 20, 1)
