"""Emergency extension: an air bottle, free fall, a hand pump or crank; it needs no other power.

Pulling the handle extends the gear wherever the gear handle stands. From then until the reset, on
the ground with the gear locked down, nothing may retract it (the failure may be in the up circuit:
US Army TM 1-1510-224-10) and the nose wheel cannot be steered (no pressure for it: US Army
TM 1-1510-253-CL). Neither hydraulic nor electric power is asked for (14 CFR 23.729(c)).

The bottle works the emergency brake too. Its pressure falls with each use, and with a leak along a
straight line of time. That a handle which is already pulled at start-up does nothing is our own
decision.
"""

from __future__ import annotations

from math import inf
from typing import Self

from msgspec import Struct
from msgspec.structs import replace
from statemachine import State

from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.brakes.facts import BRAKE_STEPS, BrakesFacts
from panelbridge.logic.emergency.facts import EmergencyFacts
from panelbridge.logic.emergency.parameters import EmergencyParameters
from panelbridge.logic.emergency.shown import (
    emergency_gauges,
    emergency_lamps,
    emergency_values,
    emergency_words,
)
from panelbridge.logic.gear.facts import GEAR_RESET, GearFacts
from panelbridge.logic.kit.chart import Chart
from panelbridge.logic.kit.curves import Line
from panelbridge.logic.kit.declarations import CommandSignal, Group
from panelbridge.logic.kit.drift import Drift
from panelbridge.logic.kit.edges import RisingEdge
from panelbridge.logic.kit.handles import Button, Fault, PullHandle
from panelbridge.logic.kit.rule import Words
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World
from panelbridge.signals import Level

EMERGENCY_EXTEND = PullHandle(
    "emergency_extend",
    "emergency extension handle",
    "Closed: the emergency extension handle is pulled.",
    required=True,
)
HAND_PUMP = Button(
    "hand_pump", "hand pump", "Closes at each stroke of the hand pump.", required=True
)
HAND_CRANK = Button(
    "hand_crank", "hand crank", "Closes once at each turn of the hand crank.", required=True
)
_HANDS = {"hand_pump": HAND_PUMP, "hand_crank": HAND_CRANK}
BOTTLE_FAULT = Fault("air_bottle", ("empty", "leaking"))


class EmergencyChart(Chart):
    """Emergency extension."""

    emergency_stowed = State(initial=True)
    emergency_extended = State()

    begin = emergency_stowed.to(emergency_extended)
    reset = emergency_extended.to(emergency_stowed)


class _EmergencyMemory(Struct, frozen=True):
    """What is kept between updates.

    Attributes:
        air: pressure of the bottle, psi.
        state: state of the chart.
        handle: the emergency handle.
        pump: the hand pump or crank.
        reset: the reset button.
        fault: how the bottle is broken.
        stroke_over_s: when the stroke of the hand is over, s; inf when none is on.
        strokes: of the hand since the extension was begun.
        brake_steps: steps of the emergency brake that the bottle was used for.
    """

    air: Drift
    state: str = "emergency_stowed"
    handle: RisingEdge = RisingEdge()
    pump: RisingEdge = RisingEdge()
    reset: RisingEdge = RisingEdge()
    fault: str | None = None
    stroke_over_s: float = inf
    strokes: int = 0
    brake_steps: int = 0

    @property
    def is_extended(self) -> bool:
        return self.state == "emergency_extended"


class Emergency(System[EmergencyFacts]):
    """Emergency extension and its bottle.

    Args:
        parameters: its numbers.
        drive_s: how long the slowest leg has to be driven from up to down, s.
    """

    title = "Emergency extension"
    groups = (
        Group(
            "emergency",
            EmergencyParameters,
            "Emergency extension of the gear; null for an aircraft without.",
        ),
    )
    charts = (EmergencyChart,)
    switches = (EMERGENCY_EXTEND, HAND_PUMP, HAND_CRANK, GEAR_RESET)
    events = {
        "emergency_extension_begun": (Level.WARNING, "the emergency extension was begun"),
        "emergency_extension_failed": (
            Level.WARNING,
            "the emergency extension did nothing: the air bottle is too empty",
        ),
        "emergency_extension_reset": (Level.INFO, "the emergency extension was reset"),
        "emergency_reset_refused": (
            Level.CAUTION,
            "the emergency extension was not reset: only on the ground with the gear locked down",
        ),
        "emergency_air_low": (Level.CAUTION, "the emergency air is low"),
    }
    commands = (
        CommandSignal(
            "emergency_extend",
            "the emergency extension drives the legs",
            lambda world: world[EmergencyFacts].means is not None,
        ),
    )
    memory: _EmergencyMemory

    def __init__(self, parameters: EmergencyParameters, drive_s: float = 0.0) -> None:
        super().__init__()
        self._parameters = parameters
        self._has_bottle = parameters.means == "air"
        cranked = parameters.means == "hand_crank"
        self._stroke_s = drive_s / parameters.crank_turns if cranked else parameters.stroke_s
        self._hand = _HANDS.get(parameters.means)
        hands = () if self._hand is None else (self._hand,)
        handle = () if hands and parameters.pump_without_handle else (EMERGENCY_EXTEND,)
        self.switches = (*handle, *hands, GEAR_RESET)
        if self._has_bottle:
            self.faults = (BOTTLE_FAULT,)
        else:
            self.never_notes("emergency_extension_failed", "emergency_air_low")
        self.lamps = emergency_lamps(parameters)
        self.values = emergency_values(parameters)
        self.gauges = emergency_gauges(parameters)
        self.memory = _EmergencyMemory(Drift(Line(0.0, parameters.bottle_full_psi, low=0.0)))
        # The first step notes a bottle whose full pressure is low already.
        self.facts = replace(self._conclude(0.0, self.memory), air_low=False)

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None for an aircraft without."""
        parameters = build.aircraft.optional(EmergencyParameters)
        if parameters is None:
            return None
        legs = build.aircraft.legs
        return cls(parameters, max([leg.unlock_s + leg.extend_s for leg in legs]))

    def update(self, now_s: float, world: World) -> EmergencyFacts:
        """Follow handle, pump and reset; let the bottle leak and the brakes take air."""
        before, parameters = self.memory, self._parameters
        memory = replace(
            before,
            handle=before.handle.take(world[EMERGENCY_EXTEND]),
            pump=before.pump.take(world[self._hand] if self._hand else None),
            reset=before.reset.take(world[GEAR_RESET]),
            fault=world[BOTTLE_FAULT],
            stroke_over_s=inf if now_s >= before.stroke_over_s else before.stroke_over_s,
            brake_steps=world[BrakesFacts].air_steps,
        )
        psi = before.air.at(now_s)
        if memory.fault != before.fault:  # mended it is full and tight
            psi = {None: parameters.bottle_full_psi, "empty": 0.0}.get(memory.fault, psi)
        memory = self._at_pressure(now_s, memory, psi)
        if before.handle.rises(memory.handle):
            memory = self._pull(now_s, memory)
        if before.pump.rises(memory.pump):
            memory = self._push(now_s, memory)
        if before.reset.rises(memory.reset):
            ground = world[AirGroundFacts]
            on_ground = ground.has_weight and ground.ground_for_commands
            memory = self._press_reset(now_s, memory, on_ground and world[GearFacts].all_down)
        applications = (memory.brake_steps - before.brake_steps) / BRAKE_STEPS
        memory = self._use(now_s, memory, applications * parameters.brake_use_psi)
        self.memory = memory
        self.due_s = min(memory.air.due_s, memory.stroke_over_s)
        facts = self._conclude(now_s, memory)
        if facts.air_low and not self.facts.air_low:
            self.note(now_s, "emergency_air_low")
        return facts

    def _pull(self, now_s: float, memory: _EmergencyMemory) -> _EmergencyMemory:
        # The valve stays open until the reset: pulling the handle again moves nothing more.
        if memory.is_extended:
            return memory
        if self._has_bottle:
            if memory.air.at(now_s) <= self._parameters.bottle_least_psi:
                self.note(now_s, "emergency_extension_failed")
                return memory
            memory = self._use(now_s, memory, self._parameters.extension_use_psi)
        return self._begin(now_s, memory)

    def _begin(self, now_s: float, memory: _EmergencyMemory) -> _EmergencyMemory:
        self.note(now_s, "emergency_extension_begun")
        return replace(memory, state=EmergencyChart.after(memory.state, "begin"), strokes=0)

    def _push(self, now_s: float, memory: _EmergencyMemory) -> _EmergencyMemory:
        if not memory.is_extended:
            if not self._parameters.pump_without_handle:
                return memory
            memory = self._begin(now_s, memory)
        # A turn is a part of the way at any pace; a stroke of the pump presses for its time.
        turns = self._hand is HAND_CRANK and memory.stroke_over_s < inf
        begins_s = max(now_s, memory.stroke_over_s) if turns else now_s
        over_s = begins_s + self._stroke_s
        return replace(memory, strokes=memory.strokes + 1, stroke_over_s=over_s)

    def _press_reset(self, now_s: float, memory: _EmergencyMemory, may: bool) -> _EmergencyMemory:
        if may and self._parameters.reset_fills_bottle:
            memory = self._at_pressure(now_s, memory, self._parameters.bottle_full_psi)
        if not memory.is_extended:
            return memory
        if not may:
            self.note(now_s, "emergency_reset_refused")
            return memory
        self.note(now_s, "emergency_extension_reset")
        state = EmergencyChart.after(memory.state, "reset")
        return replace(memory, state=state, stroke_over_s=inf)

    def _use(self, now_s: float, memory: _EmergencyMemory, psi: float) -> _EmergencyMemory:
        """Take this much out of it; what is not there is not taken."""
        return self._at_pressure(now_s, memory, max(memory.air.at(now_s) - psi, 0.0))

    def _at_pressure(self, now_s: float, memory: _EmergencyMemory, psi: float) -> _EmergencyMemory:
        """The bottle at a pressure; it goes on leaking from there."""
        parameters = self._parameters
        rate = -parameters.bottle_leak_psi_per_min / 60.0 if memory.fault == "leaking" else 0.0
        limits = (parameters.bottle_low_psi, parameters.bottle_least_psi)
        air = memory.air.moved(now_s, psi, rate, limits)
        return memory if air is memory.air else replace(memory, air=air)

    def _conclude(self, now_s: float, memory: _EmergencyMemory) -> EmergencyFacts:
        """Compare the bottle with its limits."""
        parameters, psi = self._parameters, memory.air.at(now_s)
        return EmergencyFacts(
            extended=memory.is_extended,
            means=parameters.means if memory.is_extended else None,
            stroke=memory.stroke_over_s < inf,
            strokes=memory.strokes,
            air=memory.air.line,
            has_air=self._has_bottle and psi > parameters.bottle_least_psi,
            air_low=self._has_bottle and psi <= parameters.bottle_low_psi,
        )

    def words(self, world: World) -> Words:
        """The conditions in words."""
        return emergency_words(world, self._parameters)

    def failures(self) -> tuple[str, ...]:
        """The bottle, when it is too empty to be of use."""
        empty = self._has_bottle and not self.facts.has_air
        return ("the emergency air bottle is empty",) if empty else ()
