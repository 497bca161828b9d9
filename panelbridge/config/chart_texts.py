"""The charts of the logic as Markdown, each as a diagram or a table."""

from __future__ import annotations

import re
from os.path import commonprefix
from typing import Any

from panelbridge.config.words import did_you_mean, listed, quoted
from panelbridge.errors import UsageError
from panelbridge.logic.kit.chart import Chart, transitions_of
from panelbridge.logic.kit.system import System
from panelbridge.logic.systems import ORDER


def charts_text(name: str | None = None, form: str = "mermaid") -> str:
    """The chart ``name``, or every chart, with a heading and the title of its system.

    Args:
        name: of a chart: ``gear_power``.
        form: ``mermaid`` or ``table``.

    Raises:
        UsageError: no chart has this name, or no form.
    """
    forms = {"mermaid": _diagram, "table": _table}
    if form not in forms:
        hint = did_you_mean(form, [*forms]) or f"It can be {listed(forms)}"
        raise UsageError(f"charts cannot be drawn as {quoted(form)}", hint=hint)
    charts = {
        _snake(chart.__name__.removesuffix("Chart")): (kind, chart)
        for kind in ORDER
        for chart in kind.charts
    }
    if name is not None and name not in charts:
        hint = did_you_mean(name, [*charts]) or f"The charts are {listed(charts, 'and')}"
        raise UsageError(f"no chart is named {quoted(name)}", hint=hint)
    return "\n".join(
        f"### {one}\n\n{_about(kind, chart)}\n\n{forms[form](chart)}"
        for one, (kind, chart) in charts.items()
        if name in (None, one)
    )


def _snake(class_name: str) -> str:
    return re.sub(r"(?<=[a-z])(?=[A-Z])", "_", class_name).lower()


def _about(kind: type[System[Any]], chart: type[Chart]) -> str:
    """The title of the system, and what the chart is of."""
    title = kind.title or _snake(kind.__name__).replace("_", " ").capitalize()
    own = (chart.__doc__ or "").splitlines()[0]
    return own if own == f"{title}." else f"{title}. {own}"


def _state_words(chart: type[Chart]) -> dict[str, str]:
    """What each state is called: its id without the prefix that all states of the chart have."""
    ids = [state.id for state in chart.states]
    prefix = commonprefix(ids).rpartition("_")[0]  # noqa: RUF071 - names, not paths
    return {one: one.removeprefix(prefix).replace("_", " ").strip() for one in ids}


def _diagram(chart: type[Chart]) -> str:
    words = _state_words(chart)
    text = re.sub(
        r'state ".*" as (\w+)',
        lambda found: f'state "{words[found[1]]}" as {found[1]}',
        format(chart, "mermaid"),
    )
    return f"```mermaid\n{text.strip()}\n```\n"


def _table(chart: type[Chart]) -> str:
    words = _state_words(chart)
    rows = [("State", "Trigger", "Next state"), ("---", "---", "---")]
    rows += [
        (words[state], trigger.replace("_", " "), words[after])
        for _, state, trigger, after in transitions_of((chart,))
    ]
    return "".join(f"| {' | '.join(row)} |\n" for row in rows)
