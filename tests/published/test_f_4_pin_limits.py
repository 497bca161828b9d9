"""F-4, F-5, F-6, F-8, O-1 to O-3: what pins, port groups and chips bear.

F-4: data sheet ATmega48A-328P 8271H, 29.1 and 29.2. F-5: data sheet ATmega328PB DS40001906C,
p. 405. F-6: 40 mA a pin, *from memory, not read*. F-8: data sheet RP2040, 5.2, tables 632 to 634.
O-1: data sheet ATmega32U4 7766F, p. 379. O-2: data sheet ATmega2560 2549, DC characteristics; its
groups for currents out of the pins are *from memory, not read*. O-3: data sheets of the ESP32
chip (p. 43) and module (p. 14): 40 mA out of a pin, falling to 29, 28 mA into it, 1,100 mA in all.
Which pin of a board is which of the chip: the boards' own pin definition files.
"""

from __future__ import annotations

import pytest

from panelbridge.config.boards import BOARDS
from panelbridge.wiring.electrics.chips import CHIPS
from panelbridge.wiring.electrics.findings.finding import FindingLevel
from panelbridge.wiring.electrics.port_pins import PORT_PINS
from tests.firmware.avr_bench import places
from tests.firmware.build import ARDUINO
from tests.wiring.electrics.panels import board, found, lamps, line, problems

SINK = ", active_low: true"


def pins_at(kind: str, ports: str) -> list[str]:
    """The pins of a board that are these port pins."""
    by_port = {port: pin for pin, port in PORT_PINS[kind].items()}
    return [by_port[port] for port in ports.split()]


def each(pins: list[str], ma: float) -> dict[str, float]:
    return dict.fromkeys(pins, ma)


def sums(text: str) -> list[tuple[str, bool]]:
    """First words of each problem of a sum, and whether it is only a warning."""
    said = problems(text)
    return [(p.what.split(" of board")[0], p.is_warning) for p in said if " mA (" in p.what]


@pytest.mark.skipif(not ARDUINO.is_dir(), reason="arduino-core-avr is not installed")
@pytest.mark.parametrize("kind", [*PORT_PINS])
def test_port_pins_are_those_of_the_boards_own_files(kind: str) -> None:
    theirs = places(kind)
    pins = BOARDS[kind].pins  # type: ignore[index]
    assert PORT_PINS[kind] == {
        name: theirs[pin.number] for name, pin in pins.items() if pin.digital
    }


def test_f_4_sunk_on_port_c() -> None:
    pins = pins_at("uno", "C0 C1 C2 C3 C4 C5")
    six = board("uno") + lamps(each(pins, 20), SINK)
    assert sums(six) == [("currents into pins A0 to A5", False)]
    assert line(six, "currents into pins A0 to A5").current.worst_ma == 120
    assert line(six, "currents into pins A0 to A5").limit_ma == 100
    assert sums(board("uno") + lamps(each(pins[:5], 20), SINK)) == []


def test_f_4_sourced_on_port_b() -> None:
    pins = pins_at("uno", "B0 B1 B2 B3 B4 B5 D5 D6")
    eight = board("uno") + lamps(each(pins, 20))
    assert sums(eight) == [("currents out of pins D5 to D13", False)]
    group = line(eight, "currents out of pins D5 to D13")
    assert (group.current.worst_ma, group.limit_ma) == (160, 150)
    assert sums(board("uno") + lamps(each(pins[:7], 20))) == []


def test_f_4_the_other_groups() -> None:
    sunk = {g.limit_ma: g for g in CHIPS["atmega328p"].groups if g.sinks}
    assert {*sunk} == {100.0}
    groups = [(sorted(g.ports), g.limit_ma, g.sinks) for g in CHIPS["atmega328p"].groups]
    b_d = sorted(["B0", "B1", "B2", "B3", "B4", "B5", "D5", "D6", "D7"])
    c, d = ["C0", "C1", "C2", "C3", "C4", "C5"], ["D0", "D1", "D2", "D3", "D4"]
    assert groups == [
        (c, 100, True),
        (b_d, 100, True),
        (d, 100, True),
        (sorted(c + d), 150, False),
        (b_d, 150, False),
    ]


@pytest.mark.parametrize(("ma", "wanted"), [(20, []), (21, [True]), (40, [True]), (41, [False])])
def test_f_4_one_pin(ma: float, wanted: list[bool]) -> None:
    assert [warning for _, warning in sums(board("uno") + lamps({"D3": ma}))] == wanted


def test_f_4_the_whole_chip() -> None:
    pins = dict.fromkeys(["D5", "D6", "D7", "D8", "D9"], 20.0) | dict.fromkeys(
        ["A0", "A1", "A2", "A3", "A4"], 20.0
    )
    assert sums(board("uno") + lamps(pins)) == []
    more = sums(board("uno") + lamps(pins | {"D10": 1.0}))
    assert more == [("currents out of all pins", False)]


def test_f_5_the_other_chip_bears_half() -> None:
    pins = dict.fromkeys(["D5", "D6", "D7", "A0", "A1"], 20.0) | {"A2": 1.0}
    assert sums(board("uno") + lamps(pins)) == []
    text = board("uno", ", chip: atmega328pb") + lamps(pins)
    assert sums(text) == [("currents out of all pins", False)]
    assert line(text, "currents out of all pins").limit_ma == 100
    assert sums(board("uno", ", chip: atmega328pb") + lamps(pins | {"A2": 0.5, "A1": 19.5})) == []


def test_f_4_levels() -> None:
    """1.5 V reads low at 5 V; pull-ups of 20 to 50 kOhm."""
    chip = CHIPS["atmega328p"]
    assert chip.low_fraction * BOARDS["uno"].supply_v == pytest.approx(1.5)
    assert chip.pull_up_ohm == (20_000, 50_000)


def test_o_1_a_group_of_the_chip_with_usb() -> None:
    pins = pins_at("leonardo", "B4 B5 B6 B7 E6")
    ports = next(g.ports for g in CHIPS["atmega32u4"].groups if "E6" in g.ports)
    assert ports == {*["B0", "B1", "B2", "B3", "B4", "B5", "B6", "B7", "E2", "E6"]}
    assert all(g.limit_ma == 100 and g.sinks and g.sources for g in CHIPS["atmega32u4"].groups)
    ten = board("leonardo") + lamps(each(pins, 20))
    assert line(ten, "currents out of pins D7 to D11").current.worst_ma == 100
    assert ("currents out of pins D7 to D11", False) not in sums(ten)
    assert ("currents out of pins D7 to D11", False) in sums(
        board("leonardo") + lamps(each(pins, 22))
    )


@pytest.mark.parametrize(("ma", "wanted"), [(10, []), (15, [True]), (41, [False])])
def test_o_1_one_pin_is_guaranteed_to_10_ma(ma: float, wanted: list[bool]) -> None:
    assert [warning for _, warning in sums(board("micro") + lamps({"D3": ma}))] == wanted


def test_o_1_the_other_groups() -> None:
    groups = [" ".join(sorted(g.ports)) for g in CHIPS["atmega32u4"].groups]
    assert groups[0] == "C6 C7"
    assert groups[1] == "D0 D1 D2 D3 D4 D5 D6 D7"
    assert groups[3] == "F0 F1 F4 F5 F6 F7"
    assert (CHIPS["atmega32u4"].pin_most_ma, CHIPS["atmega32u4"].chip_sunk_ma) == (40, 200)


def test_o_2_six_on_port_e() -> None:
    text = board("mega2560") + lamps(each([*pins_at("mega2560", "E4 E5 E3 G5")], 30) | {}, SINK)
    group = line(text, "currents into pins D0 to D5")
    assert (group.current.worst_ma, group.limit_ma, group.is_passed) == (120, 100, True)


def test_o_2_ten_on_the_large_group_are_good_and_eleven_are_too_much_for_the_chip() -> None:
    pins = pins_at("mega2560", "A0 A1 A2 A3 A4 A5 A6 A7 J0 J1 G2")
    ten = board("mega2560") + lamps(each(pins[:10], 20), SINK)
    assert sums(ten) == []
    eleven = board("mega2560") + lamps(each(pins[:8], 20) | {"D38": 20, "D37": 20, "D36": 20}, SINK)
    assert sums(eleven) == [("currents into all pins", False)]
    assert line(eleven, "currents into all pins").current.worst_ma == 220
    assert not line(eleven, "currents into pins D14 to D15").is_passed


@pytest.mark.parametrize("sinks", [True, False])
def test_o_2_limits_of_the_groups(sinks: bool) -> None:
    groups = {
        " ".join(sorted({port[0] for port in g.ports})): g.limit_ma
        for g in CHIPS["atmega2560"].groups
        if g.sinks is sinks
    }
    assert groups == {"A G J": 200, "C D G L": 200, "B G H": 200, "E G": 100, "F K": 100}


@pytest.mark.parametrize(("count", "wanted"), [(5, []), (6, [("currents out of all pins", False)])])
def test_f_8_fifty_milliampere_in_all(count: int, wanted: list[tuple[str, bool]]) -> None:
    pins = [f"GP{number}" for number in range(2, 2 + count)]
    assert sums(board("pico") + lamps(each(pins, 10))) == wanted
    sunk = [(text.replace("out of", "into"), warning) for text, warning in wanted]
    assert sums(board("pico") + lamps(each(pins, 10), SINK)) == sunk


def test_f_8_five_volts_at_a_pin_are_an_error() -> None:
    text = (
        board("pico")
        + "lamps: { one_red: { pin: GP3, active_low: true, supply: five } }\n"
        + "electrics: { supplies: { five: { voltage_v: 5 } } }\n"
    )
    (problem,) = problems(text)
    assert not problem.is_warning
    assert "5 V would reach its pin" in problem.what


OTHER = (
    "boards:\n  main:\n    board: other\n    chip: esp32\n    other_board:\n"
    "      supply_v: 3.3\n      pins: { IO4: 4, IO5: 5 }\n"
)


@pytest.mark.parametrize(("ma", "wanted"), [(28, []), (29, [True]), (40, [True]), (41, [False])])
def test_o_3_a_board_of_another_kind_that_names_its_chip(ma: float, wanted: list[bool]) -> None:
    assert [warning for _, warning in sums(OTHER + lamps({"IO4": ma}))] == wanted
    assert (CHIPS["esp32"].chip_sourced_ma, CHIPS["esp32"].low_fraction) == (1100, 0.25)


def test_o_3_five_volts_at_its_pin_are_an_error() -> None:
    text = OTHER + (
        "lamps: { one_red: { pin: IO4, active_low: true, supply: five } }\n"
        "electrics: { supplies: { five: { voltage_v: 5 } } }\n"
    )
    assert [p.is_warning for p in problems(text)] == [False]


def test_a_chip_that_is_not_known_is_said_and_its_leds_get_little() -> None:
    """Our own decision."""
    text = OTHER.replace("    chip: esp32\n", "")
    (note,) = found(text + "lamps: { one_red: IO4 }\n")
    assert note.level is FindingLevel.NOTE
    assert problems(text + "lamps: { one_red: IO4 }\n") == []
