from __future__ import annotations

from msgspec.structs import replace

from panelbridge.config.boards import BOARDS, OTHER, Board, BoardKind
from tests.simboard.benches import UrlBench
from tests.simboard.full_contract import BoardContract
from tests.simboard.host import Bench


class TestMegaBehindItsUrl(BoardContract):
    kind: BoardKind | Board = "mega2560"
    board_code = BOARDS["mega2560"].code

    def make_bench(self) -> Bench:
        return UrlBench(self.kind)


class TestUnoBehindItsUrl(TestMegaBehindItsUrl):
    kind = "uno"
    board_code = BOARDS["uno"].code


class TestBoardOfAnotherKind(TestMegaBehindItsUrl):
    """One that a panel file describes."""

    kind = replace(BOARDS["uno"], kind=OTHER, code=123, counts=4095, own_usb=True)
    board_code = 123
