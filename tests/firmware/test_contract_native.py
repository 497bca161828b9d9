"""The protocol contract on the firmware's core, compiled for this machine with sanitizers."""

from __future__ import annotations

from panelbridge.config.boards import BOARDS, BoardKind
from tests.firmware.machines import NativeBench
from tests.simboard.full_contract import BoardContract
from tests.simboard.host import Bench


class TestMegaCore(BoardContract):
    kind: BoardKind = "mega2560"
    board_code = BOARDS["mega2560"].code

    def make_bench(self) -> Bench:
        return NativeBench(self.kind, chips=True)


class TestUnoCore(TestMegaCore):
    kind: BoardKind = "uno"
    board_code = BOARDS["uno"].code


class TestLeonardoCore(TestMegaCore):
    kind: BoardKind = "leonardo"
    board_code = BOARDS["leonardo"].code
    pin_kept = 14  # 0 and 1 are free, but 14 to 17 are not brought out
    chain_pins = (*range(14), 18)
