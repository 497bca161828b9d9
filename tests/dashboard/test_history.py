"""The last minute: what is kept, and how trends and strips show it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from panelbridge.dashboard.blocks.time_grid import in_slots, on_grid
from panelbridge.dashboard.blocks.trends import LEAST_ROWS, STRIPS, trend_lines
from panelbridge.dashboard.history import (
    EACH_S,
    SPAN_S,
    History,
    LinkLook,
    ShownMoment,
    moment_of,
)
from panelbridge.dashboard.interfaces import Equipment, ValueLimit, ValueLook
from panelbridge.dashboard.text.dots import dots_of, sign_of
from panelbridge.dashboard.text.lines import Line, TextStyle, width_of
from panelbridge.engine.snapshot import Snapshot
from panelbridge.signals import HornPattern
from tests.dashboard import scenes
from tests.dashboard.text import text_of

ROWS = LEAST_ROWS + STRIPS
GAUGES = Equipment(gauges=(ValueLook("hydraulic_pressure", "hydraulic pressure", unit="psi"),))


def at(time_s: float, *, horn: bool = False, kias: float | None = 100.0) -> Snapshot:
    pattern = HornPattern.CONTINUOUS if horn else HornPattern.SILENT
    return replace(
        scenes.CRUISE,
        time_s=time_s,
        aircraft=replace(scenes.CRUISE.aircraft, airspeed_kias=kias),
        outputs=replace(scenes.CRUISE.outputs, horn=pattern),
    )


def test_a_sample_each_half_second_of_the_last_minute() -> None:
    history = History()
    for tick in range(10 * 90):
        history.take(at(tick / 10))
    times = [one.time_s for one in history.samples]
    assert times[-1] >= 89.0
    assert times[0] >= times[-1] - SPAN_S
    steps = {round(later - before, 6) for before, later in pairwise(times)}
    assert steps == {EACH_S}
    assert len(times) == SPAN_S / EACH_S + 1


def test_a_horn_between_two_samples_is_not_lost() -> None:
    history = History()
    for time_s, horn in ((0.0, False), (0.1, True), (0.2, False), (0.5, False), (1.0, False)):
        history.take(at(time_s, horn=horn))
    assert [one.horn for one in history.samples] == [False, True, False]


def test_another_run_begins_anew_and_nothing_is_kept_before_the_first_board() -> None:
    history = History()
    history.take(scenes.NOT_YET)
    assert not history.samples
    for time_s in (5.0, 6.0, 0.5):
        history.take(at(time_s))
    assert [one.time_s for one in history.samples] == [0.5]


def dotted(curves: Sequence[Sequence[float | None]], width: int, rows: int) -> list[str]:
    return ["".join(map(sign_of, line)) for line in dots_of(curves, width, rows)]


def test_dots_stand_where_the_values_are() -> None:
    assert dotted([[0.0, 0.0, 1.0, 1.0]], 2, 1) == ["⣀⠉"]
    assert dotted([[None, None, 0.5]], 2, 1) == [" ⠂"]
    assert dotted([[0.0] * 4, [1.0] * 4], 2, 2) == ["⠉⠉", "⣀⣀"]
    assert dotted([[7.0, -7.0]], 1, 1) == dotted([[1.0, 0.0]], 1, 1)


def samples(values: Sequence[tuple[float, float | None]]) -> list[ShownMoment]:
    return [moment_of(at(time_s, kias=kias)) for time_s, kias in values]


def test_the_right_end_is_now_and_what_was_not_seen_is_empty() -> None:
    seen = samples([(100.0 + EACH_S * tick, float(tick)) for tick in range(21)])
    assert on_grid(tuple(seen), 121) == [None] * 100 + [*range(21)]
    gap = on_grid((seen[0], seen[-1]), 121)
    assert gap[-1] == 1
    assert gap[-2] is None


@pytest.mark.parametrize("width", [40, 78, 118, 198])
def test_trends_have_their_width_and_the_value_of_now(width: int) -> None:
    seen = samples([(EACH_S * tick, 100.0 + tick) for tick in range(60)])
    lines = trend_lines(seen[-1], seen, GAUGES, scenes.LAMPS, width, ROWS)
    assert len(lines) == ROWS
    assert {width_of(line) for line in lines} == {width}
    if width > 78:
        assert "159 kt" in text_of(lines[0])
    assert "2850 psi" in text_of(lines[0])
    assert len(trend_lines(seen[-1], seen, GAUGES, scenes.LAMPS, width, ROWS - 1)) == LEAST_ROWS
    assert trend_lines(seen[-1], seen, GAUGES, scenes.LAMPS, width, LEAST_ROWS - 1) == []
    assert trend_lines(seen[-1], [], GAUGES, scenes.LAMPS, width, ROWS) == []


def halves(lines: Sequence[Line]) -> dict[str, str]:
    """The strips by their labels."""
    texts = [text_of(line) for line in lines]
    middle = next(at for at in range(len(texts[0])) if texts[0][at:].startswith("link"))
    parts = [part for text in texts for part in (text[:middle], text[middle:])]
    return {part[:6].strip(): part[6:].strip() for part in parts}


def test_strips_have_the_signs_of_horn_lamps_link_and_data() -> None:
    quiet = [moment_of(at(EACH_S * tick)) for tick in range(60)]
    loud = [
        replace(one, horn=True, lamps=frozenset({"left_red"}), time_s=30.0 + one.time_s)
        for one in quiet
    ]
    last = [replace(quiet[n], time_s=60.0 + EACH_S * n) for n in range(12)]
    links = (LinkLook.POOR, LinkLook.POOR, LinkLook.STARTING, LinkLook.LOST)
    lost = [replace(one, link=links[n // 3], fresh=n < 6) for n, one in enumerate(last)]
    lines = trend_lines(lost[-1], [*quiet, *loud, *lost], GAUGES, scenes.LAMPS, 240, ROWS)[-2:]
    strips = halves(lines)
    assert set(strips["horn"]) == {"·", "■", "?"}
    assert set(strips["lamps"]) == {"·", "▲", "?"}
    assert set(strips["link"]) == {"·", "!", "?", "X"}
    assert set(strips["data"]) == {"·", "X"}
    assert {span.style for span in lines[0] if "■" in span.text} == {TextStyle.ALARM}
    assert {span.style for span in lines[0] if "X" in span.text} == {TextStyle.CAUTION}
    assert strips["horn"].index("■") > 40
    assert strips["link"].endswith("X")


def test_what_was_wrong_between_two_samples_is_in_the_later_one() -> None:
    history = History()
    board = scenes.CRUISE.boards[0]
    history.take(at(0.0))
    history.take(replace(at(0.1), boards=(replace(board, poor="late"),)))
    history.take(replace(at(0.2), boards=scenes.LOST.boards, feed_fresh=False))
    for time_s in (0.3, 0.5, 1.0):
        history.take(at(time_s))
    assert [one.link for one in history.samples] == [LinkLook.LIVE, LinkLook.LOST, LinkLook.LIVE]
    assert [one.fresh for one in history.samples] == [True, False, True]


@given(st.lists(st.floats(0.0, 70.0), min_size=1, max_size=130), st.integers(1, 90))
def test_no_sample_is_left_out_of_a_strip(times: list[float], columns: int) -> None:
    seen = [replace(SOME, time_s=time_s) for time_s in sorted(times)]
    slots = in_slots(seen, columns)
    assert len(slots) == columns
    kept = {id(one) for slot in slots for one in slot}
    assert {id(one) for one in seen} <= kept
    assert seen[-1] in slots[-1]


SOME = moment_of(at(0.0))
SPEEDS = replace(
    GAUGES,
    limits={
        "airspeed_kias": (
            ValueLimit("gear limit", "most", published="gear_speed_limit_kias"),
            ValueLimit("VLE", "mark", 220.0),
        ),
        "hydraulic_pressure": (ValueLimit("low", "least", 1500.0),),
    },
)


def speeds(last_kias: float, limit_kias: float | None, psi: float = 2850.0) -> list[Line]:
    snapshot = at(60.0, kias=last_kias)
    logic = replace(snapshot.logic, values={"gear_speed_limit_kias": limit_kias})
    outputs = replace(snapshot.outputs, gauges={"hydraulic_pressure": psi})
    now = moment_of(replace(snapshot, logic=logic, outputs=outputs))
    return trend_lines(now, [*samples([(59.5, 200.0)]), now], SPEEDS, scenes.LAMPS, 118, ROWS)


def test_limits_are_dotted_and_in_words() -> None:
    lines = speeds(200.0, 220.0)
    assert "VLE 220" in text_of(lines[0])
    assert "low 1500" in text_of(lines[0])
    dots = [span for line in lines[1:3] for span in line if span.style is TextStyle.STATUS]
    assert len(dots) >= 2
    assert "!" not in text_of(lines[0])


@pytest.mark.parametrize(
    ("kias", "limit", "psi", "words"),
    [
        (221.0, 220.0, 2850.0, "! airspeed gear limit"),
        (220.0, 220.0, 2850.0, ""),
        (400.0, None, 2850.0, ""),
        (200.0, 220.0, 1500.0, "! pressure low"),
        (200.0, 220.0, 1501.0, ""),
    ],
)
def test_beyond_a_limit_title_value_and_curve_are_amber(
    kias: float, limit: float | None, psi: float, words: str
) -> None:
    lines = speeds(kias, limit, psi)
    amber = [
        span.text.strip() for line in lines[:3] for span in line if span.style is TextStyle.CAUTION
    ]
    assert bool(amber) == bool(words)
    if words:
        assert amber[0] == words
        assert amber[1] in (f"{kias:.0f} kt", f"{psi:.0f} psi")
        assert any("\u28ff" >= sign > "\u2800" for sign in "".join(amber[2:]))


def test_trends_go_on_once_a_second_and_begin_at_once() -> None:
    history = History()
    drawn = []
    for tick in range(101):
        history.take(at(20.0 + tick / 10))
        drawn.append(history.drawn)
    assert drawn[0] == history.samples[:1]
    assert [one[-1].time_s for one in dict.fromkeys(drawn)] == [
        20.0 + second for second in range(11)
    ]
    assert history.drawn == history.samples
    history.take(at(3.0))  # another run
    assert [one.time_s for one in history.drawn] == [3.0]
