"""The live loop: one owner thread does I/O and logic and publishes frozen snapshots."""

from panelbridge.engine.assemble import Assembly, assemble_demo, assemble_live
from panelbridge.engine.frame_log import FrameLog
from panelbridge.engine.loop import TICK_S, Engine
from panelbridge.engine.make_feed import feed_of
from panelbridge.engine.pace import Pace
from panelbridge.engine.show import Show
from panelbridge.engine.show_state import ShowState
from panelbridge.engine.snapshot import KEPT_EVENTS, Snapshot
from panelbridge.engine.stage import Stage
from panelbridge.engine.waiter import LiveWaiter, Waiter

__all__ = ["KEPT_EVENTS", "TICK_S", "Assembly", "Engine", "FrameLog", "LiveWaiter"]
__all__ += [
    "Pace",
    "Show",
    "ShowState",
    "Snapshot",
    "Stage",
    "Waiter",
    "assemble_demo",
    "assemble_live",
    "feed_of",
]
