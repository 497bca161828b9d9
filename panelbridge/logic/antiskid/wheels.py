"""The braked wheels: which are locked, and what anti-skid does on each, in a word."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from panelbridge.logic.antiskid.facts import AntiskidFacts
from panelbridge.logic.antiskid.parameters import AntiskidParameters
from panelbridge.logic.kit.declarations import Signal
from panelbridge.logic.kit.world import World


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


def wheel_values(names: Sequence[str]) -> tuple[Signal, ...]:
    """What anti-skid does on each wheel, a word each."""
    words = ("off", "failed", "shut_off", "let_go", "active", "armed")
    return tuple(
        [
            Signal(
                *(f"{name}_antiskid", "word", f"anti-skid {name}", _word(number)),
                words=words,
                never_unknown=True,
            )
            for number, name in enumerate(names)
        ]
    )


def _word(number: int) -> Callable[[World], str]:
    def read(world: World) -> str:
        wheel = world[AntiskidFacts].wheels[number]
        if not wheel.running:
            return "off"
        if wheel.failed:
            return "failed"
        if wheel.locked:
            return "let_go"
        if wheel.shut_off:
            return "shut_off"
        return "active" if wheel.active else "armed"

    return read
