"""Brakes, anti-skid and emergency air together, in the order of the composition."""

from __future__ import annotations

import pickle
from math import inf
from typing import Any

from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.antiskid.facts import ANTISKID
from panelbridge.logic.antiskid.fitting import AntiskidFitting
from panelbridge.logic.antiskid.monitor import AntiskidMonitor
from panelbridge.logic.antiskid.parameters import AntiskidParameters
from panelbridge.logic.antiskid.sensors import WheelSensors
from panelbridge.logic.antiskid.system import AntiSkid
from panelbridge.logic.antiskid.wheel_locks import WheelLocks
from panelbridge.logic.brakes.facts import LEFT_BRAKE, RIGHT_BRAKE
from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.brakes.pedals import BrakePedals
from panelbridge.logic.brakes.supply import BrakeSupply
from panelbridge.logic.brakes.system import EMERGENCY_BRAKE, PARKING_BRAKE, Brakes
from panelbridge.logic.brakes.wheels import WheelBrakes
from panelbridge.logic.emergency.parameters import EmergencyParameters
from panelbridge.logic.emergency.system import BOTTLE_FAULT, EMERGENCY_EXTEND, Emergency
from panelbridge.logic.gear.facts import GearFacts
from panelbridge.logic.hydraulics.facts import HydraulicsFacts
from panelbridge.logic.kit.aircraft_cells import GROUND_SPEED_KT, wheel_rpm
from panelbridge.logic.kit.curves import Boyle, Line
from panelbridge.logic.kit.handles import Handle
from panelbridge.logic.kit.step import SystemStep
from panelbridge.signals import Event

_CELLS: dict[str, tuple[Handle[Any], ...]] = {
    "pedals": (LEFT_BRAKE, RIGHT_BRAKE),
    "speeds": (wheel_rpm(0), wheel_rpm(1)),
    "parking_lever": (PARKING_BRAKE,),
    "emergency_lever": (EMERGENCY_BRAKE,),
    "antiskid": (ANTISKID,),
    "handle": (EMERGENCY_EXTEND,),
    "air_bottle": (BOTTLE_FAULT,),
}


class BrakeSet:
    """Their systems in one step, with pressure from a pump and the gear down.

    Args:
        emergency: numbers of the emergency extension.
    """

    def __init__(self, **emergency: Any) -> None:
        parameters = BrakesParameters()
        self.air = Emergency(EmergencyParameters(**emergency))
        self.brakes = Brakes(parameters)
        fitting = AntiskidFitting(AntiskidParameters(), ("left", "right"), (0, 1), (0, 1))
        self.antiskid = AntiSkid(fitting)
        self.wheels = WheelBrakes(parameters)
        others: Any = (AirGroundFacts, GearFacts, HydraulicsFacts)
        watching: list[Any] = [WheelSensors(fitting), WheelLocks(fitting), AntiskidMonitor(fitting)]
        self.loop = SystemStep(
            [
                self.air,
                BrakePedals(parameters),
                BrakeSupply(parameters, None, fed=False, most_psi=3000.0),
                self.brakes,
                *watching,
                self.antiskid,
                self.wheels,
            ],
            [*_CELLS["speeds"], GROUND_SPEED_KT, *others],
        )
        self.events: list[Event] = []
        self.now_s = 0.0
        self._publish(GearFacts(all_down=True))
        line = Boyle(Line(start=0.7), 1.0, 1000.0)
        served = ("wheel_brakes", "parking_brake")
        self._publish(HydraulicsFacts(served, line, Line(start=1e6), is_found=True, is_pumped=True))
        self.at(
            0.0,
            pedals=(0.0, 0.0),
            speeds=(0.0, 0.0),
            on_ground=True,
            antiskid=True,
            parking_lever=0.0,
            emergency_lever=0.0,
            handle=False,
        )

    def at(self, now_s: float, **changes: Any) -> tuple[float, ...]:
        """One step; how much each wheel is braked."""
        while self.loop.next_due_s < now_s:
            self.events += self.loop.look(self.loop.next_due_s)
        self.now_s = now_s
        for name, value in changes.items():
            if name == "on_ground":
                self._publish(
                    AirGroundFacts(
                        struts=(value, value),
                        ground_for_commands=value is not False,
                        has_weight=value is True,
                        air_for_warnings=value is not True,
                    )
                )
                continue
            cells = _CELLS[name]
            for cell, one in zip(cells, value if len(cells) > 1 else (value,), strict=True):
                self.loop.set(cell, one)
        self.events += self.loop.look(now_s)
        (command,) = self.wheels.commands
        fractions: tuple[float, ...] = command.read(self.loop.world(now_s))
        return fractions

    def psi(self) -> tuple[float, ...]:
        """Pressure at each wheel, psi."""
        world = self.loop.world(self.now_s)
        values = [one for one in self.wheels.values if one.name.endswith("_wheel_brake_psi")]
        return tuple([float(str(one.read(world))) for one in values])

    def air_psi(self) -> float:
        """Pressure of the bottle."""
        return self.air.facts.air.at(self.now_s)

    def resume(self, other: BrakeSet) -> None:
        """Go on from where another one is."""
        self.loop.restore(pickle.loads(pickle.dumps(other.loop.save())))
        self.now_s, self.events = other.now_s, list(other.events)

    def look_again(self) -> None:
        """Every system once more at the time of the last step: nothing may come of it."""
        for system in self.loop.systems:
            before = (system.facts, system.memory, system.due_s)
            facts = system.update(self.now_s, self.loop.world(self.now_s))
            due_s = system.due_s if system.due_s > self.now_s else inf
            assert (facts, system.memory, due_s) == before
            assert system.noted == []

    @property
    def state(self) -> Any:
        """Everything that a test can see."""
        systems = [(one.facts, one.memory, one.due_s) for one in self.loop.systems]
        return systems, self.events, self.now_s

    def _publish(self, facts: Any) -> None:
        self.loop.set(type(facts), facts)  # type: ignore[arg-type]
