"""O-9, F-9, O-6: forward voltages of LEDs, shift registers, transistor arrays.

O-9: a catalogue's table of LEDs at 10 to 20 mA (robot.lk/viewtopic.php?f=19&t=2726). F-9: data
sheet SCHS353 (CD74HC595). O-6: data sheet ULN2803A; its saturation voltages *from memory, not
read*.
"""

from __future__ import annotations

import pytest

from panelbridge.wiring.electrics.chips import OUTPUT_REGISTER
from panelbridge.wiring.electrics.circuits import LedCircuit
from panelbridge.wiring.electrics.drivers import (
    AMBIENT_C,
    ARRAY_K_PER_W,
    DRIVERS,
    array_drop_v,
    array_heat_w,
)
from panelbridge.wiring.electrics.leds import USUAL_LEDS, LedType, led_of
from panelbridge.wiring.electrics.resistors import needed_ohm, power_w, round_up
from panelbridge.wiring.electrics.sources import COMMON_PRACTICE
from tests.wiring.electrics.panels import board, lamps, line, problems, wired

CHAIN = (
    "boards:\n  main:\n    board: uno\n    chains:\n      row: { form: outputs, chips: 2, "
    "data_pin: D5, clock_pin: D6, latch_pin: D7, dimmed: false }\n"
)


def led(colour: str, keys: str = "", kind: str = "uno", pin: str = "D3") -> str:
    return board(kind) + f"lamps: {{ one_{colour}: {{ pin: {pin}{keys} }} }}\n"


def circuit_of(text: str) -> LedCircuit:
    circuit = wired(text).parts[0].circuit
    assert isinstance(circuit, LedCircuit)
    return circuit


def test_o_9_the_table() -> None:
    """Red 1.7/2.1 and bright red 2.0/2.5; yellow 2.1/2.5; green 2.2/2.5; white 3.2 to 3.6."""
    red, amber, green = USUAL_LEDS["red"], USUAL_LEDS["amber"], USUAL_LEDS["green"]
    assert (red.lowest_v, red.typical_v, red.highest_v) == (1.7, 2.0, 2.5)
    assert (amber.typical_v, amber.highest_v) == (2.1, 2.5)
    assert (green.typical_v, green.highest_v) == (2.2, 3.6)
    assert all(USUAL_LEDS[one].highest_v == 3.6 for one in ("white", "blue"))
    for one in USUAL_LEDS.values():
        assert one.lowest_v <= one.typical_v <= one.highest_v


def test_o_9_330_ohm_at_5_v() -> None:
    text = led("red", ", resistor_ohm: 330")
    assert circuit_of(text).each.worst_ma == pytest.approx(10.0, abs=0.005)
    assert LedType(2.5, 2.5, 2.5, COMMON_PRACTICE).current(5.0, 330).typical_ma == pytest.approx(
        7.6, abs=0.03
    )
    assert power_w(10.0, 330) * 1000 == pytest.approx(33.0)


@pytest.mark.parametrize(("forward_v", "ma"), [(3.0, 13.6), (3.2, 4.5), (3.4, 0.0)])
def test_o_9_a_blue_led_at_3_3_v(forward_v: float, ma: float) -> None:
    assert led_of(forward_v).current(3.3, 22.0).typical_ma == pytest.approx(ma, abs=0.05)


@pytest.mark.parametrize(
    ("colour", "keys", "good"),
    [
        ("blue", "", False),
        ("white", "", False),
        ("green", "", False),
        ("green", ", forward_v: 2.2", True),
        ("red", "", True),
        ("amber", "", True),
        ("blue", ", driver: mosfet, supply: five", True),
    ],
)
def test_o_9_colours_at_3_3_v(colour: str, keys: str, good: bool) -> None:
    text = led(colour, keys, "pico", "GP3")
    found = problems(text + "electrics: { supplies: { five: { voltage_v: 5 } } }\n")
    assert [p.is_warning for p in found] == ([] if good else [True])
    assert all("may stay dark" in p.what for p in found)


@pytest.mark.parametrize("colour", [*USUAL_LEDS])
def test_o_9_every_colour_lights_at_5_v(colour: str) -> None:
    assert problems(led(colour)) == []
    assert 4.0 <= circuit_of(led(colour)).each.typical_ma <= 5.0


def test_o_9_no_led_bears_more_than_25_ma() -> None:
    (problem,) = [p for p in problems(led("red", ", resistor_ohm: 120")) if "LED" in p.what]
    assert problem.is_warning
    assert not [p for p in problems(led("red", ", resistor_ohm: 150")) if "LED" in p.what]


@pytest.mark.parametrize(("ma", "passed"), [(8, False), (10, True)])
def test_f_9_eight_leds_at_one_chip(ma: float, passed: bool) -> None:
    text = CHAIN + lamps({f"row.{bit}": ma for bit in range(8)})
    sum_ = line(text, "chip 1 of chain 'row'")
    assert (sum_.current.worst_ma, sum_.limit_ma, sum_.is_passed) == (8 * ma, 70, passed)
    found = [p for p in problems(text) if "74HC595" in p.what]
    assert [p.is_warning for p in found] == [False] * passed


def test_f_9_bits_of_another_chip_do_not_add_up() -> None:
    text = CHAIN + lamps({f"row.{bit}": 10 for bit in range(4, 12)})
    assert [line(text, f"chip {n} of").current.worst_ma for n in (1, 2)] == [40, 40]


@pytest.mark.parametrize(("ma", "passed"), [(35, False), (36, True)])
def test_f_9_one_output(ma: float, passed: bool) -> None:
    assert OUTPUT_REGISTER.output_most_ma == 35
    assert line(CHAIN + lamps({"row.3": ma}), "output row.3").is_passed is passed


def test_o_6_current_into_an_input() -> None:
    for kind, pin, ma in (("uno", "D3", 1.33), ("pico", "GP3", 0.70)):
        circuit = circuit_of(led("red", ", driver: transistor_array", kind, pin))
        assert circuit.at_pin.worst_ma == pytest.approx(ma, abs=0.005)


def test_o_6_saturation() -> None:
    assert [array_drop_v(ma) for ma in (100, 200, 350)] == pytest.approx([1.1, 1.3, 1.6])
    assert array_drop_v(10) == pytest.approx(0.9)
    assert array_drop_v(150) == pytest.approx(1.2)
    assert array_drop_v(1) == pytest.approx(0.9)


@pytest.mark.parametrize(
    ("ma", "watts", "rise", "good"), [(100, 0.88, 48, True), (200, 2.08, 114, False)]
)
def test_o_6_heat_of_eight_outputs(ma: float, watts: float, rise: float, good: bool) -> None:
    assert array_heat_w([ma] * 8) == pytest.approx(watts)
    assert array_heat_w([ma] * 8) * ARRAY_K_PER_W == pytest.approx(rise, abs=0.5)
    assert AMBIENT_C == 25
    pins = [f"D{number}" for number in (2, 3, 4, 5, 6, 7, 8, 9)]
    keys = ", driver: transistor_array, supply: big"
    text = board("uno") + lamps(dict.fromkeys(pins, ma), keys)
    found = problems(text + "electrics: { supplies: { big: { voltage_v: 12 } } }\n")
    assert [p.is_warning for p in found] == ([] if good else [False])
    assert all("array 1" in p.what for p in found)


def test_o_6_the_array_takes_a_part_of_the_voltage() -> None:
    assert needed_ohm(5.0, 2.0 + DRIVERS["transistor_array"].drop_v, 10.0) == pytest.approx(210.0)
    assert round_up(210.0) == 220
    text = led("red", ", driver: transistor_array, current_ma: 10, supply: board")
    resistor = circuit_of(text).resistor
    assert resistor is not None
    assert resistor.ohm == 220


@pytest.mark.parametrize(("ma", "good"), [(500, True), (501, False)])
def test_o_6_one_output(ma: float, good: bool) -> None:
    text = board("uno") + lamps({"D3": ma}, ", driver: transistor_array, supply: big")
    found = problems(text + "electrics: { supplies: { big: { voltage_v: 12 } } }\n")
    assert [p.is_warning for p in found] == ([] if good else [False])
