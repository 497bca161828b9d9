"""The legs: one row a leg, with its way, its state, its own lamps and its squat switch.

A leg's lamps stand in the leg's row, so that a look along the row tells whether the lamp says what
the leg does.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from panelbridge.dashboard.lamps import LampPlan
from panelbridge.dashboard.pieces import Line, Look, Piece, fit, heading, row
from panelbridge.dashboard.words import CONTRADICTORY, LEG_WORDS, lock_sign, yes_no
from panelbridge.signals import LegView, Outputs


@dataclass(frozen=True, slots=True)
class LegColumns:
    """Widths of the columns in cells; a column of no width is left out.

    Attributes:
        name: the leg's name.
        track: its way from the up-lock (left) to the down-lock (right).
        percent: how far it is down.
        state: its state, of the words in the place ``words``.
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


WIDE = LegColumns(name=12, track=30, percent=8, state=22, words=0, lamp=14, squat=10)
NORMAL = LegColumns(name=7, track=20, percent=0, state=20, words=0, lamp=11, squat=9)
NARROW = LegColumns(name=7, track=12, percent=0, state=14, words=1, lamp=7, squat=8)
COMPACT = LegColumns(name=7, track=0, percent=0, state=14, words=1, lamp=7, squat=0)
_LEAST_TRACK = 10
"""A shorter way is left out."""
SMALL = LegColumns(name=7, track=0, percent=0, state=9, words=2, lamp=2, squat=0)


def columns_for(width: int) -> LegColumns:
    """The columns that fit into ``width`` cells."""
    if width >= 112:
        return WIDE
    if width >= 80:
        return NORMAL
    if width >= 56:
        return NARROW
    return COMPACT if width >= 36 else SMALL


def with_names(columns: LegColumns, names: Sequence[str], lamps: int, width: int) -> LegColumns:
    """``columns`` with room for long names, which is taken from the way of the legs.

    Args:
        columns: as they are for short names.
        names: of the legs.
        lamps: how many columns of lamps there are.
        width: of the rows.
    """
    c = columns
    name = max((len(name) + 2 for name in names), default=0)
    more = name - c.name
    if more <= 0:
        return c
    if c.track - more >= _LEAST_TRACK:
        return replace(c, name=name, track=c.track - more)
    free = width - (c.name + c.percent + c.state + lamps * c.lamp + c.squat)
    return replace(c, name=c.name + min(more, max(free, 0)), track=0)


def track(leg: LegView, width: int) -> str:
    """The way of a leg: lock signs at its ends, a block where the leg is.

    ``●█──────○`` is locked up, ``○───█────○`` on its way, ``○──────█●`` locked down.
    """
    way = max(width - 2, 1)
    line = ["─"] * way
    if leg.travel_fraction is not None:
        line[round(min(max(leg.travel_fraction, 0.0), 1.0) * (way - 1))] = "█"
    up, down = lock_sign(leg.locks.up_locked), lock_sign(leg.locks.down_locked)
    return f"{up}{''.join(line)}{down}"


def leg_heading(lamps: LampPlan, columns: LegColumns, width: int) -> Line:
    """Names of the columns."""
    c = columns
    columns_used = [("Leg", c.name)]
    if c.track:
        ends = ("Up-lock", "Down-lock") if c.track >= 20 else ("Up", "Down")
        up = len(ends[0]) + 1
        columns_used += [(ends[0], up), (ends[1], up + 2 - c.track), ("", 2)]
    if c.percent:
        columns_used.append(("Down", c.percent))
    columns_used.append(("State", c.state))
    for end in lamps.leg_columns:
        name = end.capitalize() if c.lamp > 2 else end[:1].upper()
        columns_used.append((name, c.lamp))
    if c.squat:
        columns_used.append(("Squat", c.squat))
    return heading(columns_used, width)


def leg_row(leg: LegView, outputs: Outputs, lamps: LampPlan, columns: LegColumns) -> list[Piece]:
    """One leg."""
    c = columns
    sign, *words, look = LEG_WORDS[leg.state]
    if leg.locks.contradictory:
        sign, words, look = CONTRADICTORY
    line = [Piece(fit(f" {leg.name}", c.name), Look.STRONG)]
    if c.track:
        line += [Piece(track(leg, c.track - 2), look), Piece("  ")]
    if c.percent:
        travel = leg.travel_fraction
        line.append(Piece(fit("?" if travel is None else f"{travel:4.0%}", c.percent)))
    line.append(Piece(fit(f"{sign} {words[c.words]}", c.state), look))
    for end in lamps.leg_columns:
        line += [lamps.cell(f"{leg.name}_{end}", outputs, c.lamp - 1), Piece(" ")]
    if c.squat:
        line.append(yes_no(leg.strut_compressed, "weight", "free", c.squat))
    return line


def leg_block(
    legs: tuple[LegView, ...], outputs: Outputs, lamps: LampPlan, width: int, *, titled: bool
) -> list[Line]:
    """The heading, when it is wanted, and a row a leg."""
    names = [leg.name for leg in legs]
    columns = with_names(columns_for(width), names, len(lamps.leg_columns), width)
    lines = [leg_heading(lamps, columns, width)] if titled else []
    if not legs:
        lines.append(row([Piece(" no legs known yet", Look.QUIET)], width))
    lines += [row(leg_row(leg, outputs, lamps, columns), width) for leg in legs]
    return lines
