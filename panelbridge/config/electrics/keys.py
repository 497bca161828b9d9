"""Electrical keys of a panel file. All have defaults: colour and pin of a lamp are enough."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from panelbridge.logic.kit.parameters import Parameters

BOARD_SUPPLY = "board"
"""The word for the board's own supply pin (5V or 3V3), in place of a supply's name."""
ChipKind = Literal["atmega328p", "atmega328pb", "atmega32u4", "atmega2560", "rp2040", "esp32"]
DriverKind = Literal["none", "transistor_array", "mosfet", "npn"]
SounderKind = Literal["piezo", "active_buzzer", "magnetic_buzzer"]
PowerSource = Literal["usb_port", "bus_powered_hub", "own_supply"]
ResistorSeries = Literal["E12", "E24"]
WireGauge = Literal[20, 22, 24, 26, 28]

Driver = Annotated[
    DriverKind,
    Field(
        description="What switches it for the pin. none: the pin alone. transistor_array: an "
        "output of a ULN2803A-class chip. mosfet: a logic-level N-channel MOSFET. npn: a bipolar "
        "transistor."
    ),
]
SupplyName = Annotated[
    Annotated[str, Field(min_length=1, max_length=16)] | None,
    Field(
        description="What feeds it: a name under 'electrics.supplies', or board for the board's "
        "own 5V or 3V3 pin.",
    ),
]
CurrentMa = Annotated[float, Field(gt=0.0, le=5000.0)]
ForwardVolts = Annotated[float, Field(gt=1.0, le=4.5)]
ResistorOhm = Annotated[float, Field(ge=10.0, le=1_000_000.0)]
PullUpOhm = Annotated[
    Annotated[float, Field(ge=1000.0, le=100_000.0)] | None,
    Field(
        description="A pull-up resistor of your own from the pin to the supply, ohm; without one "
        "the pin's own is used, and a switch at a chip gets 10000.",
    ),
]
SeriesOhm = Annotated[
    float,
    Field(ge=0.0, le=100_000.0, description="A resistor between pin and contact, ohm."),
]
CapacitorNf = Annotated[
    float,
    Field(ge=0.0, le=10_000.0, description="A capacitor across the contact, nF."),
]
FlybackDiode = Annotated[
    bool,
    Field(
        description="A diode across the coil, or the array's COM pin tied to the coil's supply. A "
        "coil without one destroys its driver."
    ),
]
PullDown = Annotated[
    bool,
    Field(
        description="A resistor of 10 kOhm from the driver's input to ground keeps it off while "
        "the board starts."
    ),
]


class PowerSupply(Parameters):
    """A supply of the panel's own, for bulbs, coils, servos or many LEDs."""

    voltage_v: Annotated[float, Field(gt=0.0, le=30.0)]
    """Its voltage, V. Never mains."""
    limit_ma: Annotated[float, Field(gt=0.0, le=20_000.0)] | None = None
    """What it can give, mA."""


class LedVolts(Parameters):
    """Forward voltage of your usual LED of each colour, V."""

    red: ForwardVolts | None = None
    """Of a red LED; without it 2.0."""
    amber: ForwardVolts | None = None
    """Of an amber or yellow LED; without it 2.1."""
    green: ForwardVolts | None = None
    """Of a green LED: 2.2 for the yellowish kind, 3.2 for the bluish one; without it either."""
    white: ForwardVolts | None = None
    """Of a white LED; without it 3.2."""
    blue: ForwardVolts | None = None
    """Of a blue LED; without it 3.2."""


class Electrics(Parameters):
    """What is the same all over the panel; a lamp, horn or solenoid may say otherwise."""

    led_forward_v: LedVolts = LedVolts()
    """Forward voltage of your usual LED of each colour."""
    led_current_ma: Annotated[float, Field(gt=0.0, le=100.0)] | None = None
    """Current that each LED shall have, mA; without it 5 at a 5 V board and 3 at a 3.3 V one."""
    resistor_ohm: ResistorOhm | None = None
    """The one resistor that you use for every LED, ohm; without it each LED gets a fitting one."""
    resistor_series: ResistorSeries = "E12"
    """Series of values from which resistors are proposed."""
    resistor_w: Annotated[float, Field(gt=0.0, le=5.0)] = 0.25
    """Power rating of your resistors, W."""
    supplies: Annotated[dict[str, PowerSupply], Field(max_length=8)] = Field(default_factory=dict)
    """Supplies of the panel's own, each under a name of yours."""
