"""Air/ground: what the squat switches of all struts say together.

For *commands* the aircraft is on the ground as soon as one strut says so or does not answer: any
doubt opens the retract circuit. For *warnings* it is in the air when in doubt. While the struts
disagree for a short time (rotation, a touchdown on one wheel) warnings keep what was agreed last;
disagreeing for longer than the limit is a fault.

Source: FAA Airplane Flying Handbook ch. 12, fig. 12-12 (the squat switch opens the retract
circuit). That doubt counts as ground for commands and as air for warnings is our own decision.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import inf
from typing import Any, Self

from msgspec import Struct
from statemachine import State

from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.air_ground.parameters import AirGroundParameters
from panelbridge.logic.kit.aircraft_cells import strut
from panelbridge.logic.kit.chart import Chart
from panelbridge.logic.kit.declarations import Group, Signal
from panelbridge.logic.kit.edges import Settling
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World
from panelbridge.signals import Level, Value


class AirGroundChart(Chart):
    """What the struts say together."""

    ag_unknown = State(initial=True)
    ag_ground = State()
    ag_air = State()
    ag_split = State()
    ag_fault = State()

    all_compressed = ag_ground.from_(ag_unknown, ag_air, ag_split, ag_fault)
    all_extended = ag_air.from_(ag_unknown, ag_ground, ag_split, ag_fault)
    struts_differ = ag_split.from_(ag_unknown, ag_ground, ag_air)
    limit_passed = ag_split.to(ag_fault)
    strut_lost = ag_unknown.from_(ag_ground, ag_air, ag_split, ag_fault)


class _AirGroundMemory(Struct, frozen=True):
    struts: tuple[Settling, ...]
    state_id: str = "ag_unknown"
    agreed_ground: bool | None = None
    limit_s: float = inf

    @property
    def due_s(self) -> float:
        return min([self.limit_s, *[one.due_s for one in self.struts]])


def _on_ground(world: World) -> Value:
    return world[AirGroundFacts].ground_for_commands


class AirGround(System[AirGroundFacts]):
    """The squat switches of all struts.

    Args:
        parameters: its numbers.
        legs: number of legs.
    """

    groups = (
        Group("air_ground", AirGroundParameters, "Air/ground sensing.", AirGroundParameters()),
    )
    charts = (AirGroundChart,)
    events = {
        "took_off": (Level.INFO, "the aircraft left the ground"),
        "touched_down": (Level.INFO, "the aircraft stands on its struts"),
        "struts_disagreed": (
            Level.FAULT,
            "the squat switches disagree: ground for commands, air for warnings",
        ),
        "struts_agreed": (Level.INFO, "the squat switches agree again"),
    }
    values = (
        Signal(
            "on_ground",
            "yes_no",
            "on the ground, as the gear's commands see it",
            _on_ground,
            group="gear",
            never_unknown=True,
        ),
    )
    memory: _AirGroundMemory

    def __init__(self, parameters: AirGroundParameters, legs: int) -> None:
        super().__init__()
        self._parameters = parameters
        self._cells = tuple([strut(place) for place in range(legs)])
        self.memory = _AirGroundMemory((Settling(),) * legs)
        self.facts = AirGroundFacts((None,) * legs)

    @classmethod
    def of(cls, build: Build) -> Self:
        """Every aircraft has struts."""
        aircraft = build.aircraft
        return cls(aircraft.group(AirGroundParameters), len(aircraft.strut_names))

    def update(self, now_s: float, world: World) -> AirGroundFacts:
        """Let squat switches settle, then take them."""
        memory = self.memory
        while (due_s := memory.due_s) <= now_s:
            memory = self._take(due_s, memory, [one.raw for one in memory.struts])
        self.memory = memory = self._take(now_s, memory, [world[cell] for cell in self._cells])
        self.due_s = memory.due_s
        struts, state_id = tuple([one.stable for one in memory.struts]), memory.state_id
        # A short disagreement keeps what was agreed; any other doubt is air.
        keeps = state_id in ("ag_ground", "ag_split")
        return AirGroundFacts(
            struts,
            ground_for_commands=state_id != "ag_air",
            has_weight=True in struts,
            air_for_warnings=not (keeps and memory.agreed_ground is True),
            is_fault=state_id == "ag_fault",
        )

    def _take(
        self, now_s: float, memory: _AirGroundMemory, raw: Sequence[bool | None]
    ) -> _AirGroundMemory:
        settle_s = self._parameters.settle_s
        pairs = zip(memory.struts, raw, strict=True)
        struts = tuple([one.take(now_s, value, settle_s) for one, value in pairs])
        stable = [one.stable for one in struts]
        if None in stable:
            trigger = "strut_lost"
        elif all(stable):
            trigger = "all_compressed"
        else:
            trigger = "struts_differ" if any(stable) else "all_extended"
        before, limit_s, agreed = memory.state_id, memory.limit_s, memory.agreed_ground
        state_id = AirGroundChart.after(before, trigger)
        if state_id != "ag_split":
            limit_s = inf
        elif before != state_id:
            limit_s = now_s + self._parameters.disagree_limit_s
        elif limit_s <= now_s:
            state_id, limit_s = AirGroundChart.after(state_id, "limit_passed"), inf
            self.note(now_s, "struts_disagreed")
        if before == "ag_fault" and state_id != before:
            self.note(now_s, "struts_agreed")
        if state_id in ("ag_ground", "ag_air"):
            ground = state_id == "ag_ground"
            if agreed is not None and ground is not agreed:
                self.note(now_s, "touched_down" if ground else "took_off")
            agreed = ground
        return _AirGroundMemory(struts, state_id, agreed, limit_s)

    def failures(self) -> tuple[str, ...]:
        """Squat switches that have disagreed for too long."""
        return ("the squat switches disagree",) if self.facts.is_fault else ()

    def shows(self, world: World) -> Mapping[str, Any]:
        """Air or ground, as commands see it."""
        return {"on_ground": world[AirGroundFacts].ground_for_commands}
