"""Turning pages: by digit, by arrow, by click; what stands on each."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from panelbridge.dashboard.app import DashboardApp
from panelbridge.dashboard.interfaces import Equipment, LampLook
from panelbridge.dashboard.pages.key_line import draw_key_line
from panelbridge.dashboard.pages.page_turner import SECTIONS, PageTurner, Section
from panelbridge.dashboard.pages.screen_content import ScreenContent
from panelbridge.dashboard.widgets import LinesWidget
from panelbridge.engine.snapshot import Snapshot
from panelbridge.signals import HornPattern, Outputs
from tests.dashboard import full_aircraft, scenes
from tests.dashboard.fakes import FakeControls, FakeSource, full_app
from tests.dashboard.text import text_of

FULL = full_aircraft.FULL
SIZES = [(80, 24), (120, 40), (60, 20), (40, 24), (30, 16), (160, 50)]


def text(app: DashboardApp, part: str = "board") -> str:
    return "\n".join(text_of(line) for line in app.query_one(f"#{part}", LinesWidget).lines)


async def all_parts(size: tuple[int, int], digit: str, source: FakeSource | None = None) -> str:
    """Everything on a section, whatever number of parts it has."""
    app = full_app(source)
    async with app.run_test(size=size) as pilot:
        await pilot.press(digit)
        await pilot.pause()
        seen = []
        for _ in range(app._pages.parts):
            await pilot.pause()
            seen.append(text(app))
            await pilot.press(digit)
        return "\n".join(seen)


# The turner


@given(st.lists(st.tuples(st.sampled_from(["on", "back", "open"]), st.integers(1, 5))))
def test_a_page_is_always_one_that_there_is(turns: list[tuple[str, int]]) -> None:
    pages = PageTurner()
    for what, parts in turns:
        if what == "open":
            pages.open(SECTIONS[parts % len(SECTIONS)])
        else:
            pages.turn(1 if what == "on" else -1)
        pages.set_parts(parts)
        assert 0 <= pages.part < pages.parts == parts


def test_all_pages_forwards_and_backwards() -> None:
    parts = {Section.PANEL: 1, Section.SWITCHES: 2, Section.SYSTEMS: 3, Section.LAMPS: 1}
    parts[Section.OVERVIEW] = 1
    pages = PageTurner()

    def walk(step: int) -> list[tuple[Section, int]]:
        way = []
        for _ in range(8):
            pages.turn(step)
            pages.set_parts(parts[pages.section])
            way.append((pages.section, pages.part))
        return way

    forwards = walk(1)
    assert forwards == [
        (Section.SWITCHES, 0),
        (Section.SWITCHES, 1),
        (Section.SYSTEMS, 0),
        (Section.SYSTEMS, 1),
        (Section.SYSTEMS, 2),
        (Section.LAMPS, 0),
        (Section.OVERVIEW, 0),
        (Section.PANEL, 0),
    ]
    assert walk(-1) == [*forwards[-2::-1], forwards[-1]]


def test_the_same_digit_shows_the_next_part_and_another_one_the_first() -> None:
    pages = PageTurner()
    pages.open(Section.SYSTEMS)
    pages.set_parts(2)
    pages.open(Section.SYSTEMS)
    assert pages.part == 1
    pages.open(Section.SYSTEMS)
    assert pages.part == 0
    pages.open(Section.SYSTEMS)
    pages.open(Section.LAMPS)
    assert (pages.section, pages.part) == (Section.LAMPS, 0)


def test_a_part_that_is_no_more_gives_way_to_the_last_one() -> None:
    pages = PageTurner()
    pages.open(Section.SYSTEMS)
    pages.set_parts(4)
    for _ in range(3):
        pages.open(Section.SYSTEMS)
    assert pages.part == 3
    pages.set_parts(2)
    assert pages.part == 1


# The line of keys


@pytest.mark.parametrize("width", [24, 40, 60, 80, 120])
def test_the_open_page_is_named_with_its_part(width: int) -> None:
    pages = PageTurner()
    pages.open(Section.SYSTEMS)
    pages.set_parts(3)
    pages.open(Section.SYSTEMS)
    line = draw_key_line(
        width,
        large_log=False,
        fly_again=False,
        simulated=True,
        pages=pages,
    )
    assert " systems 2/3 " in text_of(line)
    assert {span.target.name for span in line if span.target} >= {"1", "2", "3"}


def key_line(width: int, **changes: bool) -> str:
    given = {"large_log": False, "fly_again": False, "simulated": True, "is_show": False}
    return text_of(draw_key_line(width, pages=PageTurner(), **(given | changes)))


@pytest.mark.parametrize("is_show", [False, True])
def test_the_views_are_named_where_there_is_room(is_show: bool) -> None:
    wide = key_line(120, fly_again=True, is_show=is_show)
    assert all(key in wide for key in (" F6 why", " F7 log", " ? help", " l large log", "overview"))
    assert ("F8 show" in wide) is is_show
    assert "…" not in wide
    # Reasons are what the log cannot give.
    narrow = key_line(80, is_show=is_show)
    assert " F6 why" in narrow
    assert ("F8 show" in narrow) is is_show
    for large_log in (False, True):
        assert "…" not in key_line(60, large_log=large_log)
        assert key_line(80, large_log=large_log).count(" log") <= 2
    # The end of a hint says nothing alone.
    assert "capital letter" not in wide
    assert key_line(160).rstrip().endswith("release a button")


# On the screen


@pytest.mark.parametrize("size", SIZES)
async def test_every_switch_has_its_row_on_page_2(size: tuple[int, int]) -> None:
    seen = await all_parts(size, "2")
    keys = full_app()._keys.shown
    assert len(keys) == len(full_aircraft.SWITCHES) == 22
    for control in full_aircraft.SWITCHES:
        assert f" {keys[control.name]} " in seen
    # A row each: the report of each contact appears once.
    contacts = sum(control.form in ("button", "toggle") for control in full_aircraft.SWITCHES)
    switches = "".join(line for line in seen.splitlines() if "Legs" not in line)
    words = ("● pressed", "○ off", "● on", "○ stowed")
    assert sum(switches.count(word) for word in words) == contacts


@pytest.mark.parametrize("size", SIZES)
async def test_every_system_has_its_values_on_page_3(size: tuple[int, int]) -> None:
    seen = await all_parts(size, "3")
    for title, rows in full_aircraft.SYSTEMS:
        assert title[: size[0] - 4] in seen
        for _, label, _, _ in rows:
            assert label.replace("_", " ")[:10] in seen
    for words in ("2764 psi", "6.25 l", "locked out", "-11.5 deg", "37 s", "220 kt", "– never"):
        assert words in seen
    for words in ("Gauges", "Simulator commands", "Aircraft data", "● engaged", "not fitted"):
        assert words in seen
    for fault in FULL.logic.faults:
        assert all(word in seen for word in fault.split())


@pytest.mark.parametrize("size", SIZES)
async def test_every_lamp_is_on_page_4(size: tuple[int, int]) -> None:
    seen = await all_parts(size, "4")
    rows = seen.count("○ dark") + seen.count(" LIT")
    assert rows == len(full_aircraft.LAMPS) == 40
    assert seen.count(" LIT") == len(full_aircraft.LIT)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("digit", ["1", "2", "3", "4"])
async def test_every_page_fills_the_screen_exactly(size: tuple[int, int], digit: str) -> None:
    app = full_app()
    async with app.run_test(size=size) as pilot:
        await pilot.press(digit)
        await pilot.pause()
        for _ in range(app._pages.parts):
            parts = [text(app, part).splitlines() for part in ("board", "links", "log", "keys")]
            assert sum(map(len, parts)) == size[1]
            assert {len(line) for lines in parts for line in lines} == {size[0]}
            await pilot.press("right")
            await pilot.pause()


@pytest.mark.parametrize("size", [(20, 5), (1, 1), (10, 30), (200, 3), (40, 8), (300, 90)])
async def test_no_size_breaks_a_page(size: tuple[int, int]) -> None:
    source = FakeSource(scenes.NOT_YET)
    app = full_app(source)
    async with app.run_test(size=size) as pilot:
        for snapshot in (scenes.NOT_YET, scenes.LOST, FULL):
            source.now = snapshot
            for digit in "1234":
                await pilot.press(digit)
                app.poll()
                lines = [len(app.query_one(f"#{p}", LinesWidget).lines) for p in PARTS]
                assert sum(lines) == size[1]


PARTS = ("board", "links", "log", "keys")


@pytest.mark.parametrize("digit", ["2", "3", "4"])
async def test_horn_faults_legs_and_lit_lamps_stay_on_top(digit: str) -> None:
    loud = replace(FULL, outputs=replace(FULL.outputs, horn=HornPattern.CONTINUOUS))
    app = full_app(FakeSource(loud))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(digit)
        await pilot.pause()
        top = "\n".join(text(app).splitlines()[:8])
        for words in ("ON, continuous", "(+1 more)", "left ● locked down", "! PARK BRAKE"):
            assert words in top
        assert "left leg locked down" in text(app, "log")


async def test_without_a_link_page_2_says_where_links_are() -> None:
    lost = replace(FULL, boards=scenes.LOST.boards, logic=replace(FULL.logic, faults=()))
    app = full_app(FakeSource(lost))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("2")
        await pilot.pause()
        assert "see Link on page 5" in text(app)
        assert "40 unknown" in text(app)
        await pilot.press("5")
        await pilot.pause()
        assert "see Link below" in text(app)
        assert "plug the board in" in text(app, "links")


async def test_pages_are_turned_by_click_and_arrow() -> None:
    app = full_app()
    async with app.run_test(size=(80, 24)) as pilot:
        line = text(app, "keys")
        await pilot.click("#keys", offset=(line.index("systems") + 2, 0))
        seen = [(app._pages.section, app._pages.part)]
        for keys in (["left"], ["right", "right"]):
            await pilot.press(*keys)
            seen.append((app._pages.section, app._pages.part))
        assert seen == [(Section.SYSTEMS, 0), (Section.SWITCHES, 0), (Section.SYSTEMS, 1)]


@pytest.mark.parametrize("key", ["3", "right"])
async def test_a_page_makes_an_enlarged_log_small(key: str) -> None:
    app = full_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("2" if key == "right" else "3", "l")
        assert len(app.query_one("#board", LinesWidget).lines) == 3
        await pilot.press(key)
        await pilot.pause()
        assert "small log" not in text(app, "keys")
        assert app._pages.section is Section.SYSTEMS
        assert app._pages.part == 0


async def test_under_the_help_no_page_is_turned() -> None:
    app = full_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("question_mark", "3", "right")
        assert app._pages.section is Section.OVERVIEW


async def test_switches_are_moved_on_every_page() -> None:
    controls = FakeControls(full_aircraft.SWITCHES)
    app = full_app(controls=controls)
    async with app.run_test(size=(80, 24)) as pilot:
        for digit in "1234":
            await pilot.press(digit, "u")
        assert controls.moves == [("aux_pump", way) for way in ("on", "off", "on", "off")]


async def test_a_click_moves_toggles_and_levers_on_page_2() -> None:
    controls = FakeControls(full_aircraft.SWITCHES)
    app = full_app(controls=controls)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("2")
        await pilot.pause()
        for label, grip, moved in (
            ("Aux pump", "( off )", ("aux_pump", "on")),
            ("Aux pump", "[ ON ]", ("aux_pump", "off")),
            ("Emerg. gear", "( stowed )", ("emergency_extend", "pulled")),
            ("Emerg. brake", "( off )", ("emergency_brake", "pressed")),
            ("Tiller", "░", ("tiller", 0.6)),
        ):
            lines = text(app).splitlines()
            y = next(at for at, line in enumerate(lines) if label in line)
            x = lines[y].index(grip, lines[y].index(label))
            await pilot.click("#board", offset=(x + len(grip) // 2, y))
            await pilot.pause()
            assert controls.moves[-1] == moved


async def test_an_aircraft_without_systems_shows_none() -> None:
    plain = Equipment(steering=False, pressure=False)
    bare: Snapshot = replace(scenes.START, outputs=Outputs())
    app = DashboardApp(FakeSource(bare), None, ScreenContent(equipment=plain))
    async with app.run_test(size=(120, 40)) as pilot:
        seen = []
        for digit in "1234":
            await pilot.press(digit)
            await pilot.pause()
            seen.append(text(app).lower())
        for word in ("steering", "brake", "anti-skid", "hydraulic", "pressure", "gauge", "pump"):
            assert word not in "\n".join(seen)
        assert "gear" in seen[2]


async def test_an_equal_snapshot_draws_no_page_again() -> None:
    source = FakeSource(FULL)
    app = full_app(source)
    async with app.run_test(size=(80, 24)) as pilot:
        for digit in "1234":
            await pilot.press(digit)
            app.poll()
            before = app.draws
            source.now = replace(FULL)
            app.poll()
            assert app.draws == before


async def test_a_value_that_changes_paints_its_line_alone() -> None:
    source = FakeSource(FULL)
    app = full_app(source)
    async with app.run_test(size=(200, 60)) as pilot:
        await pilot.press("3")
        await pilot.pause()
        board = app.query_one("#board", LinesWidget)
        before = board.repainted_lines
        values = {**full_aircraft.VALUES, "hydraulic_reservoir_l": 5.0}
        source.now = replace(FULL, logic=replace(FULL.logic, values=values))
        app.poll()
        assert "5.00 l" in text(app)
        assert board.repainted_lines == before + 1


@pytest.mark.parametrize(("count", "columns", "bright"), [(20, 2, True), (30, 3, False)])
async def test_more_lamps_stand_in_more_columns(count: int, columns: int, bright: bool) -> None:
    names = [f"lamp_{at:02d}_red" for at in range(count)]
    looks = [LampLook(name, f"FIFTEEN WIDE {at:02d}", "red") for at, name in enumerate(names)]
    snapshot = replace(scenes.START, outputs=Outputs(lamps=dict.fromkeys(names, 255)))
    app = DashboardApp(FakeSource(snapshot), None, ScreenContent(lamp_looks=looks))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("4")
        await pilot.pause()
        assert app._pages.parts == 1
        rows = [
            line for line in text(app).splitlines() if "FIFTEEN WIDE" in line and "Lit" not in line
        ]
        assert max(line.count("FIFTEEN WIDE") for line in rows[2:]) == columns
        assert ("LIT 100%" in text(app)) is bright


async def test_function_keys_open_the_pages_too() -> None:
    """Digits need Shift on a French keyboard."""
    app = full_app()
    async with app.run_test(size=(80, 24)) as pilot:
        seen = []
        for key in ("f3", "f2", "f5", "f1", "f4"):
            await pilot.press(key)
            seen.append(app._pages.section)
    sections = [*Section]
    assert seen == [sections[at] for at in (2, 1, 4, 0, 3)]
