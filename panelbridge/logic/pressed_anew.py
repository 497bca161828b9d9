"""A switch that is found on does nothing: start-up is not a command, nor is a reconnect."""

from __future__ import annotations


class PressedAnew:
    """Tells when a switch is operated: it must have been seen off since it was last unknown."""

    def __init__(self) -> None:
        self._on = False
        self._may = False

    @property
    def holds(self) -> bool:
        """It is on, and was operated, not found so."""
        return self._on and self._may

    @property
    def may(self) -> bool:
        """It was seen off since it was last unknown."""
        return self._may

    def spend(self) -> None:
        """What it asks for was refused: it counts again once it was let go."""
        if self._on:
            self._may = False

    def take(self, on: bool | None) -> bool:
        """Take the switch, None when unknown; True when it has now been operated."""
        operated = on is True and self._may and not self._on
        self._on = on is True
        if on is not True:
            self._may = on is False
        return operated
