"""A hydraulic system by itself, with its timers, as the composition drives it."""

from __future__ import annotations

from typing import Literal, TypedDict, Unpack

from panelbridge.clock import TimerHeap
from panelbridge.logic.events import EventLog
from panelbridge.logic.hydraulic_parameters import (
    AccumulatorParameters,
    AuxPumpParameters,
    Consumer,
    EngineSupplyParameters,
    HydraulicsParameters,
)
from panelbridge.logic.hydraulics import Hydraulics
from panelbridge.signals import Event, Value

BUT_SPOILERS: list[Consumer] = [
    "gear",
    "flaps",
    "wheel_brakes",
    "parking_brake",
    "thrust_reversers",
]


class Inputs(TypedDict, total=False):
    """What an update is told."""

    engine_running: tuple[bool | None, ...]
    aux_switch: bool | None
    bus_powered: bool | None
    fluid_test: bool | None
    told_pressure_psi: float | None


def a_twin() -> HydraulicsParameters:
    """Two engines with bleed air, an auxiliary pump that does not serve the spoilers.

    Numbers of the published checks: band 2,475 to 2,775 psi, precharge 800 psi.
    """
    return HydraulicsParameters(
        supplies=[
            EngineSupplyParameters(engine=1, kind="bleed_air", flow_l_per_s=0.2, spool_up_s=4.0),
            EngineSupplyParameters(engine=2, kind="engine_pump", flow_l_per_s=0.2),
        ],
        aux_pump=AuxPumpParameters(
            flow_l_per_s=0.05,
            cut_in_psi=2475.0,
            cut_out_psi=2775.0,
            on_limit_s=300.0,
            serves=BUT_SPOILERS,
        ),
        accumulator=AccumulatorParameters(
            gas_volume_l=1.0,
            precharge_psi=800.0,
            precharge_least_psi=750.0,
            precharge_most_psi=850.0,
        ),
        nominal_psi=3000.0,
        relief_psi=3400.0,
        internal_leak_l_per_s=0.002,
        leak_l_per_s=0.02,
        reservoir_l=7.2,
        fluid_low_l=2.0,
        fluid_clear_l=2.4,
    )


class Scene:
    """Runs one hydraulic system.

    Args:
        parameters: its numbers.
        authority: who says what the pressure is.
        given: its first inputs, at 0 s; engines stand still and all is off unless told.
    """

    def __init__(
        self,
        parameters: HydraulicsParameters | None = None,
        authority: Literal["model", "feed"] = "model",
        **given: Unpack[Inputs],
    ) -> None:
        self.timers = TimerHeap()
        self.log = EventLog()
        self.system = Hydraulics(
            parameters or a_twin(), authority=authority, timers=self.timers, log=self.log
        )
        self.now_s = 0.0
        self.inputs: Inputs = {
            "engine_running": (False, False),
            "aux_switch": False,
            "bus_powered": True,
            "fluid_test": False,
            "told_pressure_psi": None,
        }
        self.events: list[Event] = []
        self.at(0.0, **given)

    def at(self, now_s: float, **given: Unpack[Inputs]) -> None:
        """Let time pass to ``now_s``, then give it inputs."""
        while (due := self.timers.pop_due(now_s)) is not None:
            self.system.timer_due(*due)
            self._update(due[0])
        self.inputs.update(given)
        self.now_s = now_s
        self._update(now_s)

    def after(self, for_s: float, **given: Unpack[Inputs]) -> None:
        """Let time pass, then give it inputs."""
        self.at(self.now_s + for_s, **given)

    def draw(self, **loads: float) -> None:
        """Consumers take so much from now on."""
        self.system.draw(self.now_s, loads)
        self.events.extend(self.log.take())

    def spend(self, consumer: str, volume_l: float) -> float:
        """A consumer makes one stroke."""
        taken = self.system.spend(self.now_s, consumer, volume_l)
        self.events.extend(self.log.take())
        return taken

    def fault(self, target: str, kind: str | None) -> None:
        """Break or mend something."""
        self.system.set_fault(self.now_s, target, kind)
        self.events.extend(self.log.take())

    @property
    def psi(self) -> float | None:
        """The pressure now."""
        return self.system.pressure_psi(self.now_s)

    @property
    def values(self) -> dict[str, Value]:
        """What it publishes now."""
        return dict(self.system.values(self.now_s))

    @property
    def lit(self) -> set[str]:
        """Its lamps that are lit."""
        return {lamp for lamp, lit in self.system.lit().items() if lit}

    @property
    def names(self) -> list[str]:
        """What has happened since this was asked last."""
        names = [event.name for event in self.events]
        self.events.clear()
        return names

    def _update(self, now_s: float) -> None:
        told = self.inputs
        self.system.update(
            now_s,
            engine_running=told["engine_running"],
            aux_switch=told["aux_switch"],
            bus_powered=told["bus_powered"],
            fluid_test=told["fluid_test"],
            told_pressure_psi=told["told_pressure_psi"],
        )
        self.events.extend(self.log.take())


def events() -> list[Event]:
    """The pump is left on, the system leaks dry, a supply fails, the pump runs on when mended."""
    scene = Scene(aux_switch=True)
    scene.at(400.0)
    scene.fault("hydraulics", "leaking")
    scene.at(2000.0)
    scene.fault("engine_1_supply", "failed")
    scene.fault("aux_pump", "runs_on")
    scene.after(1.0, engine_running=(True, False))
    scene.after(10.0)
    scene.fault("hydraulics", None)
    scene.after(60.0)
    return scene.events
