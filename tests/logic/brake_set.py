"""Brakes, anti-skid and emergency air together, as the composition has them."""

from __future__ import annotations

from typing import Any

from panelbridge.clock import TimerHeap
from panelbridge.logic.antiskid import AntiSkid
from panelbridge.logic.antiskid_rules import AntiskidParameters
from panelbridge.logic.brake_parameters import BrakesParameters
from panelbridge.logic.brakes import Brakes
from panelbridge.logic.emergency import Emergency, EmergencyParameters
from panelbridge.logic.events import EventLog


class BrakeSet:
    """The three systems on one heap of timers; no one knows another's inside.

    Args:
        emergency: numbers of the emergency extension.
    """

    def __init__(self, **emergency: Any) -> None:
        self.timers, self.log = TimerHeap(), EventLog()
        parameters = BrakesParameters()
        self.brakes = Brakes(parameters, self.timers, self.log)
        self.antiskid = AntiSkid(AntiskidParameters(), parameters.wheels, self.timers, self.log)
        self.air = Emergency(EmergencyParameters(**emergency), self.timers, self.log)
        self.inputs: dict[str, Any] = {
            "pedals": (0.0, 0.0),
            "speeds": (0.0, 0.0),
            "parking_lever": 0.0,
            "emergency_lever": 0.0,
            "on_ground": True,
            "antiskid": True,
            "handle": False,
        }
        self.now_s = 0.0
        self.at(0.0)

    def at(self, now_s: float, **changes: Any) -> tuple[float, ...]:
        """One step; how much each wheel is braked."""
        while (due := self.timers.pop_due(now_s)) is not None:
            due_s, name = due
            assert isinstance(name, tuple)
            for system in (self.brakes, self.antiskid, self.air):
                if name[0] == system.timer_prefix:
                    system.timer_due(due_s, name)
            self._update(due_s)
        assert set(changes) <= set(self.inputs)
        self.inputs |= changes
        self.now_s = now_s
        self.brakes.take_pedals(self.inputs["pedals"])
        self.antiskid.take_speeds(self.inputs["speeds"])
        self._update(now_s)
        return self.brakes.wheel_fractions(self.antiskid.shut_off)

    def _update(self, now_s: float) -> None:
        given, ground = self.inputs, self.inputs["on_ground"]
        self.air.update(
            now_s,
            handle=given["handle"],
            hand_pump=None,
            gear_reset=None,
            on_ground=ground is True,
            gear_down=True,
        )
        self.brakes.update(
            now_s,
            parking_lever=given["parking_lever"],
            emergency_lever=given["emergency_lever"],
            on_ground=ground,
            has_pressure=True,
            has_parking_pressure=True,
            has_air=self.air.has_brake_air,
        )
        self.air.use_brake_air(now_s, self.brakes.take_air_used())
        self.antiskid.update(
            now_s,
            switch=given["antiskid"],
            bus_powered=True,
            left_on_ground=ground,
            right_on_ground=ground,
            parked=self.brakes.is_parked,
            emergency_braking=self.brakes.emergency_braking,
            braked=self.brakes.side_fractions,
            gear_down=True,
            in_air=ground is not True,
        )
