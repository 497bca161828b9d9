"""What of the logic the scenarios reached, and what they never did."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence

from panelbridge.bench.verdict.trace import ScenarioResult
from panelbridge.logic.chart import all_states, all_transitions
from panelbridge.logic.events import EVENTS
from panelbridge.logic.inventory import lamps_of
from panelbridge.signals import HornPattern, Level

_LABEL_COLUMNS = 28
_HUMP = re.compile("(?<=[a-z])(?=[A-Z])")


def coverage_text(results: Sequence[ScenarioResult]) -> str:
    """A line for each chart and kind of thing (reached of all), below it what was never reached.

    A lamp counts as it shone, not as the logic wanted it: one that is dead is not lit.
    """
    states = {state for result in results for state in result.trace.visited_states}
    taken = {edge for result in results for edge in result.trace.taken_transitions}
    samples = [sample for result in results for sample in result.trace.samples]
    shone = {(name, bright > 0) for s in samples for name, bright in s.shown_lamps.items()}
    horns = {sample.outputs.horn.value for sample in samples}
    happened = {told.name for result in results for told in result.trace.events}
    lamps = sorted({name for result in results for name in lamps_of(result.plan.aircraft)})
    told = sorted(name for name, (level, _) in EVENTS.items() if level is not Level.FAULT)
    faults = sorted(name for name, (level, _) in EVENTS.items() if level is Level.FAULT)
    lines = ["reached by these scenarios:", *_charts(states, taken)]
    for label, reached, wanted in (
        ("lamps lit, as they shone", {name for name, lit in shone if lit}, lamps),
        ("lamps dark, as they shone", {name for name, lit in shone if not lit}, lamps),
        ("horn patterns", horns, [pattern.value for pattern in HornPattern]),
        ("events", happened, told),
        ("faults", happened, faults),
    ):
        lines.append(f"  {label:<{_LABEL_COLUMNS}}{_count(reached, wanted)}")
        lines += _never(reached, wanted)
    return "\n".join(lines)


def _charts(states: Collection[str], taken: Collection[str]) -> Iterator[str]:
    """All charts together, then each with what of it was never reached."""
    charts: dict[str, tuple[list[str], list[str]]] = {}
    for chart, state in all_states():
        charts.setdefault(chart, ([], []))[0].append(state)
    for chart, before, after in all_transitions():
        charts[chart][1].append(f"{before} -> {after}")
    for label, reached, place in (("states", states, 0), ("transitions", taken, 1)):
        wanted = [name for parts in charts.values() for name in parts[place]]
        yield f"  {f'{label} of the logic':<{_LABEL_COLUMNS}}{_count(reached, wanted)}"
    for chart, (its_states, its_edges) in charts.items():
        label = "chart: " + _HUMP.sub(" ", chart.removesuffix("Chart")).lower()
        counts = f"{_count(states, its_states)} states, {_count(taken, its_edges)} transitions"
        yield f"  {label:<{_LABEL_COLUMNS}}{counts}"
        if any(state in states for state in its_states):
            yield from _never(states, its_states)
            yield from _never(taken, its_edges)
        else:
            yield "      never  used at all"


def _count(reached: Collection[str], wanted: Sequence[str]) -> str:
    return f"{sum(name in reached for name in wanted):>4} of {len(wanted)}"


def _never(reached: Collection[str], wanted: Sequence[str]) -> list[str]:
    return [f"      never  {name}" for name in wanted if name not in reached]
