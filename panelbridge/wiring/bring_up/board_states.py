"""Which boards are live, with which set-up, and why the others are not."""

from __future__ import annotations

from collections.abc import Iterable


class BoardStates:
    """The boards of one panel.

    Attributes:
        lost: why boards are not live, by name.
    """

    def __init__(self) -> None:
        self.lost: dict[str, str] = {}
        self._live: dict[str, str] = {}
        self._without: set[str] = set()

    def live(self, board: str, set_up: str) -> None:
        """A board is live with a set-up."""
        self._live[board] = set_up
        self.lost.pop(board, None)

    def lose(self, board: str, reason: str) -> bool:
        """A board is not live; returns whether it was."""
        self.lost[board] = reason
        return self._live.pop(board, None) is not None

    def wait(self, board: str, reason: str) -> None:
        """Why a board that is not live is still not."""
        if board not in self._live:
            self.lost[board] = reason

    def do_without(self, boards: Iterable[str]) -> None:
        """Go on although these boards are not there."""
        self._without |= {*boards}

    def is_ready(self, board: str, set_up: str) -> bool:
        """Whether a board is live with this set-up."""
        return self._live.get(board) == set_up

    def missing(self, boards: Iterable[str], set_up: str) -> list[str]:
        """The boards that are waited for."""
        return [
            name for name in boards if not self.is_ready(name, set_up) and name not in self._without
        ]
