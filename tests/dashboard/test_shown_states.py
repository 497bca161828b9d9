"""When a part is drawn again: states at once, numbers four times a second."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from msgspec.structs import replace

from panelbridge.dashboard.app import DashboardApp
from panelbridge.dashboard.pages.screen_content import ScreenContent
from panelbridge.dashboard.pages.shown_states import (
    NUMBERS_EACH_S,
    DrawingPace,
    link_states,
    states_of,
)
from panelbridge.dashboard.widgets import LinesWidget
from panelbridge.engine.snapshot import Snapshot
from panelbridge.signals import Outputs, SwitchState
from tests.dashboard import scenes
from tests.dashboard.fakes import FakeControls, FakeSource, app_for
from tests.dashboard.text import text_of


def shown_by(app: DashboardApp) -> str:
    return "\n".join(
        text_of(line)
        for part in ("#board", "#links")
        for line in app.query_one(part, LinesWidget).lines
    )


def at(time_s: float) -> Snapshot:
    return replace(scenes.CRUISE, time_s=time_s)


def test_numbers_wait_and_states_do_not() -> None:
    pace = DrawingPace()
    assert pace.is_due("page", "calm", at(10.0))
    assert not pace.is_due("page", "calm", at(10.1))
    assert pace.is_due("links", "calm", at(10.1))
    assert pace.is_due("page", "lit", at(10.15))
    assert not pace.is_due("page", "lit", at(10.2))
    assert pace.is_due("page", "lit", at(10.15 + NUMBERS_EACH_S))


def test_the_last_numbers_of_a_run_are_shown() -> None:
    pace, last = DrawingPace(), at(10.1)
    assert pace.is_due("page", "calm", at(10.0))
    assert not pace.is_due("page", "calm", last)
    assert pace.is_due("page", "calm", last)


def test_the_numbers_of_a_pause_are_shown() -> None:
    pace = DrawingPace()
    assert pace.is_due("page", "calm", at(10.0))
    assert not pace.is_due("page", "calm", at(10.1))
    assert pace.is_due("page", "calm", at(10.1))  # another snapshot of the same time


def test_a_time_that_runs_backwards_is_another_run() -> None:
    pace = DrawingPace()
    assert pace.is_due("page", "calm", at(10.0))
    assert pace.is_due("page", "calm", at(9.9))


def _changed() -> Iterator[Snapshot]:
    now = scenes.CRUISE
    yield replace(now, outputs=Outputs(lamps={**now.outputs.lamps, "nose_red": 7}))
    yield replace(now, switches=SwitchState())
    yield replace(now, logic=replace(now.logic, faults=("a fault",)))
    yield replace(now, logic=replace(now.logic, warning_causes=("a cause",)))
    yield replace(now, logic=replace(now.logic, legs=now.logic.legs[1:]))
    yield replace(now, feed_fresh=not now.feed_fresh)
    yield replace(now, phase="another")
    yield replace(now, show=replace(now.show, is_paused=True))
    yield replace(now, show=replace(now.show, broken=("a lamp",)))
    yield replace(now, boards=(replace(now.boards[0], poor="half of it is damaged"),))


@pytest.mark.parametrize("changed", _changed())
def test_what_wants_attention_is_a_state(changed: Snapshot) -> None:
    before = states_of(ScreenContent(scenes.CRUISE))
    assert states_of(ScreenContent(changed)) != before


def test_numbers_are_no_states() -> None:
    now = scenes.CRUISE
    boards = (replace(now.boards[0], frames_received=9, round_trip_ms=9.0),)
    aircraft = replace(now.aircraft, airspeed_kias=9.0)
    changed = replace(now, boards=boards, aircraft=aircraft)
    assert states_of(ScreenContent(changed)) == states_of(ScreenContent(now))
    assert link_states(changed) == link_states(now)


async def test_the_screen_keeps_this_pace() -> None:
    source = FakeSource(at(10.0))
    app = app_for(source, FakeControls())
    fast = replace(scenes.CRUISE, aircraft=replace(scenes.CRUISE.aircraft, airspeed_kias=299.0))
    boards = (replace(scenes.GEAR_BOARD, frames_received=777_777),)
    async with app.run_test(size=(120, 40)) as pilot:
        source.now = replace(fast, boards=boards, time_s=10.1)
        app.poll()
        assert "299" not in shown_by(app)
        assert "777777" not in shown_by(app)
        source.now = replace(source.now, time_s=10.3)
        app.poll()
        await pilot.pause()
        assert "299" in shown_by(app)
        assert "777777" in shown_by(app)


async def test_after_a_key_the_screen_looks_for_the_effect_soon(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    source = FakeSource()
    app = app_for(source, FakeControls(), refresh_hz=0.01)
    async with app.run_test() as pilot:
        wanted: list[tuple[float, int]] = []

        def note(interval: float, callback: object, *, repeat: int = 0) -> None:
            assert callable(callback)
            before = source.reads
            callback()
            assert source.reads == before + 1
            wanted.append((interval, repeat))

        monkeypatch.setattr(app, "set_interval", note)
        await pilot.press("t")
        assert wanted == [(25.0, 16)]
