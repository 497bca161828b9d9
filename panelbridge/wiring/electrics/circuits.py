"""The circuit of each part: what it takes from its pin, and from its supply."""

from __future__ import annotations

from msgspec import Struct

from panelbridge.config.electrics.keys import SounderKind
from panelbridge.config.panel_parts.output_entries import LampColour
from panelbridge.wiring.electrics.currents import NO_CURRENT, CurrentRange, steady
from panelbridge.wiring.electrics.drivers import DriverStage
from panelbridge.wiring.electrics.leds import LedType
from panelbridge.wiring.electrics.resistors import SeriesResistor


class Circuit(Struct, frozen=True, kw_only=True):
    """How a part is wired.

    Attributes:
        pin_v: voltage of the pin that is high, V.
        driver: between pin and load; None where the pin drives it alone.
        supply: what feeds the load behind a driver, or a servo: the name of a supply, ``board``, or
            empty for a supply of its own that the panel file does not name.
        supply_v: voltage of what feeds the load, V; None where it is not known.
    """

    pin_v: float
    driver: DriverStage | None = None
    supply: str = ""
    supply_v: float | None = None

    @property
    def load(self) -> CurrentRange:
        """What the load itself takes while it is on."""
        return NO_CURRENT

    @property
    def at_pin(self) -> CurrentRange:
        """What flows at the pin: through the load, or into the driver's input."""
        return self.load if self.driver is None else self.driver.input_current(self.pin_v)

    @property
    def sinks(self) -> bool:
        """The current flows into the pin, not out of it."""
        return False


class LedCircuit(Circuit, frozen=True, kw_only=True):
    """LEDs side by side, each with its own resistor.

    Attributes:
        wanted_ma: current that each shall have, mA.
        resistor: of each; None where the supply is not above the LED's forward voltage.
        active_low: wired from the supply to the pin, lit while the pin is low.
    """

    colour: LampColour
    led: LedType
    leds: int
    wanted_ma: float
    resistor: SeriesResistor | None
    active_low: bool = False

    @property
    def each(self) -> CurrentRange:
        """What flows through each LED."""
        drop_v = 0.0 if self.driver is None else self.driver.type.drop_v
        if self.resistor is None or self.supply_v is None:
            return NO_CURRENT
        return self.led.current(self.supply_v - drop_v, self.resistor.ohm)

    @property
    def load(self) -> CurrentRange:
        """What all of them take."""
        return self.each * self.leds

    @property
    def sinks(self) -> bool:
        """Wired to the supply, without a driver."""
        return self.active_low and self.driver is None


class BulbCircuit(Circuit, frozen=True, kw_only=True):
    """A filament bulb; current_ma is None where the panel file does not say it."""

    colour: LampColour
    current_ma: float | None
    active_low: bool = False

    @property
    def load(self) -> CurrentRange:
        """What the warm bulb takes; a cold one takes about ten times that for an instant."""
        return steady(self.current_ma or 0.0)

    @property
    def sinks(self) -> bool:
        """Wired to the supply, without a driver."""
        return self.active_low and self.driver is None


class SounderCircuit(Circuit, frozen=True, kw_only=True):
    """A piezo disc or a buzzer."""

    sounder: SounderKind
    current_ma: float

    @property
    def load(self) -> CurrentRange:
        """What it takes while it sounds."""
        return steady(self.current_ma)


class CoilCircuit(Circuit, frozen=True, kw_only=True):
    """A relay or solenoid; current_ma is None where the panel file does not say it."""

    current_ma: float | None
    active_low: bool = False

    @property
    def load(self) -> CurrentRange:
        """What the coil takes."""
        return steady(self.current_ma or 0.0)


class ServoCircuit(Circuit, frozen=True, kw_only=True):
    """A hobby servo as a needle; the pin gives its signal only."""

    stall_ma: float

    @property
    def load(self) -> CurrentRange:
        """What it takes at worst, held fast."""
        return CurrentRange(0.0, self.stall_ma)

    @property
    def at_pin(self) -> CurrentRange:
        """Its signal wire takes next to nothing."""
        return NO_CURRENT


class ContactCircuit(Circuit, frozen=True, kw_only=True):
    """A contact to ground with a pull-up resistor.

    Attributes:
        pull_up_ohm: lowest and highest value of the pull-up, ohm; twice the same when fitted.
        internal_pull_up: it is the pin's own; otherwise a resistor is fitted.
        series_ohm: between pin and contact, ohm; 0 without one.
        capacitor_nf: across the contact, nF; 0 without one.
        normally_closed: the contact opens when the switch is operated.
        debounce_ms: of the board, ms.
    """

    pull_up_ohm: tuple[float, float]
    internal_pull_up: bool
    series_ohm: float
    capacitor_nf: float
    normally_closed: bool
    debounce_ms: int

    @property
    def wetting_ma(self) -> tuple[float, float]:
        """Least and most current through the closed contact, mA."""
        low, high = (self.pin_v / (ohm + self.series_ohm) * 1e3 for ohm in self.pull_up_ohm[::-1])
        return low, high

    @property
    def load(self) -> CurrentRange:
        """What flows while it is closed."""
        return CurrentRange(*self.wetting_ma)

    @property
    def at_pin(self) -> CurrentRange:
        """The pin's own pull-up gives it; one that is fitted is fed past the pin."""
        return self.load if self.internal_pull_up else NO_CURRENT


POTENTIOMETER_OHM = 10_000.0


class PotentiometerCircuit(Circuit, frozen=True, kw_only=True):
    """A potentiometer of 10 kOhm: its ends at supply and ground, its wiper at the pin."""

    @property
    def load(self) -> CurrentRange:
        """What flows from end to end."""
        return steady(self.pin_v / POTENTIOMETER_OHM * 1000.0)

    @property
    def at_pin(self) -> CurrentRange:
        """The wiper gives the pin a voltage, no current."""
        return NO_CURRENT
