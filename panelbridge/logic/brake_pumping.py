"""Counts how often both brake pedals are pumped: from let go to pressed, together.

A pedal that is found pressed, or was unknown in between, must be let go first. Between its two
limits a pedal keeps what it was.
"""

from __future__ import annotations

from panelbridge.logic.bands import Bands


class BrakePumping:
    """Both pedals.

    Args:
        pressed_fraction: above this a pedal is pressed, 0 to 1.
        released_fraction: at or below this it is let go; less than ``pressed_fraction``.
    """

    def __init__(self, *, pressed_fraction: float, released_fraction: float) -> None:
        self._pressed, self._released = pressed_fraction, released_fraction
        limits = (pressed_fraction, released_fraction)
        self._left, self._right = Bands(limits), Bands(limits)
        self._is_ready = False
        self._strokes = 0

    def take(self, left: float | None, right: float | None) -> bool:
        """Take the pedals, 0 to 1, None when unknown; True when both were pressed by this."""
        moved = self._left.take(left)
        if not (self._right.take(right) or moved):
            return False
        # A pedal keeps its first value of a band, which is on the same side of both limits.
        left, right = self._left.value, self._right.value
        if left is None or right is None:
            self._is_ready = False
        elif left <= self._released and right <= self._released:
            self._is_ready = True
        elif self._is_ready and left > self._pressed and right > self._pressed:
            self._is_ready = False
            self._strokes += 1
            return True
        return False

    def take_strokes(self) -> int:
        """How often they were pumped since this was last asked."""
        strokes, self._strokes = self._strokes, 0
        return strokes
