"""Boards that are lost, and boards that have not been live yet."""

from __future__ import annotations

from collections.abc import Sequence

from panelbridge.link.session import BoardHealth, LinkState

_ON_THE_WAY = (LinkState.OPENING, LinkState.GREETING, LinkState.SETTING_UP)


def lost_boards(boards: Sequence[BoardHealth]) -> list[BoardHealth]:
    """Boards that are not live and not just on their way for the first time."""
    return [
        board for board in boards if board.state is not LinkState.LIVE and not is_starting(board)
    ]


def is_starting(board: BoardHealth) -> bool:
    """Whether a board is on its way for the first time."""
    return not board.frames_received and (
        board.state is LinkState.IDLE or board.state in _ON_THE_WAY
    )
