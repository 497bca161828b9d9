"""The panel's commands by name: what feeds send to a simulator.

Like the aircraft's values they meet the world outside, so they stand in one written dictionary, a
line each. Brakes of wheels and sides and the builder's own switches have one name each.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from panelbridge.logic.aircraft_base import AircraftBase
from panelbridge.logic.aircraft_dictionary import SIDES
from panelbridge.logic.inventory import switches_of
from panelbridge.logic.switches import operated_first
from panelbridge.signals import Commands, GearPosition, Value


@dataclass(frozen=True, slots=True)
class CommandValue:
    """A command as files name it.

    Attributes:
        name: as in files.
        label: words for people.
        words: the words that it can be; none for a number.
        unit: of a number; empty for a fraction.
        low: least number.
        high: greatest number.
        is_held: it lasts only while it is sent: it ends with the data, and follows at once.
        read: its value; None while nothing is asked for.
    """

    name: str
    label: str
    words: tuple[str, ...] = ()
    unit: str = ""
    low: float = 0.0
    high: float = 1.0
    is_held: bool = False
    read: Callable[[Commands], Value] = field(
        default=lambda commands: None, repr=False, compare=False
    )


class _Switched(NamedTuple):
    """A command of two words.

    Attributes:
        name: as in files, and in ``Commands`` unless ``field`` says otherwise.
        label: words for people.
        words: for True and for False.
        there: the group of the aircraft file without which it is never asked for.
        is_held: as in ``CommandValue``.
        field: of ``Commands``.
    """

    name: str
    label: str
    words: tuple[str, str]
    there: str = ""
    is_held: bool = False
    field: str = ""


_SWITCHED = (
    _Switched("parking_brake", "parking brake", ("set", "released"), "brakes"),
    _Switched("emergency_extend", "emergency extension of the gear", ("on", "off"), "emergency"),
    _Switched("aux_pump", "auxiliary hydraulic pump", ("on", "off"), "hydraulics"),
    _Switched(
        *("wheel_lock", "lock of the tail or nose wheel", ("locked", "unlocked"), "wheel_lock"),
        field="wheel_locked",
    ),
    _Switched("antiskid", "anti-skid", ("on", "off"), "antiskid"),
    _Switched("steering_engaged", "nose-wheel steering", ("on", "off"), "steering", is_held=True),
)
_MOST_STEERING_DEG = 90.0


def command_values_of(aircraft: AircraftBase) -> Mapping[str, CommandValue]:
    """Every command of an aircraft, by name."""
    return {value.name: value for value in _values(aircraft)}


def _values(aircraft: AircraftBase) -> Iterator[CommandValue]:
    words = tuple(position.value for position in GearPosition)
    yield CommandValue("gear", "where the gear is asked to go", words, read=_gear)
    for one in _SWITCHED:
        if _has(aircraft, one.there):
            read = _word(one.field or one.name, one.words)
            yield CommandValue(one.name, one.label, one.words, is_held=one.is_held, read=read)
    if _has(aircraft, "steering"):
        yield CommandValue(
            *("steering_deg", "angle of the nose wheel, right positive", (), "degrees"),
            low=-_MOST_STEERING_DEG,
            high=_MOST_STEERING_DEG,
            is_held=True,
            read=lambda commands: commands.steering_deg,
        )
    wheels = aircraft.brakes.wheels if aircraft.brakes is not None else ()
    for side in SIDES:
        places = [place for place, wheel in enumerate(wheels) if wheel.side == side]
        if places:
            label = f"brakes of the {side} side, 0 free to 1"
            yield CommandValue(f"{side}_brake", label, is_held=True, read=_most_of(places))
    for place, wheel in enumerate(wheels):
        label = f"brake of the {wheel.name.replace('_', ' ')} wheel, 0 free to 1"
        yield CommandValue(f"{wheel.name}_wheel_brake", label, is_held=True, read=_most_of([place]))
    for name, switch in aircraft.own_switches.items():
        own_words = () if switch.kind == "lever" else operated_first(name, switches_of(aircraft))
        yield CommandValue(name, switch.label, own_words, read=_own(name))


def _has(aircraft: AircraftBase, group: str) -> bool:
    if group == "steering":
        return aircraft.steering.steering_leg is not None
    return getattr(aircraft, group) is not None


def _gear(commands: Commands) -> Value:
    return None if commands.gear is None else commands.gear.value


def _word(name: str, words: tuple[str, str]) -> Callable[[Commands], Value]:
    def read(commands: Commands) -> Value:
        is_on = getattr(commands, name)
        return None if is_on is None else words[not is_on]

    return read


def _most_of(places: Sequence[int]) -> Callable[[Commands], Value]:
    def read(commands: Commands) -> Value:
        fractions = commands.brake_fraction
        known = [fractions[place] for place in places if place < len(fractions)]
        return max(known) if known else None

    return read


def _own(name: str) -> Callable[[Commands], Value]:
    def read(commands: Commands) -> Value:
        return dict(commands.own_switches).get(name)

    return read
