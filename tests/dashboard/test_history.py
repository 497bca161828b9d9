"""The last minute: what is kept, and how trends and strips show it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import pytest

from panelbridge.dashboard.blocks.trends import (
    LEAST_ROWS,
    STRIPS,
    on_grid,
    trend_lines,
)
from panelbridge.dashboard.history import EACH_S, SPAN_S, History, ShownMoment, moment_of
from panelbridge.dashboard.interfaces import Equipment, ValueLook
from panelbridge.dashboard.text.dots import dotted
from panelbridge.dashboard.text.lines import TextStyle, width_of
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


def test_dots_stand_where_the_values_are() -> None:
    assert dotted([[0.0, 0.0, 1.0, 1.0]], 2, 1) == ["⣀⠉"]
    assert dotted([[None, None, 0.5]], 2, 1) == [" ⠂"]
    assert dotted([[0.0] * 4, [1.0] * 4], 2, 2) == ["⠉⠉", "⣀⣀"]
    assert dotted([[7.0, -7.0]], 1, 1) == dotted([[1.0, 0.0]], 1, 1)


def samples(values: Sequence[tuple[float, float | None]]) -> list[ShownMoment]:
    return [moment_of(at(time_s, kias=kias)) for time_s, kias in values]


def test_the_right_end_is_now_and_what_was_not_seen_is_empty() -> None:
    seen = samples([(100.0 + EACH_S * tick, float(tick)) for tick in range(21)])
    grid = on_grid(seen, 121)
    assert grid[-1] is seen[-1]
    assert [one is None for one in grid] == [True] * 100 + [False] * 21
    gap = on_grid([seen[0], seen[-1]], 121)
    assert gap[-1] is seen[-1]
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


def test_strips_have_the_signs_of_horn_and_lamps() -> None:
    quiet = [moment_of(at(EACH_S * tick)) for tick in range(60)]
    loud = [
        replace(one, horn=True, lamps=frozenset({"left_red"}), time_s=30.0 + one.time_s)
        for one in quiet
    ]
    lost = [replace(quiet[n], link=False, time_s=60.0 + EACH_S * n) for n in range(4)]
    horn, lamps = trend_lines(lost[-1], [*quiet, *loud, *lost], GAUGES, scenes.LAMPS, 127, ROWS)[
        -2:
    ]
    assert set(text_of(horn)[7:].strip()) == {"·", "■", "?"}
    assert set(text_of(lamps)[7:].strip()) == {"·", "▲", "?"}
    assert {span.style for span in horn if "■" in span.text} == {TextStyle.ALARM}
    assert text_of(horn).index("■") > 60
