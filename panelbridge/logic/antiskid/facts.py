"""What anti-skid publishes, and its switch, which the cold-weather routine reads too."""

from __future__ import annotations

from typing import NamedTuple

from panelbridge.logic.kit.handles import Toggle
from panelbridge.logic.kit.world import Facts

ANTISKID = Toggle("antiskid", "anti-skid", "Closed: anti-skid is switched on.", required=True)


class WheelFacts(NamedTuple):
    """Anti-skid of one wheel.

    Attributes:
        running: anti-skid is switched on and has power.
        failed: it does not work on this wheel, or that is unknown.
        cause: why; empty while it has not failed.
        shown: its failure is shown: at once, or some time after it has shut itself down.
        by_air: the emergency brake presses, and there is no anti-skid then.
        testing: the lamps are being tested.
        active: it controls skidding now.
        shut_off: its pedal brakes nothing now: before the wheel turns, or because it is locked.
        locked: it is locked and was let go.
    """

    running: bool = False
    failed: bool = False
    cause: str = ""
    shown: bool = False
    by_air: bool = False
    testing: bool = False
    active: bool = False
    shut_off: bool = False
    locked: bool = False


class AntiskidFacts(Facts, frozen=True):
    """Anti-skid of all braked wheels.

    Attributes:
        wheels: each braked wheel, in the order of the aircraft file.
        watched: whether each is braked and would be let go when it locks.
        switched_on: the switch is known to be on.
        powered: the electrical bus is not known to be dead.
        parked: the parking brake is not released.
        by_air: the emergency brake presses the brakes.
        gear_down: every leg is known to be locked down.
        in_air: the aircraft is in the air, or that is unknown.
        testing: the lamps are being tested.
    """

    wheels: tuple[WheelFacts, ...] = ()
    watched: tuple[bool, ...] = ()
    switched_on: bool = False
    powered: bool = True
    parked: bool = False
    by_air: bool = False
    gear_down: bool = False
    in_air: bool = False
    testing: bool = False

    @property
    def is_running(self) -> bool:
        """It is switched on and has power."""
        return self.switched_on and self.powered

    @property
    def is_working(self) -> bool:
        """It is switched on, has power, and works on at least one wheel."""
        return self.is_running and not all(one.failed for one in self.wheels)


class WheelLocksFacts(Facts, frozen=True):
    """What the speeds of the watched wheels say.

    Attributes:
        locked: each braked wheel, in the order of the aircraft file: it is watched and locked.
        too_fast: each: it seems to turn faster than the aircraft can roll.
    """

    locked: tuple[bool, ...] = ()
    too_fast: tuple[bool, ...] = ()


class WheelSensorsFacts(Facts, frozen=True):
    """The sensors of all braked wheels.

    Attributes:
        spun_up: whether each wheel is known to turn fast.
        known: whether each gives a speed.
        causes: what is wrong with each for longer than its time; empty when nothing is.
        fast: the aircraft rolls fast enough for anti-skid; None without a speed over the ground.
    """

    spun_up: tuple[bool, ...] = ()
    known: tuple[bool, ...] = ()
    causes: tuple[str, ...] = ()
    fast: bool | None = None


class AntiskidMonitorFacts(Facts, frozen=True):
    """On which wheels anti-skid has shut itself down.

    Attributes:
        causes: why, of each braked wheel; empty where it has not.
        shown: whether the lamp of each is due.
        landing: whether each has touched down and not spun up yet: it is not let go before.
    """

    causes: tuple[str, ...] = ()
    shown: tuple[bool, ...] = ()
    landing: tuple[bool, ...] = ()
