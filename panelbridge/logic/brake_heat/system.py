"""Heat of the brakes: what each stop puts in, how it goes out, and what it does meanwhile.

The kinetic energy that is lost while braking goes to the braked wheels (14 CFR 23.735(a)(2) before
2017: KE = 0.0443 W V2/N) and heats their brakes; it is cumulative. The brakes cool exponentially
(common practice) and heat their wheels, which are hottest long after the stop: a fuse plug can melt
then (US Navy 1260: 324 F, "may exceed 25 minutes"). *Too hot to go* begins with a hot brake and
does not end while a wheel still heats up, though its brake has cooled.

The speed counts in steps of a knot, so that its noise heats nothing, and only while braking on the
ground. Nothing ticks: temperatures are functions of time, and the system looks at their crossings.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf
from typing import Any, Self

from msgspec import Struct
from msgspec.structs import replace

from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.antiskid.facts import AntiskidFacts
from panelbridge.logic.brake_heat.facts import BrakeHeatFacts, WheelHeat
from panelbridge.logic.brake_heat.nodes import cold, energy_j, heated
from panelbridge.logic.brake_heat.parameters import BrakeHeatParameters
from panelbridge.logic.brake_heat.values import heat_values
from panelbridge.logic.brakes.facts import BrakesFacts
from panelbridge.logic.brakes.parameters import SIDES, BrakesParameters
from panelbridge.logic.gear.facts import GearFacts
from panelbridge.logic.kit.aircraft_cells import GROUND_SPEED_KT, MASS_KG
from panelbridge.logic.kit.curves import turns
from panelbridge.logic.kit.declarations import Group, Lamp, Misfit
from panelbridge.logic.kit.readings import Quantiser
from panelbridge.logic.kit.rule import Rule, Words, against
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World
from panelbridge.signals import Level, Reason

SPEED_STEP_KT = 1.0
_TOO_HOT = Lamp(
    "brake_hot_amber",
    "brakes too hot to go",
    (Rule("brakes too hot for a take-off", (("too_hot", True),), "lights the caution"),),
    legend="BRAKES HOT",
)
_MELTED = Lamp(
    "fuse_plug_amber",
    "fuse plug melted",
    (Rule("a fuse plug has melted", (("is_melted", True),), "lights the caution: a flat tyre"),),
    legend="FUSE PLUG",
)


class _HeatMemory(Struct, frozen=True):
    """What is kept between updates.

    Attributes:
        shares: how strongly each wheel has been braked since the last update, 0 to 1.
        steps: the speed then, in steps; None when it does not count or was never known.
        factor: how many times as fast everything cools.
    """

    shares: tuple[float, ...]
    steps: int | None = None
    factor: float = 1.0


class BrakeHeat(System[BrakeHeatFacts]):
    """Temperatures of all braked wheels.

    Args:
        parameters: its numbers.
        brakes: with the braked wheels.
    """

    title = "Brake heat"
    groups = (
        Group(
            "brake_heat",
            BrakeHeatParameters,
            "Temperature of the brakes; null when nobody looks at it.",
        ),
    )
    events = {
        "brakes_too_hot": (Level.CAUTION, "the brakes are too hot for a take-off"),
        "brakes_cooled": (Level.INFO, "the brakes are cool enough for a take-off"),
        "fuse_plug_melted": (Level.WARNING, "the fuse plug of the {subject} wheel has melted"),
    }
    memory: _HeatMemory

    def __init__(self, parameters: BrakeHeatParameters, brakes: BrakesParameters) -> None:
        super().__init__()
        self._parameters = parameters
        self._names = tuple([wheel.name for wheel in brakes.wheels])
        self._sides = tuple([SIDES.index(wheel.side) for wheel in brakes.wheels])
        self._speed = Quantiser(GROUND_SPEED_KT, SPEED_STEP_KT)
        self.readings = (self._speed,)
        self.lamps = (
            *((_TOO_HOT,) if parameters.too_hot_c is not None else ()),
            *((_MELTED,) if parameters.fuse_plug_c is not None else ()),
        )
        self.values = tuple(heat_values(self._names, parameters))
        self.memory = _HeatMemory((0.0,) * len(self._names))
        self.facts = BrakeHeatFacts((cold(parameters),) * len(self._names))

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None for an aircraft whose brakes' heat nobody looks at."""
        parameters = build.aircraft.optional(BrakeHeatParameters)
        brakes = build.aircraft.optional(BrakesParameters)
        return None if parameters is None or brakes is None else cls(parameters, brakes)

    @classmethod
    def misfits(cls, aircraft: Any) -> Iterator[Misfit]:
        """Heat without brakes."""
        if aircraft.optional(BrakeHeatParameters) is not None and (
            aircraft.optional(BrakesParameters) is None
        ):
            what = "this is the heat of the brakes, and the aircraft file has no brakes"
            yield Misfit(("brake_heat",), what, "Add 'brakes:', or delete this", is_key=True)

    def update(self, now_s: float, world: World) -> BrakeHeatFacts:
        """Put in what was lost since the last update; follow limits and peaks."""
        before, memory = self.facts, self.memory
        shares = self._shares(world)
        factor = self._factor(world)
        counts = any(shares) or any(memory.shares)
        steps = world[self._speed] if counts else None
        steps = memory.steps if steps is None else steps
        rises = self._rises(memory, steps, world)
        wheels = before.wheels
        if any(rises) or factor != memory.factor:
            wheels = tuple(
                [
                    heated(now_s, one, rise, factor, self._parameters)
                    for one, rise in zip(wheels, rises, strict=True)
                ]
            )
        self.memory = _HeatMemory(shares, steps if any(shares) else None, factor)
        wheels = self._with_plugs(now_s, wheels)
        too_hot = self._is_too_hot(now_s, before.too_hot, wheels)
        if too_hot is not before.too_hot:
            self.note(now_s, "brakes_too_hot" if too_hot else "brakes_cooled")
        self.due_s = self._due_s(now_s, wheels, too_hot)
        return BrakeHeatFacts(wheels, too_hot)

    def _shares(self, world: World) -> tuple[float, ...]:
        """How strongly each wheel is braked on the ground, 0 to 1."""
        none = (0.0,) * len(self._sides)
        if world[AirGroundFacts].on_ground is False:
            return none
        brakes = world[BrakesFacts]
        if not any((*brakes.side_fractions, brakes.parked_fraction)):
            return none
        wheels = world[AntiskidFacts].wheels
        shares = []
        for place, side in enumerate(self._sides):
            shut = place < len(wheels) and wheels[place].shut_off and not brakes.emergency_braking
            pressed = 0.0 if shut else brakes.side_fractions[side]
            shares.append(max(pressed, brakes.parked_fraction))
        return tuple(shares)

    def _factor(self, world: World) -> float:
        flies = world[AirGroundFacts].on_ground is False and world[GearFacts].all_down
        return self._parameters.flight_cooling_factor if flies else 1.0

    def _rises(self, memory: _HeatMemory, steps: int | None, world: World) -> Sequence[float]:
        """By how much each brake has become hotter since the last update, K."""
        numbers, total = self._parameters, sum(memory.shares)
        if not total or memory.steps is None or steps is None or steps >= memory.steps:
            return (0.0,) * len(memory.shares)
        mass_kg = world[MASS_KG] or numbers.mass_kg
        lost = energy_j(mass_kg, memory.steps * SPEED_STEP_KT, steps * SPEED_STEP_KT)
        per_share = lost * numbers.brakes_share_fraction / total
        capacity = numbers.heat_sink_kg * numbers.specific_heat_j_per_kg_k
        return [share * per_share / capacity for share in memory.shares]

    def _with_plugs(self, now_s: float, wheels: tuple[WheelHeat, ...]) -> tuple[WheelHeat, ...]:
        melts_c = self._parameters.fuse_plug_c
        if melts_c is None:
            return wheels
        found = []
        for name, one in zip(self._names, wheels, strict=True):
            melts = not one.fuse_melted and one.wheel.at(now_s) >= melts_c
            if melts:
                self.note(now_s, "fuse_plug_melted", name)
            found.append(replace(one, fuse_melted=True) if melts else one)
        return tuple(found)

    def _is_too_hot(self, now_s: float, was: bool, wheels: Sequence[WheelHeat]) -> bool:
        limit_c = self._parameters.too_hot_c
        if limit_c is None:
            return False
        limit_c -= self._parameters.too_hot_hysteresis_c if was else 0.0
        hot = any(one.brake.at(now_s) > limit_c for one in wheels)
        return hot or (was and any(one.wheel.turns_s > now_s for one in wheels))

    def _due_s(self, now_s: float, wheels: Sequence[WheelHeat], too_hot: bool) -> float:
        numbers = self._parameters
        dues: list[float] = []
        if numbers.fuse_plug_c is not None:
            melts_c = numbers.fuse_plug_c
            whole = [one.wheel for one in wheels if not one.fuse_melted]
            dues += [turns(one, melts_c, now_s, lambda at: at >= melts_c) for one in whole]
        if too_hot and numbers.too_hot_c is not None:
            ends_c = numbers.too_hot_c - numbers.too_hot_hysteresis_c
            dues += [turns(one.brake, ends_c, now_s, lambda at: at > ends_c) for one in wheels]
            dues += [one.wheel.turns_s for one in wheels if one.wheel.turns_s > now_s]
        return min(dues, default=inf)

    def words(self, world: World) -> Words:
        """The hottest brake against its limit, and the plugs."""
        facts, numbers, now_s = world[BrakeHeatFacts], self._parameters, world.now_s
        hottest = max(one.brake.at(now_s) for one in facts.wheels)
        heats_up = any(one.wheel.turns_s > now_s for one in facts.wheels)
        limit_c = numbers.too_hot_c or 0.0
        limit_c -= numbers.too_hot_hysteresis_c if facts.too_hot else 0.0
        hot = f"{against(hottest, limit_c)} deg C"
        hot += ", a wheel still heats up" if facts.too_hot and heats_up else ""
        pairs = zip(self._names, facts.wheels, strict=True)
        melted = ", ".join(name.replace("_", " ") for name, one in pairs if one.fuse_melted)
        return {
            "too_hot": (Reason("brakes too hot for a take-off", facts.too_hot, hot),),
            "is_melted": (Reason("a fuse plug has melted", facts.is_melted, melted),),
        }
