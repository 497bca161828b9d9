"""A process that serves or shows a run lets the run itself go first."""

from __future__ import annotations

import ctypes
import os
import sys

_NICENESS = 10
_BELOW_NORMAL, _IDLE = 0x4000, 0x40
"""Priority classes of Windows; what a process of theirs starts has them too."""


def let_the_run_go_first() -> None:
    """Lower this process's priority, and that of what it starts."""
    if sys.platform == "win32":
        kernel, this_process = ctypes.WinDLL("kernel32"), ctypes.c_void_p(-1)
        if kernel.GetPriorityClass(this_process) != _IDLE:
            kernel.SetPriorityClass(this_process, _BELOW_NORMAL)
    else:
        now = os.getpriority(os.PRIO_PROCESS, 0)
        os.setpriority(os.PRIO_PROCESS, 0, max(now, _NICENESS))
        if sys.platform == "linux":  # niceness shares time, this gives way at once
            os.sched_setscheduler(0, os.SCHED_IDLE, os.sched_param(0))
