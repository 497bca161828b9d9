"""The shipped twin jet on the ground, its engines found running and then stopped."""

from __future__ import annotations

from typing import Any

from msgspec.structs import replace

from panelbridge.config.load import load_aircraft
from panelbridge.config.shipped import shipped_config
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.signals import AircraftState, StepResult, SwitchState

JET = load_aircraft(shipped_config("aircraft/twin_jet.yaml"))


class BrakeJet:
    """All systems of the twin jet; taxiing fast, wheels turning.

    Args:
        antiskid: it is switched on.
        engines: they run on.
    """

    def __init__(self, *, antiskid: bool = False, engines: bool = False) -> None:
        self.logic = PanelLogic(JET)
        self.switches = SwitchState(antiskid=antiskid, parking_brake=0.0, emergency_brake=0.0)
        self.state = AircraftState(
            engine_running=(True, True),
            bus_powered=True,
            strut_compressed=(True, True, True),
            brake_pedal_fraction=(0.0, 0.0),
            wheel_speed_rpm=(900.0,) * 4,
        )
        self.now_s = 0.0
        self.result: StepResult = self.logic.step(0.0, self.switches, self.state)
        self.at(1.0, engines=engines)

    def at(self, now_s: float, **changes: Any) -> StepResult:
        """One step; engines, one of both pedals, pedals, the speed of a wheel, or a switch."""
        for name, value in changes.items():
            if name == "engines":
                self.state = replace(self.state, engine_running=(value, value))
            elif name == "pedals":
                both = value if isinstance(value, tuple) else (value, value)
                self.state = replace(self.state, brake_pedal_fraction=both)
            elif name == "left_outer_rpm":
                speeds = (value, *self.state.wheel_speed_rpm[1:])
                self.state = replace(self.state, wheel_speed_rpm=speeds)
            elif name == "on_ground":
                self.state = replace(self.state, strut_compressed=(value,) * 3)
            else:
                self.switches = self.switches.having(**{name: value})
        self.now_s = now_s
        self.result = self.logic.step(now_s, self.switches, self.state)
        return self.result

    def value(self, name: str) -> Any:
        """A value now."""
        return self.logic.view().values[name]

    def lit(self, lamp: str) -> bool:
        """A lamp shines."""
        return self.result.outputs.lamps[lamp] > 0
