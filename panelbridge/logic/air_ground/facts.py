"""What air/ground sensing publishes."""

from __future__ import annotations

from panelbridge.logic.kit.world import Facts


class AirGroundFacts(Facts, frozen=True):
    """What the squat switches of all struts say together.

    Attributes:
        struts: debounced squat switch of each leg; True = weight on it, None when unknown.
        ground_for_commands: on the ground, or not known to be in the air.
        has_weight: a strut is known to carry weight.
        air_for_warnings: in the air, or not known to be on the ground.
        is_fault: the squat switches have disagreed for too long.
    """

    struts: tuple[bool | None, ...] = ()
    ground_for_commands: bool = True
    has_weight: bool = False
    air_for_warnings: bool = True
    is_fault: bool = False

    @property
    def on_ground(self) -> bool | None:
        """On the ground or in the air; None while neither is certain."""
        if not self.ground_for_commands:
            return False
        return None if self.air_for_warnings else True


class SquatOverrideFacts(Facts, frozen=True):
    """The guarded override of the squat switches, for retraction alone.

    Attributes:
        in_use: the gear may retract whatever the squat switches say.
        pressed: the button is held, and was pressed, not found so.
        may: a squat switch says air, or the airspeed does.
    """

    in_use: bool = False
    pressed: bool = False
    may: bool = False
