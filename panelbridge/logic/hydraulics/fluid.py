"""Where the fluid is: accumulator, reservoir, lost; straight lines of time between marks.

While nothing changes, every flow is constant, so each volume is a straight line of time and the
instant at which it reaches a mark is known in advance. There the volume is put on the mark to the
last digit, and between two marks it never is on either: rounding plays no part. A line stays the
same object while its rate does.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from math import inf, nextafter

from msgspec import Struct
from msgspec.structs import replace

from panelbridge.logic.kit.curves import Line

PRIMING_FRACTION = 0.01
"""A pump that drew air delivers again when this much of the fluid is back in the reservoir."""


class Flows(Struct, frozen=True):
    """What flows, litres a second.

    Attributes:
        compensated: what supplies can give that hold the nominal volume and give no more.
        constant: what a pump gives without regard to pressure.
        returned: what goes from the pressure line back to the reservoir.
        lost: what leaves the aircraft.
        stored: what goes from the pressure line into the brake accumulator.
    """

    compensated: float = 0.0
    constant: float = 0.0
    returned: float = 0.0
    lost: float = 0.0
    stored: float = 0.0


class Volume(Struct, frozen=True):
    """A volume of fluid as a function of time, and the mark that it reaches next.

    Attributes:
        line: litres as a function of time.
        last_l: where it was at the last mark, bend or jump, litres.
        mark_l: the next mark, litres.
        mark_s: when it is there, s; inf = never.
    """

    line: Line
    last_l: float
    mark_l: float = 0.0
    mark_s: float = inf

    def at(self, now_s: float) -> float:
        """Litres at ``now_s``, which must not be beyond the next mark."""
        if now_s >= self.mark_s:
            return self.mark_l
        volume_l, rate = self.line.at(now_s), self.line.rate
        if rate > 0.0:
            return min(max(volume_l, self.last_l), nextafter(self.mark_l, -inf))
        return max(min(volume_l, self.last_l), nextafter(self.mark_l, inf)) if rate else volume_l

    def going(self, now_s: float, rate: float, marks: list[float]) -> Volume:
        """From ``now_s`` on at a rate; itself while that is its rate and the mark is ahead."""
        line = self.line
        if rate == line.rate and now_s < self.mark_s:
            return self
        here_l = self.at(now_s)
        if rate != line.rate:
            line = replace(line, since_s=now_s, start=here_l, rate=rate)
        if not rate:
            return Volume(line, here_l)
        place = bisect_right(marks, here_l) if rate > 0.0 else bisect_left(marks, here_l) - 1
        mark_l = marks[place] if 0 <= place < len(marks) else inf if rate > 0.0 else -inf
        return Volume(line, here_l, mark_l, line.since_s + (mark_l - line.start) / rate)

    def put(self, now_s: float, volume_l: float) -> Volume:
        """It is so much at once, litres, and stays so until it is going again."""
        line = replace(self.line, since_s=now_s, start=volume_l, rate=0.0)
        return Volume(line, volume_l)


class Fluid(Struct, frozen=True):
    """The fluid of one system; the sum never changes.

    Attributes:
        accumulator: in the accumulator.
        reservoir: in the reservoir.
        lost_l: what has left the aircraft, litres, as a function of time.
        held_l: in the brakes and their accumulator, litres, as a function of time.
        is_empty: the pumps draw air: the reservoir ran dry and is not filled again.
    """

    accumulator: Volume
    reservoir: Volume
    lost_l: Line
    held_l: Line = Line()
    is_empty: bool = False

    @property
    def mark_s(self) -> float:
        """When the next mark is reached, s."""
        return min(self.accumulator.mark_s, self.reservoir.mark_s)


class Plumbing:
    """What is the same for the fluid of a system at all times.

    Args:
        total_l: all of it, litres.
        nominal_l: accumulator volume that compensated supplies hold, litres.
        relief_l: accumulator volume at which the relief valve opens, litres.
        accumulator_marks: further volumes in the accumulator that matter, litres.
        reservoir_marks: quantities in the reservoir that matter, litres.
    """

    def __init__(
        self,
        *,
        total_l: float,
        nominal_l: float,
        relief_l: float,
        accumulator_marks: Iterable[float],
        reservoir_marks: Iterable[float],
    ) -> None:
        self._total_l, self._nominal_l, self._relief_l = total_l, nominal_l, relief_l
        self._primed_l = total_l * PRIMING_FRACTION
        self._up_marks = sorted({0.0, nominal_l, relief_l, *accumulator_marks})
        self._down_marks = sorted({0.0, self._primed_l, *reservoir_marks})

    def at_rest(self) -> Fluid:
        """All fluid in the reservoir."""
        total_l = self._total_l
        return Fluid(
            Volume(Line(low=0.0, high=self._relief_l), 0.0),
            Volume(Line(start=total_l, low=0.0, high=total_l), total_l),
            Line(low=0.0, high=total_l),
        )

    def reached(self, fluid: Fluid, now_s: float) -> Fluid:
        """The same fluid, with whether the pumps draw air by what is in the reservoir now."""
        reservoir_l = fluid.reservoir.at(now_s)
        is_empty = reservoir_l <= 0.0 or (fluid.is_empty and reservoir_l < self._primed_l)
        return fluid if is_empty is fluid.is_empty else replace(fluid, is_empty=is_empty)

    def flowing(self, fluid: Fluid, now_s: float, flows: Flows) -> Fluid:
        """From ``now_s``, which must not be beyond the next mark, these flows; itself if none new.

        A pump that draws air gives nothing, whatever ``flows`` says.
        """
        in_l, lost, stored = fluid.accumulator.at(now_s), flows.lost, flows.stored
        out = flows.returned + lost + stored
        constant = 0.0 if fluid.is_empty else flows.constant
        given = constant + (0.0 if fluid.is_empty else flows.compensated)
        if in_l > self._nominal_l:
            given = constant
        elif in_l == self._nominal_l and given > out:
            # Compensated supplies give what is taken: nothing moves, to the last digit.
            given = max(constant, out)
        if in_l <= 0.0 and given < out:
            # Nothing is stored: no more goes out than comes in, each its share.
            lost *= given / out
            stored *= given / out
            out = given
        rate = given - out
        if in_l >= self._relief_l and rate > 0.0:
            rate = 0.0
        accumulator = fluid.accumulator.going(now_s, rate, self._up_marks)
        reservoir = fluid.reservoir.going(now_s, -rate - lost - stored, self._down_marks)
        lost_l, held_l = fluid.lost_l.bent(now_s, lost), fluid.held_l.bent(now_s, stored)
        after = Fluid(accumulator, reservoir, lost_l, held_l, fluid.is_empty)
        return fluid if after == fluid else after

    def filled(self, fluid: Fluid, now_s: float) -> Fluid:
        """The accumulator at the nominal volume at once, unless it holds more."""
        in_l, reservoir_l = fluid.accumulator.at(now_s), fluid.reservoir.at(now_s)
        missing_l = min(self._nominal_l - in_l, reservoir_l)
        if missing_l <= 0.0:
            return fluid
        return replace(
            fluid,
            accumulator=fluid.accumulator.put(now_s, in_l + missing_l),
            reservoir=fluid.reservoir.put(now_s, reservoir_l - missing_l),
        )

    def braked(self, fluid: Fluid, now_s: float, drawn_l: float, returned_l: float) -> Fluid:
        """The brakes took so much from the pressure line, and gave so much to the reservoir."""
        held_l = fluid.held_l
        start_l = held_l.at(now_s) + drawn_l - returned_l
        return replace(
            fluid,
            accumulator=fluid.accumulator.put(now_s, fluid.accumulator.at(now_s) - drawn_l),
            reservoir=fluid.reservoir.put(now_s, fluid.reservoir.at(now_s) + returned_l),
            held_l=replace(held_l, since_s=now_s, start=start_l),
        )

    def refilled(self, fluid: Fluid, now_s: float) -> Fluid:
        """All that was lost is put back at once."""
        inside_l = fluid.accumulator.at(now_s) + fluid.held_l.at(now_s)
        reservoir = fluid.reservoir.put(now_s, self._total_l - inside_l)
        return replace(
            fluid, reservoir=reservoir, lost_l=replace(fluid.lost_l, start=0.0, rate=0.0)
        )
