"""Lock of a tail wheel or nose wheel: one push locks it straight, the next lets it swivel again.

It is a pin that a spring holds: it needs no power, keeps its state without any, and stays as it is
while its button is lost. A button that is found pressed, at start-up or after a loss, counts once
it was released. While the wheel's own steering is engaged, the wheel is turned away from the pin: a
push is refused, and that is said.

Common practice, no source; what refuses what is our own decision.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Self

from msgspec import Struct

from panelbridge.logic.kit.declarations import CommandSignal, Group, Lamp, Misfit, Signal
from panelbridge.logic.kit.edges import RisingEdge
from panelbridge.logic.kit.handles import Button
from panelbridge.logic.kit.rule import Rule, Words
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World
from panelbridge.logic.steering.facts import SteeringFacts
from panelbridge.logic.steering.parameters import SteeringParameters
from panelbridge.logic.wheel_lock.facts import WheelLockFacts
from panelbridge.logic.wheel_lock.parameters import WheelLockParameters
from panelbridge.signals import Level, Reason, Value

WHEEL_LOCK = Button(
    "wheel_lock",
    "wheel lock",
    "One push locks the tail wheel or nose wheel straight, the next unlocks it.",
)
_LOCKED = Rule("wheel locked straight", (("locked", True),), "a push of the button unlocks it")


class _WheelLockMemory(Struct, frozen=True):
    button: RisingEdge
    locked: bool
    is_pushed: bool = False


class WheelLock(System[WheelLockFacts]):
    """The lock of one wheel.

    Args:
        parameters: its numbers.
        steered: the steering steers the same wheel.
    """

    title = "Steering"
    groups = (
        Group(
            "wheel_lock",
            WheelLockParameters,
            "Lock of a tail wheel or nose wheel; null for an aircraft without.",
        ),
    )
    switches = (WHEEL_LOCK,)
    lamps = (Lamp("wheel_lock_green", "wheel locked straight", (_LOCKED,), legend="WHEEL LOCK"),)
    events = {
        "wheel_locked": (Level.INFO, "the wheel lock was set"),
        "wheel_unlocked": (Level.INFO, "the wheel lock was released"),
        "wheel_lock_refused": (
            Level.CAUTION,
            "the wheel was not locked: its steering is engaged",
        ),
    }
    values = (
        Signal(
            *("wheel_lock_state", "word", "wheel lock"),
            lambda world: "locked" if world[WheelLockFacts].locked else "unlocked",
            words=("locked", "unlocked"),
            group="gear",
            never_unknown=True,
        ),
    )
    memory: _WheelLockMemory

    def __init__(self, parameters: WheelLockParameters, *, steered: bool) -> None:
        super().__init__()
        self._leg, self._steered = parameters.leg, steered
        self.commands = (CommandSignal("wheel_locked", "the wheel is locked straight", _commanded),)
        if not steered:
            self.never_notes("wheel_lock_refused")
        self.memory = _WheelLockMemory(RisingEdge(), parameters.locked_at_start)
        self.facts = WheelLockFacts(parameters.locked_at_start)

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None for an aircraft without."""
        parameters = build.aircraft.optional(WheelLockParameters)
        if parameters is None:
            return None
        steered = build.aircraft.group(SteeringParameters).steering_leg == parameters.leg
        return cls(parameters, steered=steered)

    @classmethod
    def misfits(cls, aircraft: Any) -> Iterator[Misfit]:
        """A leg that is not there."""
        parameters = aircraft.optional(WheelLockParameters)
        if parameters is not None:
            yield from aircraft.missing_legs([(("wheel_lock", "leg"), parameters.leg)])

    def update(self, now_s: float, world: World) -> WheelLockFacts:
        """Follow the button."""
        memory = self.memory
        button, locked = memory.button.take(world[WHEEL_LOCK]), memory.locked
        is_pushed = memory.is_pushed
        if memory.button.rises(button):
            if not locked and self._steered and world[SteeringFacts].is_engaged:
                self.note(now_s, "wheel_lock_refused")
            else:
                locked, is_pushed = not locked, True
                self.note(now_s, "wheel_locked" if locked else "wheel_unlocked")
        self.memory = _WheelLockMemory(button, locked, is_pushed)
        return WheelLockFacts(locked, is_pushed)

    def words(self, world: World) -> Words:
        """The condition in words."""
        facts = world[WheelLockFacts]
        since = "since the button was pushed" if facts.is_pushed else "as at the start"
        detail = f"{since}; it needs no power"
        return {
            "locked": (Reason(f"{self._leg.replace('_', ' ')} wheel locked", facts.locked, detail),)
        }


def _commanded(world: World) -> Value:
    """What is asked of the simulator: nothing before the first push."""
    facts = world[WheelLockFacts]
    return facts.locked if facts.is_pushed else None
