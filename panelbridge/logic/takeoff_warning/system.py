"""Take-off configuration warning: horn and lamp at take-off thrust in an unsafe configuration.

CS 25.703, 14 CFR 25.703 and 14 CFR 23.703 (Amdt 23-49), by ``profile``. On the ground with a lever
set for take-off it warns of each item by itself, until the configuration is safe, the thrust is
taken back, the aircraft rotates or leaves the ground, or a guarded button silences it; the silence
ends with the thrust or with the ground, so that it is armed again for each take-off. The ordinary
silence of the gear horn does nothing here. An airspeed holds back a new warning at most: one that
sounds goes on until the rotation.

What is unknown counts as safe, and a lamp of its own says so; the parking brake alone counts as
set, which its lamp shows. An aircraft that is not known to fly stands on the ground.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Self

from msgspec import Struct

from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.kit.aircraft_cells import AIRSPEED_KIAS, throttle
from panelbridge.logic.kit.declarations import Group, HornRule, Lamp, Misfit, Signal
from panelbridge.logic.kit.edges import RisingEdge
from panelbridge.logic.kit.handles import Button
from panelbridge.logic.kit.readings import Threshold
from panelbridge.logic.kit.rule import Rule, Words, against
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World
from panelbridge.logic.takeoff_warning.facts import TakeoffFacts
from panelbridge.logic.takeoff_warning.items import Item, items_of
from panelbridge.logic.takeoff_warning.parameters import TakeoffWarningParameters
from panelbridge.signals import HornPattern, Level, Reason

TAKEOFF_SILENCE = Button(
    "takeoff_silence",
    "take-off warning silence",
    "Button under a guard that silences the take-off warning until the thrust is taken back.",
)
_SOURCES = {"cs_25": "CS 25.703", "14_cfr_25": "14 CFR 25.703", "14_cfr_23": "14 CFR 23.703"}
_ROLLS = (("on_ground", True), ("thrust_high", True), ("rotated", False), ("held_back", False))
_UNKNOWN_LAMP = Lamp(
    "takeoff_unknown_amber",
    "take-off configuration unknown",
    (
        Rule(
            "take-off configuration unknown",
            (("has_unknown", True), ("on_ground", True)),
            "lights the caution: there is no warning of what is unknown",
        ),
    ),
    legend="CONFIG DATA",
)


class _TakeoffMemory(Struct, frozen=True):
    """What is kept between updates.

    Attributes:
        silence: the guarded button.
        silenced: it was pressed while the horn sounded, in this take-off.
    """

    silence: RisingEdge = RisingEdge()
    silenced: bool = False


class TakeoffWarning(System[TakeoffFacts]):
    """The warning.

    Args:
        parameters: its numbers.
        items: what is watched.
        engines: number of throttle levers.
        rotation_place: place of the leg that leaves the ground first; None = none is looked at.
    """

    title = "Take-off"
    groups = (
        Group(
            "takeoff_warning",
            TakeoffWarningParameters,
            "Take-off configuration warning.",
            TakeoffWarningParameters(),
        ),
    )
    switches: tuple[Button, ...] = (TAKEOFF_SILENCE,)
    events = {
        "takeoff_config_warned": (Level.WARNING, "take-off thrust with {words}"),
        "takeoff_config_ended": (Level.INFO, "the take-off warning is over"),
        "takeoff_warning_silenced": (Level.INFO, "the take-off warning was silenced"),
    }
    values = (
        Signal(
            *("takeoff_config", "word", "take-off configuration"),
            lambda world: _config_word(world[TakeoffFacts]),
            words=("safe", "unsafe"),
        ),
    )
    memory: _TakeoffMemory

    def __init__(
        self,
        parameters: TakeoffWarningParameters,
        items: Sequence[Item],
        engines: int,
        rotation_place: int | None = None,
    ) -> None:
        super().__init__()
        self._parameters, self._items = parameters, tuple(items)
        self._rotation = rotation_place if parameters.profile != "14_cfr_23" else None
        limit = parameters.thrust_fraction
        back = round(limit - parameters.thrust_hysteresis_fraction, 9)
        self._levers = [Threshold(throttle(n), limit, back, keeps=True) for n in range(engines)]
        kias = parameters.hold_back_from_kias
        self._fast = None if kias is None else Threshold(AIRSPEED_KIAS, kias)
        fast = () if self._fast is None else (self._fast,)
        of_items = [one for item in items for one in item.readings]
        self.readings = (*self._levers, *fast, *of_items)
        silence = parameters.silence_allowed and parameters.profile != "14_cfr_23"
        self.switches = (TAKEOFF_SILENCE,) if silence else ()
        source = _SOURCES[parameters.profile]
        lights, sounds = f"lights the warning, {source}", f"sounds the horn, {source}"
        needs = [(f"take-off thrust: {one.words}", (one.name, True)) for one in items]
        rules = [Rule(words, (need, *_ROLLS), lights) for words, need in needs]
        quiet = ("silenced", False)
        horn = [Rule(words, (need, *_ROLLS, quiet), sounds) for words, need in needs]
        unknown = (_UNKNOWN_LAMP,) if self.readings else ()
        self.lamps = (
            Lamp(
                "takeoff_config_red",
                "take-off configuration",
                tuple(rules),
                legend="TAKE-OFF CONFIG",
            ),
            *unknown,
        )
        pattern = HornPattern(parameters.pattern)
        self.horn = tuple([HornRule(rule, pattern) for rule in horn])
        self.memory, self.facts = _TakeoffMemory(), TakeoffFacts()

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None for an aircraft in which nothing is watched."""
        aircraft = build.aircraft
        parameters = aircraft.group(TakeoffWarningParameters)
        brakes = aircraft.optional(BrakesParameters)
        has_parking_brake = brakes is not None and brakes.parking_brake
        items = items_of(parameters, has_parking_brake=has_parking_brake)
        leg, names = parameters.rotation_leg, aircraft.strut_names
        place = names.index(leg) if leg is not None else None
        return cls(parameters, items, aircraft.engines, place) if items else None

    @classmethod
    def misfits(cls, aircraft: Any) -> Iterator[Misfit]:
        """A leg that the aircraft has not, and ranges that nothing fits."""
        parameters = aircraft.group(TakeoffWarningParameters)
        leg = parameters.rotation_leg
        if leg is not None:
            yield from aircraft.missing_legs([(("takeoff_warning", "rotation_leg"), leg)])
        for least, most in (("flap_least_deg", "flap_most_deg"), ("trim_least", "trim_most")):
            low, high = getattr(parameters, least), getattr(parameters, most)
            if low is not None and high is not None and low > high:
                what = f"{least} is {low:g} and must not be above {most}, {high:g}"
                yield Misfit(("takeoff_warning", least), what, f"Write {high:g} or less")

    def update(self, now_s: float, world: World) -> TakeoffFacts:
        """Look at thrust, ground and every item; follow the silence."""
        before, memory = self.facts, self.memory
        found = {item.name: item.is_unsafe(world) for item in self._items}
        on_ground = world[AirGroundFacts].on_ground is not False
        thrust_high = self._is_thrust_high(before.thrust_high, world)
        silence = memory.silence.take(world[TAKEOFF_SILENCE] if self.switches else None)
        silenced = memory.silenced and thrust_high and on_ground
        rotated = self._rotated(world)
        rolls = on_ground and thrust_high and not rotated
        unsafe = any(one is True for one in found.values())
        fast = self._fast is not None and world[self._fast] is True
        held_back = fast and rolls and unsafe and not before.warns
        if rolls and unsafe and not held_back and memory.silence.rises(silence) and not silenced:
            self.note(now_s, "takeoff_warning_silenced")
            silenced = True
        facts = TakeoffFacts(
            *(on_ground, thrust_high, rotated),
            **{name: one is True for name, one in found.items()},
            held_back=held_back,
            silenced=silenced,
            unknown=self._unknown(found, world),
        )
        self.memory = _TakeoffMemory(silence, silenced)
        for item in self._items if facts.warns else ():
            if getattr(facts, item.name) and not (before.warns and getattr(before, item.name)):
                self.note(now_s, "takeoff_config_warned", words=item.words)
        if before.warns and not facts.warns:
            self.note(now_s, "takeoff_config_ended")
        return facts

    def _is_thrust_high(self, was_high: bool, world: World) -> bool:
        """A lever is set for take-off; while none is known, what was known stays."""
        known = [one for lever in self._levers if (one := world[lever]) is not None]
        return any(known) if known else was_high

    def _rotated(self, world: World) -> bool:
        struts, place = world[AirGroundFacts].struts, self._rotation
        return place is not None and place < len(struts) and struts[place] is False

    def _unknown(self, found: dict[str, bool | None], world: World) -> tuple[str, ...]:
        words = [name.replace("_", " ") for name, one in found.items() if one is None]
        if any(world[lever] is None for lever in self._levers):
            words.append("throttles")
        return tuple(words)

    def words(self, world: World) -> Words:
        """The conditions in words."""
        facts, numbers = world[TakeoffFacts], self._parameters
        levers = [world[lever.of] for lever in self._levers]
        thrust = max([one for one in levers if one is not None], default=None)
        held = (
            f"limit {numbers.hold_back_from_kias:g} knots"
            if self._fast
            else "this aircraft has no such limit"
        )
        leg = numbers.rotation_leg
        rotation = "no leg senses it" if leg is None else f"by the {leg.replace('_', ' ')} strut"
        details = {
            "on_ground": ("on the ground, or unknown", ""),
            "thrust_high": (
                "a throttle set for take-off",
                "unknown: kept" if thrust is None else against(thrust, numbers.thrust_fraction),
            ),
            "rotated": ("the aircraft rotates", rotation),
            "held_back": ("too fast for a new warning", held),
            "silenced": ("silenced until the thrust is reduced", ""),
            "has_unknown": ("an item of the configuration is unknown", ", ".join(facts.unknown)),
            **{item.name: (item.words, item.detail(world)) for item in self._items},
        }
        return {
            field: (Reason(condition, getattr(facts, field), detail),)
            for field, (condition, detail) in details.items()
        }


def _config_word(facts: TakeoffFacts) -> str | None:
    if facts.is_unsafe:
        return "unsafe"
    return None if facts.unknown else "safe"
