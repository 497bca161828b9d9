"""What anti-skid publishes, and its switch, which the cold-weather routine reads too."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from panelbridge.logic.kit.handles import Toggle
from panelbridge.logic.kit.world import Facts

ANTISKID = Toggle("antiskid", "anti-skid", "Closed: anti-skid is switched on.", required=True)


class WheelFacts(NamedTuple):
    """Anti-skid of one wheel.

    Attributes:
        running: anti-skid is switched on and has power.
        failed: it does not work on this wheel, or that is unknown.
        testing: the lamps are being tested.
        active: it controls skidding now.
        shut_off: its pedal brakes nothing now: before the wheel turns, or because it is locked.
        locked: it is locked and was let go.
    """

    running: bool = False
    failed: bool = False
    testing: bool = False
    active: bool = False
    shut_off: bool = False
    locked: bool = False


@dataclass(frozen=True, slots=True)
class AntiskidFacts(Facts):
    """Anti-skid of all braked wheels.

    Attributes:
        wheels: each braked wheel, in the order of the aircraft file.
        spun_up: whether each of them is known to turn fast.
        watched: whether each is braked and would be let go when it locks.
        switched_on: the switch is known to be on.
        powered: the electrical bus is not known to be dead.
        parked: the parking brake is not released.
        gear_down: every leg is known to be locked down.
        in_air: the aircraft is in the air, or that is unknown.
        testing: the lamps are being tested.
    """

    wheels: tuple[WheelFacts, ...] = ()
    spun_up: tuple[bool, ...] = ()
    watched: tuple[bool, ...] = ()
    switched_on: bool = False
    powered: bool = True
    parked: bool = False
    gear_down: bool = False
    in_air: bool = False
    testing: bool = False

    @property
    def is_working(self) -> bool:
        """It is switched on, has power, and works on at least one wheel."""
        return self.switched_on and self.powered and not all(one.failed for one in self.wheels)
