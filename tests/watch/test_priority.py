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
    print(os.nice(0))
"""


@pytest.mark.skipif(not hasattr(os, "nice"), reason="no priorities of this kind on Windows")
def test_a_process_that_shows_a_run_goes_behind_it() -> None:
    ended = subprocess.run(
        [sys.executable, "-c", CODE], capture_output=True, text=True, timeout=60, check=True
    )
    assert ended.stdout.split() == [str(max(os.nice(0), 10))] * 2
