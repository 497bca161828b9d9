"""Lamps, horn, gauges and solenoids of a panel file."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from panelbridge.config.electrics.keys import (
    CurrentMa,
    Driver,
    FlybackDiode,
    ForwardVolts,
    PullDown,
    ResistorOhm,
    SounderKind,
    SupplyName,
)
from panelbridge.config.panel_parts.on_board import OnBoard
from panelbridge.config.pin_names import PinName, PinOrBit
from panelbridge.logic.kit.parameters import Parameters

LampColour = Literal["red", "amber", "green", "white", "blue"]


class LampEntry(OnBoard):
    """A lamp on a pin."""

    pin: PinOrBit
    """Its pin; give an LED its resistor."""
    colour: LampColour
    """Its colour; not needed when the lamp's name ends in it."""
    legend: str = ""
    """Words on it, for screens; when empty a short legend of its own, as HYD PRESS."""
    active_low: bool = False
    """The lamp is lit when the pin is low (wired to the supply instead of ground)."""
    dimmed: bool = True
    """Dim it by pulse width when its pin can; a bit of a chain cannot. Write false where it is
    meant to be dark or fully lit."""
    light: Literal["led", "bulb"] = "led"
    """What it is. A bulb needs a driver, and says its current."""
    leds: Annotated[int, Field(ge=1, le=8)] = 1
    """How many LEDs it has, side by side, each with its own resistor."""
    forward_v: ForwardVolts | None = None
    """Forward voltage of its LED, V; without it that of its colour."""
    current_ma: CurrentMa | None = None
    """Current that each LED shall have, or that the bulb takes, mA."""
    resistor_ohm: ResistorOhm | None = None
    """Resistor of each LED, ohm; without it a fitting one is proposed."""
    driver: Driver = "none"
    supply: SupplyName = None


class HornEntry(OnBoard):
    """A horn or piezo that the board drives with a tone."""

    pin: PinName
    """Its pin."""
    frequency_hz: Annotated[int, Field(ge=200, le=5000)] = 700
    """Pitch of the tone, Hz (200-5000: MIL-STD-1472E 5.3.4.1)."""
    on_ms: Annotated[int, Field(ge=50, le=2000)] = 250
    """Sounding part of the intermittent pattern, ms."""
    off_ms: Annotated[int, Field(ge=50, le=2000)] = 250
    """Silent part of the intermittent pattern, ms."""
    sounder: SounderKind = "piezo"
    """What sounds: a piezo disc (no coil), a buzzer with electronics of its own, or a magnetic
    buzzer (a coil, which needs a driver)."""
    current_ma: CurrentMa | None = None
    """What it takes, mA; without it 3 for a piezo and 30 for a buzzer."""
    coil_ohm: Annotated[float, Field(gt=0.0, le=10_000.0)] | None = None
    """Resistance of a magnetic buzzer's coil, ohm, where its current is not known."""
    driver: Driver = "none"
    flyback_diode: FlybackDiode = True
    pull_down: PullDown = True
    supply: SupplyName = None


class NeedleEntry(OnBoard):
    """A needle on a hobby servo."""

    pin: PinName
    """Pin of the servo's signal wire; power the servo from its own supply."""
    pulse_at_0_us: Annotated[int, Field(ge=500, le=2500)] = 1000
    """Pulse at the bottom of the scale, us."""
    pulse_at_1_us: Annotated[int, Field(ge=500, le=2500)] = 2000
    """Pulse at the top of the scale, us; may be the smaller number."""
    supply: SupplyName = None
    stall_ma: CurrentMa = 2000.0
    """What the servo takes when it is held fast, mA."""

    @property
    def full_scale(self) -> float:
        """Value at the top of the scale, in the gauge's own unit."""
        return float(next(value for key, value in self if key.startswith("full_scale_")))


class GaugeEntry(NeedleEntry):
    """A pressure gauge."""

    full_scale_psi: Annotated[float, Field(gt=0, le=10_000)] = 4000.0
    """Pressure at the top of the scale, psi."""


class Gauges(Parameters):
    """Every gauge that this panel has."""

    hydraulic_pressure: GaugeEntry | None = None
    """Pressure of the main hydraulic system."""
    emergency_air: GaugeEntry | None = None
    """Pressure of the emergency air bottle."""
    brake_accumulator: GaugeEntry | None = None
    """Pressure of the brake accumulator."""
    left_brake: GaugeEntry | None = None
    """Pressure at the wheels of the left side, the greatest of them."""
    right_brake: GaugeEntry | None = None
    """The same of the right side."""


class SolenoidEntry(OnBoard):
    """A solenoid behind a driver of its own; the pin only switches the driver."""

    pin: PinName
    """Pin of the driver's input. Never connect a coil to a pin: it needs a driver and a diode."""
    active_low: bool = False
    """The solenoid is energised when the pin is low."""
    current_ma: CurrentMa | None = None
    """What its coil takes, mA."""
    driver: Driver = "mosfet"
    flyback_diode: FlybackDiode = True
    pull_down: PullDown = True
    supply: SupplyName = None


class Solenoids(Parameters):
    """Every solenoid that this panel has."""

    handle_lock: SolenoidEntry | None = None
    """Holds the gear handle down while it is energised; without the host it is not."""
