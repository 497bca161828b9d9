"""The legs: a row each, with travel, state, its own lamps and its squat switch.

A leg's lamps are in its row, so that one glance compares them with the leg.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from panelbridge.dashboard.blocks.lamp_cells import LampLayout
from panelbridge.dashboard.text.lines import (
    Line,
    TextSpan,
    TextStyle,
    fit,
    heading,
    quiet_row,
    row,
    words_of_name,
)
from panelbridge.dashboard.text.state_words import leg_words, lock_sign, yes_no_span
from panelbridge.signals import LegView, Outputs


class LegColumns(Struct, frozen=True):
    """Widths of the columns in cells; a column of width 0 is left out.

    Attributes:
        name: the leg's name.
        track: its travel from the up-lock (left) to the down-lock (right).
        percent: how far it is down.
        state: its state, in the words number ``words``.
        words: 0 the long words, 1 the short ones, 2 the shortest.
        lamp: each of its lamps.
        squat: its squat switch.
    """

    name: int
    track: int
    percent: int
    state: int
    words: int
    lamp: int
    squat: int


_BY_WIDTH = (
    (112, LegColumns(name=12, track=30, percent=8, state=22, words=0, lamp=14, squat=10)),
    (80, LegColumns(name=7, track=20, percent=0, state=20, words=0, lamp=11, squat=9)),
    (56, LegColumns(name=7, track=12, percent=0, state=14, words=1, lamp=7, squat=8)),
    (36, LegColumns(name=7, track=0, percent=0, state=14, words=1, lamp=7, squat=0)),
    (0, LegColumns(name=7, track=0, percent=0, state=9, words=2, lamp=2, squat=0)),
)
"""The columns for screens of at least each width."""
_LEAST_TRACK = 10
"""A shorter track is left out."""


def columns_for(names: Sequence[str], lamps: int, width: int) -> LegColumns:
    """The columns that fit into ``width`` cells; long names take their room from the track.

    Args:
        names: of the legs.
        lamps: number of lamp columns.
        width: of the rows.
    """
    c = next(columns for least, columns in _BY_WIDTH if width >= least)
    name = max((len(name) + 2 for name in names), default=0)
    more = name - c.name
    if more <= 0:
        return c
    if c.track - more >= _LEAST_TRACK:
        return replace(c, name=name, track=c.track - more)
    free = width - (c.name + c.percent + c.state + lamps * c.lamp + c.squat)
    return replace(c, name=c.name + min(more, max(free, 0)), track=0)


def track(leg: LegView, width: int) -> str:
    """The travel of a leg: lock signs at its ends, a block where the leg is.

    ``●█──────○`` is locked up, ``○───█────○`` in transit, ``○──────█●`` locked down.
    """
    way = max(width - 2, 1)
    line = ["─"] * way
    if leg.travel_fraction is not None:
        line[round(min(max(leg.travel_fraction, 0.0), 1.0) * (way - 1))] = "█"
    up, down = lock_sign(leg.locks.up_locked), lock_sign(leg.locks.down_locked)
    return f"{up}{''.join(line)}{down}"


def _leg_heading(lamps: LampLayout, c: LegColumns, width: int) -> Line:
    columns = [("Leg", c.name)]
    if c.track:
        ends = ("Up-lock", "Down-lock") if c.track >= 20 else ("Up", "Down")
        up = len(ends[0]) + 1
        columns += [(ends[0], up), (ends[1], up + 2 - c.track), ("", 2)]
    if c.percent:
        columns.append(("Down", c.percent))
    columns.append(("State", c.state))
    for end in lamps.leg_columns:
        columns.append((end.capitalize() if c.lamp > 2 else end[:1].upper(), c.lamp))
    if c.squat:
        columns.append(("Squat", c.squat))
    return heading(columns, width)


def _leg_row(leg: LegView, outputs: Outputs, lamps: LampLayout, c: LegColumns) -> list[TextSpan]:
    sign, *words, style = leg_words(leg)
    line = [TextSpan(fit(f" {words_of_name(leg.name)}", c.name), TextStyle.STRONG)]
    if c.track:
        line += [TextSpan(track(leg, c.track - 2), style), TextSpan("  ")]
    if c.percent:
        travel = leg.travel_fraction
        line.append(TextSpan(fit("?" if travel is None else f"{travel:4.0%}", c.percent)))
    line.append(TextSpan(fit(f"{sign} {words[c.words]}", c.state), style))
    for end in lamps.leg_columns:
        line += [lamps.cell(f"{leg.name}_{end}", outputs, c.lamp - 1), TextSpan(" ")]
    if c.squat:
        line.append(yes_no_span(leg.strut_compressed, "ground", "air", c.squat))
    return line


def leg_block(
    legs: tuple[LegView, ...], outputs: Outputs, lamps: LampLayout, width: int, *, titled: bool
) -> list[Line]:
    """A row per leg, under a heading if ``titled``."""
    columns = columns_for([leg.name for leg in legs], len(lamps.leg_columns), width)
    lines = [_leg_heading(lamps, columns, width)] if titled else []
    if not legs:
        lines.append(quiet_row("no leg data yet", width))
    return lines + [row(_leg_row(leg, outputs, lamps, columns), width) for leg in legs]
