"""A run as a value change dump (IEEE 1364 clause 18), for any waveform viewer.

Yes/no are scalars (x = unknown), brightness is an integer, numbers are reals (NaN = unknown). Words
stand twice: as a string, which is an extension that not every viewer shows, and as an integer
``<name>_code`` whose meanings the file's comment lists. One tick is a microsecond; of several
samples within one tick the last one counts.
"""

from __future__ import annotations

import io
import unicodedata
from collections.abc import Iterable
from itertools import groupby
from math import isnan, nan
from pathlib import Path

from vcd import VCDWriter
from vcd.writer import Variable

from panelbridge.bench.reports.tracks import end_of
from panelbridge.bench.reports.waves import Wave, WaveForm, waves_of
from panelbridge.bench.verdict.trace import ScenarioResult
from panelbridge.signals import Value

TICKS_PER_S = 1_000_000


def ticks_of(time_s: float) -> int:
    """A time in ticks of the file."""
    return round(time_s * TICKS_PER_S)


def write_vcd(result: ScenarioResult, path: Path) -> None:
    """Write the run to ``path``.

    Raises:
        OSError: the file cannot be written.
    """
    path.write_text(vcd_text(result), encoding="ascii", newline="\n")


def vcd_text(result: ScenarioResult) -> str:
    """The run as the text of a VCD file; the same run gives the same text."""
    trace = result.trace
    waves = waves_of(result.plan)
    at_tick = {
        tick: list(samples)[-1]
        for tick, samples in groupby(trace.samples, key=lambda s: ticks_of(s.time_s))
    }
    told = _told(result)
    text = io.StringIO()
    # A date would make two files of the same run differ.
    with VCDWriter(text, timescale="1 us", date="", comment=_comment(result, waves)) as writer:
        pens = [_Pen(writer, wave) for wave in waves]
        tellers = {name: writer.register_var("events", name, "string", init="") for name in told}
        for tick in sorted({0, *at_tick, *(t for texts in told.values() for t in texts)}):
            if tick in at_tick:
                for pen in pens:
                    pen.draw(tick, pen.wave.read(at_tick[tick]))
            for name, texts in told.items():
                if tick in texts:
                    writer.change(tellers[name], tick, _plain("; ".join(texts[tick])))
        writer.close(max(ticks_of(end_of(trace)), *at_tick, 0))
    return text.getvalue()


class _Pen:
    """Draws one wave: writes it when it has changed."""

    def __init__(self, writer: VCDWriter, wave: Wave) -> None:
        self.wave = wave
        self._writer = writer
        self._code: Variable[object] | None = None
        self._is_nan = False
        scope, name = wave.scope, wave.name
        match wave.form:
            case WaveForm.YES_NO:
                self._variable = writer.register_var(scope, name, "wire", size=1, init="x")
            case WaveForm.COUNT:
                self._variable = writer.register_var(scope, name, "integer", size=8, init="x")
            case WaveForm.NUMBER:
                self._variable = writer.register_var(scope, name, "real", init=nan)
            case WaveForm.WORD:
                self._variable = writer.register_var(scope, name, "string", init="")
                self._code = writer.register_var(scope, f"{name}_code", "integer", size=8, init="x")
            case WaveForm.TEXT:
                self._variable = writer.register_var(scope, name, "string", init="")

    def draw(self, tick: int, value: Value) -> None:
        """Write the value of this tick; the writer leaves out what has not changed."""
        wave = self.wave
        match wave.form:
            case WaveForm.YES_NO:
                bit = "x" if value is None else "1" if value else "0"
                self._writer.change(self._variable, tick, bit)
            case WaveForm.NUMBER:
                number = nan if value is None else float(value)
                if not (isnan(number) and self._is_nan):  # to the writer each NaN is a change
                    self._writer.change(self._variable, tick, number)
                self._is_nan = isnan(number)
            case WaveForm.COUNT:
                self._writer.change(self._variable, tick, "x" if value is None else value)
            case WaveForm.WORD | WaveForm.TEXT:
                self._writer.change(self._variable, tick, _plain(str(value)))
        if self._code is not None:
            self._writer.change(self._code, tick, wave.words.index(str(value)))


def _told(result: ScenarioResult) -> dict[str, dict[int, list[str]]]:
    """Events, steps and expectations by tick, numbered: the same text twice is a change too."""
    told: dict[str, dict[int, list[str]]] = {"event": {}, "step": {}, "expectation": {}}
    numbers = dict.fromkeys(told, 0)

    def tell(kind: str, time_s: float, text: str) -> None:
        numbers[kind] += 1
        told[kind].setdefault(ticks_of(time_s), []).append(f"{numbers[kind]} {text}")

    for event in result.trace.events:
        about = f": {event.subject}" if event.subject else ""
        tell("event", event.time_s, f"{event.name}{about}")
    for mark in result.trace.marks:
        kind = "expectation" if mark.passed or mark.failed else "step"
        word = "passed: " if mark.passed else "FAILED: " if mark.failed else ""
        tell(kind, mark.time_s, f"{word}{mark.text}")
    return told


def _comment(result: ScenarioResult, waves: Iterable[Wave]) -> str:
    lines = [_plain(result.plan.title)]
    for words in dict.fromkeys(wave.words for wave in waves if wave.words):
        # With their scopes: panel and aircraft both have a gear_handle.
        names = ", ".join(f"{w.scope}.{w.name}_code" for w in waves if w.words == words)
        lines.append(f"{names}: " + ", ".join(f"{i} {word}" for i, word in enumerate(words)))
    return "\n".join(lines)


def _plain(text: str) -> str:
    """The text in printable ASCII, without what a reader could take for a keyword."""
    bare = unicodedata.normalize("NFKD", text.replace("$", "_"))
    kept = (c for c in bare if not unicodedata.combining(c))
    return "".join(c if " " <= c <= "~" else "?" if c.isprintable() else " " for c in kept)
