"""A run as a picture for people: what was moved, what the gear, the lamps and the horn did.

Time goes to the right. Rows that never changed are left out. Every lamp's bar has a pattern beside
its hue. Below stand the failures, the steps and the events with their times.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from math import ceil

from panelbridge.bench.language.plan import ScenarioPlan
from panelbridge.bench.language.signals_by_name import signals_of
from panelbridge.bench.reports import svg_pieces as svg
from panelbridge.bench.reports.timeline_lists import list_parts
from panelbridge.bench.reports.tracks import end_of, instants, spans
from panelbridge.bench.verdict.trace import Sample, ScenarioResult
from panelbridge.logic.signal_table import SignalSpec
from panelbridge.signals import Value

WIDTH, LEFT, RIGHT = 1200.0, 210.0, 1160.0
_ROW, _TALL = 22.0, 40.0
_STEPS_S = (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1800, 3600)
_MOST_TICKS = 14
_RAMP_GAP_S = 0.03
_TOLD_GAP, _TOLD_LANE = 3.0, 10.0
_MARK_GAP, _MARK_LANE = 10.0, 12.0
_MOST_LANES = 8
_COLOURS = ("red", "green", "amber", "white", "blue")
_REST = {"released", "off", "stowed", "silent", "none", "false"}
_STYLE = """<style>
text{font:11px monospace;fill:#1c1c1c}.title{font-size:15px;font-weight:bold}.quiet{fill:#555}
.rule{stroke:#dcdcdc}.graph{fill:none;stroke:#1c1c1c;stroke-width:1.2}
.held{fill:none;stroke:#1c5c2b;stroke-width:2}.failed{stroke:#b3261e;stroke-width:2.5}
.told{stroke:#1c1c1c;stroke-width:1.5}.halo{stroke:#ffffff;stroke-width:3}
.fall{stroke:#b3261e;stroke-dasharray:4 3}.on{fill:#ffffff}
</style>"""


def svg_text(result: ScenarioResult) -> str:
    """The picture of a run, as SVG."""
    return _Picture(result).text()


class _Picture:
    """One picture, made from top to bottom."""

    def __init__(self, result: ScenarioResult) -> None:
        self._result = result
        self._samples = instants(result.trace)
        self._end_s = end_of(result.trace)
        self._parts: list[str] = []
        self._y = 0.0

    def text(self) -> str:
        specs = signals_of(self._result.plan.aircraft, self._result.plan.panel)
        self._head()
        self._axis()
        rows = self._y
        for name in _switch_names(specs):
            self._words(name, specs[name])
        for number, leg in enumerate(self._samples[0].view.legs if self._samples else ()):
            self._leg(number, leg.name)
        for name, colour in _lamp_colours(self._result.plan, self._samples).items():
            self._lamp(name, colour)
        self._horn()
        self._words("gear_command", specs["gear_command"])
        for name, spec in specs.items():
            if spec.form == "number" and not name.endswith(("_brightness", "_travel")):
                self._number(name, spec)
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
        return "\n".join([head, _STYLE, svg.PATTERNS, ground, *self._parts, "</svg>"]) + "\n"

    # -- places ---------------------------------------------------------------------------------

    def _x(self, time_s: float) -> float:
        return LEFT + (RIGHT - LEFT) * (time_s / self._end_s if self._end_s > 0.0 else 0.0)

    def _add(self, *parts: str) -> None:
        self._parts.extend(parts)

    def _label(self, name: str, height: float, after: str = "") -> None:
        """What a row shows; ``after`` stays whole, however long the name is."""
        room = LEFT - 16 - len(after) * svg.CHARACTER_PX
        self._add(svg.text(8, self._y + height / 2 + 4, svg.shortened(name, room) + after))

    # -- rows -----------------------------------------------------------------------------------

    def _head(self) -> None:
        plan, failed = self._result.plan, len(self._result.failures)
        verdict = f"FAILED ({failed})" if failed else "passed"
        room = WIDTH - 32 - len(verdict) * svg.TITLE_CHARACTER_PX
        title = svg.shortened(plan.title, room, svg.TITLE_CHARACTER_PX)
        self._add(svg.text(8, 22, title, kind="title"))
        self._add(svg.text(WIDTH - 8, 22, verdict, kind="title", anchor="end"))
        about = f"{plan.path}, {plan.aircraft.name}, {self._end_s:g} s of virtual time"
        about += f"; {plan.source}" if plan.source else ""
        self._add(svg.text(8, 40, svg.shortened(about, WIDTH - 16), kind="quiet"))
        self._y = 52.0

    def _axis(self) -> None:
        for time_s in self._ticks():
            words = f"{time_s:g}"
            self._add(svg.text(self._x(time_s), self._y + 12, words, anchor="middle"))
        self._add(svg.text(8, self._y + 12, "time, s", kind="quiet"))
        self._y += 20.0

    def _ticks(self) -> list[float]:
        step_s = next(
            (s for s in _STEPS_S if self._end_s / s <= _MOST_TICKS), self._end_s / 10 or 1
        )
        return [number * step_s for number in range(int(self._end_s / step_s + 1e-6) + 1)]

    def _grid(self, rows: float) -> None:
        lines = [svg.line(self._x(t), rows - 4, self._x(t), self._y) for t in self._ticks()]
        # A bright line under the dashed one: it is seen on bars of its own colour too.
        falls = [
            svg.line(self._x(f.time_s), rows - 4, self._x(f.time_s), self._y, kind=kind)
            for f in self._result.failures
            for kind in ("halo", "fall")
        ]
        self._parts[:0] = lines
        self._add(*falls)

    def _words(self, name: str, spec: SignalSpec) -> None:
        """A row of bars with the words in them; left out when it never changed."""
        tracks = spans(self._samples, self._end_s, spec.read)
        if len(tracks) < 2:
            return
        self._label(name, _ROW)
        for span in tracks:
            words = _word(span.value)
            x, width = self._x(span.start_s), self._x(span.end_s) - self._x(span.start_s)
            fill = "#ffffff" if words in _REST else "#d8dde6"
            self._add(svg.bar(x, self._y + 3, width, _ROW - 6, fill, name=f"{name} {words}"))
            if len(words) * svg.CHARACTER_PX + 6 <= width:
                self._add(svg.text(x + 4, self._y + _ROW / 2 + 4, words))
        self._y += _ROW

    def _leg(self, number: int, name: str) -> None:
        """Up-locked on top, down-locked at the bottom, its way between."""
        points: list[tuple[float, float]] = []
        for sample in self._samples:
            travel = sample.view.legs[number].travel_fraction
            if travel is not None:
                y = self._y + 6 + (_TALL - 12) * travel
                points.append((self._x(sample.time_s), y))
        if not points:
            return
        self._label(f"{name} leg", _TALL)
        self._add(svg.text(LEFT - 6, self._y + 11, "up", kind="quiet", anchor="end"))
        self._add(svg.text(LEFT - 6, self._y + _TALL - 3, "down", kind="quiet", anchor="end"))
        self._add(svg.graph([*points, (self._x(self._end_s), points[-1][1])]))
        self._y += _TALL

    def _lamp(self, name: str, colour: str) -> None:
        """A bar while it is lit, as it really shines; lower when it is dimmed."""
        self._label(name, _ROW, f" ({colour})")
        for span in spans(self._samples, self._end_s, lambda s: s.shown_lamps.get(name, 0)):
            if not span.value:
                continue
            height = (_ROW - 6) * (0.4 + 0.6 * span.value / 255)
            x, width = self._x(span.start_s), self._x(span.end_s) - self._x(span.start_s)
            y = self._y + _ROW - 3 - height
            self._add(svg.bar(x, y, width, height, f"url(#{colour})", name=f"{name} {span.value}"))
        self._y += _ROW

    def _horn(self) -> None:
        self._label("horn", _ROW)
        for span in spans(self._samples, self._end_s, lambda s: s.outputs.horn.value):
            if span.value == "silent":
                continue
            x, width = self._x(span.start_s), self._x(span.end_s) - self._x(span.start_s)
            fill = f"url(#{span.value})"
            self._add(svg.bar(x, self._y + 3, width, _ROW - 6, fill, name=f"horn {span.value}"))
        self._y += _ROW

    def _number(self, name: str, spec: SignalSpec) -> None:
        """A graph of a value that changed."""
        read: Callable[[Sample], Value] = spec.read
        values = [(s.time_s, v) for s in self._samples if isinstance(v := read(s), (int, float))]
        low = min((v for _, v in values), default=0.0)
        high = max((v for _, v in values), default=0.0)
        if high - low <= 0:
            return
        self._label(name, _TALL, f", {spec.unit}" if spec.unit else "")
        self._add(svg.text(LEFT - 6, self._y + 11, f"{high:g}", kind="quiet", anchor="end"))
        self._add(svg.text(LEFT - 6, self._y + _TALL - 3, f"{low:g}", kind="quiet", anchor="end"))
        scale = (_TALL - 12) / (high - low)
        points: list[tuple[float, float]] = []
        before_s = 0.0
        for time_s, value in values:
            # Only a ramp is straight between its samples; what was set jumps.
            if points and time_s - before_s > _RAMP_GAP_S:
                points.append((self._x(time_s), points[-1][1]))
            points.append((self._x(time_s), self._y + 6 + (high - value) * scale))
            before_s = time_s
        self._add(svg.graph([*points, (self._x(self._end_s), points[-1][1])]))
        self._y += _TALL

    def _marks(self) -> None:
        """Events and expectations; those that would cover each other stand in lanes."""
        told = self._result.trace.events
        self._label("events", _ROW)
        xs = [self._x(one.time_s) for one in told]
        in_lanes = svg.lanes(xs, _TOLD_GAP, _MOST_LANES)
        for x, lane, one in zip(xs, in_lanes, told, strict=True):
            y = self._y + 5 + lane * _TOLD_LANE
            self._add(svg.line(x, y, x, y + 8, kind="told", name=f"{one.time_s:.3f} s {one.text}"))
        self._y += _ROW + max(in_lanes, default=0) * _TOLD_LANE
        marks = [mark for mark in self._result.trace.marks if mark.passed or mark.failed]
        self._label("expectations", _ROW)
        xs = [self._x(mark.time_s) for mark in marks]
        in_lanes = svg.lanes(xs, _MARK_GAP, _MOST_LANES)
        for x, lane, mark in zip(xs, in_lanes, marks, strict=True):
            y = self._y + _ROW - 5 + lane * _MARK_LANE
            self._add(svg.cross(x, y) if mark.failed else svg.tick(x, y))
        self._y += _ROW + max(in_lanes, default=0) * _MARK_LANE


def _word(value: Value) -> str:
    if value is None:
        return "unknown"
    if isinstance(value, bool):
        return "true" if value else "false"
    return f"{value:g}" if isinstance(value, (int, float)) else value


def _switch_names(specs: Mapping[str, SignalSpec]) -> list[str]:
    switches = [n for n, spec in specs.items() if spec.group == "switch" and spec.form == "word"]
    return [*switches, "on_ground"]


def _lamp_colours(plan: ScenarioPlan, samples: Sequence[Sample]) -> dict[str, str]:
    """Colour of each lamp that was lit: the panel's, else the end of its name, else white."""
    lit = {name: 0 for sample in samples for name, bright in sample.shown_lamps.items() if bright}
    colours = {}
    for name in lit:
        entry = plan.panel.lamps.get(name) if plan.panel is not None else None
        end = name.rpartition("_")[2]
        colours[name] = entry.colour if entry else end if end in _COLOURS else "white"
    return colours
