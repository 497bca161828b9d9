"""Touchdown protection of one side: no pedal brakes before its wheels turn.

Source: FAA Aviation Maintenance Technician Handbook, Airframe, ch. 13 (brakes blocked until the
wheels spin up after touchdown; braking before landing is inhibited). It is a part of anti-skid:
with anti-skid off there is none. A side that is not known to be on the ground or in the air can be
braked; that is our own decision.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

from msgspec import Struct
from statemachine import State

from panelbridge.logic.antiskid.facts import WheelSensorsFacts
from panelbridge.logic.kit.chart import Chart


class TouchdownChart(Chart):
    """Touchdown protection of one side."""

    touch_free = State(initial=True)
    touch_in_air = State()
    touch_landed = State()

    lifted = touch_free.to(touch_in_air) | touch_landed.to(touch_in_air)
    landed = touch_in_air.to(touch_landed)
    freed = touch_landed.to(touch_free) | touch_in_air.to(touch_free)


class Protection(Struct, frozen=True):
    """One side.

    Attributes:
        blocked: whether each of its wheels must not be braked.
        state: state of its chart.
        due_s: when the brakes are free at the latest, s; inf while no touchdown is on.
    """

    blocked: tuple[bool, ...]
    state: str = "touch_free"
    due_s: float = inf

    def after(
        self, now_s: float, *, on_ground: bool | None, spun_up: Sequence[bool], timeout_s: float
    ) -> Protection:
        """It now.

        Args:
            now_s: seconds.
            on_ground: its strut carries weight; None when unknown.
            spun_up: whether each of its wheels turns fast.
            timeout_s: after a touchdown the brakes are free at the latest after this time, s.
        """
        if now_s >= self.due_s or on_ground is None:
            freed = self._freed()
            return freed if on_ground is not False else freed._lifted()
        if not on_ground:
            return self if self.state == "touch_in_air" else self._lifted()
        now = self
        if self.state == "touch_in_air":
            state = TouchdownChart.after(self.state, "landed")
            now = Protection(self.blocked, state, now_s + timeout_s)
        if now.state != "touch_landed":
            return now
        # A wheel that has turned once stays free: it may stand still at the end of the roll.
        blocked = tuple([was and not spun for was, spun in zip(now.blocked, spun_up, strict=True)])
        now = Protection(blocked, now.state, now.due_s)
        return now if any(blocked) else now._freed()

    def _lifted(self) -> Protection:
        state = TouchdownChart.after(self.state, "lifted")
        return Protection((True,) * len(self.blocked), state)

    def _freed(self) -> Protection:
        state = TouchdownChart.after(self.state, "freed")
        return Protection((False,) * len(self.blocked), state)


def protect(
    protections: Sequence[Protection],
    now_s: float,
    grounds: Sequence[bool | None],
    sensors: WheelSensorsFacts,
    sides: Sequence[int],
    timeout_s: float,
) -> tuple[Protection, ...]:
    """The protection of the left and right now.

    A wheel whose speed cannot be seen is free with the first other one of its side.

    Args:
        protections: as they were.
        now_s: seconds.
        grounds: whether the strut of each side carries weight; None when unknown.
        sensors: of each wheel.
        sides: of each wheel: left (0) or right (1).
        timeout_s: after a touchdown the brakes are free at the latest after this time, s.
    """
    now = []
    for side, (one, on_ground) in enumerate(zip(protections, grounds, strict=True)):
        its = [number for number, place in enumerate(sides) if place == side]
        any_up = any(sensors.spun_up[number] for number in its)
        spun_up = [
            sensors.spun_up[n] or (any_up and (not sensors.known[n] or bool(sensors.causes[n])))
            for n in its
        ]
        now.append(one.after(now_s, on_ground=on_ground, spun_up=spun_up, timeout_s=timeout_s))
    return tuple(now)


def blocked_wheels(protections: Sequence[Protection], sides: Sequence[int]) -> list[bool]:
    """Whether each wheel must not be braked; ``sides`` are theirs, left (0) or right (1)."""
    of_side = [iter(one.blocked) for one in protections]
    return [next(of_side[side]) for side in sides]
