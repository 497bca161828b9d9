"""A hydraulic system by itself, and what the gear takes from it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from panelbridge.logic.gear.facts import GearFacts
from panelbridge.logic.hydraulics.parameters import (
    AccumulatorParameters,
    AuxPumpParameters,
    Consumer,
    EngineSupplyParameters,
    HydraulicsParameters,
)
from panelbridge.logic.hydraulics.system import AUX_PUMP, FLUID_TEST, Hydraulics
from panelbridge.logic.kit.aircraft_cells import (
    BUS_POWERED,
    HYDRAULIC_PRESSURE_PSI,
    engine_running,
)
from panelbridge.signals import Event, Value
from tests.logic.stage import Stage

BUT_SPOILERS: list[Consumer] = [
    "gear",
    "flaps",
    "wheel_brakes",
    "parking_brake",
    "thrust_reversers",
]


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


def changed_twin(**values: object) -> HydraulicsParameters:
    """The twin with some values changed."""
    return HydraulicsParameters.model_validate({**a_twin().model_dump(), **values})


class Scene(Stage[Hydraulics]):
    """Runs one hydraulic system of an aircraft with two engines.

    Args:
        parameters: its numbers.
        authority: who says what the pressure is.
        first: its first inputs, at 0 s; engines stand still and all is off unless given.
    """

    def __init__(
        self,
        parameters: HydraulicsParameters | None = None,
        authority: Literal["model", "feed"] = "model",
        **first: Any,
    ) -> None:
        at_rest = {
            "engine_running": (False, False),
            "aux_switch": False,
            "bus_powered": True,
            "fluid_test": False,
        }
        super().__init__(
            Hydraulics(parameters or a_twin(), 2, fed=authority == "feed"),
            {
                "engine_1": engine_running(0),
                "engine_2": engine_running(1),
                "aux_switch": AUX_PUMP,
                "fluid_test": FLUID_TEST,
                "bus_powered": BUS_POWERED,
                "fed_psi": HYDRAULIC_PRESSURE_PSI,
                "gear_l_per_s": (GearFacts, "flow_l_per_s"),
            },
            **{**at_rest, **first},
        )
        self.at(0.0)

    def _set(self, changes: Mapping[str, Any]) -> None:
        given = dict(changes)
        engines = given.pop("engine_running", None)
        if engines is not None:
            given |= {"engine_1": None, "engine_2": None}
            given |= {f"engine_{place + 1}": running for place, running in enumerate(engines)}
        super()._set(given)

    def draw(self, gear: float) -> None:
        """The gear takes so much from now on, litres a second."""
        self.at(self.now_s, gear_l_per_s=gear)

    @property
    def psi(self) -> float | None:
        """The pressure now."""
        psi: float | None = self.value("hydraulic_pressure_psi")
        return psi

    @property
    def consumers(self) -> tuple[str, ...]:
        """The consumers that have pressure now."""
        served: tuple[str, ...] = self.facts.served
        return served

    @property
    def gauge_psi(self) -> float | None:
        """Where the needle of the gauge stands."""
        psi: float | None = self.facts.gauge_psi
        return psi

    @property
    def aux_running(self) -> bool:
        """The auxiliary pump runs."""
        return self.facts.aux == "pumping"  # type: ignore[no-any-return]

    @property
    def values(self) -> dict[str, Value]:
        """What it publishes now."""
        world = self.loop.world(self.now_s)
        return {info.name: info.read(world) for info in self.system.values}

    def taken(self) -> list[str]:
        """Names of the events since this was asked last."""
        names = self.names
        self.events.clear()
        return names


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
