"""The protocol contract on the boards' binaries, in the simulator.

Uno and Mega 2560 over their serial line, Leonardo over its native USB.
"""

from __future__ import annotations

from panelbridge.config.boards import BOARDS, BoardKind
from tests.firmware.avr_bench import AvrBench
from tests.simboard.full_contract import BoardContract
from tests.simboard.host import Bench


class TestUno(BoardContract):
    kind: BoardKind = "uno"
    board_code = BOARDS["uno"].code

    def make_bench(self) -> Bench:
        return AvrBench(self.kind, chips=True)


class TestMega(TestUno):
    kind: BoardKind = "mega2560"
    board_code = BOARDS["mega2560"].code


class TestLeonardo(TestUno):
    kind: BoardKind = "leonardo"
    board_code = BOARDS["leonardo"].code
    pin_kept = 14
    chain_pins = (*range(14), 18)
