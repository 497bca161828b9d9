"""What a take-off configuration consists of: each item is safe, unsafe or unknown."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from panelbridge.logic.brakes.facts import BrakesFacts
from panelbridge.logic.kit.aircraft_cells import FLAP_DEG, SPEED_BRAKE, TRIM_UNITS
from panelbridge.logic.kit.handles import Handle
from panelbridge.logic.kit.readings import Threshold, below
from panelbridge.logic.kit.world import World
from panelbridge.logic.takeoff_warning.parameters import TakeoffWarningParameters


class ParkingItem(Struct, frozen=True):
    """The parking brake: unsafe until it is known to be released; so its own lamp shows it."""

    name: str = "parking_brake"
    words: str = "the parking brake not released"
    readings: tuple[Threshold, ...] = ()

    def is_unsafe(self, world: World) -> bool | None:
        """Its lever, or pressure that is trapped."""
        brakes = world[BrakesFacts]
        return not brakes.lever_released or brakes.trapped

    def detail(self, world: World) -> str:
        """The lever in words."""
        brakes = world[BrakesFacts]
        return "pressure trapped" if brakes.trapped else f"lever {brakes.lever_word}"


class RangeItem:
    """A number that has to be in a range.

    Args:
        name: of the fact.
        words: what is unsafe, in words.
        of: the number.
        unit: of it.
        least: least safe number; None = any.
        most: greatest safe number; None = any.
    """

    def __init__(
        self,
        name: str,
        words: str,
        of: Handle[float],
        unit: str,
        least: float | None,
        most: float | None,
    ) -> None:
        self.name, self.words = name, words
        self._of, self._unit, self._least, self._most = of, unit, least, most
        self._not_less = [] if least is None else [Threshold(of, below(least))]
        self._more = [] if most is None else [Threshold(of, most)]
        self.readings = (*self._not_less, *self._more)

    def is_unsafe(self, world: World) -> bool | None:
        """Outside its range; None while it is unknown."""
        sides = [world[one] for one in self.readings]
        if None in sides:
            return None
        return any(not world[one] for one in self._not_less) or any(
            world[one] is True for one in self._more
        )

    def detail(self, world: World) -> str:
        """The number and its range."""
        number = world[self._of]
        ends = [f"at least {self._least:g}"] if self._least is not None else []
        ends += [f"at most {self._most:g}"] if self._most is not None else []
        at = "unknown" if number is None else f"{number:.2f}{self._unit}"
        return f"{at}; must be {' and '.join(ends)}"


Item = ParkingItem | RangeItem


def items_of(parameters: TakeoffWarningParameters, *, has_parking_brake: bool) -> tuple[Item, ...]:
    """What an aircraft watches.

    Args:
        parameters: the numbers.
        has_parking_brake: the aircraft has one.
    """
    return tuple(_items(parameters, has_parking_brake))


def _items(numbers: TakeoffWarningParameters, has_parking_brake: bool) -> Iterator[Item]:
    if numbers.profile == "cs_25" and numbers.parking_brake and has_parking_brake:
        yield ParkingItem()
    flaps = (numbers.flap_least_deg, numbers.flap_most_deg)
    if flaps != (None, None):
        yield RangeItem("flaps", "the flaps not set for it", FLAP_DEG, " degrees", *flaps)
    brake = numbers.speed_brake_most_fraction
    if numbers.profile != "14_cfr_23" and brake is not None:
        words = "the speed brakes not stowed"
        yield RangeItem("speed_brake", words, SPEED_BRAKE, "", None, brake)
    trim = (numbers.trim_least, numbers.trim_most)
    if trim != (None, None):
        yield RangeItem("trim", "the trim not set for it", TRIM_UNITS, " units", *trim)
