"""Data that never came: throttles and flaps for the gear warning, engines for the gear's pressure.

14 CFR 25.729(e)(6) asks that no failure blocks the warning; one whose inputs are unknown keeps what
it had, so that it could never sound. That a fault says so is our own decision. Only in the air, and
while the squat switches are known: when all of the feed is lost that is said already.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import inf
from typing import Self

from msgspec import Struct

from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.gear.facts import GearFacts
from panelbridge.logic.gear.parameters import GearPowerParameters
from panelbridge.logic.hydraulics.parameters import HydraulicsParameters
from panelbridge.logic.kit.aircraft_cells import FLAP_DEG, engine_running, throttle
from panelbridge.logic.kit.declarations import Group, Lamp
from panelbridge.logic.kit.overdue import Overdue
from panelbridge.logic.kit.readings import Threshold
from panelbridge.logic.kit.rule import Rule, Words
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World
from panelbridge.logic.missing_data.facts import MissingDataFacts
from panelbridge.logic.missing_data.parameters import MissingDataParameters
from panelbridge.signals import Level, Reason

_RULE = Rule(
    "throttles or flaps unknown in the air",
    (("warning_blind", True),),
    "lights the caution: the gear warning cannot work",
)


class _MissingDataMemory(Struct, frozen=True):
    """What is kept between updates.

    Attributes:
        blind: throttles or flaps are unknown in the air.
    """

    blind: Overdue = Overdue()


class MissingData(System[MissingDataFacts]):
    """What is missing.

    Args:
        parameters: its limits.
        engines: number of throttle levers.
        gear_engines: engines whose data the pressure of the gear needs, from 0.
    """

    groups = (
        Group(
            "missing_data",
            MissingDataParameters,
            "Data that the feed should give and does not.",
            MissingDataParameters(),
        ),
    )
    events = {
        "warning_data_missing": (
            Level.FAULT,
            "the gear warning cannot work: the feed does not give {what}",
        ),
        "warning_data_found": (Level.INFO, "the gear warning has its data"),
        "engine_data_missing": (
            Level.CAUTION,
            "the gear has no pressure: the feed does not say whether the engines run",
        ),
    }
    lamps = (
        Lamp(
            "gear_warning_failed_amber",
            "gear warning cannot work",
            (_RULE,),
            legend="WARNING FAILED",
        ),
    )
    memory: _MissingDataMemory

    def __init__(
        self, parameters: MissingDataParameters, engines: int, gear_engines: tuple[int, ...]
    ) -> None:
        super().__init__()
        self._parameters = parameters
        # No number is above inf: these say no more than known or unknown.
        known = [(f"throttle {n + 1}", Threshold(throttle(n), inf)) for n in range(engines)]
        if parameters.flaps_expected:
            known.append(("the flap angle", Threshold(FLAP_DEG, inf)))
        self._known = tuple(known)
        self.readings = tuple([reading for _, reading in known])
        self._engines = tuple([engine_running(n) for n in gear_engines])
        if not gear_engines:
            self.never_notes("engine_data_missing")
        self.facts, self.memory = MissingDataFacts(), _MissingDataMemory()

    @classmethod
    def of(cls, build: Build) -> Self:
        """Every aircraft has a gear warning."""
        aircraft = build.aircraft
        parameters = aircraft.group(MissingDataParameters)
        engines: tuple[int, ...] = ()
        hydraulics = aircraft.optional(HydraulicsParameters)
        by_pressure = aircraft.group(GearPowerParameters).power == "hydraulic"
        own = aircraft.authority.legs == "model" and aircraft.authority.hydraulics == "model"
        if hydraulics is not None and by_pressure and own and parameters.engines_expected:
            engines = tuple([one.engine - 1 for one in hydraulics.supplies])
        return cls(parameters, aircraft.engines, engines)

    def update(self, now_s: float, world: World) -> MissingDataFacts:
        """Look at what the feed gives."""
        before = self.facts
        in_air = world[AirGroundFacts].on_ground is False
        missing = tuple(self._missing_of(world)) if in_air else ()
        limit_s = self._parameters.warning_limit_s
        blind = self.memory.blind.take(now_s, bool(missing), limit_s)
        self.memory, self.due_s = _MissingDataMemory(blind), blind.due_s
        gear = world[GearFacts]
        starved = bool(self._engines) and gear.wanted and not gear.supplied
        unknown = starved and all(world[one] is None for one in self._engines)
        facts = MissingDataFacts(blind.holds, unknown)
        if facts.warning_blind and not before.warning_blind:
            self.note(now_s, "warning_data_missing", what=", ".join(missing))
        if before.warning_blind and not facts.warning_blind:
            self.note(now_s, "warning_data_found")
        if facts.engines_missing and not before.engines_missing:
            self.note(now_s, "engine_data_missing")
        return facts

    def _missing_of(self, world: World) -> Iterator[str]:
        return (name for name, reading in self._known if world[reading] is None)

    def words(self, world: World) -> Words:
        """What is unknown, in words."""
        limit_s, names = self._parameters.warning_limit_s, ", ".join(self._missing_of(world))
        detail = f"unknown: {names}" if names else "all known"
        for_s = "" if limit_s is None else f" for {limit_s:g} s"
        blind = world[MissingDataFacts].warning_blind
        return {
            "warning_blind": (
                Reason(f"throttles or flaps unknown in the air{for_s}", blind, detail),
            )
        }

    def failures(self) -> tuple[str, ...]:
        """What cannot work."""
        facts = self.facts
        blind = ("the gear warning cannot work: throttles or flaps are unknown",)
        engines = ("the gear has no pressure: the feed does not say whether the engines run",)
        return (
            *(blind if facts.warning_blind else ()),
            *(engines if facts.engines_missing else ()),
        )
