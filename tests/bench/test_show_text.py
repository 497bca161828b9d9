"""What the bench prints."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from panelbridge.bench.language.expectations import ExpectNow, Spot
from panelbridge.bench.language.plan import After, Step
from panelbridge.bench.reports.text import (
    COLUMNS,
    expectations_of,
    failure_text,
    result_line,
    result_text,
    summary_text,
)
from panelbridge.bench.verdict.failure import Failure
from panelbridge.bench.verdict.trace import ScenarioResult, Undecided
from panelbridge.config.words import counted
from panelbridge.logic.kit.conditions import Compare, Comparison
from panelbridge.signals import Reason
from tests.bench.made import FILE, Maker, approach

REASONS = (
    Reason("nose leg locked down", holds=False, detail="extending, 0.49 of its way"),
    Reason("lamp test held", holds=False),
    Reason("squat", holds=True, detail="air"),
)
FAILURE = Failure(
    Spot(FILE, 22, 9),
    14.05,
    "nose_green lit within 3 s",
    "nose_green is dark",
    ("11.050 s  the gear handle was moved down", "11.450 s  the nose leg was unlocked"),
    {"nose_green": REASONS, "horn": ()},
)


def _with_expectations(result: ScenarioResult, *counts: int) -> ScenarioResult:
    spot = Spot(FILE, 7, 3)
    expect = ExpectNow(Compare("horn", Comparison.IS, "silent"), spot)
    steps = tuple(Step(After(0.0), (), (expect,) * number, "", spot) for number in counts)
    return replace(result, plan=replace(result.plan, steps=steps))


def test_a_failure_says_where_when_what_why_and_what_was_before() -> None:
    assert failure_text(FAILURE).splitlines() == [
        "    scenarios/approach.yaml:22:9 at 14.050 s",
        "    expected      nose_green lit within 3 s",
        "    actual        nose_green is dark",
        "    because       nose_green:",
        "                  does not hold  nose leg locked down - extending, 0.49 of its way",
        "                  does not hold  lamp test held",
        "                  holds          squat - air",
        "    because       horn: no rule says why",
        "    last happened 11.050 s  the gear handle was moved down",
        "                  11.450 s  the nose leg was unlocked",
    ]


def test_a_failure_before_anything_happened() -> None:
    bare = replace(FAILURE, events=(), reasons={})
    assert failure_text(bare).splitlines()[-1] == "    last happened nothing"
    assert "because" not in failure_text(bare)


def test_a_line_a_scenario_and_case() -> None:
    passed, failed = _with_expectations(approach(), 2, 0, 3), approach(failing=True)
    assert result_line(passed) == f"passed  {'Approach':<62}     30.250 s  5 expectations"
    assert result_line(failed) == f"FAILED  {'Approach [steep]':<62}     33.250 s  0 expectations"
    assert expectations_of(passed.plan) == 5
    assert result_text(passed) == result_line(passed)


def test_the_report_is_the_lines_the_failures_and_the_summary() -> None:
    results = [_with_expectations(approach(), 1), approach(failing=True)]
    lines = [*"\n".join(map(result_text, results)).splitlines(), summary_text(results)]
    assert lines[0].startswith("passed  Approach ")
    assert lines[1].startswith("FAILED  Approach [steep] ")
    assert lines[2] == "    scenarios/approach.yaml:22:5 at 14.050 s"
    assert lines[-1] == (
        "2 scenarios: 1 passed, 1 FAILED; 1 expectation in 63.500 s of virtual time"
    )


def test_a_summary_without_failures_does_not_shout() -> None:
    assert summary_text([]).startswith("0 scenarios: 0 passed, 0 failed; ")
    assert summary_text([approach()]).startswith("1 scenario: 1 passed, 0 failed; ")


@pytest.mark.parametrize(("number", "text"), [(0, "0 lamps"), (1, "1 lamp"), (2, "2 lamps")])
def test_counts(number: int, text: str) -> None:
    assert counted(number, "lamp") == text


def test_nothing_is_wider_than_the_screen_and_nothing_is_lost() -> None:
    words = [f"word{number}" for number in range(60)]
    long = " ".join(words)
    reasons = {"horn": (Reason(long, holds=True, detail=long), REASONS[0])}
    failure = replace(FAILURE, expected=long, actual=long, events=(long, "short"), reasons=reasons)
    result = Maker(name=long, case="x" * 150).result
    result = replace(result, failures=(failure,))
    text = f"{result_text(result)}\n{summary_text([result])}"
    assert max(map(len, text.splitlines())) <= COLUMNS
    for word in words:
        assert text.split().count(word) == 6  # title, expected, actual, happened, reason twice
    assert text.replace("\n", "").replace(" ", "").count("x" * 150) == 1


def test_only_printable_ascii_is_added() -> None:
    result = replace(approach(failing=True), failures=(FAILURE,))
    text = f"{result_text(result)}\n{summary_text([result])}"
    assert text.isascii()
    assert all(line.isprintable() for line in text.splitlines())


def test_of_many_that_were_not_decided_the_first_are_reported_and_the_rest_counted() -> None:
    open_ones = tuple(Undecided(Spot(FILE, 40 + n, 5), f"number {n}") for n in range(10))
    text = result_text(replace(approach(failing=True), undecided=open_ones))
    assert "number 7" in text
    assert "number 8" not in text
    assert text.splitlines()[-1].strip() == "and 2 more expectations"


def test_words_on_several_lines_stay_under_one_another() -> None:
    lines = failure_text(replace(FAILURE, actual="first\nsecond")).splitlines()
    place = lines.index("    actual        first")
    assert lines[place + 1] == " " * 20 + "second"
