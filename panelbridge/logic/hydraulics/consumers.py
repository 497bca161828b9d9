"""The consumers of hydraulic pressure, and whether an aircraft's supplies serve one."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from panelbridge.logic.hydraulics.facts import HydraulicsFacts
from panelbridge.logic.hydraulics.parameters import CONSUMERS, Consumer, HydraulicsParameters
from panelbridge.logic.kit.declarations import Misfit, Signal

__all__ = ["CONSUMERS", "Consumer", "consumer_signals", "unserved"]


def unserved(
    aircraft: Any, path: tuple[str | int, ...], consumer: Consumer, without: str = ""
) -> Iterator[Misfit]:
    """A misfit when nothing gives a consumer the pressure that it needs.

    Args:
        aircraft: the aircraft file.
        path: keys from its root to the value that asks for the pressure.
        consumer: who needs it.
        without: what to write when it shall not need any; ``KEY: false`` when left out.
    """
    without = without or f"{path[-1]}: false"
    hydraulics = aircraft.optional(HydraulicsParameters)
    if hydraulics is None:
        what = "this needs hydraulic pressure, and the aircraft file has no hydraulics"
        yield Misfit(path, what, f"Add 'hydraulics:', or write '{without}'")
    elif not any(consumer in supply.serves for supply in _supplies(hydraulics)):
        what = f"this needs pressure for '{consumer}', and no supply serves it"
        hint = f"Add '{consumer}' to 'serves:' of a supply, or write '{without}'"
        yield Misfit(path, what, hint)


def consumer_signals(hydraulics: HydraulicsParameters) -> tuple[Signal, ...]:
    """A value for each consumer that some supply serves: whether it has pressure."""
    givers = (*_supplies(hydraulics), hydraulics.accumulator)
    served = {one for each in givers for one in each.serves}
    return tuple([_has_pressure(one) for one in CONSUMERS if one in served])


def _has_pressure(consumer: str) -> Signal:
    words = consumer.replace("_", " ")
    return Signal(
        *(f"{consumer}_has_pressure", "yes_no", f"hydraulic pressure for {words}"),
        lambda world: world[HydraulicsFacts].serves(consumer),
        never_unknown=True,
        short=f"feeds {words}",
    )


def _supplies(hydraulics: HydraulicsParameters) -> list[Any]:
    aux = hydraulics.aux_pump
    return [*hydraulics.supplies, *([aux] if aux else [])]
