"""The legs as the panel has them: each with its name, its lamps and its travel, and the handle."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from panelbridge.dashboard.blocks.lamp_cells import LampLayout, label_of
from panelbridge.dashboard.blocks.one_leg import SMALL_LEG, large_leg, small_leg
from panelbridge.dashboard.blocks.status_banners import HANDLE_LAMP
from panelbridge.dashboard.blocks.tiles import (
    centred,
    legend_row,
    lit_ground,
    rows_of,
    shown_lamp,
)
from panelbridge.dashboard.text.big_letters import big_text
from panelbridge.dashboard.text.lines import (
    ClickTarget,
    Line,
    TextSpan,
    TextStyle,
    blank,
    fit,
    row,
)
from panelbridge.dashboard.text.state_words import (
    DOWN,
    HANDLE_WORDS,
    LAMP_SIGNS,
    OFF,
    UNKNOWN,
    UP,
)
from panelbridge.engine.snapshot import Snapshot
from panelbridge.signals import HandleContacts, LegView

HANDLE = "gear_handle"
_SMALL_HANDLE, _LARGE_HANDLE = 7, 12


class LegArea(Struct, frozen=True):
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
        width = self.width
        lines: list[Line] = []
        for cells in self.rows:
            if lines:
                lines.append(blank(width))
            shown = [name for name in cells if name in legs or name == HANDLE]
            lines += self._row(shown, legs, width)
        return lines

    def _row(self, cells: Sequence[str], legs: dict[str, LegView], width: int) -> list[Line]:
        names = [name for name in cells if name != HANDLE]
        drawn = [self._leg(legs[name]) for name in names]
        middle = rows_of(drawn, [self.leg_width] * len(drawn)) if drawn else []
        inner = max(len(drawn) * (self.leg_width + 1) - 1, 0)
        left = max((width - inner) // 2, 0)
        lines = [[TextSpan(" " * left), *line] for line in middle]
        if HANDLE not in cells:
            return [row(line, width) for line in lines]
        handle = self._handle()
        if not lines:
            return [row(line, width) for line in handle]
        first = cells[0] == HANDLE
        room = max(width - inner - self.handle_width - 1, 0)
        left = max(left, self.handle_width + 1) if first else min(left, room)
        done: list[Line] = []
        for at in range(max(len(handle), len(middle))):
            one = handle[at] if at < len(handle) else blank(self.handle_width)
            other = middle[at] if at < len(middle) else blank(inner)
            if first:
                line = [*one, TextSpan(" " * (left - self.handle_width)), *other]
            else:
                gap = width - left - inner - self.handle_width
                line = [TextSpan(" " * left), *other, TextSpan(" " * gap), *one]
            done.append(row(line, width))
        return done

    def _leg(self, leg: LegView) -> Sequence[Line]:
        lamps, outputs = self.lamps, self.snapshot.outputs
        looks = [lamps.looks.get(f"{leg.name}_{end}") for end in lamps.leg_columns]
        shown = [shown_lamp(look, lamps, outputs) for look in looks if look is not None]
        # Beside each other in a leg, colours are not needed to tell them apart.
        plain = [one._replace(legend=label_of(one.look)) for one in shown]
        if self.large:
            return large_leg(leg, tuple(plain), self.leg_width, self.height)
        return small_leg(leg, tuple(plain))

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
