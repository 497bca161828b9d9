"""F-1, F-2, F-3, O-10: standard values of resistors, colour bands, series resistor, power.

F-1: IEC 60063:2015, *from memory, not read*; computed: which values a formula misses. F-2: IEC
60062, *from memory, not read*. F-3: the worked example of the Electronics Club
(electronicsclub.info, page on LEDs), *from memory, not read*. O-10: computed; half the rating is
*common practice, no source*.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.wiring.electrics.circuits import LedCircuit
from panelbridge.wiring.electrics.resistors import (
    E12,
    E24,
    RATINGS_W,
    SERIES,
    SeriesResistor,
    colour_bands,
    needed_ohm,
    power_w,
    rating_for,
    round_up,
)
from tests.wiring.electrics.panels import board, problems, wired


def resistor_of(text: str) -> tuple[LedCircuit, SeriesResistor]:
    """The only lamp's circuit and resistor."""
    circuit = wired(text).parts[0].circuit
    assert isinstance(circuit, LedCircuit)
    assert circuit.resistor is not None
    return circuit, circuit.resistor


def test_f_1_the_two_series() -> None:
    assert E12 == (10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82)
    assert sorted({*E24} - {*E12}) == [11, 13, 16, 20, 24, 30, 36, 43, 51, 62, 75, 91]
    assert len(E24) == 24


def test_f_1_a_formula_would_miss_values_of_the_table() -> None:
    by_formula = [round(10 ** (step / 12), 1) for step in range(12)]
    missed = [(f, v / 10) for f, v in zip(by_formula, E12, strict=True) if f != v / 10]
    assert missed == [(2.6, 2.7), (3.2, 3.3), (3.8, 3.9), (4.6, 4.7), (8.3, 8.2)]
    assert {30, 36, 43} <= {*E24}


def test_f_1_round_up_of_350_ohm() -> None:
    assert round_up(350, "E12") == 390
    assert round_up(350, "E24") == 360


@pytest.mark.parametrize("series", SERIES)
@pytest.mark.parametrize("decade", [0, 1, 2, 3, 4])
def test_f_1_a_value_of_the_series_is_itself(series: str, decade: int) -> None:
    for value in SERIES[series]:  # type: ignore[index]
        assert round_up(value * 10.0**decade, series) == value * 10.0**decade  # type: ignore[arg-type]


@given(st.floats(1.0, 1e6), st.sampled_from([*SERIES]))
def test_rounding_up_never_gives_more_current_than_is_asked_for(ohm: float, series: str) -> None:
    found = round_up(ohm, series)  # type: ignore[arg-type]
    assert ohm * (1 - 1e-8) <= found
    assert found <= ohm * 1.23  # the widest step is that from 18 to 22
    digits = found / 10.0 ** (len(str(int(found))) - 2)
    assert round(digits) in SERIES[series]  # type: ignore[index]


@pytest.mark.parametrize(
    ("ohm", "tolerance", "bands"),
    [
        (330, 5.0, "orange orange brown gold"),
        (330, 1.0, "orange orange black black brown"),
        (4700, 5.0, "yellow violet red gold"),
        (10, 5.0, "brown black black gold"),
        (1_000_000, 5.0, "brown black green gold"),
        (680, 2.0, "blue grey black black red"),
    ],
)
def test_f_2_colour_bands(ohm: float, tolerance: float, bands: str) -> None:
    assert " ".join(colour_bands(ohm, tolerance)) == bands


@pytest.mark.parametrize("value", E24)
@pytest.mark.parametrize("power", [0, 1, 2, 3, 4])
def test_f_2_bands_are_read_back(value: int, power: int) -> None:
    names = [
        "black",
        "brown",
        "red",
        "orange",
        "yellow",
        "green",
        "blue",
        "violet",
        "grey",
        "white",
    ]
    first, second, multiplier, tolerance = colour_bands(value * 10.0**power)
    read = (names.index(first) * 10 + names.index(second)) * 10 ** names.index(multiplier)
    assert read == value * 10**power
    assert tolerance == "gold"


def test_f_3_the_worked_example() -> None:
    assert needed_ohm(9.0, 2.0, 20.0) == pytest.approx(350.0)
    ohm = round_up(needed_ohm(9.0, 2.0, 20.0))
    assert ohm == 390
    assert (9.0 - 2.0) / ohm * 1000.0 == pytest.approx(17.9, abs=0.06)
    assert power_w(17.9, 390) == pytest.approx(0.125, abs=0.0005)
    assert rating_for(0.125, 0.25) == 0.25


def test_f_3_five_volts_two_volts_ten_milliampere() -> None:
    text = board("uno") + "lamps: { one_red: { pin: D3, forward_v: 2.0, current_ma: 10 } }\n"
    circuit, resistor = resistor_of(text)
    assert resistor.ohm == 330
    assert resistor.proposed
    assert circuit.each.typical_ma == pytest.approx(9.1, abs=0.05)


def test_f_3_a_supply_that_is_not_above_the_forward_voltage_is_an_error() -> None:
    with pytest.raises(ValueError, match="not above"):
        needed_ohm(2.0, 2.0, 10.0)
    (problem,) = problems(board("pico") + "lamps: { one_blue: { pin: GP3, forward_v: 3.4 } }\n")
    assert not problem.is_warning
    assert "never lights" in problem.what


def test_o_10_twelve_volts_need_half_a_watt() -> None:
    text = (
        board("uno")
        + "lamps: { one_red: { pin: D3, forward_v: 2.0, current_ma: 20, driver: mosfet, "
        + "supply: lamps } }\n"
        + "electrics: { resistor_series: E24, supplies: { lamps: { voltage_v: 12 } } }\n"
    )
    circuit, resistor = resistor_of(text)
    assert needed_ohm(12.0, 2.0, 20.0) == pytest.approx(500.0)
    assert resistor.ohm == 510
    assert power_w(circuit.each.typical_ma, 510) == pytest.approx(0.2, abs=0.005)
    assert resistor.rating_w == 0.5
    (problem,) = problems(text)
    assert problem.is_warning
    assert "0.5 W" in problem.hint


@given(st.floats(0.0, 2.5))
def test_o_10_no_more_than_half_of_the_rating_and_no_larger_one_than_needed(watts: float) -> None:
    rating = rating_for(watts, 0.25)
    smaller = [one for one in RATINGS_W if 0.25 <= one < rating]
    assert watts <= rating / 2 * (1 + 1e-6)
    assert all(watts > one / 2 for one in smaller)
    assert rating_for(10.0, 0.25) == math.inf
