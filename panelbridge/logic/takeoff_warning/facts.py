"""What the take-off configuration warning publishes."""

from __future__ import annotations

from panelbridge.logic.kit.world import Facts


class TakeoffFacts(Facts, frozen=True):
    """All that decides the warning.

    Attributes:
        on_ground: on the ground, or that is unknown.
        thrust_high: a throttle lever is set for take-off.
        rotated: the leg that leaves the ground first has left it.
        parking_brake: the parking brake is not known to be released.
        flaps: the flaps are known to be outside their range.
        speed_brake: the speed brakes are known not to be stowed.
        trim: the trim is known to be outside its range.
        held_back: the airspeed is too high for a new warning.
        silenced: the horn is silenced until the thrust is taken back.
        unknown: what is watched and unknown, in words.
    """

    on_ground: bool = True
    thrust_high: bool = False
    rotated: bool = False
    parking_brake: bool = False
    flaps: bool = False
    speed_brake: bool = False
    trim: bool = False
    held_back: bool = False
    silenced: bool = False
    unknown: tuple[str, ...] = ()

    @property
    def is_unsafe(self) -> bool:
        """The configuration is known to be unsafe for a take-off."""
        return self.parking_brake or self.flaps or self.speed_brake or self.trim

    @property
    def warns(self) -> bool:
        """It warns, silenced or not."""
        rolls = self.on_ground and self.thrust_high and not self.rotated
        return rolls and self.is_unsafe and not self.held_back

    @property
    def has_unknown(self) -> bool:
        """Something that is watched is unknown."""
        return bool(self.unknown)
