"""Results as JUnit XML, for CI services.

There is no standard; this is what the readers agree on: ``testsuites`` of ``testsuite`` (a scenario
file) of ``testcase`` (a scenario or case), with counts that match the children. Times are seconds
of virtual time, so that a report is the same on every machine.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterable, Sequence

from panelbridge.bench.reports.file_kinds import SUITES
from panelbridge.bench.reports.text import failure_text, undecided_lines
from panelbridge.bench.verdict.trace import ScenarioResult
from panelbridge.printing.clean_text import clean_text


def junit_text(results: Sequence[ScenarioResult]) -> str:
    """The whole report, with its XML declaration; to be written as UTF-8."""
    by_file: dict[str, list[ScenarioResult]] = {}
    for result in results:
        by_file.setdefault(result.plan.path.as_posix(), []).append(result)
    root = ET.Element("testsuites", {"name": SUITES, **_counts(results)})
    for file, its_results in by_file.items():
        suite = ET.SubElement(root, "testsuite", {"name": _clean(file), **_counts(its_results)})
        for result in its_results:
            _add_case(suite, file, result)
    ET.indent(root)
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{ET.tostring(root, encoding="unicode")}\n'


def _counts(results: Sequence[ScenarioResult]) -> dict[str, str]:
    failures = sum(not result.passed for result in results)
    return {
        "tests": str(len(results)),
        "failures": str(failures),
        "errors": "0",
        "skipped": "0",
        "time": _seconds(result.trace.end_s for result in results),
    }


def _add_case(suite: ET.Element, file: str, result: ScenarioResult) -> None:
    plan = result.plan
    # Line of the first failure, so that a click leads there; else of the first step.
    spot = next((failure.spot for failure in result.failures), plan.first_spot)
    case = ET.SubElement(
        suite,
        "testcase",
        classname=_clean(plan.path.with_suffix("").as_posix().strip("/").replace("/", ".")),
        name=_clean(plan.title),
        file=_clean(file),
        line=str(spot.line),
        time=_seconds([result.trace.end_s]),
    )
    if not result.passed:
        # One element a testcase: several would be counted as several tests by some readers.
        message = _clean(_first_words(result))
        failure = ET.SubElement(case, "failure", type="expectation", message=message)
        failures = [failure_text(one, folded=False) for one in result.failures]
        lines = [*failures, *undecided_lines(result)]
        failure.text = _clean("\n" + "\n".join(lines) + "\n")
    if plan.source:
        ET.SubElement(case, "system-out").text = _clean(f"source: {plan.source}")


def _first_words(result: ScenarioResult) -> str:
    for first in result.failures:
        return f"{first.spot}: expected {first.expected}, was {first.actual}"
    return f"{result.undecided[0].spot}: not decided: {result.undecided[0].expected}"


def _seconds(times_s: Iterable[float]) -> str:
    return f"{sum(times_s):.3f}"


def _clean(text: str) -> str:
    """The text as it may be shown: a control character breaks readers of XML."""
    return clean_text(text)
