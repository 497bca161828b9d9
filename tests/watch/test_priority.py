"""A viewer and a publisher never hold up the run."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

CODE = """
import os
from panelbridge.watch.priority import let_the_run_go_first
for _ in range(2):
    let_the_run_go_first()
    gives_way = not hasattr(os, "SCHED_IDLE") or os.sched_getscheduler(0) == os.SCHED_IDLE
    print(os.nice(0), gives_way)
"""


CODE_OF_WINDOWS = """
import ctypes
from panelbridge.watch.priority import let_the_run_go_first
kernel, this_process = ctypes.WinDLL("kernel32"), ctypes.c_void_p(-1)
for before in (0x20, 0x40):
    assert kernel.SetPriorityClass(this_process, before)
    let_the_run_go_first()
    print(hex(kernel.GetPriorityClass(this_process)))
"""


@pytest.mark.skipif(sys.platform != "win32", reason="Windows has classes of priority")
def test_a_process_that_shows_a_run_is_below_normal_and_an_idle_one_stays_idle() -> None:
    ended = subprocess.run(
        [sys.executable, "-c", CODE_OF_WINDOWS], capture_output=True, text=True, check=True
    )
    assert ended.stdout.split() == ["0x4000", "0x40"]


@pytest.mark.skipif(not hasattr(os, "nice"), reason="no priorities of this kind on Windows")
def test_a_process_that_shows_a_run_goes_behind_it() -> None:
    ended = subprocess.run(
        [sys.executable, "-c", CODE], capture_output=True, text=True, timeout=60, check=True
    )
    assert ended.stdout.splitlines() == [f"{max(os.nice(0), 10)} True"] * 2
