"""What of the logic the scenarios reached, and what they never did."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from panelbridge.bench.trace import ScenarioResult
from panelbridge.logic.chart import all_states, all_transitions
from panelbridge.logic.happenings import HAPPENINGS
from panelbridge.logic.inventory import lamps_of
from panelbridge.signals import HornPattern, Level

_LABEL_COLUMNS = 28


def coverage_text(results: Sequence[ScenarioResult]) -> str:
    """A line for each kind of thing (reached of all), and below it what was never reached."""
    states = {state for result in results for state in result.trace.visited_states}
    taken = {edge for result in results for edge in result.trace.taken_transitions}
    samples = [sample for result in results for sample in result.trace.samples]
    lit = {
        name for sample in samples for name, bright in sample.outputs.lamps.items() if bright > 0
    }
    dark = {
        name for sample in samples for name, bright in sample.outputs.lamps.items() if not bright
    }
    horns = {sample.outputs.horn.value for sample in samples}
    happened = {told.name for result in results for told in result.trace.happenings}
    lamps = {name for result in results for name in lamps_of(result.plan.aircraft)}
    told = [name for name, (level, _) in HAPPENINGS.items() if level is not Level.FAULT]
    faults = [name for name, (level, _) in HAPPENINGS.items() if level is Level.FAULT]
    lines = ["reached by these scenarios:"]
    for label, reached, wanted in (
        ("states of the logic", states, [state for _, state in all_states()]),
        ("transitions of the logic", taken, [f"{a} -> {b}" for _, a, b in all_transitions()]),
        ("lamps lit", lit, sorted(lamps)),
        ("lamps dark", dark, sorted(lamps)),
        ("horn patterns", horns, [pattern.value for pattern in HornPattern]),
        ("happenings", happened, sorted(told)),
        ("faults", happened, sorted(faults)),
    ):
        lines += _part(label, reached, wanted)
    return "\n".join(lines)


def _part(label: str, reached: Iterable[str], wanted: Sequence[str]) -> list[str]:
    found = set(reached)
    missing = [name for name in wanted if name not in found]
    lines = [f"  {label:<{_LABEL_COLUMNS}}{len(wanted) - len(missing):>4} of {len(wanted)}"]
    return lines + [f"      never  {name}" for name in missing]
