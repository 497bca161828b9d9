"""Which signals a timeline shows: a declared choice, or those that name patterns choose."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fnmatch import fnmatchcase

from panelbridge.bench.language.plan import ScenarioPlan
from panelbridge.bench.language.signals_by_name import signals_of
from panelbridge.config.words import did_you_mean, quoted
from panelbridge.errors import UsageError
from panelbridge.logic.kit.declarations import Signal

Signals = Mapping[str, Signal]


def signals_in_picture(specs: Signals) -> list[Signal]:
    """What a picture shows by default, from top to bottom."""
    rows = [s for s in specs.values() if s.group == "switch" and s.form == "word"]
    rows.append(specs["on_ground"])
    rows += [s for s in specs.values() if s.group == "leg" and s.form == "number"]
    rows += [s for s in specs.values() if s.group == "lamp" and s.form == "word"]
    rows += [specs["horn"], specs["gear_command"]]
    return rows + [
        s for s in specs.values() if s.form == "number" and s.group not in ("lamp", "leg")
    ]


def chosen_signals(specs: Signals, patterns: Sequence[str]) -> list[Signal]:
    """Signals whose names fit a pattern with ``*`` and ``?``, in the order of the patterns."""
    fitting = [name for pattern in patterns for name in specs if fnmatchcase(name, pattern)]
    return [specs[name] for name in dict.fromkeys(fitting)]


def check_patterns(patterns: Sequence[str], plans: Iterable[ScenarioPlan]) -> None:
    """See that each pattern fits a signal of a scenario. Raises: UsageError."""
    names = {name for plan in plans for name in signals_of(plan.aircraft, plan.panel)}
    for pattern in patterns:
        if not any(fnmatchcase(name, pattern) for name in names):
            hint = did_you_mean(pattern, sorted(names)) or "'panelbridge names' lists them"
            raise UsageError(f"no signal is named {quoted(pattern)}", "--signals", hint)
