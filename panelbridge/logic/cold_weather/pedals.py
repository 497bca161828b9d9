"""Both brake pedals: pumped when both were released and then press both brakes together."""

from __future__ import annotations

from panelbridge.logic.brakes.facts import LEFT_BRAKE, RIGHT_BRAKE, BrakesFacts
from panelbridge.logic.kit.aircraft_cells import brake_pedal
from panelbridge.logic.kit.readings import Threshold
from panelbridge.logic.kit.world import World


class BrakePumping:
    """The pedals of panel and simulator, the greater of each side; holds no state.

    Args:
        pressed_fraction: above this a pedal is pressed, 0 to 1.
        released_fraction: at or below this it is released; less than ``pressed_fraction``.
        has_brakes: the aircraft file has brakes, and pedals without pressure in them break no ice.
    """

    def __init__(
        self, pressed_fraction: float, released_fraction: float, *, has_brakes: bool = True
    ) -> None:
        self._has_brakes = has_brakes
        sides = ((LEFT_BRAKE, brake_pedal(0)), (RIGHT_BRAKE, brake_pedal(1)))
        self._pressed = [[Threshold(one, pressed_fraction) for one in side] for side in sides]
        self._moved = [[Threshold(one, released_fraction) for one in side] for side in sides]
        self.readings = tuple([one for side in (*self._pressed, *self._moved) for one in side])

    def take(self, is_ready: bool, world: World) -> tuple[bool, bool]:
        """Whether both were released and may be pumped, and whether they were pumped just now.

        A pedal that is pressed at start-up, or was unknown in between, must be released first.

        Args:
            is_ready: both were released since they were last pressed or unknown.
            world: what it may see.
        """
        pressed = [_any([world[one] for one in side]) for side in self._pressed]
        moved = [_any([world[one] for one in side]) for side in self._moved]
        if None in pressed:
            return False, False
        if not any(moved):
            return True, False
        if is_ready and all(pressed):
            if self._has_brakes and not all(world[BrakesFacts].side_fractions):
                return True, False  # until there is pressure, or for another press
            return False, True
        return is_ready, False


def _any(truths: list[bool | None]) -> bool | None:
    """Whether one is known to be true; None when none is known."""
    known = [one for one in truths if one is not None]
    return any(known) if known else None
