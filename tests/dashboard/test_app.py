"""The screen under a pilot's hands: every key, every click."""

from __future__ import annotations

from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager

import pytest
from msgspec.structs import replace
from textual.pilot import Pilot

from panelbridge.dashboard.app import DashboardApp
from panelbridge.dashboard.interfaces import Controls
from panelbridge.dashboard.pages.help_screen import HelpScreen
from panelbridge.dashboard.reasons.why_screen import WhyScreen
from panelbridge.dashboard.switches.switch_operator import PRESS_TICKS
from panelbridge.dashboard.widgets import LinesWidget
from panelbridge.link.session import BoardHealth
from panelbridge.signals import Event, Level
from tests.dashboard import scenes
from tests.dashboard.fakes import (
    FakeControls,
    FakeSource,
    PlainControls,
    app_for,
    app_of,
    show_switches,
)
from tests.dashboard.text import text_of

BUTTONS = {
    "horn_silence": ("h", "Horn silence"),
    "lamp_test": ("t", "Lamp test"),
    "warning_test": ("w", "Warning test"),
    "steering_button": ("s", "Steering  "),
}


class Screen:
    """A running screen, and what stands on it."""

    def __init__(
        self, pilot: Pilot[None], app: DashboardApp, source: FakeSource, controls: FakeControls
    ) -> None:
        self.pilot = pilot
        self.app = app
        self.source = source
        self.controls = controls

    def lines(self, part: str = "board") -> list[str]:
        widget = self.app.query_one(f"#{part}", LinesWidget)
        return [text_of(line) for line in widget.lines]

    def text(self) -> str:
        return "\n".join(
            line for part in ("board", "links", "log", "keys") for line in self.lines(part)
        )

    def place(self, words: str, part: str = "board", after: str = "") -> tuple[int, int]:
        """Column and line of ``words`` in the line that has ``after``."""
        for y, line in enumerate(self.lines(part)):
            if after in line and words in line:
                return line.index(words, line.index(after)) + len(words) // 2, y
        raise AssertionError(f"{words} is not on the {part}:\n{self.text()}")

    async def poll(self) -> None:
        self.app.poll()
        await self.pilot.pause()

    async def click(self, words: str, part: str = "board", after: str = "") -> None:
        await self.pilot.click(f"#{part}", offset=self.place(words, part, after))
        await self.pilot.pause()


@asynccontextmanager
async def running(
    snapshot: object = scenes.CRUISE,
    size: tuple[int, int] = (80, 24),
    controls: Controls | None = None,
    real: bool = False,
) -> AsyncIterator[Screen]:
    source = FakeSource(snapshot)  # type: ignore[arg-type]
    fake = FakeControls()
    app = app_for(source, None if real else controls or fake)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        yield Screen(pilot, app, source, fake)


SIZES = [(80, 24), (120, 40), (60, 20)]


# Keys of the switches


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", BUTTONS)
async def test_a_key_pushes_a_button_and_lets_it_go(name: str, size: tuple[int, int]) -> None:
    async with running(size=size) as screen:
        await screen.pilot.press(BUTTONS[name][0])
        assert screen.controls.moves == [(name, "pressed")]
        for _ in range(PRESS_TICKS):
            await screen.poll()
        assert screen.controls.moves == [(name, "pressed"), (name, "released")]


@pytest.mark.parametrize("name", BUTTONS)
async def test_a_capital_holds_a_button_until_it_is_typed_again(name: str) -> None:
    async with running() as screen:
        key, label = BUTTONS[name]
        await screen.pilot.press(key.upper())
        for _ in range(3 * PRESS_TICKS):
            await screen.poll()
        assert screen.controls.moves == [(name, "pressed")]
        assert screen.place("[ HELD ]", after=label)
        await screen.pilot.press(key.upper())
        assert screen.controls.moves[1:] == [(name, "released")]
        assert screen.place("( push )", after=label)


async def test_the_handles_key_moves_it_there_and_back() -> None:
    async with running() as screen:
        await screen.pilot.press("g")
        assert screen.place("[UP]", after="Gear handle")
        await screen.pilot.press("g")
        assert screen.place("[DOWN]", after="Gear handle")
        assert screen.controls.moves == [("gear_handle", "up"), ("gear_handle", "down")]


@pytest.mark.parametrize(
    ("key", "value"), [("minus", 0.6), ("plus", 0.8), ("equals_sign", 0.8), ("underscore", 0.6)]
)
async def test_the_dimmers_keys(key: str, value: float) -> None:
    async with running() as screen:
        await screen.pilot.press(key)
        assert screen.controls.moves == [("dimmer", value)]


async def test_the_boards_report_is_shown_after_the_next_snapshot() -> None:
    async with running() as screen:
        await screen.pilot.press("T")
        assert screen.place("○ off", after="Lamp test")
        screen.source.now = show_switches(scenes.CRUISE, screen.controls)
        await screen.poll()
        assert screen.place("● pressed", after="Lamp test")


# The mouse


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", BUTTONS)
async def test_a_button_is_pushed_for_as_long_as_the_mouse_is_down(
    name: str, size: tuple[int, int]
) -> None:
    async with running(size=size) as screen:
        grip = "○ off" if size[0] == 60 else "( push )"
        place = screen.place(grip, after=BUTTONS[name][1])
        await screen.pilot.mouse_down("#board", offset=place)
        for _ in range(3 * PRESS_TICKS):
            await screen.poll()
        assert screen.controls.moves == [(name, "pressed")]
        # Let go somewhere else: it is let go all the same.
        await screen.pilot.mouse_up("#log", offset=(1, 0))
        await screen.pilot.pause()
        assert screen.controls.moves == [(name, "pressed"), (name, "released")]


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_a_click_on_an_end_of_the_handle_puts_it_there(size: tuple[int, int]) -> None:
    async with running(size=size) as screen:
        await screen.click("up", after="Gear handle")
        await screen.click("[UP]", after="Gear handle")
        await screen.click("down", after="Gear handle")
        assert screen.controls.moves == [
            ("gear_handle", "up"),
            ("gear_handle", "up"),
            ("gear_handle", "down"),
        ]


async def test_on_a_narrow_screen_a_click_moves_the_handle_to_its_other_end() -> None:
    async with running(size=(60, 20)) as screen:
        await screen.click("▲ up", after="Gear handle")
        await screen.click("▲ up", after="Gear handle")
        assert screen.controls.moves == [("gear_handle", "up"), ("gear_handle", "down")]


async def test_a_click_on_the_bar_puts_the_dimmer_there() -> None:
    async with running() as screen:
        left, y = screen.place("█", after="Dimmer")
        for cell in (0, 3, 10):
            await screen.pilot.click("#board", offset=(left + cell, y))
        await screen.pilot.pause()
        assert screen.controls.moves == [("dimmer", 0.0), ("dimmer", 0.3), ("dimmer", 1.0)]


@pytest.mark.parametrize("size", SIZES)
async def test_the_wheel_turns_the_dimmer(size: tuple[int, int]) -> None:
    async with running(size=size) as screen:
        place = screen.place("70%" if size[0] == 60 else "█", after="Dimmer")
        await screen.pilot._post_mouse_events([_wheel_up()], "#board", offset=place, button=0)
        await screen.pilot._post_mouse_events([_wheel_down()], "#board", offset=place, button=0)
        await screen.pilot._post_mouse_events([_wheel_down()], "#board", offset=place, button=0)
        await screen.pilot.pause()
        values = [value for name, value in screen.controls.moves if name == "dimmer"]
        assert values == [0.75, 0.7, 0.65]
        # Over another switch it does nothing.
        place = screen.place("g", after="Gear handle")
        await screen.pilot._post_mouse_events([_wheel_up()], "#board", offset=place, button=0)
        await screen.pilot.pause()
        assert len(screen.controls.moves) == 3


def _wheel_up() -> type:
    from textual.events import MouseScrollUp

    return MouseScrollUp


def _wheel_down() -> type:
    from textual.events import MouseScrollDown

    return MouseScrollDown


async def test_another_mouse_button_moves_nothing() -> None:
    async with running() as screen:
        place = screen.place("( push )", after="Lamp test")
        await screen.pilot.click("#board", offset=place, button=3)
        await screen.pilot.pause()
        assert screen.controls.moves == []


async def test_losing_the_window_lets_go() -> None:
    async with running() as screen:
        place = screen.place("( push )", after="Lamp test")
        await screen.pilot.mouse_down("#board", offset=place)
        await screen.pilot.pause()
        from textual.events import AppBlur

        screen.app.post_message(AppBlur())
        await screen.pilot.pause()
        assert screen.controls.moves == [("lamp_test", "pressed"), ("lamp_test", "released")]


# A real board


async def test_a_real_board_is_not_moved_from_the_screen() -> None:
    async with running(real=True) as screen:
        assert "Operate them on the panel" in screen.text()
        await screen.pilot.press("g", "h", "T", "plus", "f")
        await screen.pilot.click("#board", offset=(22, 11))
        assert screen.controls.moves == []
        assert "capital letter" not in screen.text()
        await screen.pilot.press("question_mark")
        assert "operate them on the panel" in _help_text(screen.app)


# Keys of the screen


@pytest.mark.parametrize("key", ["q", "ctrl+c"])
async def test_quit_asks_nothing(key: str) -> None:
    async with running() as screen:
        await screen.pilot.press(key)
        await screen.pilot.pause()
        assert not screen.app.is_running
        assert screen.app.return_code == 0


async def test_with_live_real_boards_q_asks_once() -> None:
    app = app_of("start", real=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("q")
        await pilot.pause()
        assert app.is_running
        assert "Press q again" in str(next(iter(app._notifications)).message)
        app._forget_to_quit()  # as its timer does
        await pilot.press("q")
        assert app.is_running
        await pilot.press("q")
        await pilot.pause()
        assert not app.is_running


@pytest.mark.parametrize(("boards", "key"), [(scenes.START.boards, "ctrl+c"), ((), "q")])
async def test_ctrl_c_and_q_without_a_live_board_end_at_once(
    boards: tuple[BoardHealth, ...], key: str
) -> None:
    app = app_for(FakeSource(replace(scenes.START, boards=boards)), None)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(key)
        await pilot.pause()
        assert not app.is_running


def _help_text(app: DashboardApp) -> str:
    help_screen = app.screen
    assert isinstance(help_screen, HelpScreen)
    return help_screen.text


@pytest.mark.parametrize(
    ("closing", "size"),
    [("escape", (80, 24)), ("question_mark", (60, 20)), ("enter", (20, 5))],
)
async def test_help_opens_and_closes(closing: str, size: tuple[int, int]) -> None:
    async with running(size=size) as screen:
        await screen.pilot.press("question_mark")
        text = _help_text(screen.app)
        for words in ("quit", "short press; T holds it", "▲ WARNING", "fly again"):
            assert words in text
        await screen.pilot.press(closing)
        assert not isinstance(screen.app.screen, HelpScreen)


async def test_under_the_help_no_switch_moves_and_q_quits() -> None:
    async with running() as screen:
        await screen.pilot.press("question_mark", "g", "T", "minus")
        assert screen.controls.moves == []
        await screen.pilot.press("q")
        await screen.pilot.pause()
        assert not screen.app.is_running


async def test_under_the_help_a_pushed_button_is_let_go_all_the_same() -> None:
    async with running() as screen:
        await screen.pilot.press("t", "question_mark")
        for _ in range(PRESS_TICKS):
            await screen.poll()
        assert screen.controls.moves == [("lamp_test", "pressed"), ("lamp_test", "released")]


async def test_help_without_flying_again() -> None:
    async with running(controls=PlainControls()) as screen:
        await screen.pilot.press("question_mark")
        assert "fly again" not in _help_text(screen.app)


async def test_the_log_is_made_large_and_small() -> None:
    async with running() as screen:
        small = len(screen.lines("log"))
        await screen.pilot.press("l")
        assert len(screen.lines("log")) > 2 * small
        assert len(screen.lines("board")) == 3
        assert "Horn" in screen.text()
        assert "board gear is live" in screen.text()
        await screen.pilot.press("l")
        assert len(screen.lines("log")) == small


def _many(count: int) -> tuple[Event, ...]:
    return tuple(Event(at, "x", Level.INFO, f"event {at:03d}") for at in range(count))


async def test_reading_back_in_the_log_stays_in_place_while_new_lines_come() -> None:
    events = _many(100)
    async with running(replace(scenes.CRUISE, events=events, event_count=100)) as screen:
        assert "event 099" in screen.lines("log")[-1]
        await screen.pilot.press("up", "up")
        assert "event 097" in screen.lines("log")[-1]
        more = (*events, Event(100, "x", Level.INFO, "event 100"))
        screen.source.now = replace(scenes.CRUISE, events=more, event_count=101)
        await screen.poll()
        assert "event 097" in screen.lines("log")[-1]
        await screen.pilot.press("down")
        assert "event 098" in screen.lines("log")[-1]
        await screen.pilot.press("pageup")
        assert "event 088" in screen.lines("log")[-1]
        await screen.pilot.press("end")
        assert "event 100" in screen.lines("log")[-1]
        await screen.pilot.press("home")
        assert "event 000" in "".join(screen.lines("log"))


async def test_the_wheel_reads_back_in_the_log() -> None:
    snapshot = replace(scenes.CRUISE, events=_many(50), event_count=50)
    async with running(snapshot) as screen:
        for _ in range(3):
            await screen.pilot._post_mouse_events([_wheel_up()], "#log", offset=(5, 1), button=0)
        await screen.pilot.pause()
        assert "event 046" in screen.lines("log")[-1]
        await screen.pilot._post_mouse_events([_wheel_down()], "#log", offset=(5, 1), button=0)
        await screen.pilot.pause()
        assert "event 047" in screen.lines("log")[-1]


async def test_a_finished_run_flies_again_on_f() -> None:
    async with running(scenes.CRUISE) as screen:
        assert "fly again" not in screen.text()
        await screen.pilot.press("f")
        assert screen.controls.flights == 0
        screen.source.now = scenes.FINISHED
        await screen.poll()
        assert "f fly again" in screen.lines("keys")[0]
        assert "finished" in screen.lines()[0]
        await screen.pilot.press("f")
        assert screen.controls.flights == 1


async def test_a_finished_run_that_cannot_fly_again_does_not_offer_it() -> None:
    async with running(scenes.FINISHED, controls=PlainControls()) as screen:
        assert "fly again" not in screen.text()
        await screen.pilot.press("f")


@pytest.mark.parametrize(
    ("words", "check"),
    [
        ("help", lambda screen: isinstance(screen.app.screen, HelpScreen)),
        ("log", lambda screen: len(screen.lines("log")) > 12),
        ("fly again", lambda screen: screen.controls.flights == 1),
        ("quit", lambda screen: not screen.app.is_running),
        ("why", lambda screen: isinstance(screen.app.screen, WhyScreen)),
    ],
)
async def test_the_key_line_can_be_clicked(words: str, check: object) -> None:
    async with running(scenes.FINISHED) as screen:
        await screen.click(words, part="keys")
        assert callable(check)
        assert check(screen)


# Sizes, and moments without data


@pytest.mark.parametrize("size", [*SIZES, (40, 24), (20, 5), (1, 1), (200, 60), (10, 30), (200, 3)])
async def test_no_size_and_no_moment_breaks_the_screen(size: tuple[int, int]) -> None:
    async with running(scenes.NOT_YET, size=size) as screen:
        for snapshot in [scenes.NOT_YET, *scenes.SCENES.values(), scenes.FINISHED]:
            screen.source.now = snapshot
            await screen.poll()
            parts = [len(screen.lines(part)) for part in ("board", "links", "log", "keys")]
            assert sum(parts) == size[1]


async def test_resizing_while_it_runs() -> None:
    async with running() as screen:
        for size in [(120, 40), (60, 20), (20, 5), (80, 24)]:
            await screen.pilot.resize_terminal(*size)
            await screen.pilot.pause()
            assert {len(line) for line in screen.lines()} == {size[0]}
            heights = [
                screen.app.query_one(f"#{part}").size.height
                for part in ("board", "links", "log", "keys")
            ]
            assert heights == [
                len(screen.lines(part)) for part in ("board", "links", "log", "keys")
            ]


async def test_a_start_without_data_waits_and_then_shows_it() -> None:
    async with running(scenes.NOT_YET) as screen:
        assert "waiting for the first data" in screen.text()
        screen.source.now = scenes.START
        await screen.poll()
        assert "● locked down" in screen.text()
        assert "waiting for the first data" not in screen.text()


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize(
    ("name", "words"),
    [("lost", "plug the board in again"), ("refused", "board: mega2560")],
)
async def test_a_board_that_is_not_live_says_what_to_do(
    name: str, words: str, size: tuple[int, int]
) -> None:
    async with running(scenes.SCENES[name], size=size) as screen:
        assert words in " ".join(screen.text().split())


async def test_a_message_that_comes_and_goes_does_not_move_the_screen() -> None:
    async with running(scenes.LOST) as screen:
        before = [len(screen.lines(part)) for part in ("board", "links", "log")]
        quiet = tuple(replace(board, message="") for board in scenes.LOST.boards)
        screen.source.now = replace(scenes.LOST, boards=quiet)
        await screen.poll()
        assert "plug the board in" not in screen.text()
        assert [len(screen.lines(part)) for part in ("board", "links", "log")] == before
        live = replace(scenes.LOST, boards=scenes.CRUISE.boards)
        screen.source.now = live
        await screen.poll()
        assert len(screen.lines("links")) == 2


# Cost


def _draws(screen: Screen) -> Sequence[int]:
    parts = ("board", "links", "log", "keys")
    return [screen.app.query_one(f"#{part}", LinesWidget).repainted_lines for part in parts]


async def test_nothing_is_drawn_while_nothing_changes() -> None:
    async with running() as screen:
        before, painted = screen.app.draws, _draws(screen)
        for _ in range(20):
            # An equal snapshot is another object every time.
            screen.source.now = replace(scenes.CRUISE)
            await screen.poll()
        assert screen.app.draws == before
        assert _draws(screen) == painted


async def test_only_the_lines_that_changed_are_painted() -> None:
    async with running() as screen:
        before = _draws(screen)
        boards = (replace(scenes.GEAR_BOARD, frames_received=4185),)
        aircraft = replace(scenes.CRUISE.aircraft, airspeed_kias=229.0)
        screen.source.now = replace(scenes.CRUISE, boards=boards, aircraft=aircraft)
        await screen.poll()
        after = _draws(screen)
        assert [b - a for a, b in zip(before, after, strict=True)] == [1, 1, 0, 0]


async def test_every_input_alone_is_shown_when_it_changes() -> None:
    changes = {
        "● LIT 50%": replace(scenes.CRUISE, outputs=scenes.lamps((128, 0, 0), (0, 0, 0))),
        "! disagrees": replace(
            scenes.CRUISE, logic=replace(scenes.CRUISE.logic, gear_disagrees=True)
        ),
        "301 kt": replace(
            scenes.CRUISE, aircraft=replace(scenes.CRUISE.aircraft, airspeed_kias=301.0)
        ),
        "● pressed": replace(scenes.CRUISE, switches=scenes.CRUISE.switches.having(lamp_test=True)),
        "! NO FRESH DATA": replace(scenes.CRUISE, feed_fresh=False),
        "idle descent": replace(scenes.CRUISE, phase="idle descent"),
        "finished": replace(scenes.CRUISE, finished=True),
        "! 1 of 2 boards live": replace(scenes.CRUISE, boards=scenes.LOST.boards),
        "1:27": replace(scenes.CRUISE, time_s=87.0),
    }
    async with running() as screen:
        for words, snapshot in changes.items():
            screen.source.now = scenes.CRUISE
            await screen.poll()
            assert words not in "\n".join(screen.lines())
            screen.source.now = snapshot
            await screen.poll()
            assert words in "\n".join(screen.lines())


async def test_the_snapshot_is_read_once_a_tick() -> None:
    async with running() as screen:
        before = screen.source.reads
        await screen.poll()
        assert screen.source.reads == before + 1


async def test_the_screen_polls_by_itself() -> None:
    source = FakeSource()
    app = app_for(source, None, refresh_hz=100.0)
    async with app.run_test() as pilot:
        for _ in range(200):
            if source.reads >= 3:
                break
            await pilot.pause(0.01)
        assert source.reads >= 3


async def test_the_help_can_be_read_to_its_end_on_a_low_screen() -> None:
    from textual.containers import VerticalScroll

    async with running() as screen:
        await screen.pilot.press("question_mark")
        frame = screen.app.screen.query_one(VerticalScroll)
        assert frame.max_scroll_y > 0
        await screen.pilot.press("end")
        await screen.pilot.wait_for_scheduled_animations()
        assert frame.scroll_y == frame.max_scroll_y
