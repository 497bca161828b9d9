"""The panel file: what is wired to which pin of which board."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import Field, GetJsonSchemaHandler, create_model
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema

from panelbridge.config.boards import BOARDS, Board, BoardKind
from panelbridge.config.electrics.keys import (
    CapacitorNf,
    ChipKind,
    CurrentMa,
    Driver,
    Electrics,
    FlybackDiode,
    ForwardVolts,
    PowerSource,
    PullDown,
    PullUpOhm,
    ResistorOhm,
    SeriesOhm,
    SounderKind,
    SupplyName,
    WireGauge,
)
from panelbridge.config.other_board import OtherBoard
from panelbridge.config.pin_names import PinName, PinOrBit
from panelbridge.logic.kit.handles import HandleSwitch, Lever, Switch
from panelbridge.logic.kit.parameters import Parameters
from panelbridge.logic.panel_numbers import PanelNumbers
from panelbridge.logic.steering.shaping import PedalShaping
from panelbridge.logic.systems import SWITCHES

LampColour = Literal["red", "amber", "green", "white", "blue"]
FILLED_IN = ("board", "colour")
"""Keys that the loader fills in when a file leaves them out."""
DebounceMs = Annotated[
    int, Field(ge=1, le=500, description="How long the contact must be quiet, ms.")
]
DebounceMode = Annotated[
    Literal["wait_until_quiet", "report_first"],
    Field(
        description="wait_until_quiet: a change counts once the contact is quiet, so a glitch is "
        "never seen. report_first: it counts at once and the contact is then ignored for the "
        "debounce time, which is faster."
    ),
]


class ChainEntry(Parameters):
    """A chain of shift registers at a board, for more switches or lamps than it has pins."""

    form: Literal["inputs", "outputs"]
    """What its chips are: inputs (74HC165) for switches, outputs (74HC595) for lamps."""
    chips: Annotated[int, Field(ge=1, le=16)]
    """How many chips it has, 8 bits each. Bits 0 to 7 are those of the chip at the data pin."""
    data_pin: PinName
    """Pin of the first chip's data: its serial output (inputs), or its serial input (outputs)."""
    clock_pin: PinName
    """Pin of all chips' shift clock."""
    latch_pin: PinName
    """Pin of all chips' parallel load (inputs), or storage clock (outputs)."""
    dimmed: bool = True
    """Write false where its lamps are meant to be dark or fully lit: no chain can dim, and beside a
    dimmer or night switch 'check' warns of that."""


class BoardEntry(Parameters):
    """A board on a serial port."""

    board: BoardKind
    """Kind of board; 'other' is one that 'other_board' describes."""
    other_board: OtherBoard | None = None
    """The pins of a board of another kind, and what its firmware can do."""
    port: str | None = None
    """Its port: COM5, /dev/ttyACM0, socket://host:port, simboard://name. Without one it must be
    given on the command line, or the simulated board is used (demo, bench)."""
    baud: Annotated[int, Field(ge=9600, le=2_000_000)] = 250_000
    """Speed of the serial line, bit/s; 250000 is exact on 16 MHz boards. Boards with their own USB
    ignore it."""
    host_timeout_ms: Annotated[int, Field(ge=100, le=10_000)] = 500
    """Without the host for longer than this the board puts lamps and horn to idle, ms."""
    chains: Annotated[dict[str, ChainEntry], Field(max_length=4)] = Field(default_factory=dict)
    """Its chains of shift registers, each under a name of yours. Switches and lamps name a bit as
    their pin: the chain's name, a point, the number of the bit, e.g. knobs.3."""
    chip: ChipKind | None = None
    """Its microcontroller, where that is another than usual; some Uno and Nano boards have an
    atmega328pb, which bears half the current."""
    powered_by: PowerSource = "usb_port"
    """What feeds the board: a USB port (500 mA), a hub without a supply (100 mA a port), or a
    supply of its own."""
    ground_wire_m: Annotated[float, Field(ge=0.0, le=100.0)] = 0.0
    """Length of the wire that all its lamps and servos share on their way back to ground, m; 0
    leaves the voltage lost on it out."""
    ground_wire_awg: WireGauge = 24
    """Gauge of that wire, AWG."""

    @property
    def hardware(self) -> Board:
        """What this board can do."""
        return self.other_board.hardware if self.other_board else BOARDS[self.board]


class _OnBoard(Parameters):
    board: str
    """Name of the board, one of the keys under 'boards'; not needed when there is only one."""

    @classmethod
    def __get_pydantic_json_schema__(
        cls, core_schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """What a file may leave out (``panel_short_forms``) is not required, and a pin is short."""
        group = handler.resolve_ref_schema(handler(core_schema))
        group["required"] = [key for key in group["required"] if key not in FILLED_IN]
        if group["required"] != ["pin"]:
            return group
        pin = group["properties"]["pin"]
        short = {"type": "string", "pattern": pin["pattern"], "description": "Its pin alone."}
        bare = {"type": "null", "description": "Its name alone: 'panelbridge plan' gives it a pin."}
        return {"description": group["description"], "anyOf": [short, bare, group]}


class TwoContactHandle(_OnBoard):
    """A gear handle with a contact at each end of its travel."""

    form: Literal["two_contact"]
    """How it is wired."""
    up_pin: PinOrBit
    """Pin of the contact that closes when the handle is up."""
    down_pin: PinOrBit
    """Pin of the contact that closes when the handle is down."""
    travel_s: Annotated[float, Field(gt=0.0, le=10.0)] = 1.0
    """Longest time that the handle may be between its contacts before it counts as a fault, s."""
    debounce_ms: DebounceMs = 20
    debounce_mode: DebounceMode = "wait_until_quiet"
    normally_closed: bool = False
    """The contacts open when the handle arrives, instead of closing."""
    pull_up_ohm: PullUpOhm = None
    series_ohm: SeriesOhm = 0.0
    capacitor_nf: CapacitorNf = 0.0


class OneContactHandle(_OnBoard):
    """A gear handle or toggle with one contact."""

    form: Literal["one_contact"]
    """How it is wired."""
    pin: PinOrBit
    """Pin of the contact."""
    closed_means: Literal["up", "down"]
    """Where the handle stands when the contact is closed."""
    debounce_ms: DebounceMs = 20
    debounce_mode: DebounceMode = "wait_until_quiet"
    pull_up_ohm: PullUpOhm = None
    series_ohm: SeriesOhm = 0.0
    capacitor_nf: CapacitorNf = 0.0


class ContactSwitch(_OnBoard):
    """A button or toggle: one contact."""

    form: Literal["contact"] = "contact"
    """How it is wired."""
    pin: PinOrBit
    """Pin of the contact; the other side goes to ground."""
    normally_closed: bool = False
    """The contact opens when the switch is operated."""
    debounce_ms: DebounceMs = 20
    debounce_mode: DebounceMode = "wait_until_quiet"
    pull_up_ohm: PullUpOhm = None
    series_ohm: SeriesOhm = 0.0
    capacitor_nf: CapacitorNf = 0.0


class LeverSwitch(_OnBoard):
    """A knob or lever: a potentiometer on an analogue pin."""

    form: Literal["lever"] = "lever"
    """How it is wired."""
    pin: PinName
    """Analogue pin of the wiper."""
    counts_at_0: Annotated[int, Field(ge=0, le=65535)] = 0
    """What the board reads at the lever's lowest end."""
    counts_at_1: Annotated[int, Field(ge=0, le=65535)] = 1023
    """What the board reads at the lever's highest end; may be the smaller number."""
    noise_gate_counts: Annotated[int, Field(ge=0, le=1000)] = 4
    """Changes up to this many counts are taken for noise."""


WiredSwitch = TwoContactHandle | OneContactHandle | ContactSwitch | LeverSwitch
Handle = Annotated[TwoContactHandle | OneContactHandle, Field(discriminator="form")]
OwnSwitchEntry = Annotated[ContactSwitch | LeverSwitch, Field(discriminator="form")]
LeverOrContact = Annotated[LeverSwitch | ContactSwitch, Field(discriminator="form")]
"""A lever or pedal: anywhere from 0 to 1 on an analogue pin, or one contact."""


def _forms_of(switch: Switch[Any]) -> Any:
    """How a switch can be wired."""
    if isinstance(switch, HandleSwitch):
        return Handle
    if isinstance(switch, Lever):
        return LeverOrContact if switch.by_contact else LeverSwitch
    return ContactSwitch


def _switch_fields() -> dict[str, Any]:
    """A key for every switch that a system declares, handles first."""
    switches = sorted(SWITCHES.values(), key=lambda one: not isinstance(one, HandleSwitch))
    return {
        one.name: (_forms_of(one) | None, Field(default=None, description=one.about))
        for one in switches
    }


if TYPE_CHECKING:

    class Switches(Parameters):
        """Every switch that this panel has, under the name that its system gives it."""

        def __init__(self, **entries: Any) -> None: ...
        def __getattr__(self, name: str) -> Any: ...

else:
    Switches = create_model(
        "Switches",
        __base__=Parameters,
        __doc__="Every switch that this panel has, under the name that its system gives it.",
        __module__=__name__,
        **_switch_fields(),
    )


class LampEntry(_OnBoard):
    """A lamp on a pin."""

    pin: PinOrBit
    """Its pin; give an LED its resistor."""
    colour: LampColour
    """Its colour; not needed when the lamp's name ends in it."""
    legend: str = ""
    """Words on it, for screens; the lamp's name when empty."""
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


class HornEntry(_OnBoard):
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


class NeedleEntry(_OnBoard):
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


class SolenoidEntry(_OnBoard):
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


class PanelFile(Parameters):
    """A panel file."""

    kind: Literal["panel"]
    """What this file is."""
    format: Literal[2]
    """Version of the file's layout; this program reads 2."""
    name: Annotated[str, Field(min_length=1, max_length=60)]
    """The panel's name, for screens."""
    aircraft: str
    """Path of the aircraft file, from this file's folder."""
    feed: str | None = None
    """Path of the feed file, from this file's folder; without one the aircraft stands parked."""
    boards: Annotated[dict[str, BoardEntry], Field(min_length=1, max_length=8)]
    """The boards, each under a name of yours."""
    switches: Switches = Switches()
    """What is wired as a switch."""
    own_switches: dict[str, OwnSwitchEntry] = Field(default_factory=dict)
    """What is wired as a switch of your own, under the name that the aircraft file gives it."""
    lamps: dict[str, LampEntry] = Field(default_factory=dict)
    """What is wired as a lamp, under the name that the aircraft gives it."""
    horn: HornEntry | None = None
    """The gear warning horn."""
    gauges: Gauges = Gauges()
    """What is wired as a gauge."""
    solenoids: Solenoids = Solenoids()
    """What is wired as a solenoid."""
    layout: list[list[str]] = Field(default_factory=list)
    """How legs and lamps stand on the panel, for the screen: rows of names, as one sees them. A leg
    stands for its own lamps; gear_handle is the handle; gap leaves a place between lamps empty."""
    steering_shaping: PedalShaping = PedalShaping()
    """What steering pedals or a tiller make of their travel."""
    not_fitted: list[str] = Field(default_factory=list)
    """Switches and lamps that the aircraft has and this panel is meant to lack."""
    electrics: Electrics = Electrics()
    """LEDs, resistors and supplies, for the wiring sheet and the currents that 'check' adds up."""

    @property
    def wired_switches(self) -> Mapping[str, WiredSwitch]:
        """Every switch that is wired, those of the builder's own last."""
        fitted: dict[str, Any] = {name: entry for name, entry in self.switches if entry is not None}
        return fitted | self.own_switches

    @property
    def numbers(self) -> PanelNumbers:
        """What the logic has to know of it."""
        handle = self.switches.gear_handle
        if isinstance(handle, TwoContactHandle):
            return PanelNumbers(handle.travel_s, self.steering_shaping)
        return PanelNumbers(shaping=self.steering_shaping)
