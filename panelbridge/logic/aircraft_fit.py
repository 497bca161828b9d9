"""Do the parts of an aircraft file fit one another? Told with the place of each misfit."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.hydraulic_parameters import HydraulicsParameters
from panelbridge.logic.own_lamp_parameters import LAMP_NAME


class Misfit(NamedTuple):
    """Two parts that do not fit.

    Attributes:
        path: keys from the root of the file to the value that is wrong.
        what: what is wrong, in words.
        hint: what to do.
        choices: what could stand there instead, for whoever misspelt it.
        is_key: the key is wrong, not its value.
    """

    path: tuple[str | int, ...]
    what: str
    hint: str
    choices: tuple[str, ...] = ()
    is_key: bool = False


def misfits_of(aircraft: AircraftParameters) -> Iterator[Misfit]:
    """Everything that one part asks for and another part does not have."""
    yield from _legs_that_are_not_there(aircraft)
    yield from _power_that_is_not_there(aircraft)
    for name in aircraft.own_lamps:
        if not re.fullmatch(LAMP_NAME, name):
            what = f"a lamp cannot be called '{name}': its name must end in its colour"
            hint = f"Small letters, digits and underscores: {_with_colour(name)}"
            yield Misfit(("own_lamps", name), what, hint, is_key=True)
    brakes = aircraft.brakes
    if aircraft.antiskid is not None and brakes is None:
        what = "anti-skid needs the braked wheels, and the aircraft file has no brakes"
        yield Misfit(("antiskid",), what, "Add 'brakes:' with its wheels")
    has_bottle = aircraft.emergency is not None and aircraft.emergency.means == "air"
    if brakes is not None and brakes.emergency_brake and not has_bottle:
        what = "the emergency brake works by the air of a bottle, and the aircraft has none"
        hint = "Write 'emergency_brake: false', or add 'emergency: { means: air }'"
        yield Misfit(("brakes", "emergency_brake"), what, hint)


def _with_colour(name: str) -> str:
    plain = re.sub(r"[^a-z0-9]+", "_", name.lower()).strip("_0123456789")[:24]
    return f"{plain or 'lamp'}_amber"


def _legs_that_are_not_there(aircraft: AircraftParameters) -> Iterator[Misfit]:
    legs = [leg.name for leg in aircraft.legs]
    named: list[tuple[tuple[str | int, ...], str]] = []
    if aircraft.handle_lock.leg is not None:
        named.append((("handle_lock", "leg"), aircraft.handle_lock.leg))
    if aircraft.antiskid is not None:
        named.append((("antiskid", "left_leg"), aircraft.antiskid.left_leg))
        named.append((("antiskid", "right_leg"), aircraft.antiskid.right_leg))
    order = aircraft.gear_order
    for key, groups in (("extend", order.extend), ("retract", order.retract)):
        for place, group in enumerate(groups):
            for number, leg in enumerate(group):
                named.append((("gear_order", key, place, number), leg))
    for path, leg in named:
        if leg not in legs:
            hint = f"The legs are {', '.join(legs)}"
            yield Misfit(path, f"there is no leg '{leg}'", hint, tuple(legs))


def _power_that_is_not_there(aircraft: AircraftParameters) -> Iterator[Misfit]:
    hydraulics = aircraft.hydraulics
    asked: list[tuple[tuple[str | int, ...], bool, str]] = [
        (("gear_power", "power"), aircraft.gear_power.power == "hydraulic", "gear"),
        (("steering", "needs_hydraulics"), aircraft.steering.needs_hydraulics, "gear"),
    ]
    if aircraft.brakes is not None:
        needs = aircraft.brakes.needs_hydraulics
        asked.append((("brakes", "needs_hydraulics"), needs, "wheel_brakes"))
        parks = needs and aircraft.brakes.parking_brake
        asked.append((("brakes", "parking_brake"), parks, "parking_brake"))
    for path, wanted, consumer in asked:
        if not wanted:
            continue
        if hydraulics is None:
            what = "this needs hydraulic pressure, and the aircraft file has no hydraulics"
            yield Misfit(path, what, "Add 'hydraulics:', or change this")
        elif consumer not in _served(hydraulics):
            what = f"this needs pressure for '{consumer}', and no supply serves it"
            yield Misfit(path, what, f"Add '{consumer}' to 'serves:' of a supply")
    if hydraulics is not None:
        for place, supply in enumerate(hydraulics.supplies):
            if supply.engine > aircraft.engines:
                what = f"there is no engine {supply.engine}: the aircraft has {aircraft.engines}"
                where = ("hydraulics", "supplies", place, "engine")
                yield Misfit(where, what, "Write the number of an engine, from 1 on")


def _served(hydraulics: HydraulicsParameters) -> frozenset[str]:
    """Every consumer that some supply serves."""
    served: set[str] = set()
    for supply in hydraulics.supplies:
        served.update(supply.serves)
    if hydraulics.aux_pump is not None:
        served.update(hydraulics.aux_pump.serves)
    return frozenset(served)
