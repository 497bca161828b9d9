"""The gear with what stands beside it: air/ground, an emergency extension, the handle lock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from panelbridge.logic.air_ground.parameters import AirGroundParameters
from panelbridge.logic.air_ground.system import AirGround
from panelbridge.logic.emergency.parameters import EmergencyParameters
from panelbridge.logic.emergency.system import EMERGENCY_EXTEND, HAND_PUMP, Emergency
from panelbridge.logic.gear.events import GEAR_EVENTS
from panelbridge.logic.gear.facts import GEAR_HANDLE, GEAR_RESET, GearFacts
from panelbridge.logic.gear.mechanism import GearMemory
from panelbridge.logic.gear.parameters import (
    GearOrderParameters,
    GearPowerParameters,
    LegParameters,
)
from panelbridge.logic.gear.source import GEAR_BREAKER
from panelbridge.logic.gear.system import LandingGear
from panelbridge.logic.handle_lock.system import DOWNLOCK_RELEASE, HANDLE_HELD, HandleLock
from panelbridge.logic.hydraulics.facts import HydraulicsFacts
from panelbridge.logic.kit.aircraft_cells import (
    BUS_POWERED,
    BUS_VOLTAGE_V,
    SIMULATOR_HANDLE,
    leg_locks,
    strut,
)
from panelbridge.logic.kit.handles import Handle, Toggle
from panelbridge.logic.kit.rule import reasons_of
from panelbridge.logic.kit.step import SystemStep
from panelbridge.logic.kit.system import System
from panelbridge.logic.kit.world import World
from panelbridge.signals import Event, GearPosition, HandleContacts, LegLocks, LegState

UP, DOWN = GearPosition.UP, GearPosition.DOWN
NAMES = ("nose", "left", "right")
LOCKED_DOWN = LegLocks(up_locked=False, down_locked=True)
LOCKED_UP = LegLocks(up_locked=True, down_locked=False)
FREE = LegLocks(up_locked=False, down_locked=False)
BOTH_MADE = LegLocks(up_locked=True, down_locked=True)
NOT_KNOWN = LegLocks()


def three_legs(**common: Any) -> list[LegParameters]:
    """Three legs of unequal times."""
    times = {"nose": (0.3, 6.0, 6.4), "left": (0.4, 6.3, 6.6), "right": (0.4, 6.5, 6.8)}
    return [
        LegParameters.model_validate(
            {"name": name, "unlock_s": unlock, "extend_s": extend, "retract_s": retract, **common}
        )
        for name, (unlock, extend, retract) in times.items()
    ]


def twin_legs() -> list[LegParameters]:
    """The legs of the test twin."""
    return [
        LegParameters(name="nose", unlock_s=0.5, extend_s=6.0, retract_s=7.0),
        LegParameters(name="left", unlock_s=0.6, extend_s=6.5, retract_s=7.5),
        LegParameters(name="right", unlock_s=0.7, extend_s=6.8, retract_s=8.0),
    ]


class Notes:
    """Takes the events of one part of the gear."""

    def __init__(self) -> None:
        self.logged: list[tuple[float, str, str]] = []

    def note(self, time_s: float, name: str, subject: str = "", **words: Any) -> None:
        """Keep an event."""
        assert GEAR_EVENTS[name][1].format(subject=subject, **words)
        self.logged.append((round(time_s, 6), name, subject))

    def take(self) -> list[str]:
        """Names of all events since this was last called."""
        names = [name for _, name, _ in self.logged]
        self.logged.clear()
        return names


class Pressure(System[HydraulicsFacts]):
    """Hydraulics that serve the gear while a switch says so."""

    switch = Toggle("pressure", "pressure")
    switches = (switch,)

    def __init__(self) -> None:
        super().__init__()
        self.facts = HydraulicsFacts()

    def update(self, now_s: float, world: World) -> HydraulicsFacts:
        """Follow the switch."""
        return HydraulicsFacts(served=("gear",) if world[self.switch] else ())


@dataclass(frozen=True)
class Frame:
    """The gear at one look: state, travel and door of each leg, and whether anything drives it."""

    states: list[LegState]
    travels: list[float]
    doors: list[str]
    driven: bool


class Rig:
    """The gear, stepped from event to event; also what its parts do on their way to rest.

    Args:
        legs: their parameters.
        power: of ``GearPowerParameters``.
        order: of ``GearOrderParameters``.
        emergency: of ``EmergencyParameters``.
        found: where the legs and the handle are found; None before anything is known.
        first: inputs that are found otherwise.
        own_legs: legs of the model; else their lock switches are an input.
        settle_s: settling time of the squat switches, s.
        handle_travel_s: longest time of the handle between its contacts, s.
    """

    def __init__(
        self,
        legs: Sequence[LegParameters] | None = None,
        *,
        power: dict[str, Any] | None = None,
        order: dict[str, Any] | None = None,
        emergency: dict[str, Any] | None = None,
        found: GearPosition | None = DOWN,
        first: dict[str, Any] | None = None,
        own_legs: bool = True,
        settle_s: float = 0.0,
        handle_travel_s: float = 1.0,
    ) -> None:
        legs = legs or three_legs()
        self.names_of_legs = [leg.name for leg in legs]
        self._numbers = GearPowerParameters(**(power or {}))
        self.gear = LandingGear(
            legs,
            self._numbers,
            GearOrderParameters(**(order or {})),
            own_legs=own_legs,
            handle_travel_s=handle_travel_s,
        )
        count = len(legs)
        self.lock = HandleLock("right", count - 1)
        extension = Emergency(EmergencyParameters(**(emergency or {})))
        self.air_ground = AirGround(AirGroundParameters(settle_s=settle_s), count)
        self._struts = [strut(place) for place in range(count)]
        self._locks = [leg_locks(place) for place in range(count)]
        self.loop = SystemStep(
            [self.air_ground, Pressure(), extension, self.gear, self.lock],
            [*self._struts, *self._locks, SIMULATOR_HANDLE, BUS_POWERED, BUS_VOLTAGE_V, HAND_PUMP],
        )
        self.now_s = -2.0
        self.inputs: dict[str, Any] = {}
        self.events: list[Event] = []
        self.frames: list[Frame] = []
        self.trace: list[tuple[float, str, str]] = []
        self._was: dict[str, str] = {}
        self._watch()
        if found is None:
            self._set(hydraulic=True)
            return
        self.at(-2.0, hydraulic=True, strut=found is DOWN, simulator=found)
        self.at(-1.0, strut=None, simulator=None)
        self.events.clear()
        self.frames.clear()
        self.trace.clear()
        usual = {
            "handle": found.value,
            "strut": found is DOWN,
            "bus": True,
            "gear_reset": False,
            "release": False,
            "emergency": False,
            "hand_pump": False,
        }
        self.at(0.0, **{**usual, **(first or {})})

    # -- stepping -------------------------------------------------------------------------------

    def at(self, now_s: float, **changes: Any) -> Rig:
        """One step, with some of the inputs changed."""
        while self.loop.next_due_s < now_s:
            due_s = max(self.loop.next_due_s, self.now_s)
            self.events += self.loop.look(due_s)
        self.now_s = now_s
        self._set(**changes)
        self.events += self.loop.look(now_s)
        return self

    def after(self, step_s: float, **changes: Any) -> Rig:
        """One step, so much later."""
        return self.at(self.now_s + step_s, **changes)

    def press(self, name: str) -> Rig:
        """Press and release a button."""
        self.after(0.01, **{name: True})
        return self.after(0.01, **{name: False})

    def fault(self, target: str, kind: str | None) -> Rig:
        """Break something, or mend it."""
        (fault,) = (one for one in self.faults if one.name == target)
        assert kind is None or kind in fault.kinds
        self.loop.set(fault, kind)
        return self.at(self.now_s)

    def _set(self, **changes: Any) -> None:
        for name, value in changes.items():
            self.inputs[name] = value
            if name in ("strut", "locks"):
                cells: Sequence[Handle[Any]] = self._struts if name == "strut" else self._locks
                values = value if isinstance(value, tuple) else (value,) * len(cells)
                for cell, one in zip(cells, values, strict=True):
                    self.loop.set(cell, one)
            else:
                self.loop.set(_CELLS[name], HandleContacts(value) if name == "handle" else value)

    # -- watching -------------------------------------------------------------------------------

    def _watch(self) -> None:
        """See every state that the parts take, also those of no duration."""
        mechanism = self.gear
        look, settle = mechanism._look, mechanism._settle

        def seen_look(now_s: float, memory: GearMemory) -> GearMemory:
            after = look(now_s, memory)
            self._note(now_s, after)
            return after

        def seen_settle(now_s: float, memory: GearMemory) -> GearMemory:
            self._note(now_s, memory)
            return settle(now_s, memory)

        mechanism._look, mechanism._settle = seen_look, seen_settle  # type: ignore[method-assign]

    def _note(self, now_s: float, memory: GearMemory) -> None:
        legs, doors = memory.moved.legs, memory.moved.doors
        if not legs:
            return
        pairs = zip(self.names_of_legs, legs, strict=True)
        now = {name: leg.state.value for name, leg in pairs}
        words = ["none" if door is None else door.word for door in doors]
        now |= {f"{name}_door": word for name, word in zip(now, words, strict=True)}
        now["power"] = memory.power.word
        for name, word in now.items():
            if self._was and self._was[name] != word:
                self.trace.append((round(now_s, 6), name, word))
        self._was = now
        means = memory.inputs.emergency.means
        pushed = memory.inputs.emergency.stroke if means == "hand_pump" else means is not None
        self.frames.append(
            Frame(
                [leg.state for leg in legs],
                [leg.travel.at(now_s) for leg in legs],
                words,
                driven=pushed or (means is None and memory.power.drives(self._numbers)),
            )
        )

    def hold(self) -> None:
        """What holds after every step: it is at rest, and reasons lead to the lamps."""
        gear, world = self.gear, self.loop.world(self.now_s)
        memory, facts, frames = gear.memory, gear.facts, len(self.frames)
        assert gear.update(self.now_s, world) == facts, "looked at again, nothing is left to do"
        assert (gear.memory, gear.noted) == (memory, [])
        assert gear.due_s == memory.due_s > self.now_s
        del self.frames[frames:]
        for lamp in gear.lamps:
            (decision,) = gear.decisions(lamp.name, world)
            reasons = reasons_of([decision])
            on = lamp.lit(gear.facts)
            assert any(one.holds for one in reasons if one.condition.startswith("rule: ")) is on
            for rule in decision.rules:
                reported = [
                    all(one.holds for one in decision.words[need]) is wanted
                    for need, wanted in rule.needs
                ]
                assert all(reported) == rule.holds(decision.conditions)
        for info in gear.values:
            value = info.read(world)
            if info.form == "word":
                assert value in info.words or (value is None and not info.never_unknown)
            elif info.form == "number":
                assert value is None or 0.0 <= float(value) <= 1.0
            else:
                assert isinstance(value, bool)

    # -- what it shows --------------------------------------------------------------------------

    @property
    def faults(self) -> list[Any]:
        """What can be broken."""
        return [*self.gear.faults, *self.lock.faults]

    @property
    def facts(self) -> GearFacts:
        """What the gear publishes."""
        return self.gear.facts

    def value(self, name: str) -> Any:
        """One of its values now."""
        (info,) = (one for one in self.gear.values if one.name == name)
        return info.read(self.loop.world(self.now_s))

    @property
    def command(self) -> str:
        """What is asked of the simulator's gear: up, down or nothing."""
        (command,) = self.gear.commands
        asked = command.read(self.loop.world(self.now_s))
        return "nothing" if asked is None else str(asked.value)

    @property
    def view(self) -> dict[str, Any]:
        """The fields of ``LogicView``."""
        return dict(self.gear.shows(self.loop.world(self.now_s)))

    @property
    def doing(self) -> str:
        """What the power does."""
        return self.facts.power

    @property
    def held(self) -> bool:
        """The handle is locked."""
        return HANDLE_HELD.holds(self.lock.facts)

    @property
    def doors(self) -> dict[str, str]:
        """State of every door."""
        return dict(self.facts.doors)

    @property
    def leg_states(self) -> list[str]:
        """State of every leg."""
        return [leg.state.value for leg in self.facts.legs]

    @property
    def locks(self) -> list[LegLocks]:
        """Lock switches of every leg."""
        return [leg.locks for leg in self.facts.legs]

    def travels(self) -> list[float]:
        """Travel of every leg."""
        return [leg.travel.at(self.now_s) for leg in self.facts.legs if leg.travel is not None]

    @property
    def lit(self) -> set[str]:
        """The lamps that are lit (with bus power)."""
        return {lamp.name for lamp in self.gear.lamps if lamp.lit(self.facts)}

    @property
    def greens(self) -> set[str]:
        """Legs whose green is lit."""
        return {name for name in self.names_of_legs if f"{name}_green" in self.lit}

    @property
    def reds(self) -> set[str]:
        """Legs whose red is lit."""
        return {name for name in self.names_of_legs if f"{name}_red" in self.lit}

    @property
    def handle_red(self) -> bool:
        """The light in the handle, for the gear's own reasons."""
        return "handle_red" in self.lit

    @property
    def warns(self) -> bool:
        """The gear warning has reason to sound for a handle that is raised on the ground."""
        return self.facts.is_refused and self.air_ground.facts.has_weight

    @property
    def names(self) -> list[str]:
        """Names of all events so far."""
        return [event.name for event in self.events]

    @property
    def logged(self) -> list[tuple[float, str, str]]:
        """Time (to the microsecond), name and subject of all events so far."""
        return [(round(one.time_s, 6), one.name, one.subject) for one in self.events]

    @property
    def all_down(self) -> bool:
        """Every leg is locked down."""
        return set(self.leg_states) == {"down_locked"}

    @property
    def all_up(self) -> bool:
        """Every leg is locked up."""
        return set(self.leg_states) == {"up_locked"}


_CELLS: dict[str, Any] = {
    "handle": GEAR_HANDLE,
    "simulator": SIMULATOR_HANDLE,
    "bus": BUS_POWERED,
    "volts": BUS_VOLTAGE_V,
    "breaker": GEAR_BREAKER,
    "hydraulic": Pressure.switch,
    "gear_reset": GEAR_RESET,
    "release": DOWNLOCK_RELEASE,
    "emergency": EMERGENCY_EXTEND,
    "hand_pump": HAND_PUMP,
}


def flying(found: GearPosition = UP, **more: Any) -> Rig:
    """In the air, the gear at rest."""
    return Rig(found=found, **more).at(1.0, strut=False)


def panel(**more: Any) -> Rig:
    """The legs of the test twin, with squat switches that settle; nothing is known yet."""
    return Rig(twin_legs(), found=None, settle_s=0.2, **more)


def found_flying(gear: GearPosition, **more: Any) -> Rig:
    """The same, found in the air with gear and handle there."""
    rig = panel(**more).at(0.0, handle=gear.value, strut=False, simulator=gear).at(1.0)
    rig.events.clear()
    return rig


def found_on_ground() -> Rig:
    """The same, found on the ground with the handle down."""
    rig = panel().at(0.0, handle="down", strut=True, simulator=DOWN).at(1.0)
    rig.events.clear()
    return rig
