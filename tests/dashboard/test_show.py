"""The show panel and the line of a show: what they say, and what keys and clicks ask for."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

import pytest
from msgspec.structs import replace
from textual.pilot import Pilot

from panelbridge.dashboard.app import DashboardApp
from panelbridge.dashboard.pages.page_turner import Section
from panelbridge.dashboard.pages.screen_content import ScreenContent
from panelbridge.dashboard.show.show_controls import Breakable
from panelbridge.dashboard.show.show_line import draw_show_line, needs_line
from panelbridge.dashboard.show.show_panel import ShowView, draw_show_panel, narrowed
from panelbridge.dashboard.show.show_screen import ShowScreen, panel_height
from panelbridge.dashboard.text.lines import TextStyle, width_of
from panelbridge.dashboard.widgets import LinesWidget
from panelbridge.engine.show_state import NO_SHOW, ShowState
from tests.dashboard import scenes
from tests.dashboard.fakes import NEVER_HZ, FakeControls, FakeSource
from tests.dashboard.text import text_of

PARTS = [
    Breakable("nose leg hung", "legs and systems"),
    Breakable("left leg hung", "legs and systems"),
    Breakable("hydraulics leaking", "legs and systems"),
    Breakable("gear panel unplugged", "boards and cables"),
    Breakable("gear handle switch stuck", "switches"),
    Breakable("left green dead", "lamps and horn"),
]
PHASES = ["parked", "taxi", "climb", "approach", "parked"]


class FakeShow:
    """Notes what is asked for."""

    breakables = PARTS

    def __init__(self, fixed_time: str = "") -> None:
        self.fixed_time = fixed_time
        self.phases = [] if fixed_time else PHASES
        self.asked: list[object] = []

    def pause_or_go(self) -> None:
        self.asked.append("pause_or_go")

    def step(self, span_s: float) -> None:
        self.asked.append(("step", span_s))

    def faster(self) -> None:
        self.asked.append("faster")

    def slower(self) -> None:
        self.asked.append("slower")

    def jump(self, index: int) -> None:
        self.asked.append(("jump", index))

    def break_or_mend(self, words: str) -> None:
        self.asked.append(words)

    def mend_all(self) -> None:
        self.asked.append("mend_all")


def line_text(state: ShowState, width: int = 100) -> str:
    return text_of(draw_show_line(state, width))


def test_a_plain_run_has_no_line_and_everything_else_is_said() -> None:
    assert not needs_line(NO_SHOW)
    assert not needs_line(ShowState(phase=3))
    for state, words in (
        (ShowState(is_paused=True), "PAUSED"),
        (ShowState(rate=0.25), "RATE 0.25x"),
        (ShowState(jumping_to="final approach"), "FLYING TO FINAL APPROACH"),
        (ShowState(broken=("left leg hung", "horn dead")), "2 BROKEN  left leg hung, horn dead"),
    ):
        assert needs_line(state)
        assert words in line_text(state)
    several = line_text(ShowState(is_paused=True, rate=4.0, broken=("horn dead",)))
    assert several.split() == ["!", "PAUSED", "RATE", "4x", "!", "1", "BROKEN", "horn", "dead"]


def test_a_long_list_of_what_is_broken_is_cut_in_the_line_and_its_number_stays() -> None:
    state = ShowState(is_paused=True, rate=16.0, broken=tuple(part.words for part in PARTS))
    text = line_text(state, 60)
    assert len(text) == 60
    assert "6 BROKEN" in text
    assert text.endswith("…")


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("", [0, 1, 2, 3, 4, 5]),
        ("leg", [0, 1, 2]),  # two by their name, one by its heading
        ("legh", [0, 1]),
        ("leftl", [1]),
        ("leftgreend", [5]),
        ("hung", [0, 1]),
        ("LEFT", [1, 5]),
        ("eg", []),
        ("board", [3]),
    ],
)
def test_what_is_typed_begins_at_a_word_and_goes_on_without_spaces(
    typed: str, found: list[int]
) -> None:
    assert narrowed(PARTS, typed) == [PARTS[at] for at in found]


def panel(
    state: ShowState, view: ShowView, width: int = 100, height: int = 14
) -> tuple[list[str], list[tuple[str, TextStyle]]]:
    snapshot = replace(scenes.START, show=state, time_s=83.4)
    lines = draw_show_panel(snapshot, view, width, height)
    assert len(lines) == height
    assert {width_of(line) for line in lines} == {width}
    return [text_of(line) for line in lines], [(s.text, s.style) for line in lines for s in line]


WHOLE = ShowView(PARTS, len(PARTS), PHASES)


@pytest.mark.parametrize("width", [60, 80, 120, 200])
@pytest.mark.parametrize("height", [10, 14, 30])
def test_the_panel_fills_its_rows_and_names_its_keys(width: int, height: int) -> None:
    lines, _ = panel(ShowState(phase=1), WHOLE, width, height)
    text = "\n".join(lines)
    for words in ("Space", "pause", "step 0.1 s", "step 1 s", "slower", "faster", "1x", "1:23.4"):
        assert words in text
    for name in PHASES:
        assert name in text
    assert "[taxi]" in text
    assert "[parked]" not in text


def test_the_panel_marks_what_is_broken_and_what_is_chosen() -> None:
    lines, spans = panel(ShowState(broken=("left leg hung",)), replace(WHOLE, chosen=2))
    marked, line = [(text, style) for text, style in spans if "left leg hung" in text]
    assert line[0].strip() == "left leg hung"
    assert marked[0].startswith(" X left leg hung")
    assert marked[1] is TextStyle.LIT_AMBER
    assert any(line.lstrip().startswith("> ") or ">  hydraulics leaking" in line for line in lines)
    assert "mend all" in "\n".join(lines)
    assert "mend all" not in "\n".join(panel(NO_SHOW, WHOLE)[0])


def test_the_chosen_part_is_always_in_sight() -> None:
    many = [Breakable(f"part {at:03} dead", "lamps and horn") for at in range(190)]
    for chosen in (0, 17, 100, 189):
        lines, _ = panel(NO_SHOW, ShowView(many, 190, PHASES, chosen=chosen), 80, 12)
        assert f">  part {chosen:03} dead" in "\n".join(lines)


def test_a_pause_is_said_and_space_goes_on() -> None:
    text = "\n".join(panel(ShowState(is_paused=True), WHOLE)[0])
    assert "PAUSED at 1:23.4" in text
    assert "go on" in text


def test_with_real_data_the_panel_says_why_and_offers_no_order_about_the_time() -> None:
    view = ShowView(PARTS, len(PARTS), fixed_time="Real data does not stop.")
    text = "\n".join(panel(NO_SHOW, view)[0])
    assert "Real data does not stop." in text
    for words in ("Space", "step", "faster", "Fly to"):
        assert words not in text
    assert "left leg hung" in text


@pytest.mark.parametrize("height", [10, 14])
def test_what_is_broken_is_said_though_the_list_does_not_show_it(height: int) -> None:
    view = replace(WHOLE, breakables=PARTS[:1], typed="nose")
    lines, _ = panel(ShowState(broken=("left leg hung",)), view, 60, height)
    assert "1 BROKEN  left leg hung" in lines[-1]


def test_a_list_that_is_narrowed_to_nothing_says_so() -> None:
    text = "\n".join(panel(NO_SHOW, ShowView([], 6, PHASES, typed="xyz"))[0])
    assert "nothing that can be broken is named so" in text
    assert "0 of 6" in text


@pytest.mark.parametrize("height", [20, 24, 31, 32, 40, 60])
def test_the_first_rows_of_the_page_stay_in_sight(height: int) -> None:
    assert 9 <= panel_height(height) <= height
    assert height < 24 or height - panel_height(height) >= 11


class Shown:
    """A running screen of a show."""

    def __init__(self, show: FakeShow | None, state: ShowState = NO_SHOW) -> None:
        self.show = show
        self.source = FakeSource(replace(scenes.START, show=state))
        self.controls = FakeControls()
        content = ScreenContent(lamp_looks=scenes.LAMPS, horn_board=scenes.HORN_BOARD)
        self.app = DashboardApp(
            self.source,
            self.controls,
            content,
            switches=scenes.SWITCHES,
            page=Section.OVERVIEW,
            refresh_hz=NEVER_HZ,
            show=show,
        )
        self.pilot: Pilot[None]

    def lines(self, part: str) -> list[str]:
        widget = self.app.screen_stack[0].query_one(f"#{part}", LinesWidget)
        return [text_of(line) for line in widget.lines]

    def panel(self) -> list[str]:
        return [text_of(line) for line in self.app.screen.query_one(LinesWidget).lines]

    async def click(self, words: str) -> None:
        (place,) = [(line.index(words), y) for y, line in enumerate(self.panel()) if words in line]
        await self.pilot.click("#show_panel", offset=(place[0] + 2, place[1]))
        await self.pilot.pause()


@asynccontextmanager
async def running(
    show: FakeShow | None, state: ShowState = NO_SHOW, size: tuple[int, int] = (100, 40)
) -> AsyncIterator[Shown]:
    shown = Shown(show, state)
    async with shown.app.run_test(size=size) as shown.pilot:
        yield shown


async def test_keys_of_the_panel_ask_for_what_they_say() -> None:
    show = FakeShow()
    async with running(show, ShowState(phase=1)) as shown:
        await shown.pilot.press("f8")
        assert isinstance(shown.app.screen, ShowScreen)
        await shown.pilot.press("space", "comma", "full_stop", "minus", "plus", "equals_sign")
        await shown.pilot.press("3", "right", "left", "delete")
        assert show.asked == [
            *("pause_or_go", ("step", 0.1), ("step", 1.0), "slower", "faster", "faster"),
            *(("jump", 2), ("jump", 2), ("jump", 0), "mend_all"),
        ]
        assert shown.controls.moves == []


async def test_letters_narrow_the_list_and_move_no_switch() -> None:
    show = FakeShow()
    async with running(show) as shown:
        await shown.pilot.press("f8", *"lefx", "backspace", "t", "space")
        show.asked.clear()
        assert "type to narrow: left_" in "\n".join(shown.panel())
        assert "nose leg" not in "\n".join(shown.panel())
        await shown.pilot.press("down", "enter")
        assert show.asked == ["left green dead"]
        assert shown.controls.moves == []
        await shown.pilot.press("escape")
        assert "nose leg" in "\n".join(shown.panel())
        await shown.pilot.press("escape")
        assert not isinstance(shown.app.screen, ShowScreen)
        await shown.pilot.press("t")
        assert shown.controls.moves == [("lamp_test", "pressed")]


async def test_clicks_do_what_the_keys_do() -> None:
    show = FakeShow()
    async with running(show, ShowState(phase=0, broken=("nose leg hung",))) as shown:
        await shown.pilot.press("f8")
        for words in ("pause", "faster", "climb", "hydraulics leaking", "mend all"):
            await shown.click(words)
        assert show.asked == [
            "pause_or_go",
            "faster",
            ("jump", 2),
            "hydraulics leaking",
            "mend_all",
        ]
        await shown.pilot.press("f8")
        assert not isinstance(shown.app.screen, ShowScreen)


async def test_the_line_takes_a_row_of_the_log_and_the_page_stays_where_it_is() -> None:
    async with running(FakeShow()) as shown:
        page, log = shown.lines("board"), shown.lines("log")
        assert shown.lines("show") == []
        shown.source.now = replace(shown.source.now, show=ShowState(is_paused=True))
        shown.app.poll()
        await shown.pilot.pause()
        assert "PAUSED" in shown.lines("show")[0]
        assert len(shown.lines("log")) == len(log) - 1
        assert len(shown.lines("board")) == len(page)


async def test_space_pauses_and_the_key_line_opens_the_panel() -> None:
    show = FakeShow()
    async with running(show) as shown:
        await shown.pilot.press("space")
        assert show.asked == ["pause_or_go"]
        keys = shown.lines("keys")[0]
        await shown.pilot.click("#keys", offset=(keys.index("show"), 0))
        await shown.pilot.pause()
        assert isinstance(shown.app.screen, ShowScreen)


async def test_without_a_show_there_is_no_panel_and_space_does_nothing() -> None:
    async with running(None) as shown:
        await shown.pilot.press("f8", "space")
        assert not isinstance(shown.app.screen, ShowScreen)
        assert "F8" not in shown.lines("keys")[0]
