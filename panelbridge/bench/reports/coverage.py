"""What of the logic the scenarios reached, and what they never did."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence

from msgspec import Struct
from msgspec.structs import astuple

from panelbridge.bench.verdict.trace import ScenarioResult
from panelbridge.logic.inventory import lamps_of
from panelbridge.logic.kit.chart import states_of, transitions_of
from panelbridge.logic.systems import CHARTS, EVENTS
from panelbridge.signals import HornPattern, Level

_LABEL_COLUMNS = 28
_HUMP = re.compile("(?<=[a-z])(?=[A-Z])")


def coverage_text(results: Sequence[ScenarioResult]) -> str:
    """A line for each chart and kind of thing (reached of all), below it what was never reached.

    A lamp counts as it shone, not as the logic wanted it: one that is dead is not lit.
    """
    states = {state for result in results for state in result.trace.visited_states}
    states |= {word for result in results for word in _words(result.trace.begun)}
    taken = {edge for result in results for edge in result.trace.taken_transitions}
    samples = [sample for result in results for sample in result.trace.samples.whole]
    shone = {(name, bright > 0) for s in samples for name, bright in (s.shown.lamps or {}).items()}
    horns = {sample.shown.outputs.horn.value for sample in samples}
    came = {event.name for result in results for event in result.trace.events}
    lamps = sorted({name for result in results for name in lamps_of(result.plan.aircraft)})
    events = sorted(name for name, (level, _) in EVENTS.items() if level is not Level.FAULT)
    faults = sorted(name for name, (level, _) in EVENTS.items() if level is Level.FAULT)
    lines = ["reached by these scenarios:", *_charts(states, taken)]
    for label, reached, wanted in (
        ("lamps lit, as they shone", {name for name, lit in shone if lit}, lamps),
        ("lamps dark, as they shone", {name for name, lit in shone if not lit}, lamps),
        ("horn patterns", horns, [pattern.value for pattern in HornPattern]),
        ("events", came, events),
        ("faults", came, faults),
    ):
        lines.append(f"  {label:<{_LABEL_COLUMNS}}{_count(reached, wanted)}")
        lines += _never(reached, wanted)
    return "\n".join(lines)


def _charts(states: Collection[str], taken: Collection[str]) -> Iterator[str]:
    """All charts together, then each with what of it was never reached."""
    charts: dict[str, tuple[list[str], list[str]]] = {}
    for chart, state in states_of(CHARTS):
        charts.setdefault(chart, ([], []))[0].append(state)
    for chart, edge in sorted({(c, f"{a} -> {b}") for c, a, _, b in transitions_of(CHARTS)}):
        charts[chart][1].append(edge)
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


def _words(data: object) -> Iterator[str]:
    """Every word in plain data: ids of the states that charts begin in are among them."""
    if isinstance(data, str):
        yield data
    elif isinstance(data, tuple):
        for part in data:
            yield from _words(part)
    elif isinstance(data, Struct):
        yield from _words(astuple(data))
