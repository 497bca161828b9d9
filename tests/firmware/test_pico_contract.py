"""The protocol contract on the MicroPython firmware, in MicroPython on this machine."""

from __future__ import annotations

import pytest

from panelbridge.config.boards import BOARDS
from tests.firmware.pico_bench import PicoBench, need_micropython
from tests.simboard.full_contract import BoardContract
from tests.simboard.host import Bench


@pytest.fixture(autouse=True, scope="module")
def tools() -> None:
    """These tests need no compiler."""
    need_micropython()


class TestPico(BoardContract):
    board_code = BOARDS["pico"].code
    pin_kept = 24  # inside the board

    def make_bench(self) -> Bench:
        return PicoBench()
