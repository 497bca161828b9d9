"""The quality of a live link: shares of the last seconds, one event a change, in words."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from panelbridge.clock import VirtualClock
from panelbridge.config.load import load_panel
from panelbridge.config.shipped import shipped_config
from panelbridge.engine.assemble import assemble_demo
from panelbridge.link.session.link_quality import (
    GOOD_FRACTION,
    LEAST_FRAMES,
    POOR_FRACTION,
    SLOW_MS,
    SLOW_TRIPS,
    WINDOW_S,
    LinkQuality,
    share_words,
)
from panelbridge.signals import Event, Level
from panelbridge.simboard import registry


class Line:
    """A link second by second."""

    def __init__(self) -> None:
        self.quality = LinkQuality()
        self.now_s = 0.0
        self.good = self.bad = self.sent = self.refused = 0
        self.changes: list[str] = []
        self.second(good=0, sent=0)

    def second(
        self, good: int = 50, bad: int = 0, sent: int = 50, refused: int = 0, trip_ms: float = 2.0
    ) -> None:
        """One second with so many frames each way."""
        self.good, self.bad = self.good + good, self.bad + bad
        self.sent, self.refused = self.sent + sent, (self.refused + refused) % 256
        quality = self.quality
        assert self.now_s >= quality.due_s
        counts = (self.good, self.bad)
        if quality.measure(self.now_s, counts, self.sent, self.refused, trip_ms):
            self.changes.append(quality.words)
        self.now_s += 1.0

    def seconds(self, count: int, **frames: int) -> None:
        """So many of them."""
        for _ in range(count):
            self.second(**frames)


def test_139_good_and_189_bad_frames_are_a_caution_in_words() -> None:
    line = Line()
    line.second(good=139, bad=189)
    assert line.quality.fraction == pytest.approx(189 / 328)
    assert line.changes == ["half of the frames from the board are damaged: cable, speed, ground?"]


def test_the_other_direction_counts_too_over_the_boards_small_counter() -> None:
    line = Line()
    line.seconds(30, refused=25)
    assert line.quality.fraction == pytest.approx(0.5)
    assert "to the board" in line.quality.words


def test_old_damage_is_forgotten_and_the_end_is_one_change() -> None:
    line = Line()
    line.seconds(3, bad=50)
    line.seconds(WINDOW_S + 3)
    assert line.quality.fraction == 0.0
    assert len(line.changes) == 2
    assert line.changes[1] == ""


def test_between_its_limits_a_link_stays_what_it_was() -> None:
    between = Line()
    between.seconds(30, good=97, bad=3)
    assert GOOD_FRACTION < between.quality.fraction < POOR_FRACTION
    assert between.changes == []
    between.seconds(12, good=90, bad=10)
    between.seconds(30, good=97, bad=3)
    assert len(between.changes) == 1
    assert between.quality.words


def test_a_single_bad_frame_of_few_is_no_share() -> None:
    line = Line()
    line.second(good=LEAST_FRAMES - 2, bad=1, sent=0)
    assert line.quality.fraction == 0.0
    line.second(good=1, bad=0, sent=0)
    assert line.quality.fraction == pytest.approx(1 / LEAST_FRAMES)


def test_slow_answers_are_poor_when_all_of_the_last_are() -> None:
    line = Line()
    for _ in range(SLOW_TRIPS - 1):
        line.second(trip_ms=SLOW_MS + 50)
    assert not line.quality.words
    line.second(trip_ms=SLOW_MS + 60)
    assert "answers take 300 ms and more" in line.quality.words
    line.second(trip_ms=3.0)
    assert len(line.changes) == 2


def test_a_new_session_starts_without_the_past() -> None:
    line = Line()
    line.seconds(4, bad=50)
    line.quality.restart()
    assert (line.quality.words, line.quality.fraction) == ("", 0.0)
    line.second()
    line.second()
    assert line.quality.fraction == 0.0


@pytest.mark.parametrize(
    ("fraction", "words"),
    [
        (1.0, "nearly all frames"),
        (0.7, "most of the frames"),
        (0.576, "half of the frames"),
        (0.25, "a quarter of the frames"),
        (0.08, "8 in 100 frames"),
        (0.001, "1 in 100 frames"),
    ],
)
def test_shares_in_words(fraction: float, words: str) -> None:
    assert share_words(fraction) == words


@pytest.fixture
def run() -> Callable[[float, float], list[Event]]:
    """Events of a run whose cable damages bytes at a rate for some seconds."""

    def flown(rate: float, seconds: float) -> list[Event]:
        events: list[Event] = []
        clock = VirtualClock()
        loaded = load_panel(shipped_config("panels/first_lamp.yaml"))
        assembly = assemble_demo(loaded, clock=clock, on_event=events.append)
        assembly.engine.open()

        def until(time_s: float) -> None:
            while clock.now() < time_s:
                assembly.engine.turn()

        try:
            until(3.0)
            board = registry.find("main")
            assert board is not None
            board.cable.faults.order("flip_byte", rate)
            until(3.0 + seconds)
            health = assembly.engine.snapshot().boards[0]
            assert bool(health.poor) is (rate > 0)
            assert (health.damaged_fraction > POOR_FRACTION) is (rate > 0)
            assert health.age_s is not None
            assert health.age_s < 1.0
            board.cable.faults.order("flip_byte", 0.0)
            until(3.0 + seconds + WINDOW_S + 3)
            assert not assembly.engine.snapshot().boards[0].poor
        finally:
            assembly.engine.close()
            assembly.close()
        return [one for one in events if one.name.startswith("link_")]

    return flown


def test_a_bad_cable_is_in_the_log_once_and_its_end_too(
    run: Callable[[float, float], list[Event]],
) -> None:
    poor, good = run(0.01, 20.0)
    assert (poor.name, poor.level) == ("link_found_poor", Level.CAUTION)
    assert "damaged: cable, speed, ground?" in poor.text
    assert (good.name, good.level) == ("link_good_again", Level.INFO)


@pytest.mark.parametrize("each_way_ms", [0, 20, 45, 60, 90, 110, 150, 201])
def test_the_round_trip_is_measured_on_a_slow_cable_too(each_way_ms: int) -> None:
    """REPORTs that cross the COMMAND come before the one that names it."""
    events: list[Event] = []
    clock = VirtualClock()
    loaded = load_panel(shipped_config("panels/first_lamp.yaml"))
    assembly = assemble_demo(loaded, clock=clock, on_event=events.append)
    assembly.engine.open()
    try:
        while clock.now() < 3.0:
            assembly.engine.turn()
        board = registry.find("main")
        assert board is not None
        board.cable.faults.order("delay_s", each_way_ms / 1000)
        board.cable.faults.order("delay", 1.0)
        while clock.now() < 10.0:
            assembly.engine.turn()
        health = assembly.engine.snapshot().boards[0]
        assert health.round_trip_ms is not None
        # The board reads its line, and the host the board's, at ticks of their own.
        assert -0.1 < health.round_trip_ms - 2 * each_way_ms < 35
        assert health.age_s is not None
        assert health.age_s < 0.2
        is_slow = 2 * each_way_ms > SLOW_MS
        assert bool(health.poor) is is_slow
        found = [one for one in events if one.name == "link_found_poor"]
        assert len(found) == is_slow
        for words in [health.poor, *(one.text.split(": ", 1)[1] for one in found)] * is_slow:
            assert words.startswith("answers take ")
            assert -1 < int(words.split()[2]) - 2 * each_way_ms < 35
    finally:
        assembly.engine.close()
        assembly.close()


def test_a_good_cable_says_nothing(run: Callable[[float, float], list[Event]]) -> None:
    assert run(0.0, 5.0) == []
