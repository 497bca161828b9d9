"""A run as a value change dump (IEEE 1364 clause 18), for any waveform viewer.

Every signal of the vocabulary, in the scope of its group. Yes/no and signals of two words are
scalars (1 = true or the first word, x = unknown), numbers are reals (NaN = unknown). Other words
stand twice: as a string, which is an extension that not every viewer shows, and as an integer
``<name>_code``. The file's comment lists what scalars and codes mean. One tick is a microsecond; of
several samples within one tick the last one counts. A number that changes by itself is written
between the samples too, from its curve.
"""

from __future__ import annotations

import io
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from math import nan
from typing import Any

from vcd import VCDWriter
from vcd.writer import Variable

from panelbridge.bench.language.signals_by_name import chosen_signals, signals_of
from panelbridge.bench.reports.file_kinds import VCD
from panelbridge.bench.reports.tracks import end_of, instants, with_curve
from panelbridge.bench.verdict.trace import ScenarioResult, Trace
from panelbridge.logic.kit.declarations import Signal
from panelbridge.signals import Value

TICKS_PER_S = 1_000_000
CURVE_STEP_S = 0.1
"""A number that changes by itself has a value this often, s; in long runs less often."""
MOST_CURVE_POINTS = 10_000
_NOTHING = object()


def ticks_of(time_s: float) -> int:
    """A time in ticks of the file."""
    return round(time_s * TICKS_PER_S)


def vcd_text(result: ScenarioResult, patterns: Sequence[str] = ("*",)) -> str:
    """The run as the text of a VCD file, in ASCII; the same run gives the same text."""
    trace, plan = result.trace, result.plan
    specs = chosen_signals(signals_of(plan.aircraft, plan.panel), patterns)
    at_tick = {ticks_of(sample.time_s): sample for sample in instants(trace)}
    texts, curves = _texts(result), _curves(trace, specs)
    file = io.StringIO()
    # A date would make two files of the same run differ.
    with VCDWriter(file, timescale="1 us", date="", comment=_comment(result, specs)) as writer:
        signals = [_SignalWriter(writer, spec) for spec in specs]
        variables = {name: writer.register_var("events", name, "string", init="") for name in texts}
        for tick in sorted({0, *at_tick, *curves, *(t for group in texts.values() for t in group)}):
            if tick in at_tick:
                for signal in signals:
                    signal.write(tick, signal.spec.read(at_tick[tick]))
            else:
                for place, value in curves.get(tick, ()):
                    signals[place].write(tick, value)
            for name, group in texts.items():
                if tick in group:
                    writer.change(variables[name], tick, _plain("; ".join(group[tick])))
        writer.close(max(ticks_of(end_of(trace)), *at_tick, 0))
    return file.getvalue()


class _SignalWriter:
    """Writes one signal when it has changed."""

    def __init__(self, writer: VCDWriter, spec: Signal) -> None:
        self.spec = spec
        self._writer = writer
        self._last: Value | object = _NOTHING
        self._code: Variable[object] | None = None
        scope, name = spec.group, spec.name
        if spec.form == "number":
            self._variable = writer.register_var(scope, name, "real", init=nan)
        elif _is_scalar(spec):
            self._variable = writer.register_var(scope, name, "wire", size=1, init="x")
        else:
            self._variable = writer.register_var(scope, name, "string", init="")
            self._code = writer.register_var(scope, f"{name}_code", "integer", size=8, init="x")

    def write(self, tick: int, value: Value) -> None:
        """Write the value of this tick if it is another."""
        if value == self._last:
            return
        self._last, spec = value, self.spec
        if spec.form == "number":
            written: Any = nan if value is None else float(value)
        elif _is_scalar(spec):
            written = "x" if value is None else "1" if value in (True, *spec.words[:1]) else "0"
        else:
            written = "unknown" if value is None else _plain(str(value))
        self._writer.change(self._variable, tick, written)
        if self._code is not None:
            code = "x" if value is None else spec.words.index(str(value))
            self._writer.change(self._code, tick, code)


def _is_scalar(spec: Signal) -> bool:
    return spec.form == "yes_no" or len(spec.words) == 2


def _curves(trace: Trace, specs: Sequence[Signal]) -> Mapping[int, list[tuple[int, Value]]]:
    """Between the samples: place and value of each signal that changes by itself, by tick."""
    found: dict[int, list[tuple[int, Value]]] = {}
    step_s = max(CURVE_STEP_S, end_of(trace) / MOST_CURVE_POINTS)
    samples = instants(trace)
    for place, spec in enumerate(specs):
        if spec.curve is not None:
            for sample in with_curve(samples, spec, step_s):
                found.setdefault(ticks_of(sample.time_s), []).append((place, spec.read(sample)))
    return found


def _texts(result: ScenarioResult) -> dict[str, dict[int, list[str]]]:
    """Events, steps and expectations by tick, numbered: the same text twice is a change too."""
    texts: dict[str, dict[int, list[str]]] = {"event": {}, "step": {}, "expectation": {}}
    numbers = dict.fromkeys(texts, 0)

    def add(kind: str, time_s: float, text: str) -> None:
        numbers[kind] += 1
        texts[kind].setdefault(ticks_of(time_s), []).append(f"{numbers[kind]} {text}")

    for event in result.trace.events:
        about = f": {event.subject}" if event.subject else ""
        add("event", event.time_s, f"{event.name}{about}")
    for mark in result.trace.marks:
        kind = "expectation" if mark.passed or mark.failed else "step"
        word = "passed: " if mark.passed else "FAILED: " if mark.failed else ""
        add(kind, mark.time_s, f"{word}{mark.text}")
    return texts


def _comment(result: ScenarioResult, specs: Iterable[Signal]) -> str:
    lines = [VCD.mark, _plain(result.plan.title)]
    names: dict[tuple[str, ...], list[str]] = {}
    for spec in specs:
        if spec.words:
            code = "" if _is_scalar(spec) else "_code"
            names.setdefault(spec.words, []).append(f"{spec.group}.{spec.name}{code}")
    for words, its_names in names.items():
        codes = (1, 0) if len(words) == 2 else range(len(words))
        meanings = ", ".join(f"{code} {word}" for code, word in zip(codes, words, strict=True))
        lines.append(f"{', '.join(its_names)}: {meanings}")
    return "\n".join(lines)


def _plain(text: str) -> str:
    """The text in printable ASCII, without what a reader could take for a keyword."""
    bare = unicodedata.normalize("NFKD", text.replace("$", "_"))
    kept = (c for c in bare if not unicodedata.combining(c))
    return "".join(c if " " <= c <= "~" else "?" if c.isprintable() else " " for c in kept)
