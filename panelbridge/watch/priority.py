"""A process that serves or shows a run lets the run itself go first."""

from __future__ import annotations

import os
import sys

_NICENESS = 10


def let_the_run_go_first() -> None:
    """Lower this process's priority, and that of what it starts; no change on Windows."""
    if sys.platform != "win32":
        now = os.getpriority(os.PRIO_PROCESS, 0)
        os.setpriority(os.PRIO_PROCESS, 0, max(now, _NICENESS))
