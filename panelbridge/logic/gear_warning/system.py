"""Gear warning: when the horn sounds.

Three rules. *Throttle*: a lever closed beyond the approach setting with the gear not locked down.
It can be silenced, unless the aircraft forbids that; how a silenced horn comes back is one of three
published ways (``Rearm``); airspeed and altitude may keep it quiet (``gates``). *Flaps*: beyond the
approach position with the gear not locked down; nothing silences it and nothing inhibits it (14 CFR
23.729(f)(2), 125.187). *Handle*: raised on the ground (FAA Airplane Flying Handbook ch. 12); in
an aircraft that allows it a press silences that until the handle is raised again. Only the
positions of the levers count, never whether an engine runs (US Army TM 55-1510-221-10).

What is unknown inhibits nothing: an unknown leg is not locked down. An unknown lever or flap keeps
what was known of it, so that a warning which sounds goes on, and none starts or re-arms.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import Any, Self

from msgspec.structs import replace

from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.gear.facts import GEAR_HANDLE, GearFacts, lock_reason
from panelbridge.logic.gear_warning.facts import (
    CONTROLS,
    HORN_SILENCE,
    LEVER_HORN_SILENCE,
    WarningFacts,
)
from panelbridge.logic.gear_warning.gates import gate_words, gates_of
from panelbridge.logic.gear_warning.levers import ThrottleLevers, all_open, any_closed
from panelbridge.logic.gear_warning.memory import GearWarningMemory
from panelbridge.logic.gear_warning.parameters import GearWarningParameters
from panelbridge.logic.gear_warning.rules import (
    RINGING_RULE,
    RINGS_ON,
    WARNING_RULES,
    horn_rules,
    warning_causes,
)
from panelbridge.logic.gear_warning.silence import SilenceChart, latches
from panelbridge.logic.gear_warning.sounding import SILENT
from panelbridge.logic.kit.aircraft_cells import FLAP_DEG, engine_n1, engine_torque, throttle
from panelbridge.logic.kit.declarations import Group, HornRule, Lamp, Signal
from panelbridge.logic.kit.edges import RisingEdge
from panelbridge.logic.kit.handles import Button
from panelbridge.logic.kit.readings import Threshold
from panelbridge.logic.kit.rule import Words, against
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World
from panelbridge.signals import GearPosition, HandleContacts, HornPattern, Level, Reason

_POWER = {"lever": throttle, "n1": engine_n1, "torque": engine_torque}


class GearWarning(System[WarningFacts]):
    """The rules of the horn.

    Args:
        parameters: its numbers.
        engines: number of levers.
        legs: names of the legs that have a squat switch, those that move first.
    """

    groups = (
        Group("gear_warning", GearWarningParameters, "Gear warning horn.", GearWarningParameters()),
    )
    charts = (SilenceChart,)
    switches: tuple[Button, ...] = (HORN_SILENCE, LEVER_HORN_SILENCE)
    events = {
        "horn_sounded": (Level.WARNING, "the horn sounds: {cause}"),
        "horn_silenced": (Level.INFO, "the horn was silenced"),
        "horn_stopped": (Level.INFO, "the horn stopped"),
    }
    lamps = (
        Lamp(
            "handle_red", "gear handle light", WARNING_RULES, warning_tested=True, legend="HANDLE"
        ),
    )
    values = (
        Signal(
            *("horn_silenced", "yes_no", "throttle warning silenced"),
            lambda world: world[WarningFacts].silenced,
            group="horn",
            never_unknown=True,
            output="horn",
        ),
    )
    memory: GearWarningMemory

    def __init__(
        self, parameters: GearWarningParameters, engines: int, legs: Sequence[str]
    ) -> None:
        super().__init__()
        self._parameters = parameters
        self._legs = tuple(legs)
        settle_s = parameters.throttle_settle_s
        power, setting = _POWER[parameters.power_by], parameters.throttle_approach_fraction
        self._levers = ThrottleLevers(
            *(0 if setting is None else engines, setting or 0.0),
            *(parameters.throttle_hysteresis_fraction, settle_s),
            of=power,
        )
        second = engines if latches(parameters) else 0
        self._advanced = ThrottleLevers(second, parameters.rearm_fraction, 0.0, settle_s, power)
        self._gates = gates_of(parameters)
        limit_deg = parameters.flap_limit_deg
        self._flaps = Threshold(FLAP_DEG, inf if limit_deg is None else limit_deg)
        self.readings = (
            *(*self._levers.readings, *self._advanced.readings, self._flaps),
            *(threshold for threshold, _, _ in self._gates),
        )
        self._controls = tuple([CONTROLS[name] for name in parameters.silence_controls])
        if not engines or LEVER_HORN_SILENCE not in self._controls:
            self.switches = (HORN_SILENCE,)
        self.horn = horn_rules(parameters)
        if parameters.shortest_sounding_s:  # it rings on in the pattern of what has ended
            self.horn = (*self.horn, HornRule(RINGING_RULE, SILENT))
        self.facts = WarningFacts()
        unpressed = (RisingEdge(),) * len(self._controls)
        self.memory = GearWarningMemory(self._levers.unknown, self._advanced.unknown, unpressed)

    @classmethod
    def of(cls, build: Build) -> Self:
        """Every aircraft has a gear warning."""
        aircraft = build.aircraft
        parameters = aircraft.group(GearWarningParameters)
        return cls(parameters, aircraft.engines, aircraft.strut_names)

    def update(self, now_s: float, world: World) -> WarningFacts:
        """Take levers, flaps, gear and silence buttons; decide how the horn sounds."""
        memory, parameters, gear = self.memory, self._parameters, world[GearFacts]
        levers = self._levers.take(now_s, memory.levers, world)
        advanced = self._advanced.take(now_s, memory.advanced, world)
        beyond = world[self._flaps]
        flaps_beyond = memory.flaps_beyond if beyond is None else beyond
        inhibited = any(world[threshold] is True for threshold, _, _ in self._gates)
        edges = list(zip(memory.controls, self._controls, strict=True))
        controls = tuple([edge.take(world[one]) for edge, one in edges])
        pairs = zip(memory.controls, controls, strict=True)
        # A press while the horn is silent does nothing, and never silences what comes later.
        pressed = (
            parameters.silence_allowed
            and memory.horn.pattern is not SILENT
            and any(was.rises(new) for was, new in pairs)
        )
        silence = memory.silence
        if pressed and (gear.all_down or not flaps_beyond):  # nothing silences the flap rule
            # Before a lever that closes in the same step, so that one always sounds the horn.
            silence = silence.press(now_s)
        refused = gear.is_refused and world[AirGroundFacts].has_weight
        on_ground = refused and parameters.ground_handle_warning
        ground_silenced = on_ground and (
            memory.ground_silenced or (pressed and parameters.ground_handle_silence)
        )
        silenced_now = silence is not memory.silence
        silenced_now = silenced_now or (ground_silenced and not memory.ground_silenced)
        if silenced_now:
            self.note(now_s, "horn_silenced")
        closed = any_closed(levers)
        silence = silence.follow(
            parameters,
            rule=closed and not gear.all_down and not inhibited,
            before=memory.levers,
            now=levers,
            all_advanced=all_open(advanced),
            all_down=gear.all_down,
        )
        facts = WarningFacts(
            *(gear.all_down, flaps_beyond, closed, silence.holds),
            handle_up_on_ground=on_ground,
            ground_silenced=ground_silenced,
            inhibited=inhibited,
        )
        horn = memory.horn.take(
            *(now_s, [one for one in self.horn if one.rule.holds(facts)]),
            parameters.shortest_sounding_s,
            pressed=pressed,
            all_down=gear.all_down,
        )
        for cause in horn.causes:
            if cause not in memory.horn.causes:
                self.note(now_s, "horn_sounded", cause=cause)
        if horn.pattern is SILENT and memory.horn.pattern is not SILENT and not silenced_now:
            self.note(now_s, "horn_stopped")
        self.memory = GearWarningMemory(
            *(levers, advanced, controls, flaps_beyond, silence, horn, ground_silenced)
        )
        dues = [lever.due_s for lever in (*levers, *advanced)]
        self.due_s = min([*dues, horn.until_s if horn.rings_on else inf])
        return replace(facts, rings_on=horn.rings_on, pattern=horn.pattern)

    def sounds(self) -> HornPattern:
        """How the horn sounds for it, its shortest time included."""
        return self.facts.pattern

    # -- what explains and shows it ---------------------------------------------------------------

    def words(self, world: World) -> Words:
        """The conditions in words."""
        facts, parameters, memory = world[WarningFacts], self._parameters, self.memory
        gear, air_ground = world[GearFacts], world[AirGroundFacts]
        gates = tuple(gate_words(self._gates, world))
        legs = [
            lock_reason(name, leg.locks, GearPosition.DOWN)
            for name, leg in zip(self._legs, gear.legs, strict=False)
        ]
        struts = zip(self._legs, air_ground.struts, strict=False)
        heavy = ", ".join([name.replace("_", " ") for name, on in struts if on is True])
        contacts = world[GEAR_HANDLE] or HandleContacts.UNKNOWN
        allowed, key = parameters.ground_handle_warning, "gear_warning.ground_handle_warning"
        shortest = f"{parameters.shortest_sounding_s:g} s at least"
        silenced = memory.silence.words(parameters)
        return {
            "all_down": (Reason("gear locked down", facts.all_down), *legs),
            "flaps_beyond": (
                Reason("flaps beyond approach", facts.flaps_beyond, self._flap_words(world)),
            ),
            "any_closed": (
                Reason("a throttle closed", facts.any_closed),
                *self._levers.words(memory.levers, world),
            ),
            "silenced": (Reason("throttle warning silenced", facts.silenced, silenced),),
            "inhibited": (
                (Reason("throttle warning inhibited", facts.inhibited), *gates) if gates else ()
            ),
            "handle_up_on_ground": (
                Reason(
                    "gear handle up and retraction refused", gear.is_refused, f"handle {contacts}"
                ),
                Reason("weight on a strut", air_ground.has_weight, heavy),
                Reason("this aircraft warns of it", allowed, f"set by {key}"),
            ),
            "ground_silenced": (Reason("ground handle warning silenced", facts.ground_silenced),),
            "rings_on": (Reason(RINGS_ON, facts.rings_on, shortest),),
        }

    def _flap_words(self, world: World) -> str:
        flap_deg, limit_deg = world[FLAP_DEG], self._parameters.flap_limit_deg
        if limit_deg is None:
            return "not watched"
        return "unknown: kept" if flap_deg is None else f"{against(flap_deg, limit_deg)} degrees"

    def shows(self, world: World) -> dict[str, Any]:
        """Why the horn sounds or would sound, and whether it is silenced."""
        facts = world[WarningFacts]
        return {"warning_causes": warning_causes(facts), "horn_silenced": facts.silenced}
