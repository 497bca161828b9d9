"""Speed limits of the gear: VLO to extend, VLO to retract, VLE.

14 CFR 25.1515 and 23.1515: VLO is the speed up to which the gear may be extended and retracted; if
the two differ there is one for each. VLE is the speed up to which the aircraft may fly with the
gear extended. Nothing says that VLO is the lower of them, so no order is asked for.

Unknown legs are not up (what is unknown inhibits no caution). While the airspeed is unknown no
caution begins, and one that is on stays until the airspeed is known to be low enough or the gear no
longer cares: lost data clears nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf, isnan
from typing import Annotated, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from panelbridge.logic.bands import NEVER_CALM
from panelbridge.logic.events import EventLog
from panelbridge.logic.parameters import Parameters
from panelbridge.logic.rule import Rule, Told
from panelbridge.logic.system import System, ValueInfo
from panelbridge.signals import GearPosition, Reason, Value

Knots = Annotated[float, Field(gt=0.0, le=600.0)]


class SpeedLimitsParameters(Parameters):
    """Greatest airspeeds for the gear; one that is null is not watched."""

    vlo_kias: Knots | None = None
    """Greatest airspeed at which the gear may move, knots, when one holds for both ways."""
    vlo_extend_kias: Knots | None = None
    """Greatest airspeed at which the gear may be extended, knots."""
    vlo_retract_kias: Knots | None = None
    """Greatest airspeed at which the gear may be retracted, knots."""
    vle_kias: Knots | None = None
    """Greatest airspeed at which the gear may be out, knots."""
    hysteresis_kias: Annotated[float, Field(ge=0.0, le=20.0)] = 2.0
    """A caution ends only so much below its limit, knots, so that it does not flicker."""

    @model_validator(mode="after")
    def _one_vlo_or_two(self) -> Self:
        two = self.vlo_extend_kias is not None or self.vlo_retract_kias is not None
        if self.vlo_kias is not None and two:
            raise PydanticCustomError(
                "vlo_twice",
                "vlo_kias sets both ways: give either it, or vlo_extend_kias and vlo_retract_kias",
            )
        return self

    def limits(self) -> Mapping[str, float | None]:
        """Each limit by its name, knots; None when it is not watched."""
        both = self.vlo_kias
        return {
            "vlo_extend": self.vlo_extend_kias if both is None else both,
            "vlo_retract": self.vlo_retract_kias if both is None else both,
            "vle": self.vle_kias,
        }


@dataclass(frozen=True, slots=True)
class SpeedConditions:
    """All that decides the caution.

    Attributes:
        extending: the gear is on its way down, or asked to be, and not locked down.
        retracting: the gear is on its way up, or asked to be, and not locked up.
        gear_out: some leg is not known to be locked up.
        above_vlo_extend: the airspeed is above VLO to extend.
        above_vlo_retract: the airspeed is above VLO to retract.
        above_vle: the airspeed is above VLE.
    """

    extending: bool = False
    retracting: bool = False
    gear_out: bool = False
    above_vlo_extend: bool = False
    above_vlo_retract: bool = False
    above_vle: bool = False


_RULES = {
    "vlo_extend": Rule(
        "gear extended above VLO",
        (("extending", True), ("above_vlo_extend", True)),
        "lights the caution, 14 CFR 25.1515(a)",
    ),
    "vlo_retract": Rule(
        "gear retracted above VLO",
        (("retracting", True), ("above_vlo_retract", True)),
        "lights the caution, 14 CFR 25.1515(a)",
    ),
    "vle": Rule(
        "gear out above VLE",
        (("gear_out", True), ("above_vle", True)),
        "lights the caution, 14 CFR 25.1515(b)",
    ),
}
_LABELS = {"vlo_extend": "VLO to extend", "vlo_retract": "VLO to retract", "vle": "VLE"}


class SpeedLimits(System):
    """The three limits.

    Args:
        parameters: its numbers.
        log: takes its events.
    """

    timer_prefix = "speed_limits"
    published = (
        ValueInfo("gear_speed_limit_kias", "number", "airspeed limit of the gear", "knots", (), 0),
        ValueInfo("gear_speed_highest_kias", "number", "highest above a limit", "knots", (), 0),
    )
    conditions: SpeedConditions

    def __init__(self, parameters: SpeedLimitsParameters, log: EventLog) -> None:
        self._log = log
        self._hysteresis_kias = parameters.hysteresis_kias
        self._limits = {
            name: limit for name, limit in parameters.limits().items() if limit is not None
        }
        self._active: tuple[str, ...] = ()
        self._kias: float | None = None
        self._highest: dict[str, float] = {}
        self._highest_kias: float | None = None
        rules = tuple(_RULES[name] for name in self._limits)
        self.lamp_rules = {"speed_amber": rules} if rules else {}
        self.conditions = SpeedConditions()

    @property
    def calm_kias(self) -> tuple[float, float]:
        """Above the first airspeed and up to the second one nothing has to be taken, knots."""
        if self._highest:
            return NEVER_CALM  # the highest airspeed is watched
        return -inf, min([self._limits[name] for name in self._active], default=inf)

    def take_airspeed(self, now_s: float, kias: float | None) -> bool:
        """Take the airspeed, knots; True when it has passed a limit that holds now."""
        self._kias = kias
        if self._highest:
            self._watch(kias)
        conditions = self.conditions
        return any(
            self._is_above(name) is not getattr(conditions, f"above_{name}")
            for name in self._active
        )

    def update(
        self, now_s: float, *, demand: GearPosition | None, all_up: bool, all_down: bool
    ) -> None:
        """Decide anew.

        Args:
            now_s: seconds.
            demand: where the gear is asked to go; None when unknown: a leg that is between its
                ends then counts as going both ways.
            all_up: every leg is known to be locked up.
            all_down: every leg is known to be locked down.
        """
        on_the_way = not (all_up or all_down)
        extending = on_the_way if demand is None else demand is GearPosition.DOWN and not all_down
        retracting = on_the_way if demand is None else demand is GearPosition.UP and not all_up
        self.conditions = SpeedConditions(
            extending=extending,
            retracting=retracting,
            gear_out=not all_up,
            above_vlo_extend=self._is_above("vlo_extend"),
            above_vlo_retract=self._is_above("vlo_retract"),
            above_vle=self._is_above("vle"),
        )
        holding = {"vlo_extend": extending, "vlo_retract": retracting, "vle": not all_up}
        self._active = tuple([name for name in self._limits if holding[name]])
        for name in self._limits:
            self._follow(now_s, name, exceeds=_RULES[name].holds(self.conditions))

    def told(self) -> Told:
        """The last conditions in words, with the airspeed and each limit."""
        conditions = self.conditions
        return {
            "extending": (Reason("gear to be extended, not locked down", conditions.extending),),
            "retracting": (Reason("gear to be retracted, not locked up", conditions.retracting),),
            "gear_out": (Reason("gear not locked up", conditions.gear_out),),
            **{
                f"above_{name}": (
                    Reason(
                        f"airspeed above {label}",
                        self._is_above(name),
                        self._against(name),
                    ),
                )
                for name, label in _LABELS.items()
            },
        }

    def values(self, now_s: float) -> Mapping[str, Value]:
        """The limit that holds now, and the highest airspeed of the exceedance that is or was."""
        limits = [self._limits[name] for name in self._active]
        return {
            "gear_speed_limit_kias": min(limits, default=None),
            "gear_speed_highest_kias": self._highest_kias,
        }

    def _is_above(self, name: str) -> bool:
        """Above the limit; while its caution is on, until the hysteresis has been left too."""
        limit, kias, is_on = self._limits.get(name), self._kias, name in self._highest
        if limit is None:
            return False
        if kias is None or isnan(kias):
            return is_on
        return kias > (limit - self._hysteresis_kias if is_on else limit)

    def _follow(self, now_s: float, name: str, *, exceeds: bool) -> None:
        if exceeds and name not in self._highest:
            assert self._kias is not None  # an unknown airspeed begins nothing
            if not self._highest:
                self._highest_kias = self._kias
            self._highest[name] = self._kias
            self._watch(self._kias)
            limit = f"{self._limits[name]:.0f}"
            self._log.note(now_s, "speed_limit_exceeded", name, words=_LABELS[name], limit=limit)
        elif not exceeds and name in self._highest:
            highest = f"{self._highest.pop(name):.0f}"
            self._log.note(
                now_s, "speed_limit_exceedance_ended", name, words=_LABELS[name], highest=highest
            )

    def _watch(self, kias: float | None) -> None:
        """Keep the highest airspeed of everything that is exceeded."""
        if kias is None or isnan(kias):
            return
        for name, highest in self._highest.items():
            if kias > highest:
                self._highest[name] = kias
        self._highest_kias = max(kias, self._highest_kias or kias)

    def _against(self, name: str) -> str:
        limit, kias = self._limits.get(name), self._kias
        if limit is None:
            return "not watched"
        if kias is None or isnan(kias):
            return f"unknown: kept, limit {limit:.0f} knots"
        if name in self._highest:
            return (
                f"{kias:.1f} knots, limit {limit:.0f}, ends at {limit - self._hysteresis_kias:.0f}"
            )
        return f"{kias:.1f} knots, limit {limit:.0f}"
