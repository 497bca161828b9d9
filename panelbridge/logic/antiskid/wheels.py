"""What anti-skid does on each braked wheel, in a word."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from panelbridge.logic.antiskid.facts import AntiskidFacts
from panelbridge.logic.kit.declarations import Signal
from panelbridge.logic.kit.world import World


def wheel_values(names: Sequence[str]) -> tuple[Signal, ...]:
    """What anti-skid does on each wheel, a word each."""
    words = ("off", "failed", "inoperative", "shut_off", "let_go", "active", "armed")
    return tuple(
        [
            Signal(
                *(f"{name}_antiskid", "word", f"anti-skid {name.replace('_', ' ')}", _word(number)),
                words=words,
                never_unknown=True,
            )
            for number, name in enumerate(names)
        ]
    )


def _word(number: int) -> Callable[[World], str]:
    def read(world: World) -> str:
        facts = world[AntiskidFacts]
        wheel = facts.wheels[number]
        if not wheel.running:
            return "off"
        if wheel.failed:
            return "failed"
        if facts.parked or facts.by_air:
            return "inoperative"
        if wheel.locked:
            return "let_go"
        if wheel.shut_off:
            return "shut_off"
        return "active" if wheel.active else "armed"

    return read
