"""Why, on the screen: what can be asked, the reasons of a real run, keys and clicks."""

from __future__ import annotations

from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from functools import cache

import pytest
from msgspec.structs import replace
from textual.pilot import Pilot

from panelbridge.cli.screen import content_of, fitted_switches
from panelbridge.config.load import LoadedPanel
from panelbridge.dashboard.app import DashboardApp
from panelbridge.dashboard.interfaces import Controls
from panelbridge.dashboard.pages.help_screen import HelpScreen
from panelbridge.dashboard.pages.page_turner import Section
from panelbridge.dashboard.reasons.subjects import subjects_of
from panelbridge.dashboard.reasons.why_screen import WhyScreen
from panelbridge.dashboard.viewer_app import ViewerApp, ViewerState
from panelbridge.dashboard.widgets import LinesWidget
from panelbridge.engine.questions import LASTS_S
from panelbridge.engine.snapshot import Snapshot
from panelbridge.signals import Explanation, HornPattern, Reason
from panelbridge.watch.codec import SNAPSHOTS
from panelbridge.watch.datagrams import MOST_BYTES, DatagramOpener, DatagramSealer
from panelbridge.watch.snapshot_sender import SnapshotSender
from tests.dashboard.real_runs import (
    DEMO,
    NEVER_HZ,
    Flight,
    StillControls,
    flight,
    loaded_panel,
)
from tests.dashboard.test_pictures import SIZES, Compare
from tests.dashboard.text import text_of

LEFT, HORN = "left_green", "horn"
CAUSE = "horn: throttle closed and gear not locked down"


def asked(run: Flight, *subjects: str) -> Snapshot:
    """The answers to some questions."""
    for subject in subjects:
        run.engine.explain(run.clock.now(), subject)
    return run.until(run.clock.now() + 0.1)


@cache
def moments() -> dict[str, Snapshot]:
    """Answers of the whole engine in a flight: the horn sounds; a leg hangs; a board is lost."""
    with flight() as run:
        run.until(108.5)
        found = {"horn": asked(run, HORN, CAUSE, LEFT)}
        run.until(123.0)
        run.break_leg("left", "hung")
        run.until(146.0)
        found["unsafe"] = asked(run, LEFT, "left_leg", "left_red")
        run.unplug("gear_panel")
        run.until(148.0)
        found["board_lost"] = asked(run, LEFT, HORN, "fault: none")
    return found


class AnsweringStill:
    """Always the same snapshot, with the answers that it has; notes what is asked."""

    def __init__(self, snapshot: Snapshot) -> None:
        self.now = snapshot
        self.questions: list[str] = []

    def snapshot(self) -> Snapshot:
        return self.now

    def explain(self, subject: str) -> None:
        self.questions.append(subject)


def app_at(
    name: str, page: Section = Section.PANEL, controls: Controls | None = None
) -> tuple[DashboardApp, AnsweringStill]:
    loaded: LoadedPanel = loaded_panel(DEMO)
    source = AnsweringStill(moments()[name])
    app = DashboardApp(
        source,
        controls or StillControls(source.now),
        content_of(loaded),
        switches=fitted_switches(loaded),
        page=page,
        refresh_hz=NEVER_HZ,
    )
    return app, source


class View:
    """A running screen with its view."""

    def __init__(self, pilot: Pilot[None], app: DashboardApp, source: AnsweringStill) -> None:
        self.pilot, self.app, self.source = pilot, app, source

    @property
    def why(self) -> WhyScreen:
        screen = self.app.screen
        assert isinstance(screen, WhyScreen)
        return screen

    def lines(self) -> list[str]:
        return [text_of(line).rstrip() for line in self.why.body.lines]

    def text(self) -> str:
        return "\n".join(self.lines())

    def place(self, words: str, part: str) -> tuple[int, int]:
        """Where words stand on a part of the page."""
        lines = [text_of(line) for line in self.app.query_one(f"#{part}", LinesWidget).lines]
        return next((line.index(words), y) for y, line in enumerate(lines) if words in line)


@asynccontextmanager
async def at(
    name: str, size: tuple[int, int] = (120, 40), page: Section = Section.PANEL
) -> AsyncIterator[View]:
    app, source = app_at(name, page)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        yield View(pilot, app, source)


async def test_f6_opens_the_reasons_of_the_horn_while_it_sounds() -> None:
    async with at("horn") as view:
        await view.pilot.press("f6")
        assert view.why.subject == HORN
        text = view.text()
        decides = text.index("What decides")
        change, too = text.index("What would change it"), text.index("Looked at too")
        assert decides < change < too
        decisive = text[decides:change]
        assert "throttle closed and gear not locked down" in decisive
        assert "lever 1 closed: 0." in decisive
        assert "<= 0." in decisive
        assert "'throttle warning silenced' becomes true" in text[change:too]
        assert view.source.questions[0] == HORN
        await view.pilot.press("f6")
        assert not isinstance(view.app.screen, WhyScreen)


async def test_since_when_is_when_the_horn_began() -> None:
    snapshot = moments()["horn"]
    (began,) = [one.time_s for one in snapshot.events if one.name == "horn_sounded"][-1:]
    since_s = snapshot.explanations[HORN].since_s
    assert since_s == pytest.approx(began, abs=0.021)
    assert snapshot.explanations[CAUSE].since_s == since_s


async def test_a_dark_lamp_says_why_it_is_dark_and_what_would_light_it() -> None:
    async with at("unsafe", (200, 60)) as view:
        view.app.open_why(LEFT)
        await view.pilot.pause()
        text = view.text()
        assert "dark since" in text
        assert "'left leg locked down' becomes true" in text


async def test_a_lost_board_is_said_beside_the_reasons() -> None:
    async with at("board_lost") as view:
        view.app.open_why(LEFT)
        await view.pilot.pause()
        assert "the board gear_panel is not connected" in view.text()


async def test_typing_narrows_the_list_and_arrows_choose_and_no_switch_moves() -> None:
    async with at("horn") as view:  # its controls refuse every move
        await view.pilot.press("f6", *"left", "space", *"green")
        assert view.why.subject == LEFT
        assert "Why: left green_" in view.text()
        await view.pilot.press(*(["backspace"] * 5))
        assert "Why: left _" in view.text()
        before = view.why.subject
        await view.pilot.press("down")
        assert view.why.subject != before
        assert view.source.questions[-1] == view.why.subject
        await view.pilot.press("q", "q", "q")
        assert "nothing has these words" in view.text()
        await view.pilot.press("escape")
        assert not isinstance(view.app.screen, WhyScreen)


async def test_a_function_key_opens_a_page_and_the_log_from_there() -> None:
    async with at("horn") as view:
        await view.pilot.press("f6", "f4")
        await view.pilot.pause()
        assert view.app._pages.section is Section.LAMPS
        await view.pilot.press("f6", "f7")
        await view.pilot.pause()
        assert type(view.app.screen).__name__ == "LogScreen"
        await view.pilot.press("f6")
        await view.pilot.pause()
        assert view.why.subject == HORN


@pytest.mark.parametrize(
    ("words", "page", "subject"),
    [
        ("SPEED", Section.PANEL, "speed_amber"),
        ("LEFT", Section.PANEL, "left_leg"),
        ("all legs", Section.PANEL, "gear"),
        ("GEAR SPEED", Section.LAMPS, "speed_amber"),
    ],
)
async def test_a_click_opens_the_reasons_of_what_is_clicked(
    words: str, page: Section, subject: str
) -> None:
    async with at("horn", page=page) as view:
        lines = [text_of(line) for line in view.app.query_one("#board", LinesWidget).lines]
        if not any(words in line for line in lines):
            words = next(one for one in ("handle down", "handle up", "legs") if one in str(lines))
        await view.pilot.click("#board", offset=view.place(words, "board"))
        await view.pilot.pause()
        assert view.why.subject == subject


async def test_a_click_on_the_horn_opens_its_reasons() -> None:
    async with at("horn") as view:
        lines = view.app.query_one("#board", LinesWidget).lines
        y = next(
            y
            for y, line in enumerate(lines)
            if any(one.target and one.target.name == HORN for one in line)
        )
        await view.pilot.click("#board", offset=(20, y + 1))
        await view.pilot.pause()
        assert view.why.subject == HORN


@pytest.mark.parametrize(("silenced", "state"), [(True, "silenced"), (False, "quiet")])
def test_a_cause_that_is_inhibited_is_not_called_silenced(silenced: bool, state: str) -> None:
    snapshot = moments()["horn"]
    logic = replace(snapshot.logic, horn_causes=(), horn_silenced=silenced)
    outputs = replace(snapshot.outputs, horn=HornPattern.SILENT)
    content = replace(
        content_of(loaded_panel(DEMO)), snapshot=replace(snapshot, logic=logic, outputs=outputs)
    )
    (cause,) = [one for one in subjects_of(content) if one.name == CAUSE]
    assert cause.state == state


async def test_a_click_in_the_list_chooses() -> None:
    async with at("unsafe") as view:
        await view.pilot.press("f6")
        y = next(y for y, line in enumerate(view.lines()) if "left leg" in line)
        await view.pilot.click("#view", offset=(4, y))
        await view.pilot.pause()
        assert view.why.subject == "left_leg"
        assert "It follows from" in view.text()


async def test_text_is_selected_with_the_mouse_and_f9_copies_it() -> None:
    async with at("horn") as view:
        await view.pilot.press("f6")
        await view.pilot.pause()
        y = next(y for y, line in enumerate(view.lines()) if "What decides" in line)
        x = view.lines()[y].index("What")
        await view.pilot.mouse_down("#view", offset=(x, y))
        await view.pilot.hover("#view", offset=(x + 12, y))
        await view.pilot.mouse_up("#view", offset=(x + 12, y))
        await view.pilot.press("f9")
        assert view.app.clipboard.startswith("What decides"[:11])
        assert len(view.app.clipboard) <= 13
        view.why.clear_selection()
        await view.pilot.press("f9")
        assert "What would change it" in view.app.clipboard


async def test_the_help_can_be_copied_and_says_how() -> None:
    async with at("horn") as view:
        await view.pilot.press("question_mark")
        assert isinstance(view.app.screen, HelpScreen)
        await view.pilot.press("f9")
        assert "F6           why" in view.app.clipboard


class _Viewed(AnsweringStill):
    def viewer_state(self) -> ViewerState:
        return ViewerState(is_live=False, text="the run has ended")

    def take_past(self) -> Sequence[Snapshot]:
        return ()


async def test_a_viewer_asks_too_and_still_says_that_it_is_not_live() -> None:
    source = _Viewed(moments()["horn"])
    app = ViewerApp(source, None, content_of(loaded_panel(DEMO)))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("f6")
        await pilot.pause()
        view = View(pilot, app, source)
        assert "NOT LIVE" in view.text()
        assert source.questions[0] == HORN
        assert "What decides" in view.text()


async def test_a_page_without_keys_opens_nothing() -> None:
    source = _Viewed(moments()["horn"])
    app = ViewerApp(source, None, content_of(loaded_panel(DEMO)), kiosk=True)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("f6", "f7")
        await pilot.click("#board", offset=(5, 2))
        await pilot.pause()
        assert len(app.screen_stack) == 1


async def test_a_run_that_cannot_be_asked_says_so() -> None:
    class Mute:
        def snapshot(self) -> Snapshot:
            return replace(moments()["horn"], explanations={})

    app = DashboardApp(Mute(), None, content_of(loaded_panel(DEMO)), refresh_hz=NEVER_HZ)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("f6")
        await pilot.pause()
        assert isinstance(app.screen, WhyScreen)
        text = "\n".join(text_of(line) for line in app.screen.body.lines)
        assert "this run cannot be asked" in text


def received(snapshot: Snapshot) -> Snapshot:
    """The snapshot as a viewer has it, out of datagrams that are short enough."""
    sent: list[bytes] = []
    SnapshotSender(DatagramSealer(b"x" * 32), sent.append).put(snapshot)
    assert all(len(datagram) <= MOST_BYTES for datagram in sent)
    opener = DatagramOpener(b"x" * 32)
    parts = [opener.open(datagram) for datagram in sent]
    (found,) = [part.snapshot for part in parts if part is not None and part.snapshot]
    return SNAPSHOTS.read(found)


@pytest.mark.parametrize("name", ["horn", "unsafe", "board_lost"])
def test_the_answers_travel_to_viewers_in_short_datagrams(name: str) -> None:
    snapshot = moments()[name]
    assert received(snapshot).explanations == snapshot.explanations
    assert len(snapshot.explanations) == 3


def test_an_answer_that_makes_a_datagram_too_long_is_left_out() -> None:
    words = "".join(chr(33 + at * at * 7919 % 60) + str(at * 7907 % 1009) for at in range(9000))
    long = Explanation("lit", 0.0, (Reason(words, True),))
    snapshot = replace(moments()["horn"], explanations={LEFT: long})
    found = received(snapshot)
    assert found.explanations == {}
    assert found.outputs == snapshot.outputs


async def test_the_engine_forgets_a_question_that_is_not_asked_again() -> None:
    with flight() as run:
        run.until(1.0)
        assert set(asked(run, HORN, LEFT).explanations) == {HORN, LEFT}
        run.until(run.clock.now() + LASTS_S - 0.5)
        assert set(asked(run, LEFT).explanations) == {HORN, LEFT}
        assert set(run.until(run.clock.now() + 1.0).explanations) == {LEFT}
        many = asked(run, *(f"{leg}_green" for leg in ("nose", "left", "right")), HORN, "nothing")
        assert set(many.explanations) == {"right_green", HORN}
        assert run.until(run.clock.now() + LASTS_S + 0.5).explanations == {}


@pytest.mark.parametrize("size", ["120x40", "80x24"])
def test_why_the_horn_sounds_as_a_picture(snap_compare: Compare, size: str) -> None:
    assert snap_compare(app_at("horn")[0], press=["f6"], terminal_size=SIZES[size])


@pytest.mark.parametrize("size", [(20, 3), (40, 12), (60, 20), (200, 60)])
async def test_every_line_has_the_width_of_the_screen(size: tuple[int, int]) -> None:
    async with at("horn", size) as view:
        await view.pilot.press("f6")
        await view.pilot.pause()
        widths = {len(text_of(line)) for line in view.why.body.lines}
        assert widths == {size[0]}
        assert len(view.why.body.lines) == size[1]
