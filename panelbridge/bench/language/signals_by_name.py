"""Every signal that a scenario can name: those of the logic, with a panel only what it has."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fnmatch import fnmatchcase

from panelbridge.bench.language.plan import ScenarioPlan
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.words import did_you_mean, quoted
from panelbridge.errors import UsageError
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.inventory import lamps_of, switches_of, vocabulary_of
from panelbridge.logic.kit.declarations import Signal

INSTEAD_OF_FEED = ("tiller",)
"""Switches that override a value of the simulator: there only if a panel has them."""


def signals_of(
    aircraft: AircraftParameters, panel: PanelFile | None = None
) -> Mapping[str, Signal]:
    """Every signal of ``aircraft``; with a panel only the switches and lamps that it has."""
    fitted = {*fitted_switches(aircraft, panel), *fitted_lamps(aircraft, panel)}
    return {
        name: signal
        for name, signal in vocabulary_of(aircraft).items()
        if (signal.group != "switch" and not signal.output)
        or (signal.output or name) in fitted
        or signal.group == "horn"
    }


def fitted_switches(aircraft: AircraftParameters, panel: PanelFile | None) -> dict[str, str]:
    """Names and labels of the switches that there are; of the aircraft alone all of them."""
    needs = switches_of(aircraft)
    wired = {name for name in needs if name not in INSTEAD_OF_FEED}
    if panel is not None:
        wired = {*panel.wired_switches}
    return {name: need.label for name, need in needs.items() if name in wired}


def fitted_lamps(aircraft: AircraftParameters, panel: PanelFile | None) -> dict[str, str]:
    """Names and labels of the lamps that there are; of the aircraft alone all of them."""
    needs = lamps_of(aircraft)
    return {n: need.label for n, need in needs.items() if panel is None or n in panel.lamps}


def chosen_signals(specs: Mapping[str, Signal], patterns: Sequence[str]) -> list[Signal]:
    """Signals whose names fit a pattern with ``*`` and ``?``, in the order of the patterns."""
    fitting = [name for pattern in patterns for name in specs if fnmatchcase(name, pattern)]
    return [specs[name] for name in dict.fromkeys(fitting)]


def usual_signals(specs: Mapping[str, Signal]) -> list[Signal]:
    """What a picture shows by default, from top to bottom."""
    rows = [s for s in specs.values() if s.group == "switch" and s.form == "word"]
    rows.append(specs["on_ground"])
    rows += [s for s in specs.values() if s.group == "leg" and s.form == "number"]
    rows += [s for s in specs.values() if s.group == "lamp" and s.form == "word"]
    rows += [specs["horn"], specs["gear_command"]]
    return rows + [
        s for s in specs.values() if s.form == "number" and s.group not in ("lamp", "leg")
    ]


def check_patterns(patterns: Sequence[str], plans: Iterable[ScenarioPlan]) -> None:
    """See that each pattern fits a signal of a scenario. Raises: UsageError."""
    names = {name for plan in plans for name in signals_of(plan.aircraft, plan.panel)}
    for pattern in patterns:
        if not any(fnmatchcase(name, pattern) for name in names):
            hint = did_you_mean(pattern, sorted(names)) or "'panelbridge names' lists them"
            raise UsageError(f"no signal is named {quoted(pattern)}", "--signals", hint)
