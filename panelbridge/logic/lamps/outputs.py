"""From what the systems light and sound to the outputs: tests, dimmer, flash, power, gauges.

Flashing lamps of one panel share a phase (AC 25.1322-1, from memory: flashing alerts should be
synchronised). It begins lit when the first of them lights, so that none comes late.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import inf
from types import MappingProxyType
from typing import Any

from panelbridge.logic.kit.curves import Curve, turns
from panelbridge.logic.kit.declarations import Gauge, loudest
from panelbridge.logic.kit.system import System
from panelbridge.logic.kit.world import World
from panelbridge.logic.lamps.facts import LampFacts
from panelbridge.logic.lamps.shine import shine
from panelbridge.logic.lamps.system import HORN_TESTS, Lamps
from panelbridge.signals import HornPattern, Outputs


class _Source:
    """What one system lights, sounds and energises; decided again when its facts are others."""

    __slots__ = ("energises", "facts", "lights", "sounds", "system")

    def __init__(self, system: System[Any]) -> None:
        self.system = system
        self.facts: Any = None
        self.lights: dict[str, bool] = {}
        self.energises: dict[str, bool] = {}
        self.sounds = HornPattern.SILENT

    def take(self) -> bool:
        """Take the facts; True when something else follows from them."""
        system = self.system
        self.facts = facts = system.facts
        before = (self.lights, self.energises, self.sounds)
        self.lights = {lamp.name: True for lamp in system.lamps if lamp.lit(facts)}
        self.energises = {
            one.name: any(rule.holds(facts) for rule in one.rules) for one in system.solenoids
        }
        self.sounds = system.sounds()
        return (self.lights, self.energises, self.sounds) != before


def _is_source(system: System[Any]) -> bool:
    """It can light, sound or energise something."""
    sounds = type(system).sounds is not System.sounds
    return sounds or bool(system.lamps or system.horn or system.solenoids)


class PanelOutputs:
    """Lamps, horn, gauges and solenoids of all systems together; they follow from facts alone.

    Args:
        systems: all of them, in their order; one of them is ``Lamps``.
        lamps: the names of all lamps, in the order to show.
    """

    def __init__(self, systems: Sequence[System[Any]], lamps: Sequence[str]) -> None:
        self._sources = tuple([_Source(system) for system in systems if _is_source(system)])
        self._dark = dict.fromkeys(lamps, False)
        (self._over,) = (system for system in systems if isinstance(system, Lamps))
        parameters = self._over.parameters
        self._half_s = 0.5 / parameters.flash_hz
        self._flashing = frozenset(parameters.flashing) & frozenset(lamps)
        self._gauges = tuple([gauge for system in systems for gauge in system.gauges])
        self._lit = self._dark
        self._horn = HornPattern.SILENT
        self._solenoids: dict[str, bool] = {}
        self._shone: Mapping[str, int] = {}
        self._shone_for: object = None
        self.flash_began_s: float | None = None
        """Since when lamps flash, s; None while none does. The only state that is kept."""
        self.due_s = inf
        """When the outputs change though no system does: a flash, a step of a gauge."""

    def take(self, now_s: float) -> None:
        """Take what the systems light, sound and energise."""
        moved = [source for source in self._sources if source.facts is not source.system.facts]
        taken = [source.take() for source in moved]  # every one of them
        if any(taken):
            lit, solenoids = self._dark.copy(), dict[str, bool]()
            for source in self._sources:
                lit.update(source.lights)
                solenoids.update(source.energises)
            self._solenoids = solenoids
            self._horn = loudest([source.sounds for source in self._sources])
            if lit != self._lit:
                self._lit = lit
        if not any(self._lit[name] for name in self._flashing):
            self.flash_began_s = None
        elif self.flash_began_s is None:
            self.flash_began_s = now_s

    def show(self, world: World, before: Outputs) -> Outputs:
        """What the panel shows; ``before`` itself when that has not changed."""
        over, now_s = world[LampFacts], world.now_s
        self.due_s = inf
        lamps = self._shine(over, flash_on=self._flash(now_s))
        gauges = {}
        for gauge in self._gauges if over.powered else ():
            steps = self._gauge_steps(gauge, world)
            if steps is not None:
                gauges[gauge.name] = steps * gauge.step
        solenoids = {name: on and over.powered for name, on in self._solenoids.items()}
        outputs = Outputs(
            lamps, self._sound(over), MappingProxyType(gauges), MappingProxyType(solenoids)
        )
        return before if outputs == before else outputs

    def _shine(self, over: LampFacts, *, flash_on: bool) -> Mapping[str, int]:
        """Brightness of every lamp; made again only when what it follows from is other."""
        what = (self._lit, over, flash_on)
        if what != self._shone_for:
            self._shone_for = what
            self._shone = shine(
                self._lit,
                self._over.parameters,
                over,
                flash_on=flash_on,
                warning_tested=self._over.warning_tested,
            )
        return self._shone

    def lit_steady(self, over: LampFacts) -> Mapping[str, bool]:
        """Which lamps are lit, in the lit half of every flash."""
        shone = shine(
            self._lit, self._over.parameters, over, warning_tested=self._over.warning_tested
        )
        return {name: brightness > 0 for name, brightness in shone.items()}

    def _sound(self, over: LampFacts) -> HornPattern:
        if not over.powered:
            return HornPattern.SILENT
        if self._horn is HornPattern.SILENT and any(rule.holds(over) for rule in HORN_TESTS):
            return self._over.test_pattern
        return self._horn

    def _flash(self, now_s: float) -> bool:
        """Whether flashing lamps are in the lit half; always while none flashes."""
        began_s = self.flash_began_s
        if began_s is None:
            return True
        # Counted from the beginning, so that errors of adding do not gather.
        halves = round((now_s - began_s) / self._half_s)
        if began_s + halves * self._half_s > now_s:
            halves -= 1
        self.due_s = min(self.due_s, began_s + (halves + 1) * self._half_s)
        return halves % 2 == 0

    def _gauge_steps(self, gauge: Gauge, world: World) -> int | None:
        value = gauge.read(world)
        if value is None:
            return None
        steps = round(value / gauge.step)
        curve = gauge.curve(world) if gauge.curve is not None else None
        if curve is not None:
            self.due_s = min(self.due_s, _next_step(curve, steps, gauge.step, world.now_s))
        return steps


def _next_step(curve: Curve, steps: int, size: float, now_s: float) -> float:
    """When a gauge leaves its step, s; inf = never."""

    def is_here(value: float) -> bool:
        return round(value / size) == steps

    return min(
        turns(curve, (steps - 0.5) * size, now_s, is_here),
        turns(curve, (steps + 0.5) * size, now_s, is_here),
    )
