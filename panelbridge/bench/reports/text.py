"""What the bench prints: a line a scenario, a block a failed expectation, a last line.

Everything fits into 100 columns and says what it says in words, without colour.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from panelbridge.bench.language.plan import ScenarioPlan
from panelbridge.bench.reports.because import Because, explanations
from panelbridge.bench.verdict.failure import Failure
from panelbridge.bench.verdict.trace import ScenarioResult
from panelbridge.config.words import counted

COLUMNS = 100
_TITLE_COLUMNS = 62
_LABEL_COLUMNS = 14
_UNDECIDED_LINES = 8


def expectations_of(plan: ScenarioPlan) -> int:
    """How many expectations a scenario has."""
    return sum(len(step.expectations) for step in plan.steps)


def result_line(result: ScenarioResult) -> str:
    """How a scenario went, on one line; on more when its title is very long."""
    word = "passed" if result.passed else "FAILED"
    title = _hung(result.plan.title, columns=_TITLE_COLUMNS)
    head = [f"{word if not number else '':<6}  {line}" for number, line in enumerate(title)]
    count = counted(expectations_of(result.plan), "expectation")
    head[-1] = f"{head[-1]:<{_TITLE_COLUMNS + 8}} {result.trace.end_s:>10.3f} s  {count}"
    return "\n".join(head)


def failure_text(failure: Failure, *, folded: bool = True) -> str:
    """A failed expectation: where, when, what, what was before it, and why it was so.

    Args:
        failure: the failure.
        folded: leave out what did not decide, and count it.
    """
    lines = [f"    {failure.spot} at {failure.time_s:.3f} s"]
    lines += _labelled("expected", [failure.expected])
    lines += _labelled("actual", [failure.actual])
    shown = [*explanations(failure, folded=folded)]
    for because in shown:
        lines += _because_lines(because)
    rest = {*failure.reasons, *failure.causes} - {name for one in shown for name in one.signals}
    if rest:
        more = counted(len(rest), "more signal is", "more signals are")
        lines += _labelled("because", [f"{more} not explained here"])
    happened = [line.strip() for line in failure.events]
    lines += _labelled("last happened", happened or ["nothing"])
    return "\n".join(lines)


def result_text(result: ScenarioResult) -> str:
    """A scenario's line and, under it, each of its failures, and what was not decided."""
    failures = map(failure_text, result.failures)
    return "\n".join([result_line(result), *failures, *undecided_lines(result)])


def undecided_lines(result: ScenarioResult) -> list[str]:
    """What neither held nor failed, and why; nothing when all is decided."""
    lines: list[str] = []
    for why, is_unknown in (
        ("the scenario ended before these could be:", False),
        ("signals were unknown:", True),
    ):
        group = [one for one in result.undecided if bool(one.unknown) is is_unknown]
        more = len(group) - _UNDECIDED_LINES
        lines += [why] if group else []
        for one in group[:_UNDECIDED_LINES]:
            unknown = f" ({', '.join(one.unknown)} unknown)" if one.unknown else ""
            lines.append(f"{one.spot}  {one.expected}{unknown}")
        lines += [f"and {counted(more, 'more expectation')}"] if more > 0 else []
    return _labelled("not decided", lines) if lines else []


def summary_text(results: Iterable[ScenarioResult], time: str = "virtual time") -> str:
    """All scenarios in one line; ``time`` is the kind of time that they ran in."""
    results = list(results)
    failed = sum(not result.passed for result in results)
    passed = len(results) - failed
    expectations = sum(expectations_of(result.plan) for result in results)
    time_s = sum(result.trace.end_s for result in results)
    words = f"{passed} passed, {failed} {'FAILED' if failed else 'failed'}"
    return (
        f"{counted(len(results), 'scenario')}: {words}; "
        f"{counted(expectations, 'expectation')} in {time_s:.3f} s of {time}"
    )


def _because_lines(because: Because) -> list[str]:
    """Label and words under one another, and how many were folded."""
    indent = 4 + _LABEL_COLUMNS
    lines = _labelled("because", [because.title])
    for label, words in because.lines:
        lines += _hung(f"{label:<13}  {words}", indent, indent + 15)
    return [*lines, *([" " * indent + because.folded] if because.folded else [])]


def _labelled(label: str, texts: Iterable[str]) -> list[str]:
    lines: list[str] = []
    indent = 4 + _LABEL_COLUMNS
    for text in texts:
        lines += _hung(text, indent, indent + 2)
    lines[0] = f"    {label:<{_LABEL_COLUMNS}}{lines[0].lstrip()}"
    return lines


def _hung(text: str, first: int = 0, rest: int = 0, columns: int = COLUMNS) -> list[str]:
    """Lines of ``text``, the first with an indent of its own."""
    lines: list[str] = []
    for line in text.splitlines():
        lines += textwrap.wrap(
            line,
            columns,
            initial_indent=" " * (rest if lines else first),
            subsequent_indent=" " * rest,
            replace_whitespace=False,
        )
    return lines or [""]
