from __future__ import annotations

import sys

import pytest

from panelbridge.config.boards import BOARDS
from tests.simboard.benches import PtyBench
from tests.simboard.full_contract import BoardContract
from tests.simboard.host import Bench


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no pseudo-terminals")
class TestMegaOnAPty(BoardContract):
    board_code = BOARDS["mega2560"].code

    def make_bench(self) -> Bench:
        return PtyBench("mega2560")
