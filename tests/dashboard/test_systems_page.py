"""Page 3 of every shipped aircraft: sections whole, what is not normal first, no empty halves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from panelbridge.cli.screen import content_of
from panelbridge.dashboard.blocks.abnormal import (
    STAYS_FIRST_S,
    FirstSections,
    abnormal_sections,
)
from panelbridge.dashboard.blocks.systems import AIRCRAFT, FAULTS, GAUGES, LEAST_COLUMN
from panelbridge.dashboard.blocks.trends import LEAST_ROWS
from panelbridge.dashboard.interfaces import Equipment, ValueLook
from panelbridge.dashboard.pages.detail_pages import draw_detail_page
from panelbridge.dashboard.pages.page_turner import Section
from panelbridge.dashboard.pages.screen_content import ScreenContent
from panelbridge.dashboard.pages.systems_page import draw_systems, with_firsts
from panelbridge.dashboard.text.lines import TextStyle, width_of
from panelbridge.engine.snapshot import Snapshot
from tests.dashboard import full_aircraft, scenes
from tests.dashboard.real_runs import HISTORIES, flight, loaded_panel
from tests.dashboard.text import text_of

PANELS = (
    *("demo_panel", "first_lamp", "four_engine_freighter_panel"),
    *("piston_single_panel", "tail_wheel_panel", "twin_turboprop_panel"),
)
"""One of each shipped aircraft."""
LARGE = [(80, 24), (100, 30), (120, 40), (160, 50), (200, 60)]
SMALL = [(60, 20), (40, 24), (30, 16)]
ROWS = {24: 12, 30: 18, 40: 28, 50: 38, 60: 48, 20: 10, 16: 6}
"""About what the top lines and the log leave of each height."""


@cache
def content(panel: str) -> ScreenContent:
    """A shipped panel just after its start, with what the screen remembers."""
    with flight(panel) as run:
        snapshot = run.until(4.0)
    samples = HISTORIES[id(snapshot)][1]
    return replace(content_of(loaded_panel(panel)), snapshot=snapshot, samples=samples)


def parts_of(shown: ScreenContent, size: tuple[int, int]) -> list[list[str]]:
    parts = draw_systems(shown, size[0], ROWS[size[1]])
    for part in parts:
        assert {width_of(line) for line in part} == {size[0]}
        assert len(part) <= ROWS[size[1]]
    return [[text_of(line) for line in part] for part in parts]


def titles_of(shown: ScreenContent) -> list[str]:
    return [*shown.equipment.systems, "Simulator commands", AIRCRAFT]


def marked(shown: ScreenContent) -> tuple[ScreenContent, dict[str, list[str]]]:
    """The same with a word of its own for each value; and these words by section."""
    words: dict[str, list[str]] = {}
    values: dict[str, str] = {}
    systems: dict[str, list[ValueLook]] = {}
    for title, looks in shown.equipment.systems.items():
        for look in looks:
            word = f"w{len(values):03d}x"
            values[look.name] = word
            words.setdefault(title, []).append(word)
            systems.setdefault(title, []).append(ValueLook(look.name, look.label, "word"))
    gauges = {gauge.name: 7001.0 + n for n, gauge in enumerate(shown.equipment.gauges)}
    fitted = [name for name in gauges if name in shown.equipment.boards]
    words[GAUGES] = [f"{gauges[name]:.0f} psi" for name in fitted]
    snapshot = replace(
        shown.snapshot,
        logic=replace(shown.snapshot.logic, values=values),
        outputs=replace(shown.snapshot.outputs, gauges=gauges),
    )
    equipment = replace(shown.equipment, systems=systems)
    return replace(shown, snapshot=snapshot, equipment=equipment), words


@pytest.mark.parametrize("size", [*LARGE, *SMALL])
@pytest.mark.parametrize("panel", PANELS)
def test_every_value_is_shown_once_and_with_its_section(panel: str, size: tuple[int, int]) -> None:
    shown, words = marked(content(panel))
    parts = parts_of(shown, size)
    whole = "\n".join(line for part in parts for line in part)
    for title, found in words.items():
        for word in found:
            assert whole.count(word) == 1, (title, word)
    if size in LARGE:
        for title, found in words.items():
            places = {
                at for at, part in enumerate(parts) for word in found if word in "".join(part)
            }
            assert len(places) <= 1, title


@pytest.mark.parametrize("size", LARGE)
@pytest.mark.parametrize("panel", PANELS)
def test_no_section_is_split_and_no_heading_stands_at_a_foot(
    panel: str, size: tuple[int, int]
) -> None:
    shown, words = marked(content(panel))
    parts = parts_of(shown, size)
    for title in titles_of(shown):
        headings = [
            (part, y, line.index(f" {title} ─"))
            for part in parts
            for y, line in enumerate(part)
            if f" {title} ─" in line
        ]
        assert len(headings) == 1, title
        part, y, x = headings[0]
        below = part[y + 1][x : x + LEAST_COLUMN]
        assert below.strip()
        assert "─" not in below
        if title in words:
            assert words[title][0] in below, "the first value is below its heading"


@settings(max_examples=20, deadline=None)
@given(st.data())
def test_what_is_not_normal_comes_before_what_is(data: st.DataObject) -> None:
    panel = data.draw(st.sampled_from(PANELS))
    size = data.draw(st.sampled_from(LARGE))
    plain, words = marked(content(panel))
    firsts = data.draw(st.sets(st.sampled_from(sorted(plain.equipment.systems))))
    shown = replace(plain, firsts=dict.fromkeys(firsts, "reason"))
    parts = parts_of(shown, size)

    def part_of(title: str) -> int:
        return next(at for at, part in enumerate(parts) if words[title][0] in "\n".join(part))

    others = [title for title in plain.equipment.systems if title not in firsts]
    assert all(part_of(first) <= part_of(other) for first in firsts for other in others)
    for title in firsts:
        assert f"! {title}: reason"[: LEAST_COLUMN - 4] in "\n".join(parts[part_of(title)])


@given(st.lists(st.sampled_from(["a", "b", "c"]), max_size=20))
def test_the_order_depends_on_what_is_first_alone(history: Sequence[str]) -> None:
    """However it came so: sections that are equal keep the equipment's order."""
    firsts = FirstSections()
    for n, title in enumerate(history):
        firsts.take(0.1 * n, {title: "x"})
    looks = [ValueLook("v", "v", "word")]
    equipment = Equipment(systems=dict.fromkeys("abcd", looks))
    shown = ScreenContent(equipment=equipment, firsts=firsts.take(2.0, {}))
    lines = [text_of(line) for line in draw_systems(shown, 38, 40)[0]]
    order = [
        name for line in lines for name in "abcd" if f" {name} ─" in line or f"! {name}: x" in line
    ]
    assert order == sorted("abcd", key=lambda name: (name not in history, name))


def test_a_section_stays_first_for_a_while_after_it_is_normal_again() -> None:
    firsts = FirstSections()
    assert firsts.take(0.0, {"Brakes": "low"}) == {"Brakes": "low"}
    assert firsts.take(0.9, {}) == {"Brakes": "low"}, "a lamp that flashes is dark for a moment"
    assert firsts.take(1.1, {}) == {"Brakes": None}
    assert firsts.take(STAYS_FIRST_S, {}) == {"Brakes": None}
    assert firsts.take(STAYS_FIRST_S + 0.1, {}) == {}
    firsts.take(50.0, {"Brakes": "low"})
    assert firsts.take(1.0, {}) == {}, "another run"


def used_rows(lines: Sequence[str]) -> list[bool]:
    """Of each row of a column, whether it is a section's or a trend's.

    Within a trend there may be rows without a dot; below them are its dots again.
    """
    used: list[bool] = []
    blanks = 0
    for line in lines:
        if not line.strip():
            blanks += 1
            continue
        is_dots = all(sign == " " or "\u2800" < sign <= "\u28ff" for sign in line)
        used += [*[is_dots] * blanks, True]
        blanks = 0
    return [*used, *[False] * blanks]


@pytest.mark.parametrize("size", LARGE)
@pytest.mark.parametrize("panel", PANELS)
def test_no_half_stands_empty(panel: str, size: tuple[int, int]) -> None:
    """Columns hold rows of sections and trends, but for what is too low for a trend."""
    shown = content(panel)
    headings = sum(" ─" in line for part in parts_of(shown, (40, 60)) for line in part)
    columns = min(size[0] // LEAST_COLUMN, headings)
    cells = size[0] // columns
    for part in parts_of(shown, size):
        used = [
            used_rows([line[at * cells : (at + 1) * cells] for line in part])
            for at in range(columns)
        ]
        for column in used:
            assert column.count(False) <= LEAST_ROWS + 1
        middle = len(part) // 2
        for half in (used[: (columns + 1) // 2], used[columns // 2 :]):
            for rows in (slice(0, middle), slice(middle, None)):
                quarter = [row for column in half for row in column[rows]]
                assert quarter.count(False) <= max(0.25 * len(quarter), LEAST_ROWS + 1)


@pytest.mark.parametrize("panel", PANELS)
def test_the_strips_stand_at_the_foot_where_they_cost_no_part(panel: str) -> None:
    for part in draw_systems(content(panel), 200, 48):
        assert text_of(part[-2]).startswith(" horn")
        assert text_of(part[-1]).startswith(" lamps")


# What is not normal

FULL = ScreenContent(
    snapshot=full_aircraft.FULL,
    lamp_looks=full_aircraft.LAMPS,
    equipment=full_aircraft.EQUIPMENT,
)


def reasons(snapshot: Snapshot, equipment: Equipment | None = None) -> Mapping[str, str]:
    shown = replace(FULL, snapshot=snapshot)
    return abnormal_sections(snapshot, equipment or shown.equipment, shown.lamp_layout())


WELL = replace(
    full_aircraft.FULL,
    logic=replace(full_aircraft.FULL.logic, faults=()),
    switches=full_aircraft.FULL.switches.having(lamp_test=False),
)


def test_a_fault_a_lamp_a_limit_and_an_unknown_value_are_reasons() -> None:
    assert reasons(WELL) == {}
    broken = replace(WELL, logic=replace(WELL.logic, faults=("x",), faulty=("Anti-skid", "")))
    assert reasons(broken) == {"Anti-skid": "fault", FAULTS: ""}
    lamps = replace(full_aircraft.EQUIPMENT, alert_lamps={"Brakes": ["parking_brake_amber"]})
    assert reasons(WELL, lamps) == {"Brakes": "PARK BRAKE"}
    limits = replace(
        full_aircraft.EQUIPMENT,
        limits={"left_outer_brake_c": content("demo_panel").equipment.limits["left_outer_brake_c"]},
    )
    assert reasons(WELL, limits) == {}
    hot = {**full_aircraft.VALUES, "left_outer_brake_c": 261.0}
    assert reasons(replace(WELL, logic=replace(WELL.logic, values=hot)), limits) == {
        "Brake heat": "too hot"
    }
    unknown = {**full_aircraft.VALUES, "hydraulic_pressure_psi": None}
    assert reasons(replace(WELL, logic=replace(WELL.logic, values=unknown))) == {
        "Hydraulics": "unknown"
    }
    assert reasons(replace(WELL, feed_fresh=False)) == {AIRCRAFT: "no fresh data"}
    assert reasons(replace(WELL, boards=scenes.LOST.boards)) == {GAUGES: "no link"}
    assert reasons(scenes.NOT_YET) == {}


def test_lamps_that_a_test_lights_are_no_reason() -> None:
    lamps = replace(full_aircraft.EQUIPMENT, alert_lamps={"Brakes": ["parking_brake_amber"]})
    for name in ("lamp_test", "warning_test"):
        tested = replace(WELL, switches=WELL.switches.having(**{name: True}))
        assert reasons(tested, lamps) == {}


@pytest.mark.parametrize("panel", PANELS)
def test_parked_after_the_start_only_what_is_lit_comes_first(panel: str) -> None:
    """Nothing that a shipped aircraft shows is unknown or beyond a limit without a lamp."""
    shown = with_firsts(content(panel), FirstSections())
    lit = shown.snapshot.outputs.lamps
    for title in shown.firsts:
        assert any(lit.get(name) for name in shown.equipment.alert_lamps.get(title, ())), title


def test_a_number_beyond_its_limit_is_amber_with_its_word() -> None:
    shown = content("demo_panel")
    values = {**shown.snapshot.logic.values, "hydraulic_pressure_psi": 1200.0}
    low = replace(shown.snapshot, logic=replace(shown.snapshot.logic, values=values))
    part = draw_detail_page(replace(shown, snapshot=low), Section.SYSTEMS, 120, 40)[0]
    spans = [span for line in part for span in line if "1200 psi" in span.text]
    assert [span.text.strip() for span in spans] == ["! 1200 psi low"]
    assert {span.style for span in spans} == {TextStyle.CAUTION}


@pytest.mark.parametrize("panel", PANELS)
def test_no_label_of_a_shipped_aircraft_is_cut(panel: str) -> None:
    """Words of values take room from their labels, so in the air too."""
    shown = content_of(loaded_panel(panel))
    with flight(panel) as run:
        moments = [replace(shown, snapshot=run.until(time_s)) for time_s in (4.0, 75.0)]
    for moment in moments:
        for width, height in LARGE:
            parts = draw_systems(moment, width, ROWS[height])
            spans = [span for part in parts for line in part for span in line]
            labels = [span.text.strip() for span in spans if span.style is TextStyle.TEXT]
            assert len(labels) > 20
            assert [label for label in labels if "…" in label] == []
