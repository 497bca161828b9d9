"""A run as a picture for people: what was moved, what the gear, the lamps and the horn did.

Time goes to the right. Rows that never changed are left out. Every lamp's bar has a pattern beside
its hue. Below stand the failures, the steps and the events with their times.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil

from msgspec import Struct

from panelbridge.bench.language.plan import ScenarioPlan
from panelbridge.bench.language.signals_by_name import chosen_signals, signals_of, usual_signals
from panelbridge.bench.reports import svg_pieces as svg
from panelbridge.bench.reports.file_kinds import SVG
from panelbridge.bench.reports.time_axis import LEFT, TimeAxis
from panelbridge.bench.reports.timeline_lists import list_parts
from panelbridge.bench.reports.tracks import end_of, instants, spans, with_curve
from panelbridge.bench.verdict.run_words import value_words
from panelbridge.bench.verdict.trace import ScenarioResult
from panelbridge.logic.kit.declarations import Signal

WIDTH = 1200.0
_ROW, _TALL = 22.0, 40.0
_RAMP_GAP_S = 0.03
_MOST_CURVE_POINTS = 400
_EVENT_GAP, _EVENT_LANE = 3.0, 10.0
_MARK_GAP, _MARK_LANE = 10.0, 12.0
_MOST_LANES = 8
_COLOURS = ("red", "green", "amber", "white", "blue")
_REST = {"released", "off", "stowed", "silent", "none", "false"}
_STYLE = """<style>
text{font:11px monospace;fill:#1c1c1c}.title{font-size:15px;font-weight:bold}.quiet{fill:#555}
.rule{stroke:#dcdcdc}.graph{fill:none;stroke:#1c1c1c;stroke-width:1.2}
.held{fill:none;stroke:#1c5c2b;stroke-width:2}.failed{stroke:#b3261e;stroke-width:2.5}
.event{stroke:#1c1c1c;stroke-width:1.5}.halo{stroke:#ffffff;stroke-width:3}
.fall{stroke:#b3261e;stroke-dasharray:4 3}.on{fill:#ffffff}
</style>"""


class TimelineHead(Struct, frozen=True):
    """What stands above a picture beside its title.

    Attributes:
        verdict: at the right; empty for a run that nothing was expected of.
        about: the line under the title.
    """

    verdict: str
    about: str

    @classmethod
    def of(cls, result: ScenarioResult) -> TimelineHead:
        """That of a scenario."""
        plan, failed = result.plan, len(result.failures)
        verdict = f"FAILED ({failed})" if failed else "passed"
        if not failed and not result.passed:
            verdict = "not decided"
        length = f"{end_of(result.trace):g} s of virtual time"
        about = f"{plan.path}, {plan.aircraft.name}, {length}"
        return cls(verdict, f"{about}; {plan.source}" if plan.source else about)


def svg_text(
    result: ScenarioResult, patterns: Sequence[str] = (), head: TimelineHead | None = None
) -> str:
    """The picture of a run, as SVG.

    Args:
        result: the run.
        patterns: shows the signals that fit them, whether they changed or not; none = the usual.
        head: None = that of a scenario.
    """
    return _Picture(result, patterns, head or TimelineHead.of(result)).text()


class _Picture:
    """One picture, made from top to bottom."""

    def __init__(self, result: ScenarioResult, patterns: Sequence[str], head: TimelineHead) -> None:
        self._result = result
        self._about = head
        self._patterns = patterns
        self._samples = instants(result.trace)
        self._end_s = end_of(result.trace)
        self._axis = TimeAxis(result.trace.begun_s, self._end_s)
        self._x = self._axis.x
        self._parts: list[str] = []
        self._y = 0.0

    def text(self) -> str:
        plan = self._result.plan
        specs = signals_of(plan.aircraft, plan.panel)
        self._head()
        self._times()
        rows = self._y
        chosen = chosen_signals(specs, self._patterns) or usual_signals(specs)
        for spec in chosen:
            self._row(spec)
        self._marks()
        self._grid(rows)
        words, self._y = list_parts(self._result, self._y + 12, WIDTH)
        self._add(*words)
        height = ceil(self._y + 16)
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH:.0f}" height="{height}" '
            f'viewBox="0 0 {WIDTH:.0f} {height}">'
        )
        ground = f'<rect width="{WIDTH:.0f}" height="{height}" fill="#ffffff"/>'
        return (
            "\n".join([head, SVG.mark, _STYLE, svg.PATTERNS, ground, *self._parts, "</svg>"]) + "\n"
        )

    def _add(self, *parts: str) -> None:
        self._parts.extend(parts)

    def _label(self, name: str, height: float, after: str = "") -> None:
        """What a row shows; ``after`` stays whole, however long the name is."""
        room = LEFT - 16 - len(after) * svg.CHARACTER_PX
        self._add(svg.text(8, self._y + height / 2 + 4, svg.shortened(name, room) + after))

    def _head(self) -> None:
        plan, verdict = self._result.plan, self._about.verdict
        room = WIDTH - 32 - len(verdict) * svg.TITLE_CHARACTER_PX
        title = svg.shortened(plan.title, room, svg.TITLE_CHARACTER_PX)
        self._add(svg.text(8, 22, title, kind="title"))
        self._add(svg.text(WIDTH - 8, 22, verdict, kind="title", anchor="end"))
        about = svg.shortened(self._about.about, WIDTH - 16)
        self._add(svg.text(8, 40, about, kind="quiet"))
        self._y = 52.0

    def _times(self) -> None:
        for time_s in self._axis.ticks:
            words = f"{time_s:g}"
            self._add(svg.text(self._x(time_s), self._y + 12, words, anchor="middle"))
        self._add(svg.text(8, self._y + 12, "time, s", kind="quiet"))
        self._y += 20.0

    def _grid(self, rows: float) -> None:
        lines = [svg.line(self._x(t), rows - 4, self._x(t), self._y) for t in self._axis.ticks]
        # A bright line under the dashed one: it is seen on bars of its own colour too.
        falls = [
            svg.line(self._x(f.time_s), rows - 4, self._x(f.time_s), self._y, kind=kind)
            for f in self._result.failures
            for kind in ("halo", "fall")
        ]
        self._parts[:0] = lines
        self._add(*falls)

    def _row(self, spec: Signal) -> None:
        """The row of a signal; one that never changed is left out, unless it was asked for."""
        tracks = spans(self._samples, self._end_s, spec.read)
        changed = len(tracks) > 1 or spec.group in ("leg", "horn")
        if spec.group == "lamp" and spec.form == "word":
            changed = any(span.value == "lit" for span in tracks)
            draw: Callable[[Signal], None] = self._lamp
        else:
            draw = self._number if spec.form == "number" else self._bars
        if changed or self._patterns:
            draw(spec)

    def _bars(self, spec: Signal) -> None:
        """A row of bars: the horn's patterns, or words."""
        self._label(spec.name, _ROW)
        for span in spans(self._samples, self._end_s, spec.read):
            words = value_words(span.value)
            if words == "silent":
                continue
            x, width = self._x(span.start_s), self._x(span.end_s) - self._x(span.start_s)
            fill = "#ffffff" if words in _REST else "#d8dde6"
            if spec.name == "horn":
                fill = f"url(#{words})"
            self._add(svg.bar(x, self._y + 3, width, _ROW - 6, fill, name=f"{spec.name} {words}"))
            if spec.name != "horn" and len(words) * svg.CHARACTER_PX + 6 <= width:
                self._add(svg.text(x + 4, self._y + _ROW / 2 + 4, words))
        self._y += _ROW

    def _lamp(self, spec: Signal) -> None:
        """A bar while it is lit, as it really shines; lower when it is dimmed."""
        name, colour = spec.name, _colour_of(spec.name, self._result.plan)
        self._label(name, _ROW, f" ({colour})")
        for span in spans(self._samples, self._end_s, lambda s: s.shown.brightness(name)):
            if not span.value:
                continue
            height = (_ROW - 6) * (0.4 + 0.6 * span.value / 255)
            x, width = self._x(span.start_s), self._x(span.end_s) - self._x(span.start_s)
            y = self._y + _ROW - 3 - height
            self._add(svg.bar(x, y, width, height, f"url(#{colour})", name=f"{name} {span.value}"))
        self._y += _ROW

    def _number(self, spec: Signal) -> None:
        """A graph, with a gap where the number is unknown; a leg's travel has up on top."""
        samples = [*with_curve(self._samples, spec, self._axis.length_s / _MOST_CURVE_POINTS)]
        values = [
            value if isinstance(value := spec.read(s), (int, float)) else None for s in samples
        ]
        known = [value for value in values if value is not None]
        if not known:
            self._bars(spec)
            return
        low, high = min(known), max(known)
        label, top, bottom = spec.name, f"{high:g}", f"{low:g}"
        if spec.group == "leg":
            label, top, bottom, low, high = spec.name.replace("_travel", " leg"), "up", "down", 1, 0
        self._label(label, _TALL, f", {spec.unit}" if spec.unit else "")
        self._add(svg.text(LEFT - 6, self._y + 11, top, kind="quiet", anchor="end"))
        self._add(svg.text(LEFT - 6, self._y + _TALL - 3, bottom, kind="quiet", anchor="end"))
        scale = (_TALL - 12) / ((high - low) or 1)
        points: list[tuple[float, float]] = []
        ends_s = [*(sample.time_s for sample in samples[1:]), self._end_s]
        for sample, value, end_s in zip(samples, values, ends_s, strict=True):
            if value is None:
                self._add(*([svg.graph(points)] if points else []))
                points = []
                continue
            points.append((self._x(sample.time_s), self._y + 6 + (high - value) * scale))
            # Curves and ramps are straight between their samples; what was set jumps.
            if end_s - sample.time_s > _RAMP_GAP_S and spec.moving(sample) is None:
                points.append((self._x(end_s), points[-1][1]))
        self._add(*([svg.graph(points)] if points else []))
        self._y += _TALL

    def _marks(self) -> None:
        """Events and expectations; those that would cover each other stand in lanes."""
        events = self._result.trace.events
        self._label("events", _ROW)
        xs = [self._x(one.time_s) for one in events]
        in_lanes = svg.lanes(xs, _EVENT_GAP, _MOST_LANES)
        for x, lane, one in zip(xs, in_lanes, events, strict=True):
            y = self._y + 5 + lane * _EVENT_LANE
            self._add(svg.line(x, y, x, y + 8, kind="event", name=f"{one.time_s:.3f} s {one.text}"))
        self._y += _ROW + max(in_lanes, default=0) * _EVENT_LANE
        marks = [mark for mark in self._result.trace.marks if mark.passed or mark.failed]
        self._label("expectations", _ROW)
        xs = [self._x(mark.time_s) for mark in marks]
        in_lanes = svg.lanes(xs, _MARK_GAP, _MOST_LANES)
        for x, lane, mark in zip(xs, in_lanes, marks, strict=True):
            y = self._y + _ROW - 5 + lane * _MARK_LANE
            self._add(svg.cross(x, y) if mark.failed else svg.tick(x, y))
        self._y += _ROW + max(in_lanes, default=0) * _MARK_LANE


def _colour_of(lamp: str, plan: ScenarioPlan) -> str:
    """The panel's colour of a lamp, else the end of its name, else white."""
    entry = plan.panel.lamps.get(lamp) if plan.panel is not None else None
    end = lamp.rpartition("_")[2]
    return entry.colour if entry else end if end in _COLOURS else "white"
