"""The monitor of each expectation."""

from __future__ import annotations

from typing import assert_never

from panelbridge.bench.language.expectations import (
    Expectation,
    ExpectCount,
    ExpectNever,
    ExpectNow,
    ExpectOrder,
    ExpectSilence,
    ExpectThroughout,
    ExpectWithin,
)
from panelbridge.bench.verdict.event_monitors import CountMonitor, OrderMonitor, SilenceMonitor
from panelbridge.bench.verdict.monitors import (
    AlwaysMonitor,
    Monitor,
    NowMonitor,
    Specs,
    WithinMonitor,
)


def monitor_of(expectation: Expectation, specs: Specs, now_s: float) -> Monitor:
    """The monitor of an expectation that begins now."""
    match expectation:
        case ExpectNow():
            return NowMonitor(expectation, specs, now_s)
        case ExpectWithin():
            return WithinMonitor(expectation, specs, now_s + expectation.limit_s)
        case ExpectThroughout() | ExpectNever():
            return AlwaysMonitor(expectation, specs, now_s + expectation.for_s)
        case ExpectSilence():
            return SilenceMonitor(expectation, specs, now_s + expectation.for_s)
        case ExpectOrder():
            return OrderMonitor(expectation, specs, now_s + expectation.limit_s)
        case ExpectCount():
            return CountMonitor(expectation, specs, now_s)
        case _ as unreachable:
            assert_never(unreachable)
