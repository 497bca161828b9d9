"""The JUnit report: well-formed, valid against a schema, counts that match, any text in it."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from functools import cache
from pathlib import Path

import pytest
import xmlschema
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from panelbridge.bench.language.expectations import Spot
from panelbridge.bench.language.plan import After, Step
from panelbridge.bench.reports.junit import junit_text
from panelbridge.bench.verdict.failure import Failure
from panelbridge.bench.verdict.trace import ScenarioResult, Undecided
from tests.bench.made import FILE, Maker, approach
from tests.examples import examples


@cache
def junit_schema() -> xmlschema.XMLSchema:
    return xmlschema.XMLSchema(Path(__file__).parent / "junit.xsd")


def _read(results: list[ScenarioResult]) -> ET.Element:
    """The report, parsed, after the schema had its say."""
    text = junit_text(results)
    junit_schema().validate(text)
    return ET.fromstring(text)


def _quick(file: str, name: str, *failures: str) -> ScenarioResult:
    """A result of one second; each failure is given as its actual value."""
    result = Maker(name=name).wait(1.0).result
    failed = tuple(
        Failure(Spot(file, 30 + number, 7), 0.5, "horn is silent", actual)
        for number, actual in enumerate(failures)
    )
    step = Step(After(0.0), (), (), "", Spot(file, 8, 3))
    plan = replace(result.plan, path=Path(file), steps=(step,), source="14 CFR 23.729(f)(1)")
    return replace(result, plan=plan, failures=failed)


def _check_counts(element: ET.Element) -> None:
    cases = list(element.iter("testcase"))
    assert element.get("tests") == str(len(cases))
    for name, child in (("failures", "failure"), ("errors", "error"), ("skipped", "skipped")):
        assert element.get(name) == str(sum(case.find(child) is not None for case in cases))
    time_s = sum(float(case.get("time", "nan")) for case in cases)
    assert float(element.get("time", "nan")) == pytest.approx(time_s, abs=5e-4 * len(cases))


def test_counts_match_the_children_of_every_suite() -> None:
    root = _read(
        [
            _quick("a.yaml", "one"),
            _quick("b.yaml", "two", "horn is continuous", "horn is intermittent"),
            _quick("a.yaml", "three", "horn is continuous"),
            _quick("b.yaml", "four"),
            _quick("b.yaml", "five"),
        ]
    )
    suites = root.findall("testsuite")
    assert [(s.get("name"), s.get("tests"), s.get("failures")) for s in suites] == [
        ("a.yaml", "2", "1"),
        ("b.yaml", "3", "1"),
    ]
    assert (root.get("tests"), root.get("failures"), root.get("time")) == ("5", "2", "5.000")
    for element in (root, *suites):
        _check_counts(element)


def test_a_failed_case_has_its_place_and_the_whole_text() -> None:
    case = next(_read([_quick("dir/b.yaml", "two", "x", "y")]).iter("testcase"))
    assert case.attrib == {
        "classname": "dir.b",
        "name": "two",
        "file": "dir/b.yaml",
        "line": "30",
        "time": "1.000",
    }
    failure = case.find("failure")
    assert failure is not None
    assert failure.get("message") == "dir/b.yaml:30:7: expected horn is silent, was x"
    assert failure.text is not None
    assert "dir/b.yaml:30:7 at 0.500 s" in failure.text
    assert "dir/b.yaml:31:7 at 0.500 s" in failure.text
    assert case.findtext("system-out") == "source: 14 CFR 23.729(f)(1)"


def test_a_passed_case_has_the_line_of_its_first_step_and_the_time_of_its_run() -> None:
    quick, bare = _read([_quick("a.yaml", "one"), approach()]).iter("testcase")
    assert (quick.get("line"), quick.get("time")) == ("8", "1.000")
    assert (bare.get("line"), bare.get("time"), bare.get("file")) == ("1", "30.250", FILE)
    assert quick.find("failure") is None


def test_a_case_of_a_table_carries_its_case() -> None:
    case = next(_read([approach(failing=True)]).iter("testcase"))
    assert case.get("name") == "Approach [steep]"


def test_no_results_are_a_valid_report() -> None:
    assert _read([]).attrib["tests"] == "0"


def test_control_characters_are_written_out_and_markup_is_escaped() -> None:
    result = _quick("a<&>.yaml", "bell\x07 \x1b[31m \"<&>'", "nul\x00 \ufffe]]> <b>&amp;")
    case = next(_read([result]).iter("testcase"))
    assert case.get("name") == "bell\\x07 \\x1b[31m \"<&>'"
    failure = case.find("failure")
    assert failure is not None
    assert "was nul\\x00 \\ufffe]]> <b>&amp;" in (failure.get("message") or "")


@given(st.lists(st.tuples(st.text(min_size=1), st.lists(st.text(), max_size=2)), max_size=4))
@settings(max_examples=examples(60), deadline=None)
def test_any_text_gives_a_valid_report_whose_counts_match(
    many: list[tuple[str, list[str]]],
) -> None:
    base = _quick("a.yaml", "one", "x")
    results = []
    for name, actuals in many:
        failures = tuple(replace(base.failures[0], actual=actual) for actual in actuals)
        plan = replace(base.plan, name=name, source=name)
        results.append(replace(base, plan=plan, failures=failures))
    text = junit_text(results)
    text.encode("utf-8")
    junit_schema().validate(text)
    root = ET.fromstring(text)
    for element in (root, *root.findall("testsuite")):
        _check_counts(element)


def test_a_class_has_no_empty_first_part() -> None:
    root = _read([_quick("/home/me/cockpit/a.yaml", "one"), _quick("cockpit/b.yaml", "two")])
    names = [case.get("classname") for case in root.iter("testcase")]
    assert names == ["home.me.cockpit.a", "cockpit.b"]


def test_what_was_not_decided_stands_in_the_failure() -> None:
    open_one = Undecided(Spot("a.yaml", 40, 5), "horn is silent, within 3 s")
    result = replace(_quick("a.yaml", "one", "gear is up"), undecided=(open_one,))
    (failure,) = _read([result]).iter("failure")
    assert "a.yaml:40:5  horn is silent, within 3 s" in (failure.text or "")
    (failure,) = _read([replace(result, undecided=())]).iter("failure")
    assert "not decided" not in (failure.text or "")
    (failure,) = _read([replace(_quick("a.yaml", "one"), undecided=(open_one,))]).iter("failure")
    assert failure.get("message") == "a.yaml:40:5: not decided: horn is silent, within 3 s"
