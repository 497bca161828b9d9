"""Keys, mouse and words of the bring-up's screen."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from panelbridge.dashboard.bring_up.blocks import draw_numbered, draw_places, draw_question
from panelbridge.printing.signs import VARIABLE
from panelbridge.simboard import registry
from panelbridge.wiring.bring_up.prompts import PartState
from tests.dashboard.bring_up_scenes import BringUpScene, scene
from tests.dashboard.text import text_of
from tests.examples import few_of


def _texts(made: BringUpScene) -> list[str]:
    return [text_of(line) for line in made.app._page.lines]


def _find(made: BringUpScene, text: str) -> tuple[int, int]:
    """Column and row of a text on the page."""
    for y, line in enumerate(_texts(made)):
        if text in line:
            return line.index(text), y
    raise AssertionError(text, _texts(made))


async def test_a_whole_bring_up_with_keys_alone(tmp_path: Path) -> None:
    with scene(tmp_path, "first_lamp.yaml", ["exchanged=nose_green/left_green"]) as made:
        async with made.app.run_test(size=(80, 24)) as pilot:
            await pilot.press("enter")
            for _ in range(2):  # the two switches: a hand does what the screen asks
                made.to("switch", by_itself=False)
                name = made.run.flow.prompt.ask.name
                while made.run.flow.prompt.ask.name == name:
                    await pilot.press("f2")
                    made.wait(0.7)
            assert made.kind() == "note"
            await pilot.press("enter")
            made.to("dark", by_itself=False)
            await pilot.press("enter")
            for key in ("2", "1"):  # each of the two lights the other
                made.to("lamp", by_itself=False)
                await pilot.press(key)
            assert made.kind() == "change"
            await pilot.press("enter")
            made.to("lamp", by_itself=False)
            await pilot.press("enter")
            made.to("horn", by_itself=False)
            made.app.redraw()
            assert any("CAUTION: It can be LOUD" in text for text in _texts(made))
            for _ in range(3):
                await pilot.press("enter")
            assert made.run.flow.finished
            await pilot.press("enter")
        assert made.app.return_value is True
        states = {key: one.state for key, one in made.run.flow.records.items()}
        fixed = {key for key, state in states.items() if state is PartState.CORRECTED}
        assert fixed == {"lamp:nose_green", "lamp:left_green"}
        assert set(states.values()) == {PartState.PROVEN, PartState.CORRECTED}


async def test_mouse(tmp_path: Path) -> None:
    with scene(tmp_path, "first_lamp.yaml", []) as made:
        async with made.app.run_test(size=(80, 24)) as pilot:
            x, y = _find(made, "nose leg")
            await pilot.click("#board", offset=(x, y))
            assert made.kind() == "note"
            x, y = _find(made, "go on")
            await pilot.click("#board", offset=(x, y))
            made.to("lamp", "nose_green", by_itself=False)
            made.app.redraw()
            x, y = _find(made, "right leg")
            await pilot.click("#board", offset=(x, y))
            assert "lights right leg" in made.run.flow.records["lamp:nose_green"].findings[0]
            x = text_of(made.app._key_line.lines[0]).index("pause")
            await pilot.click("#keys", offset=(x, 0))
            await pilot.pause()
        assert made.app.return_value is False


async def test_keys_that_leave_out_go_back_and_begin_again(tmp_path: Path) -> None:
    with scene(tmp_path, "first_lamp.yaml", []) as made:
        async with made.app.run_test(size=(80, 24)) as pilot:
            await pilot.press("enter")
            made.to("switch", by_itself=False)
            await pilot.press("s")
            assert made.run.flow.records["switch:gear_handle"].state is PartState.SKIPPED
            await pilot.press("B")
            made.to("switch", "gear_handle", by_itself=False)
            await pilot.press("Q")
        assert made.app.return_value is False


async def test_a_number_of_two_digits_can_be_corrected(tmp_path: Path) -> None:
    with scene(tmp_path, "demo_panel.yaml", []) as made:
        made.to("note")
        made.run.choose_part("lamp:left_green")
        made.to("lamp", "left_green")
        async with made.app.run_test(size=(80, 24)) as pilot:
            await pilot.press("3")
            assert any("number 3_ , then Enter" in text for text in _texts(made))
            await pilot.press("backspace", "1", "2")
        assert "lights GEAR POWER" in made.run.flow.records["lamp:left_green"].findings[0]


async def test_the_simulated_user_goes_on_alone_and_stops(tmp_path: Path) -> None:
    with scene(tmp_path, "first_lamp.yaml", []) as made:
        async with made.app.run_test(size=(80, 24)) as pilot:
            await pilot.press("f3")
            for _ in range(40):
                made.app.turn()
                made.clock.advance(0.02)
            assert made.kind() == "switch"
            await pilot.press("f3")
            assert made.app._by_itself is False


async def test_a_board_that_is_lost_is_said(tmp_path: Path) -> None:
    with scene(tmp_path, "first_lamp.yaml", []) as made:
        made.to("switch")
        entry = registry.find("main")
        assert entry is not None
        entry.cable.unplug(made.clock.now())
        made.wait(1.0)
        async with made.app.run_test(size=(80, 24)):
            text = "\n".join(_texts(made))
            assert "! Waits for board main" in text
            assert "It goes on when the board is back" in text
            assert "○ main not ready" in text


@pytest.mark.parametrize("size", few_of([(80, 24), (120, 40), (60, 20), (40, 12)]))
async def test_every_line_is_as_wide_as_the_window(size: tuple[int, int], tmp_path: Path) -> None:
    with scene(tmp_path, "two_boards.yaml") as made:
        for kind in ("note", "switch", "strokes", "change", "lever", "dark", "lamp", "finished"):
            made.to(kind)
            async with made.app.run_test(size=size):
                pass
            view = made.run.view()
            lines = made.app._lines(view, size[0], size[1] - 1)
            assert len(lines) == size[1] - 1, kind
            assert {len(text_of(line)) for line in lines} == {size[0]}, kind
            made.app = type(made.app)(made.run, turn_s=0)


def test_every_answer_is_in_sight_at_80x24(tmp_path: Path) -> None:
    """What is cut is the text above; in none of the questions is a caution cut."""
    with scene(tmp_path, "two_boards.yaml") as made:
        seen = set()
        for _ in range(40_000):
            ask = made.run.flow.prompt.ask
            if made.run.flow.is_ready and ask not in seen:
                seen.add(ask)
                lines = made.app._lines(made.run.view(), 80, 23)
                text = "\n".join(text_of(line) for line in lines)
                for choice in made.run.flow.prompt.choices:
                    words = choice.text.split()[0]
                    assert words in text
                assert "make the window taller" not in text, made.run.flow.prompt
            if made.run.flow.finished:
                break
            made.run.turn(by_itself=True)
            made.clock.advance(0.02)
        assert {ask.kind for ask in seen} >= {
            "note",
            "switch",
            "change",
            "lamp",
            "gauge",
            "solenoid",
        }


def test_nothing_is_shown_by_colour_alone(tmp_path: Path) -> None:
    with scene(tmp_path, "two_boards.yaml") as made:
        made.to("change")
        view = made.run.view()
        question = "\n".join(text_of(line) for line in draw_question(view, 60, 30))
        assert re.search(r"^ \+  lamp_test", question, re.MULTILINE)
        assert re.search(r"^ -  lamp_test", question, re.MULTILINE)
        places = "\n".join(text_of(line) for line in draw_places(view, 80, 6))
        assert "○" in places
        made.to("lamp")
        numbered = [text_of(line) for line in draw_numbered(made.run.view(), 32, 20, 0)]
        assert "  1 NOSE green" in numbered[1]


@pytest.mark.parametrize("encoding", ["ascii", "cp437", "cp1252"])
async def test_no_other_sign_reaches_the_terminal(
    tmp_path: Path, encoding: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(VARIABLE, encoding)
    with scene(tmp_path) as made:
        async with made.app.run_test(size=(120, 40)) as pilot:
            for kind in ("switch", "lamp"):
                made.to(kind)
                made.app.redraw()
                await pilot.pause()
                assert not all(_is_in(encoding, text) for text in _texts(made))
                strips = made.app.screen._compositor.render_strips()
                text = "\n".join(strip.text for strip in strips)
                assert len(text.split()) > 20
                text.encode(encoding)


def _is_in(encoding: str, text: str) -> bool:
    return text.encode(encoding, "replace").decode(encoding) == text
