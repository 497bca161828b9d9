"""Where the pins of a board are on its edge, in the order in which a person finds them.

Seen from above, with the USB socket at the top. A position that is no pin of the panel file has the
words printed beside it: ``GND``, ``5V``, ``VIN``; ``NC`` is connected to nothing.
"""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from panelbridge.config.boards import Board

GROUND = "GND"


class Header(Struct, frozen=True):
    """A row of pins.

    Attributes:
        name: as printed beside it, or what it is.
        positions: the words of each position, from the top.
    """

    name: str
    positions: tuple[str, ...]


class HeaderPair(Struct, frozen=True):
    """Pins on the left and on the right of a board, or of a connector with two columns.

    Attributes:
        name: what it is.
        left: headers on the left, from the top.
        right: headers on the right.
    """

    name: str
    left: tuple[Header, ...]
    right: tuple[Header, ...]


class Pinout(Struct, frozen=True):
    """All edges of a kind of board.

    Attributes:
        edges: in the order of wiring.
        printed: how the names of pins are printed on this board; empty when as in the file.
        source: where the order was read, or that it is from memory.
    """

    edges: tuple[HeaderPair, ...]
    source: str
    printed: str = ""

    @property
    def places(self) -> Mapping[str, str]:
        """Header and position of everything that is printed once, in wiring order."""
        found: dict[str, str] = {}
        for edge in self.edges:
            for header in (*edge.left, *edge.right):
                for position, name in enumerate(header.positions, 1):
                    found.setdefault(name, f"{header.name} {position}")
        return found


def _header(name: str, positions: str) -> Header:
    return Header(name, tuple(positions.split(",")))


_POWER = _header("POWER", "NC,IOREF,RESET,3V3,5V,GND,GND,VIN")
_WITHOUT_D = (
    "A digital pin is printed here without its D, some with a ~ (D9 as ~9): from memory, not read."
)
_UNO = HeaderPair(
    "both edges, USB socket at the top",
    (_POWER, _header("ANALOG IN", "A0,A1,A2,A3,A4,A5")),
    (
        _header("DIGITAL", "SCL,SDA,AREF,GND,D13,D12,D11,D10,D9,D8"),
        _header("DIGITAL (lower)", "D7,D6,D5,D4,D3,D2,D1,D0"),
    ),
)
_MEGA = (
    HeaderPair(
        "both long edges, USB socket at the top",
        (
            _POWER,
            _header("ANALOG IN", "A0,A1,A2,A3,A4,A5,A6,A7"),
            _header("ANALOG IN (lower)", "A8,A9,A10,A11,A12,A13,A14,A15"),
        ),
        (
            _header("PWM", "SCL,SDA,AREF,GND,D13,D12,D11,D10,D9,D8"),
            _header("PWM (lower)", "D7,D6,D5,D4,D3,D2,D1,D0"),
            _header("COMMUNICATION", "D14,D15,D16,D17,D18,D19,D20,D21"),
        ),
    ),
    HeaderPair(
        "the double row, USB socket at the left",
        (_header("DIGITAL (even)", ",".join(("5V", *(f"D{n}" for n in range(22, 54, 2)), "GND"))),),
        (_header("DIGITAL (odd)", ",".join(("5V", *(f"D{n}" for n in range(23, 54, 2)), "GND"))),),
    ),
)
_NANO = HeaderPair(
    "both edges, USB socket at the top",
    (_header("left", "D13,3V3,AREF,A0,A1,A2,A3,A4,A5,A6,A7,5V,RESET,GND,VIN"),),
    (_header("right", "D12,D11,D10,D9,D8,D7,D6,D5,D4,D3,D2,GND,RESET,D0,D1"),),
)
_MICRO = HeaderPair(
    "both edges, USB socket at the top",
    (_header("left", "D13,3V3,AREF,A0,A1,A2,A3,A4,A5,NC,NC,5V,RESET,GND,VIN,MISO,SCK"),),
    (_header("right", "D12,D11,D10,D9,D8,D7,D6,D5,D4,D3,D2,GND,RESET,D0,D1,SS,MOSI"),),
)
_PICO = HeaderPair(
    "both edges, USB socket at the top",
    (
        _header(
            "pins 1 to 20",
            "GP0,GP1,GND,GP2,GP3,GP4,GP5,GND,GP6,GP7,GP8,GP9,GND,GP10,GP11,GP12,GP13,GND,GP14,GP15",
        ),
    ),
    (
        _header(
            "pins 40 to 21",
            "VBUS,VSYS,GND,3V3_EN,3V3,ADC_VREF,GP28,GND,GP27,GP26,RUN,GP22,GND,GP21,GP20,GP19,GP18,"
            "GND,GP17,GP16",
        ),
    ),
)
_PINOUTS: Mapping[str, Pinout] = {
    "uno": Pinout((_UNO,), "full pinout of the maker, A000066, 2022-10-06", _WITHOUT_D),
    "leonardo": Pinout((_UNO,), "full pinout of the maker, A000057, 2020-06-17", _WITHOUT_D),
    "mega2560": Pinout(_MEGA, "data sheet of the maker, A000067, connector pinouts", _WITHOUT_D),
    "nano": Pinout(
        (_NANO,),
        "table of the two headers in the device tree binding arduino-nano-header-r3",
        "D0 is printed RX0, D1 is TX1, RESET is RST: from memory, not read.",
    ),
    "micro": Pinout((_MICRO,), "pinout of the maker, 2020-03-23; its two edges from memory"),
    "pico": Pinout(
        (_PICO,),
        "table of the two headers in the device tree binding raspberrypi,pico-header",
    ),
}


def rail_name(supply_v: float) -> str:
    """What is printed at a board's own supply pin."""
    return {5.0: "5V", 3.3: "3V3"}.get(supply_v, f"{supply_v:g}V")


def pinout_of(board: Board) -> Pinout:
    """The pinout of a board; one that is not known has its pins in the order of the file."""
    known = _PINOUTS.get(board.kind)
    if known is not None:
        return known
    pins = tuple(board.pins)
    half = (len(pins) + 1) // 2
    columns = Header("first half", pins[:half]), Header("second half", pins[half:])
    power = Header("power, wherever it is", (rail_name(board.supply_v), GROUND))
    edge = HeaderPair("its pins in the order of the file", (power, columns[0]), (columns[1],))
    return Pinout((edge,), "order of the panel file; compare it with the board's own pinout")
