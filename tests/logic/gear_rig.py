"""The whole gear by itself, composed as the panel's logic does it: handle to lamps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from panelbridge.clock import TimerHeap
from panelbridge.logic.emergency import Emergency, EmergencyParameters
from panelbridge.logic.events import EventLog
from panelbridge.logic.gear import Gear, GearOrderParameters
from panelbridge.logic.gear_handle import GearHandle
from panelbridge.logic.gear_lamps import Agreement, green_lit, handle_lit, red_lit
from panelbridge.logic.gear_locks import GearLocks
from panelbridge.logic.gear_power import GearPower, GearPowerParameters
from panelbridge.logic.gear_selection import GearSelection
from panelbridge.logic.handle_lock import HandleLock, HandleLockParameters
from panelbridge.logic.legs import LegParameters
from panelbridge.logic.system import System
from panelbridge.signals import Event, GearPosition, HandleContacts, LegState

UP, DOWN = GearPosition.UP, GearPosition.DOWN
NAMES = ("nose", "left", "right")


def three_legs(**common: Any) -> list[LegParameters]:
    """Three legs of unequal times."""
    times = {"nose": (0.3, 6.0, 6.4), "left": (0.4, 6.3, 6.6), "right": (0.4, 6.5, 6.8)}
    return [
        LegParameters.model_validate(
            {"name": name, "unlock_s": unlock, "extend_s": extend, "retract_s": retract, **common}
        )
        for name, (unlock, extend, retract) in times.items()
    ]


@dataclass(frozen=True)
class Frame:
    """The gear at one look: state, travel and door of each leg, and whether anything drives it."""

    states: list[LegState]
    travels: list[float]
    doors: list[str]
    driven: bool


class Rig:
    """The gear's systems, stepped from event to event.

    Args:
        legs: their parameters.
        power: of ``GearPowerParameters``.
        order: of ``GearOrderParameters``.
        emergency: by what the gear is extended in an emergency.
        found: where the legs and the handle are found.
        first: inputs that are found otherwise.
    """

    def __init__(
        self,
        legs: Sequence[LegParameters] | None = None,
        *,
        power: dict[str, Any] | None = None,
        order: dict[str, Any] | None = None,
        emergency: dict[str, Any] | None = None,
        found: GearPosition = DOWN,
        first: dict[str, Any] | None = None,
    ) -> None:
        self.timers, self.log = TimerHeap(), EventLog()
        legs = legs or three_legs()
        self.names = [leg.name for leg in legs]
        self.handle = GearHandle(1.0, self.timers, self.log)
        self.lock = HandleLock(HandleLockParameters(leg="right"), self.log)
        self.selection = GearSelection(self.log)
        self.power = GearPower(GearPowerParameters(**(power or {})), self.timers, self.log)
        self.gear = Gear(legs, self.timers, self.log, GearOrderParameters(**(order or {})))
        self.locks = GearLocks(self.names, self.log)
        self.emergency = Emergency(EmergencyParameters(**(emergency or {})), self.timers, self.log)
        self.systems: tuple[System, ...] = (self.power, self.gear, self.emergency)
        self.inputs: dict[str, Any] = {
            "handle": found.value,
            "strut": found is DOWN,
            "hydraulic": True,
            "bus": True,
            "gear_reset": False,
            "release": False,
            "emergency": False,
            "hand_pump": False,
            **(first or {}),
        }
        self.now_s = 0.0
        self.events: list[Event] = []
        self.frames: list[Frame] = []
        self.trace: list[tuple[float, str, str]] = []
        self._was: dict[str, str] = {}
        self.gear.place(found)
        self.selection.demand = found
        self.locks.take(0.0, self.gear.locks, self.gear.in_transit)
        self.at(0.0)

    def at(self, now_s: float, **changes: Any) -> Rig:
        """One step, with some of the inputs changed."""
        while (due := self.timers.pop_due(now_s)) is not None:
            due_s, name = due
            for system in self.systems:
                if isinstance(name, tuple) and name[0] == system.timer_prefix:
                    system.timer_due(due_s, name)
            if name == "handle travel":
                self.handle.timer_due(due_s, name)
            self._note(due_s)
            self._look(due_s)
        self.now_s = now_s
        assert set(changes) <= set(self.inputs)
        self.inputs |= changes
        self._look(now_s)
        while self.timers.next_due_s <= now_s:
            self.at(now_s)
        return self

    def after(self, step_s: float, **changes: Any) -> Rig:
        """One step, so much later."""
        return self.at(self.now_s + step_s, **changes)

    def press(self, name: str) -> Rig:
        """Press and let go a button."""
        self.after(0.01, **{name: True})
        return self.after(0.01, **{name: False})

    def fault(self, target: str, kind: str | None) -> Rig:
        """Break something, or mend it."""
        for system in (*self.systems, self.lock):
            if target in system.fault_kinds:
                system.set_fault(self.now_s, target, kind)
                return self.at(self.now_s)
        raise AssertionError(target)

    def _look(self, now_s: float) -> None:
        while True:
            locks = self.locks
            before = (locks.all_up, locks.all_down)
            self._pass(now_s)
            if (locks.all_up, locks.all_down) == before:
                break
        self.events.extend(self.log.take())
        self._note(now_s)

    def _pass(self, now_s: float) -> None:
        inputs = self.inputs
        self.handle.take(now_s, HandleContacts(inputs["handle"]))
        position = self.handle.position if self.handle.is_valid else None
        strut, bus = inputs["strut"], inputs["bus"]
        self.lock.update(
            now_s,
            compressed=strut,
            release=inputs["release"],
            handle=position,
            bus_powered=bus,
        )
        self.emergency.update(
            now_s,
            handle=inputs["emergency"],
            hand_pump=inputs["hand_pump"],
            gear_reset=inputs["gear_reset"],
            on_ground=strut is True,
            gear_down=self.locks.all_down,
        )
        means = self.emergency.means
        self.selection.update(
            now_s,
            self.handle,
            in_air=strut is False,
            has_weight=strut is True,
            all_up=self.locks.all_up,
            reference=self.selection.demand,
            retract_locked_out=self.emergency.retract_locked_out,
        )
        demand = self.selection.demand
        self.power.update(
            now_s,
            demand=demand,
            at_end=self.gear.at_end(demand),
            hydraulic=inputs["hydraulic"],
            bus_powered=bus,
            gear_reset=inputs["gear_reset"],
            emergency=means is not None,
        )
        self.gear.update(
            now_s,
            demand=demand,
            powered=self.power.drives,
            held_up=self.power.holds_up,
            emergency=means,
            stroke=self.emergency.pump_stroke,
        )
        self.locks.take(now_s, self.gear.locks, self.gear.in_transit)

    def _note(self, now_s: float) -> None:
        now = {leg.parameters.name: leg.state.value for leg in self.gear.legs}
        now |= {name: str(value) for name, value in self.gear.values(now_s).items()}
        now["power"] = self.doing
        for name, word in now.items():
            if self._was and self._was[name] != word:
                self.trace.append((round(now_s, 6), name, word))
        self._was = now
        means = self.emergency.means
        pushed = self.emergency.pump_stroke if means == "hand_pump" else means is not None
        self.frames.append(
            Frame(
                [leg.state for leg in self.gear.legs],
                [leg.travel_fraction(now_s) for leg in self.gear.legs],
                [now.get(f"{name}_door", "none") for name in self.names],
                driven=pushed or (means is None and self.power.drives),
            )
        )

    @property
    def doing(self) -> str:
        """What the power does."""
        return str(self.power.values(self.now_s)["gear_power"])

    @property
    def leg_states(self) -> list[str]:
        """State of every leg."""
        return [leg.state.value for leg in self.gear.legs]

    def travels(self) -> list[float]:
        """Travel of every leg."""
        return [leg.travel_fraction(self.now_s) for leg in self.gear.legs]

    @property
    def greens(self) -> set[str]:
        """Legs whose green is lit (with bus power)."""
        return self._lit(green_lit)

    @property
    def reds(self) -> set[str]:
        """Legs whose red is lit (with bus power)."""
        return self._lit(red_lit)

    def _lit(self, rule: Any) -> set[str]:
        pairs = zip(self.names, self.locks.sensed, strict=True)
        return {name for name, sensed in pairs if rule(sensed)}

    @property
    def handle_red(self) -> bool:
        """The light in the handle."""
        position = self.handle.position if self.handle.is_valid else None
        return handle_lit(
            Agreement(position, self.locks.all_down, self.locks.all_up, self.gear.doors_latched)
        )

    @property
    def told(self) -> list[str]:
        """Names of all events so far."""
        return [event.name for event in self.events]

    @property
    def all_down(self) -> bool:
        return self.leg_states == ["down_locked"] * len(self.names)

    @property
    def all_up(self) -> bool:
        return self.leg_states == ["up_locked"] * len(self.names)


def flying(found: GearPosition = UP, **more: Any) -> Rig:
    """In the air, the gear at rest."""
    return Rig(found=found, **more).at(1.0, strut=False)
