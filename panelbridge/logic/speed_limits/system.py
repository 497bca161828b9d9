"""Speed limits of the gear: VLO to extend, VLO to retract, VLE.

14 CFR 25.1515 and 23.1515: VLO is the speed up to which the gear may be extended and retracted; if
the two differ there is one for each. VLE is the speed up to which the aircraft may fly with the
gear extended. Nothing says that VLO is the lower of them, so no order is asked for.

Unknown legs are not up (what is unknown inhibits no caution). While the airspeed is unknown no
caution begins, and one that is on stays until the airspeed is known to be low enough or the gear no
longer matters: lost data clears nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Self

from panelbridge.logic.gear.facts import GearFacts
from panelbridge.logic.kit.aircraft_cells import AIRSPEED_KIAS
from panelbridge.logic.kit.declarations import Group, Lamp, Misfit, Signal
from panelbridge.logic.kit.readings import Threshold
from panelbridge.logic.kit.rule import Rule, Words
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World
from panelbridge.logic.speed_limits.facts import SpeedFacts
from panelbridge.logic.speed_limits.parameters import SpeedLimitsParameters
from panelbridge.signals import GearPosition, Level, Reason

_RULES = {
    name: Rule(words, ((way, True), (f"above_{name}", True)), f"lights the caution, {source}")
    for name, words, way, source in (
        ("vlo_extend", "gear extended above VLO", "extending", "14 CFR 25.1515(a)"),
        ("vlo_retract", "gear retracted above VLO", "retracting", "14 CFR 25.1515(a)"),
        ("vle", "gear out above VLE", "gear_out", "14 CFR 25.1515(b)"),
    )
}
_LABELS = {"vlo_extend": "VLO to extend", "vlo_retract": "VLO to retract", "vle": "VLE"}
_Highest = tuple[tuple[str, float], ...]
"""Highest airspeed of each limit that is exceeded, knots."""


class SpeedLimits(System[SpeedFacts]):
    """The three limits.

    Args:
        parameters: its numbers.
    """

    title = "Speed limits"
    groups = (
        Group(
            "speed_limits",
            SpeedLimitsParameters,
            "Speeds for the gear; null for none that are watched.",
        ),
    )
    events = {
        "speed_limit_exceeded": (Level.CAUTION, "the airspeed is above {words}, {limit} knots"),
        "speed_limit_exceedance_ended": (
            Level.INFO,
            "the exceedance of {words} is over: the highest was {highest} knots",
        ),
    }
    values = (
        Signal(
            *("gear_speed_limit_kias", "number", "gear speed limit"),
            lambda world: world[SpeedFacts].limit_kias,
            unit="knots",
            low=0.0,
            when_none="no limit now",
        ),
        Signal(
            *("gear_speed_highest_kias", "number", "highest exceedance"),
            lambda world: world[SpeedFacts].highest_kias,
            unit="knots",
            low=0.0,
            when_none="never",
        ),
    )
    memory: _Highest

    def __init__(self, parameters: SpeedLimitsParameters) -> None:
        super().__init__()
        self._hysteresis_kias = parameters.hysteresis_kias
        self._limits = {
            name: limit for name, limit in parameters.limits().items() if limit is not None
        }
        # The hysteresis belongs to the caution, not to the airspeed: a limit that does not matter
        # yet is not exceeded by an airspeed that was above it once.
        self._above = {name: Threshold(AIRSPEED_KIAS, one) for name, one in self._limits.items()}
        self._still_above = {
            name: Threshold(AIRSPEED_KIAS, one - self._hysteresis_kias)
            for name, one in self._limits.items()
        }
        self.readings = (*self._above.values(), *self._still_above.values())
        rules = tuple([_RULES[name] for name in self._limits])
        self.lamps = (
            (Lamp("speed_amber", "gear speed exceeded", rules, legend="GEAR SPEED"),)
            if rules
            else ()
        )
        self.facts, self.memory = SpeedFacts(), ()

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None for an aircraft whose speeds are not watched."""
        parameters = build.aircraft.optional(SpeedLimitsParameters)
        return None if parameters is None else cls(parameters)

    @classmethod
    def misfits(cls, aircraft: Any) -> Iterator[Misfit]:
        """Speeds at which the gear may move and may not be out; 14 CFR 25.1515 forbids none."""
        parameters = aircraft.optional(SpeedLimitsParameters)
        if parameters is None or parameters.vle_kias is None:
            return
        for key in ("vlo_kias", "vlo_extend_kias", "vlo_retract_kias"):
            limit = getattr(parameters, key)
            if limit is not None and limit > parameters.vle_kias:
                what = f"the gear may move at {limit:g} knots, and be out only up to "
                what += f"{parameters.vle_kias:g}, 'vle_kias'"
                hint = "Allowed, and rarely meant: moving gear is judged by both"
                yield Misfit(("speed_limits", key), what, hint, is_warning=True)

    def update(self, now_s: float, world: World) -> SpeedFacts:
        """Compare the airspeed with the limits that hold for the gear as it is."""
        gear, highest = world[GearFacts], dict(self.memory)
        up, down = gear.all_up, gear.all_down
        demand = None if gear.is_agreeing else gear.demand
        if demand is None:  # a leg between its ends counts as going both ways
            extending = retracting = not (up or down)
        else:
            extending = demand is GearPosition.DOWN and not down
            retracting = demand is GearPosition.UP and not up
        holding = {"vlo_extend": extending, "vlo_retract": retracting, "vle": not up}
        here = {name: limit for name, limit in self._limits.items() if holding[name]}
        exceeded = [name for name in here if self._is_above(name, name in highest, world)]
        last_kias = self.facts.highest_kias
        # The airspeed itself is watched only while a limit is exceeded.
        kias = world[AIRSPEED_KIAS] if exceeded or highest else None
        if kias is not None and highest:
            highest = {name: max(top, kias) for name, top in highest.items()}
            last_kias = max(kias, last_kias or kias)
        for name, limit in self._limits.items():
            words = _LABELS[name]
            if name in exceeded and name not in highest:
                assert kias is not None  # an unknown airspeed begins nothing
                if not highest:
                    last_kias = kias
                highest[name] = kias
                self.note(now_s, "speed_limit_exceeded", name, words=words, limit=f"{limit:.0f}")
            elif name not in exceeded and name in highest:
                top = f"{highest.pop(name):.0f}"
                self.note(now_s, "speed_limit_exceedance_ended", name, words=words, highest=top)
        self.memory = tuple(highest.items())
        return SpeedFacts(
            *(extending, retracting, not up),
            **{f"above_{name}": True for name in exceeded},
            limit_kias=min(here.values(), default=None),
            highest_kias=last_kias,
        )

    def _is_above(self, name: str, is_on: bool, world: World) -> bool:
        """Above the limit; while its caution is on, above the limit less the hysteresis."""
        above = world[(self._still_above if is_on else self._above)[name]]
        return is_on if above is None else above

    def words(self, world: World) -> Words:
        """The conditions in words, with the airspeed and each limit."""
        facts, on = world[SpeedFacts], dict(self.memory)
        return {
            "extending": (Reason("gear to be extended, not locked down", facts.extending),),
            "retracting": (Reason("gear to be retracted, not locked up", facts.retracting),),
            "gear_out": (Reason("gear not locked up", facts.gear_out),),
            **{
                f"above_{name}": (
                    Reason(
                        f"airspeed above {label}",
                        name in self._limits and self._is_above(name, name in on, world),
                        self._against(name, world),
                    ),
                )
                for name, label in _LABELS.items()
            },
        }

    def _against(self, name: str, world: World) -> str:
        limit, kias = self._limits.get(name), world[AIRSPEED_KIAS]
        if limit is None:
            return "not watched"
        if kias is None:
            return f"unknown: kept, limit {limit:.0f} knots"
        if name in dict(self.memory):
            ends = limit - self._hysteresis_kias
            return f"{kias:.1f} knots, limit {limit:.0f}, ends at {ends:.0f}"
        return f"{kias:.1f} knots, limit {limit:.0f}"
