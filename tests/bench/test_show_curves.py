"""Numbers that change by themselves: no timeline shows an old one, also where nothing happens."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest

from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.language.signals_by_name import signals_of
from panelbridge.bench.reports.time_axis import LEFT, RIGHT
from panelbridge.bench.reports.timeline_svg import svg_text
from panelbridge.bench.reports.timeline_vcd import CURVE_STEP_S, vcd_text
from panelbridge.bench.reports.tracks import instants, with_curve
from panelbridge.bench.verdict.trace import ScenarioResult
from panelbridge.bench.world.virtual_world import run_scenario
from panelbridge.config.shipped import shipped_folder
from tests.bench.jet import HYDRAULICS, LEAK, STOPPED, STOPPED_S, fluid_l, jet, pressure_psi
from tests.bench.vcd_reading import read_vcd

SCENARIOS = shipped_folder() / "scenarios"
SVG = "{http://www.w3.org/2000/svg}"
PSI = "hydraulic_pressure_psi"
END_S = 602.0


@pytest.fixture(scope="module")
def bleed_down(tmp_path_factory: pytest.TempPathFactory) -> ScenarioResult:
    return jet(tmp_path_factory.mktemp("jet"), STOPPED, f"runs_for_s: {END_S}\n")


def psi_at(time_s: float) -> float:
    """The pressure by Boyle's law."""
    lost_l = LEAK * max(time_s - STOPPED_S, 0.0)
    return pressure_psi(fluid_l(HYDRAULICS.nominal_psi) - lost_l)


def test_every_sample_shows_the_pressure_of_its_own_time(bleed_down: ScenarioResult) -> None:
    read = signals_of(bleed_down.plan.aircraft)[PSI].read
    assert psi_at(300.0) - psi_at(END_S) > 300.0
    for sample in bleed_down.trace.samples:
        assert read(sample) == pytest.approx(psi_at(sample.time_s), rel=1e-9)


def test_a_waveform_follows_the_curve(bleed_down: ScenarioResult) -> None:
    written = read_vcd(vcd_text(bleed_down, (PSI,)))[f"system.{PSI}"].tv
    falling = [(tick / 1e6, float(value)) for tick, value in written if tick > STOPPED_S * 1e6]
    assert falling[-1][0] == END_S
    for time_s, psi in falling:
        assert psi == pytest.approx(psi_at(time_s), rel=1e-6)
    gaps = [after - before for (before, _), (after, _) in pairwise(falling)]
    assert max(gaps) <= CURVE_STEP_S + 1e-6


def test_a_picture_follows_the_curve(bleed_down: ScenarioResult) -> None:
    root = ElementTree.fromstring(svg_text(bleed_down, (PSI,)))
    (graph,) = (one for one in root.iter(f"{SVG}polyline"))
    points = [tuple(map(float, place.split(","))) for place in graph.attrib["points"].split()]
    (_, top), (_, bottom) = points[0], points[-1]
    highest, lowest = psi_at(0.0), psi_at(END_S)
    for at in range(1, 100):
        x = LEFT + (RIGHT - LEFT) * at / 100
        (x1, y1), (x2, y2) = next((a, b) for a, b in pairwise(points) if a[0] <= x <= b[0])
        y = y1 + (y2 - y1) * (x - x1) / (x2 - x1)
        part = (highest - psi_at(END_S * at / 100)) / (highest - lowest)
        assert y == pytest.approx(top + part * (bottom - top), abs=0.3)


def test_what_a_number_had_come_to_stands_before_it_jumps(tmp_path: Path) -> None:
    """Engine 2 is started on the way: the pressure is up at once and was low until then."""
    on = "  - { at_s: 202, set: { engine_2: running } }\n"
    result = jet(tmp_path, STOPPED + on, "runs_for_s: 300\n")
    signal = signals_of(result.plan.aircraft)[PSI]
    shown = [
        signal.read(sample)
        for sample in with_curve(instants(result.trace), signal, 1000.0)
        if sample.time_s == 202.0
    ]
    assert shown[0] == pytest.approx(psi_at(202.0), rel=1e-9)


@pytest.mark.parametrize(
    "name",
    [
        *("twin_jet/leak", "twin_jet/emergency_air", "twin_jet/pump_cycles", "twin_jet/slush"),
        *("twin_jet/stored_brakes", "twin_jet/doors_in_sequence", "twin_turboprop/demo"),
        *("four_engine_freighter/parking_brake_bleeds_down", "tail_wheel/empty_bottle"),
    ],
)
@pytest.mark.thorough
def test_nothing_but_what_says_so_changes_by_itself(name: str) -> None:
    """Every signal at a later time is what it was, or has a curve that gives it."""
    moved = set()
    for plan in load_scenarios(SCENARIOS / f"{name}.yaml"):
        result = run_scenario(plan)
        signals = signals_of(plan.aircraft, plan.panel).values()
        for before, after in pairwise(instants(result.trace)):
            later = before.later((before.time_s + after.time_s) / 2.0)
            for signal in signals:
                curve = signal.moving(before)
                if curve is None:
                    assert signal.read(later) == signal.read(before), signal.name
                else:
                    moved.add(signal.name)
                    assert signal.read(later) == pytest.approx(curve.at(later.now_s), abs=1e-9)
    assert moved


def test_a_picture_has_a_gap_while_a_number_is_unknown(tmp_path: Path) -> None:
    lost = "  - { at_s: 10, fault: { airspeed_kias: lost } }\n  - { at_s: 30, clear: all }\n"
    result = jet(tmp_path, lost, "runs_for_s: 40\n")
    root = ElementTree.fromstring(svg_text(result, ("airspeed_kias",)))
    graphs = [one.attrib["points"].split() for one in root.iter(f"{SVG}polyline")]
    ends = [(float(points[0].split(",")[0]), float(points[-1].split(",")[0])) for points in graphs]
    assert ends == [(LEFT, _x(10.0, 40.0)), (_x(30.0, 40.0), RIGHT)]


def _x(time_s: float, end_s: float) -> float:
    return LEFT + (RIGHT - LEFT) * time_s / end_s


@pytest.mark.parametrize("name", ["twin_jet/leak", "four_engine_freighter/doors_before_legs"])
def test_a_timeline_shows_every_signal(name: str) -> None:
    plan = load_scenarios(SCENARIOS / f"{name}.yaml")[0]
    result = run_scenario(plan)
    names = [*signals_of(plan.aircraft, plan.panel)]
    read = read_vcd(vcd_text(result, ("*",)))
    assert set(names) <= {full.split(".")[-1] for full in read.references_to_ids}
    root = ElementTree.fromstring(svg_text(result, ("*",)))
    texts = [one.text or "" for one in root.iter(f"{SVG}text")]
    rows = [one for one in texts if one]
    for signal in names:
        label = signal.replace("_travel", " leg") if signal.endswith("_travel") else signal
        assert any(one.startswith(label[:20]) for one in rows), signal
