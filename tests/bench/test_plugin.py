"""Scenarios as tests in a builder's own repository: run by a pytest of its own."""

from __future__ import annotations

import subprocess
import sys
from importlib.metadata import entry_points
from pathlib import Path

import pytest

from panelbridge.config.shipped import shipped_config

GOOD = """\
kind: scenario
format: 2
name: Gear up after take-off
aircraft: {aircraft}
start: take-off roll
steps:
  - note: gear up
    at_s: 1
    set: {{ struts: extended, airspeed_kias: 125 }}
    move: {{ gear_handle: up }}
  - wait_for: {{ gear: locked_up }}
    limit_s: 12
    expect: {{ greens: {greens} }}
"""
TABLE = """\
kind: scenario
format: 2
name: Levers
aircraft: {aircraft}
start: cruise clean
steps:
  - after_s: 1
    set: {{ throttles: <levers> }}
    expect: {{ horn: <horn> }}
    within_s: 1
cases:
  - {{ case: forward, levers: 0.7, horn: silent }}
  - {{ case: closed, levers: 0, horn: continuous }}
"""


def _write(folder: Path, name: str, text: str, **words: str) -> Path:
    aircraft = shipped_config("aircraft/twin_jet.yaml").as_posix()
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text.format(aircraft=aircraft, **words), encoding="utf-8")
    return path


def _run(pytester: pytest.Pytester, *arguments: str) -> pytest.RunResult:
    if not (pytester.path / "tox.ini").exists():
        pytester.makeini("[pytest]\n")  # or settings of a folder above would count
    # One warns in a repository without its option, one cannot be nested in itself.
    return pytester.runpytest_inprocess("-p", "no:asyncio", "-p", "no:textual-snapshot", *arguments)


def test_the_package_offers_the_plugin() -> None:
    found = entry_points(group="pytest11", name="panelbridge")
    assert [entry.value for entry in found] == ["panelbridge.bench.pytest_plugin"]


def test_a_test_a_case_with_the_scenarios_name(pytester: pytest.Pytester) -> None:
    _write(pytester.path, "scenarios/take_off.yaml", GOOD, greens="dark")
    _write(pytester.path, "scenarios/deep/levers.yml", TABLE)
    result = _run(pytester, "-v")
    result.assert_outcomes(passed=2, failed=1)
    result.stdout.fnmatch_lines_random(
        [
            "scenarios/take_off.yaml::Gear up after take-off PASSED*",
            "scenarios/deep/levers.yml::Levers [[]forward] PASSED*",
            "scenarios/deep/levers.yml::Levers [[]closed] FAILED*",
        ]
    )


def test_a_failure_is_reported_in_the_benchs_words(pytester: pytest.Pytester) -> None:
    _write(pytester.path, "scenarios/take_off.yaml", GOOD, greens="lit")
    result = _run(pytester)
    result.assert_outcomes(failed=1)
    out = result.stdout.str()
    assert f"scenarios{'/'}take_off.yaml:13:" in out.replace("\\", "/")
    assert "expected" in out
    assert "last happened" in out
    assert "because" in out
    assert "Traceback" not in out
    assert "runtest" not in out


def test_errors_in_a_file_are_an_error_of_the_collection(pytester: pytest.Pytester) -> None:
    _write(pytester.path, "scenarios/bad.yaml", GOOD, greens="drak")
    _write(pytester.path, "scenarios/good.yaml", GOOD, greens="dark")
    result = _run(pytester)
    result.assert_outcomes(errors=1)
    out = result.stdout.str().replace("\\", "/")
    assert "scenarios/bad.yaml:13:" in out
    assert "'dark'" in out
    assert "Traceback" not in out
    assert "load_scenario" not in out


def test_other_files_and_folders_are_left_alone(pytester: pytest.Pytester) -> None:
    _write(pytester.path, "elsewhere/take_off.yaml", GOOD, greens="lit")
    _write(pytester.path, "scenarios/aircraft.yaml", "kind: aircraft\n")
    _write(pytester.path, "scenarios/compose.yaml", "services: none\n")
    _write(pytester.path, "scenarios/notes.txt", GOOD, greens="lit")
    result = _run(pytester)
    assert result.ret == pytest.ExitCode.NO_TESTS_COLLECTED


def test_a_slip_in_the_kind_is_reported(pytester: pytest.Pytester) -> None:
    _write(pytester.path, "scenarios/slip.yaml", "kind: scenaro\nformat: 2\n")
    result = _run(pytester)
    result.assert_outcomes(errors=1)
    assert "slip.yaml:1:" in result.stdout.str()


def test_a_file_on_the_command_line_is_taken_wherever_it_is(pytester: pytest.Pytester) -> None:
    path = _write(pytester.path, "elsewhere/take_off.yaml", GOOD, greens="dark")
    _run(pytester, str(path)).assert_outcomes(passed=1)


def test_patterns_of_the_ini_file_take_the_place_of_the_folder(pytester: pytest.Pytester) -> None:
    pytester.makeini("[pytest]\npanelbridge_scenarios =\n    bench/*.yaml\n    more/one.yml\n")
    _write(pytester.path, "bench/deep/take_off.yaml", GOOD, greens="dark")
    _write(pytester.path, "bench/aircraft.yaml", "kind: aircraft\n")
    _write(pytester.path, "more/one.yml", GOOD, greens="dark")
    _write(pytester.path, "more/two.yml", GOOD, greens="lit")
    _write(pytester.path, "scenarios/three.yaml", GOOD, greens="lit")
    _run(pytester).assert_outcomes(passed=2)


def test_one_case_can_be_chosen(pytester: pytest.Pytester) -> None:
    _write(pytester.path, "scenarios/levers.yaml", TABLE)
    _run(pytester, "-k", "forward").assert_outcomes(passed=1, deselected=1)


def test_it_stays_light_without_a_scenario() -> None:
    code = (
        "import sys, panelbridge.bench.pytest_plugin\n"
        "heavy = ('pydantic', 'statemachine', 'yaml', 'serial', 'textual', 'panelbridge.logic')\n"
        "print([name for name in heavy if name in sys.modules])"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout == "[]\n"


def test_this_repositorys_own_tests_hold_no_scenario(request: pytest.FixtureRequest) -> None:
    kinds = {type(item).__name__ for item in request.session.items}
    assert "ScenarioItem" not in kinds
    assert sys.modules["panelbridge.bench.pytest_plugin"]
