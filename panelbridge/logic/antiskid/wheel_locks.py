"""Which braked wheels are locked, from their speeds, which change in every step."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Self

from panelbridge.logic.antiskid.facts import AntiskidFacts
from panelbridge.logic.antiskid.parameters import AntiskidParameters
from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.kit.aircraft_cells import wheel_rpm
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import Facts, World


@dataclass(frozen=True, slots=True)
class WheelLocksFacts(Facts):
    """The locked wheels.

    Attributes:
        locked: each braked wheel, in the order of the aircraft file: it is watched and locked.
    """

    locked: tuple[bool, ...] = ()


class WheelLocks(System[WheelLocksFacts]):
    """Compares the speeds of the braked wheels while anti-skid watches one of them.

    Args:
        parameters: the numbers of anti-skid.
        wheels: how many braked wheels there are.
    """

    title = "Anti-skid"

    def __init__(self, parameters: AntiskidParameters, wheels: int) -> None:
        super().__init__()
        self._parameters = parameters
        self._speeds = tuple([wheel_rpm(number) for number in range(wheels)])
        self.facts = self._none = WheelLocksFacts((False,) * wheels)

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None for an aircraft without anti-skid."""
        parameters = build.aircraft.optional(AntiskidParameters)
        brakes = build.aircraft.optional(BrakesParameters)
        if parameters is None or brakes is None:
            return None
        return cls(parameters, len(brakes.wheels))

    def update(self, now_s: float, world: World) -> WheelLocksFacts:
        """Compare the speeds."""
        antiskid, before = world[AntiskidFacts], self.facts
        if not any(antiskid.watched):
            return self._none
        speeds = [world[speed] for speed in self._speeds]
        locked = locked_wheels(
            speeds, antiskid.watched, antiskid.spun_up, before.locked, self._parameters
        )
        return before if locked == before.locked else WheelLocksFacts(locked)


def locked_wheels(
    speeds: Sequence[float | None],
    watched: Sequence[bool],
    spun_up: Sequence[bool],
    before: Sequence[bool],
    parameters: AntiskidParameters,
) -> tuple[bool, ...]:
    """Which wheels are far slower than the fastest other one that is spun up.

    Args:
        speeds: of each wheel, revolutions a minute; None when unknown.
        watched: the wheels that are braked and watched; no other one is called locked.
        spun_up: the wheels that are known to turn fast.
        before: the wheels that were locked.
        parameters: with the ratios.
    """
    rolling = max(parameters.rolling_ratio, parameters.locked_ratio)
    known = [speed for speed in speeds if speed is not None]
    if not known or min(known) >= rolling * max(known):  # all of them turn alike
        return (False,) * len(speeds)
    locked = []
    for number, speed in enumerate(speeds):
        others = [
            other
            for place, other in enumerate(speeds)
            if place != number and other is not None and spun_up[place]
        ]
        ratio = rolling if before[number] else parameters.locked_ratio
        slow = speed is not None and bool(others) and speed < ratio * max(others)
        locked.append(watched[number] and slow)
    return tuple(locked)
