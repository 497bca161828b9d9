"""A part that moves evenly between two ends, 0 and 1.

Nothing is added up tick by tick: where it is follows from when it set off.
"""

from __future__ import annotations

from panelbridge.logic.kit.curves import Line

AT_0, AT_1 = Line(start=0.0), Line(start=1.0)


def set_off(travel: Line, now_s: float, end: float, full_s: float) -> tuple[Line, float]:
    """Towards an end from where it is: its travel, and when it arrives, s.

    Args:
        travel: its travel until now.
        now_s: seconds.
        end: 0.0 or 1.0.
        full_s: from one end to the other, s; above 0.
    """
    start = travel.at(now_s)
    rate = (1.0 if end else -1.0) / full_s
    return Line(now_s, start, rate, 0.0, 1.0), now_s + abs(end - start) * full_s


def stop(travel: Line, now_s: float) -> Line:
    """Stand still where it is."""
    return Line(start=travel.at(now_s))
