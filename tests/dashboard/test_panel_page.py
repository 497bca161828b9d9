"""The page that is the panel: what it says at moments of real runs, and where."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache

import pytest
from msgspec.structs import replace

from panelbridge.cli.screen import content_of, fitted_switches
from panelbridge.dashboard.blocks.banner import draw_banner
from panelbridge.dashboard.blocks.status_banners import data_banner, horn_banner, link_banner
from panelbridge.dashboard.blocks.switch_rows import SwitchesView
from panelbridge.dashboard.blocks.verdict import gear_verdict
from panelbridge.dashboard.pages.panel_page import draw_panel_page, panel_inputs
from panelbridge.dashboard.pages.screen_content import ScreenContent
from panelbridge.dashboard.text.big_letters import big_text
from panelbridge.dashboard.text.lines import Line, TextStyle, width_of
from panelbridge.engine.snapshot import Snapshot
from panelbridge.link.session import LinkState
from panelbridge.signals import LegLocks, LegState
from tests.dashboard import scenes
from tests.dashboard.real_runs import DEMO, FLIGHTS, MOMENTS, flight, loaded_panel, moment
from tests.dashboard.text import text_of

SIZES = [(120, 40), (80, 24), (60, 20), (200, 60)]
SMALL = [(40, 12), (30, 10), (20, 5), (56, 17), (111, 31), (300, 8)]


@cache
def content_at(name: str) -> ScreenContent:
    loaded, snapshot = moment(name)
    view = SwitchesView(
        fitted_switches(loaded), {"horn_silence": "h"}, snapshot.positions, simulated=True
    )
    return replace(content_of(loaded), snapshot=snapshot, switches=view)


@cache
def page(name: str, width: int, height: int) -> tuple[Line, ...]:
    return tuple(draw_panel_page(content_at(name), width, height))


def text(lines: Sequence[Line]) -> str:
    return "\n".join(map(text_of, lines))


def shows(lines: Sequence[Line], words: str, scale: int = 1) -> bool:
    """Whether the page has ``words`` in large letters."""
    found = [text_of(line) for line in lines]
    large = big_text(words, scale)
    return any(
        found[y][x:].startswith(large[0])
        and all(found[y + at][x:].startswith(row) for at, row in enumerate(large))
        for y in range(len(found) - len(large) + 1)
        for x in range(len(found[y]))
    )


VERDICTS = {
    "lamp_test": "DOWN 3 GREENS",
    "horn": "UP AND LOCKED",
    "up": "UP AND LOCKED",
    "transit": "IN TRANSIT",
    "three_greens": "DOWN 3 GREENS",
    "data_lost": "DOWN 3 GREENS",
    "board_lost": "DOWN LAMPS ?",
    "hung": "IN TRANSIT",
    "unsafe": "UNSAFE LEFT LEG",
    "cold_and_dark": "COLD AND DARK DOWN",
    "five_legs": "IN TRANSIT",
    "first_lamps": "IN TRANSIT",
}


@pytest.mark.parametrize("name", VERDICTS)
def test_the_verdict(name: str) -> None:
    content = content_at(name)
    assert gear_verdict(content.snapshot, content.lamp_layout()).words[0] == VERDICTS[name]
    assert shows(page(name, 120, 40), VERDICTS[name])


def test_the_verdict_says_which_leg_where_and_why() -> None:
    lines = text(page("unsafe", 120, 40)[:5])
    assert "left leg down, not locked" in lines
    assert "every green lit, handle down" in text(page("three_greens", 120, 40)[:5])
    assert "nose extending 68%, left extending 51%" in text(page("transit", 120, 40)[:5])


BANDS = {
    "horn": ("HORN GEAR NOT DOWN",),
    "lamp_test": ("HORN LAMP TEST",),
    "horn_silenced": ("HORN SILENCED",),
    "transit": ("HORN OFF",),
    "data_lost": ("HORN OFF", "DATA LOST"),
    "unsafe_data_lost": ("HORN GEAR", "DATA LOST"),
    "board_lost": ("BOARD LOST NO HORN", "LINK LOST"),
    "pedestal_lost": ("BOARD LOST", "LINK LOST"),
    "bad_cable": ("LINK POOR", "HORN OFF"),
    "cold_and_dark": ("HORN OFF", "DATA OK", "LINK LIVE"),
}


@pytest.mark.parametrize("name", BANDS)
def test_horn_link_and_data_in_large_words(name: str) -> None:
    lines = page(name, 120, 40)
    for words in BANDS[name]:
        assert shows(lines, words), words


@pytest.mark.parametrize("name", ["horn", "lamp_test"])
def test_a_horn_that_sounds_is_as_wide_as_the_screen_and_has_its_cause(name: str) -> None:
    for width, height in SIZES[:3]:
        lines = page(name, width, height)
        band = [line for line in lines if line[0].style is TextStyle.LIT_WHITE]
        assert len(band) == 4
        assert all(line[-1].style is TextStyle.LIT_WHITE for line in band)
        assert any(cause in text(band) for cause in content_at(name).snapshot.logic.horn_causes)
    assert "silence: h" in text(page("horn", 80, 24))


def test_horn_and_lost_data_are_both_there_at_every_size() -> None:
    for width, height in SIZES:
        lines = page("unsafe_data_lost", width, height)
        scale = 2 if height == 60 else 1
        assert any(
            shows(lines, words, scale) for words in ("HORN", "HORN GEAR", "HORN GEAR NOT DOWN")
        )
        assert any(shows(lines, words, scale) for words in ("DATA LOST", "NO DATA", "DATA ?"))


@pytest.mark.parametrize("name", ["three_greens", "cold_and_dark", "transit", "bad_cable"])
def test_on_a_narrow_screen_the_words_of_horn_and_data_stand_apart(name: str) -> None:
    lines = [text_of(line) for line in page(name, 60, 20)]
    horn = big_text("HORN OFF")
    (top,) = [at for at, line in enumerate(lines) if line[1:].startswith(horn[0])]
    end = 1 + len(horn[0])
    for line in lines[top : top + len(horn)]:
        assert line[end:].strip()  # data
        assert not line[end : end + 4].strip()


@pytest.mark.parametrize("size", [*SIZES, *SMALL])
@pytest.mark.parametrize("name", MOMENTS)
def test_every_line_has_the_width_and_the_page_fits(name: str, size: tuple[int, int]) -> None:
    lines = page(name, *size)
    assert {width_of(line) for line in lines} == {size[0]}
    if size in SIZES:
        assert len(lines) <= size[1] - 1


@pytest.mark.parametrize("name", ["three_greens", "five_legs", "tail_wheel"])
def test_every_line_has_the_width_at_sizes_between(name: str) -> None:
    """A browser has any size: where legs become large or small ones, nothing may be left over."""
    content = content_at(name)
    for width in (100, 111, 112, 113, 126, 180):
        for height in range(24, 62):
            lines = draw_panel_page(content, width, height)
            assert {width_of(line) for line in lines} == {width}, height


@pytest.mark.parametrize("size", [(0, 0), (1, 1), (5, 2), (13, 3)])
def test_tiny_screens_and_no_data_are_no_error(size: tuple[int, int]) -> None:
    for content in (content_at("unsafe"), ScreenContent()):
        assert {width_of(line) for line in draw_panel_page(content, *size)} <= {size[0]}


def places(name: str, size: tuple[int, int]) -> dict[str, tuple[int, int]]:
    """Column and line of each legend that stands once on the page, below the banners."""
    content = content_at(name)
    lines = [text_of(line) for line in page(name, *size)]
    found = {}
    for look in content.lamp_looks:
        word = (look.label or look.name).split()[0]
        hits = [(line.index(word), y) for y, line in enumerate(lines) if y > 9 and word in line]
        if len(hits) == 1 and "\n".join(lines[10:]).count(word) == 1:
            found[word] = hits[0]
    return found


@pytest.mark.parametrize("size", [(120, 40), (80, 24), (200, 60)])
def test_tiles_never_move_nor_do_their_legends(size: tuple[int, int]) -> None:
    for _, names in FLIGHTS.values():
        first = places(names[0], size)
        assert len(first) > 2 or len(names) == 1
        for name in names[1:]:
            others = places(name, size)
            assert {word: others[word] for word in first if word in others} == {
                word: at for word, at in first.items() if word in others
            }


def grounds(lines: Sequence[Line], colour: str) -> Iterator[tuple[int, int, int]]:
    """Line, first column and end of every run of cells that is filled in ``colour``."""
    for y, line in enumerate(lines):
        x, start = 0, None
        for span in line:
            filled = span.style in [f"{level}_{colour}" for level in ("lit", "mid", "low", "end")]
            if filled and start is None:
                start = x
            elif not filled and start is not None:
                yield y, start, x
                start = None
            x += len(span.text)
        if start is not None:
            yield y, start, x


@pytest.mark.parametrize("name", ["three_greens", "transit", "five_legs", "lamp_test"])
@pytest.mark.parametrize("colour", ["red", "amber", "green"])
def test_a_lit_tile_is_at_least_12_by_3_cells_at_120_by_40(name: str, colour: str) -> None:
    lines = page(name, 120, 40)[10:]
    runs = list(grounds(lines, colour))
    lit = [look for look in content_at(name).lamp_looks if look.colour == colour]
    outputs = content_at(name).snapshot.outputs.lamps
    count = sum(outputs[look.name] > 0 for look in lit)
    assert (not runs) is (not count)
    assert all(end - start >= 12 for _, start, end in runs)
    columns: dict[tuple[int, int], list[int]] = {}
    for y, start, end in runs:
        columns.setdefault((start, end), []).append(y)
    assert sum(map(len, columns.values())) >= 3 * count
    assert all(len(rows) >= 3 for rows in columns.values())


def test_a_page_is_drawn_again_when_it_would_look_different() -> None:
    """``panel_inputs`` leaves out what the page does not show, and nothing else."""
    loaded = loaded_panel(DEMO)
    empty = content_of(loaded)
    controls = fitted_switches(loaded)
    drawn: dict[str, object] = {}
    kept = 0
    with flight() as run:
        for tick in range(1, 121):
            snapshot = run.until(tick / 15)
            view = SwitchesView(controls, {}, snapshot.positions, simulated=True)
            content = replace(empty, snapshot=snapshot, switches=view, samples=run.history.samples)
            inputs = panel_inputs(content)
            lines = draw_panel_page(content, 120, 40)
            if drawn.get("inputs") == inputs:
                kept += 1
                assert drawn["lines"] == lines
            drawn = {"inputs": inputs, "lines": lines}
    assert kept > 20


def test_where_not_all_lamps_fit_the_lit_ones_are_shown_and_the_rest_counted() -> None:
    lines = text(page("three_greens", 60, 20))
    for words in ("▲ WARNING", "! CAUTION", "! ANTI-SKID OFF", "! PUMP BRAKES"):
        assert words in lines
    assert "28 other lamps dark (key 4)" in lines


@pytest.mark.parametrize("size", SIZES)
def test_a_lamp_whose_board_is_lost_is_never_lit(size: tuple[int, int]) -> None:
    lines = page("board_lost", *size)
    for colour in ("red", "green"):
        assert not list(grounds(lines, colour))
    assert "?" in text(lines[10:])


# The builder's own layout


def with_layout(name: str, *rows: Sequence[str], size: tuple[int, int] = (120, 40)) -> list[str]:
    content = replace(content_at(name), layout=rows)
    return [text_of(line) for line in draw_panel_page(content, *size)]


def test_rows_of_the_layout_stand_as_they_are_written() -> None:
    lines = with_layout(
        "three_greens",
        ["left", "nose", "ready_white", "gap", "speed_amber"],
        ["right", "gear_handle", "air_low_amber"],
    )
    (y,) = [at for at, line in enumerate(lines) if "READY" in line]
    assert lines[y].index("READY") < lines[y].index("GEAR SPEED")
    (below,) = [at for at, line in enumerate(lines) if "AIR LOW" in line]
    assert below > y
    assert abs(lines[below].index("AIR LOW") - lines[y].index("READY")) <= 1
    title = next(line for line in lines if "LEFT" in line and "NOSE" in line)
    assert title.index("LEFT") < title.index("NOSE")
    other = next(line for line in lines if "RIGHT" in line and "HANDLE" in line)
    assert other.index("RIGHT") < other.index("HANDLE")
    assert sum("STEERING" in line for line in lines) >= 1  # what it does not name comes below


def test_without_a_layout_the_legs_stand_as_seen_from_above() -> None:
    lines = [text_of(line) for line in page("five_legs", 120, 40)]
    (nose,) = [at for at, line in enumerate(lines) if line.lstrip().startswith("HANDLE")]
    assert "NOSE" in lines[nose]
    for side in ("FRONT", "REAR"):
        (row,) = [line for line in lines if f"LEFT {side}" in line]
        assert row.index(f"LEFT {side}") < row.index(f"RIGHT {side}")


# States that the flights do not have


def verdict_of(snapshot: Snapshot) -> str:
    content = ScreenContent(snapshot, lamp_looks=scenes.LAMPS)
    return gear_verdict(snapshot, content.lamp_layout()).words[0]


def test_verdicts_of_other_states() -> None:
    start, cruise = scenes.START, scenes.CRUISE
    assert verdict_of(scenes.NOT_YET) == "NO DATA YET"
    assert verdict_of(replace(start, logic=replace(start.logic, handle=None))) == "DOWN 3 GREENS"
    unknown = tuple(replace(leg, state=LegState.UNKNOWN) for leg in start.logic.legs)
    assert verdict_of(replace(start, logic=replace(start.logic, legs=unknown))) == "GEAR UNKNOWN"
    up = replace(cruise.logic, handle=start.logic.handle)
    assert verdict_of(replace(cruise, logic=up)) == "STILL UP"
    dark = replace(start, outputs=scenes.lamps((178, 0, 178), (0,) * 3))
    assert verdict_of(dark) == "DOWN 2 OF 3 GREENS"
    both = replace(start.logic.legs[1], locks=LegLocks(True, True))
    twice = (start.logic.legs[0], both, start.logic.legs[2])
    assert verdict_of(replace(start, logic=replace(start.logic, legs=twice))) == "UNSAFE LEFT LEG"
    # Locked at both ends and nothing moves: unsafe is what is not where it should be.
    values = {"gear_power": "cut_off"}
    ends = (cruise.logic.legs[0], *start.logic.legs[1:])
    mixed = replace(start, logic=replace(start.logic, legs=ends, values=values))
    assert verdict_of(mixed) == "UNSAFE NOSE LEG"
    flown = replace(mixed, logic=replace(mixed.logic, values={}))
    assert verdict_of(flown) == "IN TRANSIT"  # the simulator's legs go one after another


def test_long_names_of_legs_are_shortened_never_cut() -> None:
    names = ("left_body_inner", "right_body_inner")
    legs = tuple(scenes.leg(name, LegState.STOPPED, 0.5, False) for name in names)
    logic = replace(scenes.CRUISE.logic, legs=legs)
    one = replace(scenes.CRUISE, logic=replace(logic, legs=legs[:1]))
    two = replace(scenes.CRUISE, logic=logic)
    for snapshot, words in ((one, "UNSAFE LBI"), (two, "UNSAFE 2 LEGS")):
        lines = draw_panel_page(ScreenContent(snapshot), 80, 24)
        assert shows(lines, words)
        assert "left body inner leg stopped midway at 50%" in text(lines)


def test_the_link_before_it_was_ever_live_and_refused() -> None:
    opening = replace(scenes.GEAR_BOARD, state=LinkState.OPENING, frames_received=0)
    assert link_banner((opening,)).words[0] == "STARTING"
    assert link_banner(()).words[0] == "STARTING"
    assert link_banner(scenes.REFUSED.boards).words[0] == "LINK REFUSED"
    assert link_banner(scenes.LOST.boards).small[0] == "1 of 2: gear_panel"
    # A board that was live once and is opened again is lost, not starting.
    again = replace(opening, frames_received=9)
    assert link_banner((again,)).words[0] == "LINK LOST"


def test_a_panel_without_a_horn_and_a_horn_that_is_held_back() -> None:
    assert horn_banner(scenes.START, None).words == ("NO HORN",)
    silent = replace(scenes.HORN, outputs=scenes.CRUISE.outputs)
    banner = horn_banner(silent, "gear_panel")
    assert banner.words[-1] == "HORN OFF"
    assert "held back: 2 causes: throttle of engine 1 is closed" in banner.small[0]


def test_a_horn_with_more_causes_says_so_in_both_its_lines() -> None:
    gear, flaps = "gear not locked down: throttle closed", "flaps set for landing"
    for silenced, start in ((None, "HORN"), (True, "HORN SILENCED"), (False, "HORN HELD BACK")):
        outputs = scenes.HORN.outputs if silenced is None else scenes.CRUISE.outputs
        logic = replace(scenes.HORN.logic, horn_silenced=bool(silenced))
        for more, sign in (((), ""), ((flaps,), " +1"), ((flaps, "steering"), " +2")):
            causes = replace(logic, horn_causes=(gear, *more), warning_causes=(gear, *more))
            banner = horn_banner(replace(scenes.HORN, logic=causes, outputs=outputs), "gear_panel")
            assert banner.words[0] == f"{start} GEAR NOT DOWN{sign}"
            assert f"{start} GEAR{sign}" in banner.words
            assert shows(draw_banner(banner, 200, 1), banner.words[0])
            count = f"{1 + len(more)} causes: {gear}" if more else gear
            assert all(count in small for small in banner.small)


def test_faults_are_named_beside_the_horn() -> None:
    lost = replace(scenes.START, logic=replace(scenes.START.logic, faults=("a contact is off",)))
    banner = data_banner(lost, ScreenContent(lost).lamp_layout())
    assert banner.words[0] == "1 FAULT"
    assert banner.small == ("a contact is off",)


def test_a_horn_on_a_lost_board_is_no_horn_and_its_cause_is_said() -> None:
    lost = replace(scenes.HORN, boards=scenes.LOST.boards)
    banner = horn_banner(lost, "gear_panel")
    assert banner.words[0] == "BOARD LOST NO HORN"
    assert banner.small[0].startswith("the horn would sound: 2 causes: throttle of engine 1 ")
    # The horn of another board goes on: it outweighs the lost one.
    assert horn_banner(lost, "pedestal").words[-1] == "HORN"


def test_the_speed_of_the_trends_title_is_an_input_of_the_page() -> None:
    content = content_at("three_greens")
    faster = replace(content.snapshot.aircraft, airspeed_kias=151.0)
    other = replace(content, snapshot=replace(content.snapshot, aircraft=faster))
    assert panel_inputs(content) == panel_inputs(replace(content))
    assert panel_inputs(content) != panel_inputs(other)
