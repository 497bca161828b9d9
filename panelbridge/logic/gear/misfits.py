"""What the numbers of the gear ask for and other parts of the aircraft file do not have."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from panelbridge.logic.gear.parameters import GearOrderParameters, GearPowerParameters
from panelbridge.logic.hydraulics.consumers import unserved
from panelbridge.logic.kit.declarations import Misfit


def gear_misfits(aircraft: Any) -> Iterator[Misfit]:
    """Legs that are not there or slower than their limit, pressure that no supply gives.

    Args:
        aircraft: the aircraft file.
    """
    order = aircraft.group(GearOrderParameters)
    yield from aircraft.missing_legs(
        [
            (("gear_order", key, place, number), leg)
            for key, groups in (("extend", order.extend), ("retract", order.retract))
            for place, group in enumerate(groups)
            for number, leg in enumerate(group)
        ],
        moving=True,
    )
    if aircraft.group(GearPowerParameters).power == "hydraulic":
        yield from unserved(aircraft, ("gear_power", "power"), "gear", "power: none_needed")
    yield from _not_electric(aircraft.group(GearPowerParameters))
    limit_s = aircraft.group(GearPowerParameters).travel_limit_s
    if limit_s is not None:
        yield from _too_slow(aircraft, limit_s)


def _too_slow(aircraft: Any, limit_s: float) -> Iterator[Misfit]:
    """Legs that can never be there before the travel limit cuts off their power."""
    for place, leg in enumerate(aircraft.legs):
        door_s = leg.door.open_s if leg.door is not None else 0.0
        for key, way in (("extend_s", "down"), ("retract_s", "up")):
            needs_s = door_s + leg.unlock_s + getattr(leg, key)
            if needs_s > limit_s:
                what = f"the {leg.name} leg needs {needs_s:g} s to go {way}, and is cut off before"
                hint = f"Lower it, or raise 'gear_power.travel_limit_s', which is {limit_s:g} s"
                yield Misfit(("legs", place, key), what, hint)


def _not_electric(power: GearPowerParameters) -> Iterator[Misfit]:
    """Numbers of an electric gear that is none, and voltages out of order."""
    electric = power.power == "electric_pack"
    for key, given, without in (
        ("breaker", power.breaker, "false"),
        ("nominal_v", power.nominal_v is not None, "null"),
    ):
        if given and not electric:
            what = f"this is for an electric gear, and 'power' is {power.power}"
            hint = f"Write 'power: electric_pack', or '{key}: {without}'"
            yield Misfit(("gear_power", key), what, hint)
    if power.stall_v is None:
        return
    if power.nominal_v is None:
        what, hint = "this needs the nominal voltage", "Add 'nominal_v:', or write 'stall_v: null'"
        yield Misfit(("gear_power", "stall_v"), what, hint)
    elif power.stall_v >= power.nominal_v:
        what = f"at its nominal voltage, {power.nominal_v:g} V, the gear would stand still"
        yield Misfit(("gear_power", "stall_v"), what, "Lower it, or raise 'gear_power.nominal_v'")
