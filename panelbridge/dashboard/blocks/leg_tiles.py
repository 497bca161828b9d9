"""The legs as the panel has them: each with its name, its lamps and its travel, and the handle."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from panelbridge.dashboard.blocks.lamp_cells import LampLayout
from panelbridge.dashboard.blocks.status_banners import HANDLE_LAMP
from panelbridge.dashboard.blocks.tiles import (
    centred,
    dark_tile,
    legend_row,
    lit_ground,
    lit_tile,
    rows_of,
)
from panelbridge.dashboard.blocks.verdict import MOVING
from panelbridge.dashboard.interfaces import LampLook
from panelbridge.dashboard.text.big_letters import big_rows, big_text, big_width
from panelbridge.dashboard.text.lines import (
    ClickTarget,
    Line,
    TextSpan,
    TextStyle,
    asking,
    blank,
    fit,
    fit_right,
    row,
    words_of_name,
)
from panelbridge.dashboard.text.state_words import (
    DOWN,
    HANDLE_WORDS,
    LAMP_SIGNS,
    OFF,
    UNKNOWN,
    UP,
    leg_words,
)
from panelbridge.engine.snapshot import Snapshot
from panelbridge.signals import HandleContacts, LegView

HANDLE = "gear_handle"
SMALL_LEG, LARGE_LEG, HUGE_LEG = 13, 25, 37
"""Cells of a leg: one tile, or two lamps beside each other."""
_SMALL_HANDLE, _LARGE_HANDLE = 7, 12
_STATE_STYLES = {TextStyle.TEXT: TextStyle.QUIET, TextStyle.GOOD: TextStyle.QUIET}
"""What is normal is quiet here: the lamps say it."""


@dataclass(frozen=True, slots=True)
class LegArea:
    """What the legs are drawn from.

    Attributes:
        snapshot: to show.
        lamps: of the panel.
        rows: of the panel: names of legs, and ``gear_handle``.
        handle: what a click on the handle does; None for a real panel.
        leg_width: cells of a leg: ``SMALL_LEG``, or its lamps beside each other in a larger one.
        height: rows of one leg.
    """

    snapshot: Snapshot
    lamps: LampLayout
    rows: Sequence[Sequence[str]]
    handle: ClickTarget | None
    leg_width: int
    height: int

    @property
    def large(self) -> bool:
        """Each leg has its lamps beside each other, with the travel below."""
        return self.leg_width > SMALL_LEG

    @property
    def width(self) -> int:
        """Cells of the whole area."""
        return max((self._row_width(cells) for cells in self.rows), default=0)

    def _row_width(self, cells: Sequence[str]) -> int:
        legs = [name for name in cells if name != HANDLE]
        width = len(legs) * (self.leg_width + 1) - 1
        if HANDLE not in cells:
            return width
        # The legs stay in the middle of the area: the handle needs its room on one side of them.
        return max(width, 0) + self.handle_width + 1

    @property
    def handle_width(self) -> int:
        """Cells of the handle."""
        return _LARGE_HANDLE if self.large else _SMALL_HANDLE

    def draw(self) -> list[Line]:
        """Every row of legs, with an empty line between two of them."""
        legs = {leg.name: leg for leg in self.snapshot.logic.legs}
        lines: list[Line] = []
        for cells in self.rows:
            if lines:
                lines.append(blank(self.width))
            lines += self._row([name for name in cells if name in legs or name == HANDLE], legs)
        return lines

    def _row(self, cells: Sequence[str], legs: dict[str, LegView]) -> list[Line]:
        names = [name for name in cells if name != HANDLE]
        drawn = [self._leg(legs[name]) for name in names]
        middle = rows_of(drawn, [self.leg_width] * len(drawn)) if drawn else []
        inner = max(len(drawn) * (self.leg_width + 1) - 1, 0)
        left = max((self.width - inner) // 2, 0)
        lines = [[TextSpan(" " * left), *line] for line in middle]
        if HANDLE not in cells:
            return [row(line, self.width) for line in lines]
        handle = self._handle()
        if not lines:
            return [row(line, self.width) for line in handle]
        first = cells[0] == HANDLE
        left = max(left, self.handle_width + 1) if first else min(left, self._room(inner))
        done: list[Line] = []
        for at in range(max(len(handle), len(middle))):
            one = handle[at] if at < len(handle) else blank(self.handle_width)
            other = middle[at] if at < len(middle) else blank(inner)
            if first:
                line = [*one, TextSpan(" " * (left - self.handle_width)), *other]
            else:
                gap = self.width - left - inner - self.handle_width
                line = [TextSpan(" " * left), *other, TextSpan(" " * gap), *one]
            done.append(row(line, self.width))
        return done

    def _room(self, inner: int) -> int:
        return max(self.width - inner - self.handle_width - 1, 0)

    # One leg

    def _leg(self, leg: LegView) -> list[Line]:
        looks = [self.lamps.looks.get(f"{leg.name}_{end}") for end in self.lamps.leg_columns]
        fitted = [look for look in looks if look is not None]
        lines = self._large_leg(leg, fitted) if self.large else self._small_leg(leg, fitted)
        return asking(lines, f"{leg.name}_leg")

    def _large_leg(self, leg: LegView, fitted: Sequence[LampLook]) -> list[Line]:
        sign, _, state, _, style = leg_words(leg)
        name = words_of_name(leg.name).upper()
        style = TextStyle.TEXT if leg.state in MOVING else _STATE_STYLES.get(style, style)
        room = self.leg_width - len(name) - 1
        title = row(
            [
                TextSpan(name + " ", TextStyle.STRONG),
                TextSpan(fit_right(f"{sign} {state}", room), style),
            ],
            self.leg_width,
        )
        height = self.height - 2
        each = (self.leg_width - len(fitted) + 1) // max(len(fitted), 1)
        cells: list[Sequence[Line]] = [
            asking(self._leg_lamp(look, leg, each, height), look.name) for look in fitted
        ]
        if not cells:
            cells, each = [dark_tile(f"{sign} {state}", self.leg_width, height)], self.leg_width
        return [title, *rows_of(cells, [each] * len(cells)), _travel(leg, self.leg_width)]

    def _leg_lamp(self, look: LampLook, leg: LegView, width: int, rows: int) -> Sequence[Line]:
        outputs = self.snapshot.outputs
        known = self.lamps.is_known(look, outputs)
        brightness = outputs.lamps.get(look.name, 0) if known else 0
        legend = self.lamps.label(look) if look.name not in self.lamps.alike else look.label
        if not brightness:
            return dark_tile(legend, width, rows, known=known)
        words = _large_words(look, leg)
        if big_rows() + 1 > rows or big_width(words) > width - 2:
            return lit_tile(look, legend, brightness, width, rows)
        return lit_tile(look, legend, brightness, width, rows, big_text(words))

    def _small_leg(self, leg: LegView, fitted: Sequence[LampLook]) -> list[Line]:
        _, _, state, _, _ = leg_words(leg)
        outputs, name = self.snapshot.outputs, words_of_name(leg.name).upper()
        lit = [look for look in fitted if self.lamps.is_lit(look, outputs)]
        known = all(self.lamps.is_known(look, outputs) for look in fitted)
        texts = [name, state, _percent_text(leg)]
        if not lit:
            return _small_dark(texts, known=known)
        # With both lit (a lamp test) the tile has both colours.
        lines: list[Line] = []
        for at, text in enumerate(texts):
            look = lit[min(at, len(lit) - 1)]
            sign = LAMP_SIGNS[look.colour] if at < len(lit) else ""
            level = "end" if at == len(texts) - 1 else "lit"
            lines.append((TextSpan(_signed(sign, text), TextStyle(f"{level}_{look.colour}")),))
        return lines

    # The handle

    def _handle(self) -> list[Line]:
        snapshot, width = self.snapshot, self.handle_width
        contacts = snapshot.switches.get(HANDLE) or HandleContacts.UNKNOWN
        sign, word, _ = HANDLE_WORDS[contacts]
        arrow = {UP: UP, DOWN: DOWN}.get(sign, "?" if sign == UNKNOWN else "-")
        look = self.lamps.looks.get(HANDLE_LAMP)
        outputs = snapshot.outputs
        lit = look is not None and self.lamps.is_lit(look, outputs)
        ground, end = TextStyle.STRONG, TextStyle.QUIET
        state = word
        if lit and look is not None:
            brightness = outputs.lamps[look.name]
            ground, end = TextStyle(f"lit_{look.colour}"), TextStyle(f"end_{look.colour}")
            state = f"{LAMP_SIGNS[look.colour]} {word}" if self.large else word
            if self.large:
                return self._large_handle(arrow, state, ground, lit_ground("red", brightness), end)
        if self.large:
            return self._large_handle(arrow, state, ground, TextStyle.TEXT, end)
        texts = big_text(arrow)
        return [(TextSpan(centred(text, width), ground, self.handle),) for text in texts]

    def _large_handle(
        self, arrow: str, state: str, letters: TextStyle, ground: TextStyle, end: TextStyle
    ) -> list[Line]:
        width, height = _LARGE_HANDLE, self.height - 2
        title = (TextSpan(fit("HANDLE", width), TextStyle.STRONG),)
        texts = big_text(arrow)
        top = legend_row(len(texts), height)
        lines: list[Line] = [title]
        for at in range(height - 1):
            inside = top <= at < top + len(texts)
            text = centred(texts[at - top], width) if inside else " " * width
            lines.append((TextSpan(text, letters if inside else ground, self.handle),))
        lines.append((TextSpan(centred(state, width), end, self.handle),))
        return [*lines, self._lock_line(width)]

    def _lock_line(self, width: int) -> Line:
        lock = self.snapshot.outputs.solenoids.get("handle_lock")
        text = "" if lock is None else "● locked" if lock else f"{OFF} lock free"
        return (TextSpan(fit(text, width), TextStyle.QUIET),)


def _signed(sign: str, text: str) -> str:
    """``text`` where it stands in a dark tile, with a sign before it."""
    middle = centred(text, SMALL_LEG)
    start = len(middle) - len(middle.lstrip())
    at = max(start - 2, 0)
    return f"{middle[:at]}{sign}{middle[at + 1 :]}" if sign and start else middle


def _large_words(look: LampLook, leg: LegView) -> str:
    """Inside a lit lamp: where the leg is, so that green and red differ without colour."""
    if look.colour == "green":
        return "DN"
    travel = leg.travel_fraction
    return "?" if travel is None else f"{travel * 100:.0f}"


def _percent_text(leg: LegView) -> str:
    return UNKNOWN if leg.travel_fraction is None else f"{leg.travel_fraction:.0%}"


def _travel(leg: LegView, width: int) -> Line:
    """How far a leg is: a mark on a line from up to down."""
    percent = fit_right(_percent_text(leg), 6)
    way = width - len(percent)
    if leg.travel_fraction is None:
        return row([TextSpan("·" * way + percent, TextStyle.QUIET)], width)
    at = round(min(max(leg.travel_fraction, 0.0), 1.0) * (way - 1))
    return row(
        [
            TextSpan("─" * at, TextStyle.EDGE),
            TextSpan("█", TextStyle.QUIET),
            TextSpan("─" * (way - 1 - at), TextStyle.EDGE),
            TextSpan(percent, TextStyle.QUIET),
        ],
        width,
    )


def _small_dark(texts: Sequence[str], *, known: bool) -> list[Line]:
    ends = "│" if known else ":"
    lines: list[Line] = []
    for at, text in enumerate(texts):
        style = TextStyle.TEXT if at == 0 else TextStyle.QUIET
        if at == len(texts) - 1 and not known:
            text = f"{text} {UNKNOWN}"  # noqa: PLW2901
        lines.append(
            (
                TextSpan(ends, TextStyle.EDGE),
                TextSpan(centred(text, SMALL_LEG - 2), style),
                TextSpan(ends, TextStyle.EDGE),
            )
        )
    return lines
