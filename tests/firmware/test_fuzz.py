"""The core under random bytes, contacts and times, with address and undefined-behaviour checks.

For a longer run, e.g. an hour: ``python -m tests.firmware.fuzz --seconds 3600``.
"""

from __future__ import annotations

import subprocess

import pytest

from tests.firmware.build import native_fuzzer

ROUNDS = 400


@pytest.mark.parametrize("board", ["uno", "mega2560", "leonardo"])
def test_nothing_breaks_the_core(board: str) -> None:
    done = subprocess.run(
        [native_fuzzer(board), "1", str(ROUNDS)], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr[-3000:]
    rounds, active = (int(word) for word in done.stdout.split() if word.isdigit())
    assert rounds == ROUNDS
    assert active > ROUNDS / 4  # otherwise it tests too little
