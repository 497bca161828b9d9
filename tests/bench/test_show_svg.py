from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.language.plan import ScenarioPlan
from panelbridge.bench.reports.svg_pieces import (
    CHARACTER_PX,
    STRAIGHT_PX,
    TITLE_CHARACTER_PX,
    corners,
    lanes,
)
from panelbridge.bench.reports.time_axis import LEFT, RIGHT
from panelbridge.bench.reports.timeline_lists import MOST_LINES, TIMES, WORDS
from panelbridge.bench.reports.timeline_svg import WIDTH, svg_text
from panelbridge.bench.reports.tracks import instants, spans
from panelbridge.bench.verdict.trace import Mark, Samples, ScenarioResult
from panelbridge.bench.world.virtual_world import run_scenario
from panelbridge.logic.own.parameters import OwnLampParameters
from tests.bench.made import Maker, having
from tests.bench.plain import plain_config

EXAMPLES = Path(__file__).parent.parent.parent / "configs" / "scenarios" / "examples"
SVG = "{http://www.w3.org/2000/svg}"


def plan_of(name: str) -> ScenarioPlan:
    return load_scenarios(EXAMPLES / name)[0]


@pytest.fixture(scope="module")
def result() -> ScenarioResult:
    return run_scenario(plan_of("expectations.yaml"))


def bars(picture: str, name: str) -> list[tuple[float, float]]:
    """Left and right end of each bar of ``name``, px."""
    found = []
    for rect in ElementTree.fromstring(picture).iter(f"{SVG}rect"):
        title = rect.find(f"{SVG}title")
        if title is not None and (title.text or "").split()[0] == name:
            x = float(rect.attrib["x"])
            found.append((x, x + float(rect.attrib["width"])))
    return found


@pytest.mark.parametrize("lamp", ["nose_green", "left_red", "handle_red"])
def test_a_lamp_has_a_bar_for_each_time_it_is_lit(result: ScenarioResult, lamp: str) -> None:
    end_s = result.trace.end_s
    lit = [
        span
        for span in spans(instants(result.trace), end_s, lambda s: s.shown.brightness(lamp))
        if span.value
    ]
    expected = [
        (LEFT + (RIGHT - LEFT) * s.start_s / end_s, LEFT + (RIGHT - LEFT) * s.end_s / end_s)
        for s in lit
    ]
    drawn = bars(svg_text(result), lamp)
    assert len(drawn) == len(expected) > 0
    for (x1, x2), (want1, want2) in zip(drawn, expected, strict=True):
        assert x1 == pytest.approx(want1, abs=0.02)
        assert x2 == pytest.approx(want2, abs=0.02)


def test_the_horn_has_its_pattern(result: ScenarioResult) -> None:
    picture = svg_text(result)
    assert len(bars(picture, "horn")) == 1
    assert "url(#intermittent)" in picture


def test_a_failure_is_marked_and_reported(result: ScenarioResult, tmp_path: Path) -> None:
    text = (EXAMPLES / "first_scenario.yaml").read_text(encoding="utf-8")
    text = text.replace("../../aircraft", (EXAMPLES.parent.parent / "aircraft").as_posix())
    wrong = tmp_path / "wrong.yaml"
    wrong.write_text(text.replace("horn: silent", "horn: continuous"), encoding="utf-8")
    failed = run_scenario(load_scenarios(wrong)[0])
    assert len(failed.failures) == 1
    picture = svg_text(failed)
    assert "FAILED" in picture
    assert 'class="fall"' in picture
    assert 'class="fall"' not in svg_text(result)
    assert failed.failures[0].expected.split()[0] in picture


def test_every_lamp_shows_its_colour_in_words_and_by_a_pattern(result: ScenarioResult) -> None:
    picture = svg_text(result)
    assert "nose_green (green)" in picture
    patterns = set(re.findall(r'<pattern id="(\w+)"', picture))
    assert {"red", "green", "amber", "white", "blue"} <= patterns


def test_the_lists_do_not_overlap(result: ScenarioResult) -> None:
    root = ElementTree.fromstring(svg_text(result))
    for column in (8.0, TIMES, WORDS):
        texts = [t for t in root.iter(f"{SVG}text") if float(t.attrib["x"]) == column]
        ys = [float(t.attrib["y"]) for t in texts]
        assert len(ys) > 5
        assert ys == sorted(ys)
        assert min(b - a for a, b in pairwise(ys)) >= 11.0


@pytest.mark.parametrize("runs_for_s", [0.05, 0.2, 2.0, 60.0, 600.0, 3600.0])
def test_the_axis_suits_any_length(runs_for_s: float) -> None:
    plan = replace(plan_of("conditions.yaml"), runs_for_s=runs_for_s)
    root = ElementTree.fromstring(svg_text(run_scenario(plan)))
    labels = [t for t in root.iter(f"{SVG}text") if t.attrib.get("text-anchor") == "middle"]
    assert 4 <= len(labels) <= 15
    xs = [float(t.attrib["x"]) for t in labels]
    assert min(b - a for a, b in pairwise(xs)) > 40.0


def test_a_value_that_is_set_jumps(tmp_path: Path) -> None:
    """Its graph is never slanted, as that of a ramp is."""
    text = (EXAMPLES / "first_scenario.yaml").read_text(encoding="utf-8")
    text = text.replace("../../aircraft", (EXAMPLES.parent.parent / "aircraft").as_posix())
    path = tmp_path / "set.yaml"
    path.write_text(text, encoding="utf-8")
    root = ElementTree.fromstring(svg_text(run_scenario(load_scenarios(path)[0])))
    graphs = [
        [tuple(map(float, place.split(","))) for place in line.attrib["points"].split()]
        for line in root.iter(f"{SVG}polyline")
        if line.attrib["class"] == "graph"
    ]
    airspeed = graphs[-1]
    assert all(a[0] == b[0] or a[1] == b[1] for a, b in pairwise(airspeed))
    assert len({y for _, y in airspeed}) == 2


def test_words_from_a_file_cannot_break_the_picture(result: ScenarioResult) -> None:
    odd = replace(result, plan=replace(result.plan, name='<b>&"\x07'))
    ElementTree.fromstring(svg_text(odd))


def test_the_same_run_gives_the_same_picture() -> None:
    plan = plan_of("include.yaml")
    assert svg_text(run_scenario(plan)) == svg_text(run_scenario(plan))


# -- what would not fit ---------------------------------------------------------------------------


def test_long_words_end_inside_the_picture(result: ScenarioResult) -> None:
    """The notes are wrapped and whole, the title gives way to the verdict."""
    plan = replace(result.plan, name="long name " * 20)
    note = "what is done and why " * 20
    marks = [Mark(1.0, note, plan.steps[0].spot)]
    trace = replace(result.trace, marks=marks)
    root = ElementTree.fromstring(svg_text(replace(result, plan=plan, trace=trace)))
    right_of_title = 0.0
    for text in root.iter(f"{SVG}text"):
        of_title = text.attrib["class"] == "title"
        width = len(text.text or "") * (TITLE_CHARACTER_PX if of_title else CHARACTER_PX)
        x = float(text.attrib["x"])
        if text.attrib["text-anchor"] == "end":
            assert x - width > right_of_title or float(text.attrib["y"]) > 30
        elif text.attrib["text-anchor"] == "start":
            assert x + width <= WIDTH
            if of_title and float(text.attrib["y"]) < 30:
                right_of_title = x + width
    shown = [t.text or "" for t in root.iter(f"{SVG}text") if float(t.attrib["x"]) == WORDS]
    assert note.strip() in " ".join(shown)


def test_a_list_without_end_is_cut_and_says_so(result: ScenarioResult) -> None:
    (first, *_) = result.trace.events
    trace = replace(result.trace, events=[first] * (MOST_LINES + 7))
    picture = svg_text(replace(result, trace=trace))
    assert "and 7 more" in picture
    assert "more</text>" not in svg_text(result)


def _marks(picture: str) -> list[tuple[float, float]]:
    """Places of the ticks of events."""
    root = ElementTree.fromstring(picture)
    lines = [one for one in root.iter(f"{SVG}line") if one.attrib["class"] == "event"]
    return [(float(one.attrib["x1"]), float(one.attrib["y1"])) for one in lines]


def test_events_of_one_instant_stand_under_one_another(result: ScenarioResult) -> None:
    events = result.trace.events
    assert len({one.time_s for one in events}) < len(events)
    places = _marks(svg_text(result))
    assert len(set(places)) == len(places) == len(events)


def test_a_failure_is_not_covered_by_what_held_at_the_same_time(result: ScenarioResult) -> None:
    spot = result.plan.steps[0].spot
    both = [Mark(5.0, "held", spot, passed=True), Mark(5.0, "fell", spot, failed=True)]
    trace = replace(result.trace, marks=both)
    root = ElementTree.fromstring(svg_text(replace(result, trace=trace)))
    held = [one for one in root.iter(f"{SVG}polyline") if one.attrib["class"] == "held"]
    fell = [one for one in root.iter(f"{SVG}line") if one.attrib["class"] == "failed"]
    assert (len(held), len(fell)) == (1, 2)
    lowest = max(float(place.split(",")[1]) for place in held[0].attrib["points"].split())
    assert min(float(one.attrib["y1"]) for one in fell) > lowest


@given(st.lists(st.floats(0, 1000), max_size=40), st.integers(1, 8))
def test_marks_in_a_lane_leave_room_while_there_are_lanes(xs: list[float], most: int) -> None:
    xs.sort()
    chosen = lanes(xs, 5.0, most)
    assert len(chosen) == len(xs)
    for place, (x, lane) in enumerate(zip(xs, chosen, strict=True)):
        assert 0 <= lane < most
        near = {n for other, n in zip(xs[:place], chosen, strict=False) if other + 5.0 > x}
        assert lane not in near or len(near) == most
        if lane not in near:
            assert lane == min(set(range(most)) - near)


_PATHS = st.lists(
    st.tuples(st.sampled_from([0.0, 0.001, 0.5, 7.0]), st.floats(0, 40)), min_size=1, max_size=60
)


@given(_PATHS)
def test_a_graph_passes_every_point_it_leaves_out(moves: list[tuple[float, float]]) -> None:
    x, points = 0.0, []
    for step, y in moves:
        x += step
        points.append((x, y))
    kept = corners(points)
    assert kept[0] == points[0]
    assert kept[-1] == points[-1]
    assert set(kept) <= set(points)
    for x, y in points:
        pieces = [(a, b) for a, b in pairwise([*kept, kept[-1]]) if a[0] <= x <= b[0]]
        assert min(_distance(a, b, x, y) for a, b in pieces) <= 2 * STRAIGHT_PX


def _distance(a: tuple[float, float], b: tuple[float, float], x: float, y: float) -> float:
    """How far above or below the line from ``a`` to ``b`` a point is."""
    if a[0] == b[0]:
        low, high = sorted((a[1], b[1]))
        return max(low - y, y - high, 0.0)
    return abs(a[1] + (b[1] - a[1]) * (x - a[0]) / (b[0] - a[0]) - y)


def test_a_ramp_of_minutes_needs_few_points(tmp_path: Path) -> None:
    aircraft = plain_config("aircraft/twin_jet.yaml").as_posix()
    path = tmp_path / "ramp.yaml"
    path.write_text(
        f"kind: scenario\nformat: 2\nname: Ramp\naircraft: {aircraft}\nstart: cruise clean\n"
        "steps:\n  - ramp: { to: { altitude_ft: 1000 }, over_s: 300 }\nruns_for_s: 600\n",
        encoding="utf-8",
    )
    ran = run_scenario(load_scenarios(path)[0])
    assert len(ran.trace.samples) > 10_000
    root = ElementTree.fromstring(svg_text(ran))
    altitude = [
        [tuple(map(float, place.split(","))) for place in one.attrib["points"].split()]
        for one in root.iter(f"{SVG}polyline")
    ][-1]
    assert len(altitude) < 10
    middle = LEFT + (RIGHT - LEFT) / 2
    assert any(x == pytest.approx(middle, abs=0.5) for x, _ in altitude)


def test_what_was_left_undecided_is_reported_and_a_leg_is_where_it_was_then(tmp_path: Path) -> None:
    aircraft = plain_config("aircraft/twin_jet.yaml").as_posix()
    path = tmp_path / "early.yaml"
    path.write_text(
        f"kind: scenario\nformat: 2\nname: Early\naircraft: {aircraft}\nstart: cruise clean\n"
        "steps:\n  - { at_s: 1, move: { gear_handle: down } }\n"
        "  - { wait_for: { gear: locked_down }, limit_s: 4 }\n"
        "  - { after_s: 1, expect: { greens: lit } }\n",
        encoding="utf-8",
    )
    ran = run_scenario(load_scenarios(path)[0])
    picture = svg_text(ran)
    assert "Not decided" in picture
    assert "nose_green is lit" in picture
    root = ElementTree.fromstring(picture)
    nose = next(
        [tuple(map(float, place.split(","))) for place in one.attrib["points"].split()]
        for one in root.iter(f"{SVG}polyline")
    )
    # Unlocked at 1.72 s, 5.2 s of travel, the wait given up at 5 s: 0.63 of its way.
    top, row = nose[0][1], 28.0
    assert nose[-1][0] == RIGHT
    assert nose[-1][1] == pytest.approx(top + row * (5.0 - 1.72) / 5.2, abs=0.2)


def test_a_lamp_with_a_very_long_name_keeps_its_colour(result: ScenarioResult) -> None:
    name = "warning_of_something_long_amber"
    samples = [
        having(one, lamps={**(one.shown.lamps or {}), name: 255}) for one in result.trace.samples
    ]
    own = {name: OwnLampParameters(label="own", lit_when={"gear": "locked_up"})}
    aircraft = result.plan.aircraft.model_copy(update={"own_lamps": own})
    plan, trace = (
        replace(result.plan, aircraft=aircraft),
        replace(result.trace, samples=Samples(samples)),
    )
    picture = svg_text(replace(result, plan=plan, trace=trace))
    labels = [t.text or "" for t in ElementTree.fromstring(picture).iter(f"{SVG}text")]
    (label,) = [text for text in labels if text.startswith("warning_of")]
    assert label.endswith("… (amber)")
    assert 8.0 + len(label) * CHARACTER_PX <= LEFT - 8.0


def test_a_lamp_is_drawn_as_it_shines_and_lower_when_dimmed() -> None:
    maker = Maker()
    maker.dead.add("nose_red")
    maker.switch(lamp_test=True).wait(1.0)
    picture = svg_text(maker.result)
    assert maker.result.trace.samples[-1].shown.outputs.lamps["nose_red"] > 0
    assert not bars(picture, "nose_red")
    assert bars(picture, "left_red")
    heights = []
    for brightness in (255, 40):
        samples = [having(s, lamps={"nose_red": brightness}) for s in maker.trace.samples]
        root = ElementTree.fromstring(
            svg_text(replace(maker.result, trace=replace(maker.trace, samples=Samples(samples))))
        )
        heights += [
            float(rect.attrib["height"])
            for rect in root.iter(f"{SVG}rect")
            if (rect.findtext(f"{SVG}title") or "").startswith("nose_red")
        ]
    assert len(heights) == 2
    assert heights[1] < 0.6 * heights[0]


def test_only_the_signals_that_were_asked_for_are_drawn(result: ScenarioResult) -> None:
    def rows(*patterns: str) -> list[str]:
        root = ElementTree.fromstring(svg_text(result, patterns))
        texts = [t for t in root.iter(f"{SVG}text") if float(t.attrib["x"]) == 8.0]
        names = [t.text or "" for t in texts[3:]]  # after title, file and axis
        return names[: names.index("events")]

    assert rows("fault_shown", "nose_leg", "*_greens") == ["fault_shown", "nose_leg"]
    assert rows("left_gr??n", "nose_travel") == ["left_green (green)", "nose leg"]
    assert {"horn", "gear_command", "nose leg"} <= {*rows()}
    assert "fault_shown" not in rows()
