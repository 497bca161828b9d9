from __future__ import annotations

from panelbridge.config.boards import BOARDS, BoardKind
from tests.simboard.benches import UrlBench
from tests.simboard.full_contract import BoardContract
from tests.simboard.host import Bench


class TestMegaBehindItsUrl(BoardContract):
    kind: BoardKind = "mega2560"
    board_code = BOARDS["mega2560"].code

    def make_bench(self) -> Bench:
        return UrlBench(self.kind)


class TestUnoBehindItsUrl(TestMegaBehindItsUrl):
    kind: BoardKind = "uno"
    board_code = BOARDS["uno"].code
