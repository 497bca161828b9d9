"""What the brakes' heat publishes."""

from __future__ import annotations

from msgspec import Struct

from panelbridge.logic.kit.cooling import Cooling
from panelbridge.logic.kit.world import Facts


class WheelHeat(Struct, frozen=True):
    """One braked wheel.

    Attributes:
        brake: temperature of its brake, degrees Celsius, as a function of time.
        wheel: the same of the wheel, which its brake heats.
        fuse_melted: its fuse plug has melted; it stays so.
    """

    brake: Cooling = Cooling()
    wheel: Cooling = Cooling()
    fuse_melted: bool = False


class BrakeHeatFacts(Facts, frozen=True):
    """All braked wheels.

    Attributes:
        wheels: each of them, in the order of the aircraft file.
        too_hot: a brake is too hot for a take-off.
    """

    wheels: tuple[WheelHeat, ...] = ()
    too_hot: bool = False

    @property
    def is_melted(self) -> bool:
        """A fuse plug has melted."""
        return any(one.fuse_melted for one in self.wheels)
