from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest

from panelbridge.bench.load_scenario import load_scenarios
from panelbridge.bench.plan import ScenarioPlan
from panelbridge.bench.runner import run_scenario
from panelbridge.bench.timeline_svg import LEFT, RIGHT, svg_text
from panelbridge.bench.trace import ScenarioResult
from panelbridge.bench.tracks import instants, spans

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
        for span in spans(instants(result.trace), end_s, lambda s: s.shown_lamps[lamp])
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


def test_a_failure_is_marked_and_told(result: ScenarioResult, tmp_path: Path) -> None:
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


def test_every_lamp_tells_its_colour_in_words_and_by_a_pattern(result: ScenarioResult) -> None:
    picture = svg_text(result)
    assert "nose_green (green)" in picture
    patterns = set(re.findall(r'<pattern id="(\w+)"', picture))
    assert {"red", "green", "amber", "white", "blue"} <= patterns


def test_the_lists_do_not_overlap(result: ScenarioResult) -> None:
    root = ElementTree.fromstring(svg_text(result))
    ys = [float(t.attrib["y"]) for t in root.iter(f"{SVG}text") if float(t.attrib["x"]) == 8.0]
    assert ys == sorted(ys)
    assert min(b - a for a, b in pairwise(ys)) >= 11.0


@pytest.mark.parametrize("runs_for_s", [2.0, 60.0, 3600.0])
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


def test_words_from_a_file_can_not_break_the_picture(result: ScenarioResult) -> None:
    odd = replace(result, plan=replace(result.plan, name='<b>&"\x07'))
    ElementTree.fromstring(svg_text(odd))


def test_the_same_run_gives_the_same_picture() -> None:
    plan = plan_of("include.yaml")
    assert svg_text(run_scenario(plan)) == svg_text(run_scenario(plan))
