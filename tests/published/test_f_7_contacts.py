"""F-7, O-12, O-13: levels at a contact, capacitors across it, current through it.

F-7 and O-12 are computed from the levels of F-4 (data sheet ATmega48A-328P 8271H). O-13: a maker of
switches on minute loads (omron-ecb.co.kr/microloads): example of a least load, 1 mA at 5 V.
"""

from __future__ import annotations

import pytest

from panelbridge.wiring.electrics.circuits import ContactCircuit
from panelbridge.wiring.electrics.findings.contacts import (
    low_level_v,
    rise_ms,
    wetting_pull_up_ohm,
)
from panelbridge.wiring.electrics.findings.finding import FindingLevel
from tests.wiring.electrics.panels import board, found, problems, wired


def contact(keys: str, kind: str = "uno", pin: str = "D4") -> str:
    return board(kind) + f"switches: {{ lamp_test: {{ pin: {pin}{keys} }} }}\n"


def circuit_of(keys: str, kind: str = "uno", pin: str = "D4") -> ContactCircuit:
    circuit = wired(contact(keys, kind, pin)).parts[0].circuit
    assert isinstance(circuit, ContactCircuit)
    return circuit


@pytest.mark.parametrize(("ohm", "volts", "good"), [(8500, 1.49, True), (10000, 1.67, False)])
def test_f_7_a_resistor_in_series_with_the_contact(ohm: int, volts: float, good: bool) -> None:
    keys = f", series_ohm: {ohm}"
    assert low_level_v(circuit_of(keys)) == pytest.approx(volts, abs=0.005)
    assert [p.is_warning for p in problems(contact(keys))] == ([] if good else [True])


def test_f_7_the_current_through_the_closed_contact() -> None:
    assert circuit_of("").wetting_ma == pytest.approx((0.10, 0.25))


@pytest.mark.parametrize(
    ("ohm", "ms"), [(20_000, 1.8), (50_000, 4.6), (10_000, 0.92), (4_700, 0.43)]
)
def test_o_12_time_to_the_high_level_with_100_nf(ohm: float, ms: float) -> None:
    """None of them hides a bounce of 6.2 ms (G-1)."""
    assert rise_ms(ohm, 100.0) == pytest.approx(ms, rel=0.02)
    assert rise_ms(ohm, 100.0) < 6.2


def test_o_12_a_cable_of_3_m() -> None:
    """100 pF a metre: 15 us at 50 kOhm by the product alone, 14 us to the high level."""
    assert rise_ms(50_000, 0.3) == pytest.approx(0.015, rel=0.1)


def test_o_12_a_capacitor_wants_a_resistor_in_series() -> None:
    (problem,) = problems(contact(", capacitor_nf: 100"))
    assert problem.is_warning
    assert "series_ohm: 1000" in problem.hint
    assert problems(contact(", capacitor_nf: 100, series_ohm: 1000")) == []


@pytest.mark.parametrize(
    ("nf", "debounce_ms", "good"), [(400, 20, True), (470, 20, False), (470, 30, True)]
)
def test_o_12_a_capacitor_against_the_debounce_time(nf: int, debounce_ms: int, good: bool) -> None:
    keys = f", capacitor_nf: {nf}, series_ohm: 1000, debounce_ms: {debounce_ms}"
    found_here = problems(contact(keys))
    assert [p.is_warning for p in found_here] == ([] if good else [True])
    assert all("longer than the debounce time" in p.what for p in found_here)


@pytest.mark.parametrize(
    ("kind", "pin", "ohm", "ma"), [("uno", "D4", 4700, 1.06), ("pico", "GP4", 4700, 0.70)]
)
def test_o_13_a_pull_up_of_4700_ohm(kind: str, pin: str, ohm: int, ma: float) -> None:
    keys = f", pull_up_ohm: {ohm}"
    assert circuit_of(keys, kind, pin).wetting_ma == pytest.approx((ma, ma), abs=0.005)
    notes = [one for one in found(contact(keys, kind, pin)) if one.level is FindingLevel.NOTE]
    assert len(notes) == (0 if ma >= 1.0 else 1)


def test_o_13_the_pull_up_that_gives_enough() -> None:
    assert wetting_pull_up_ohm(5.0) == 4700
    assert wetting_pull_up_ohm(3.3) == 2700
    assert circuit_of(", pull_up_ohm: 2700", "pico", "GP4").wetting_ma[0] == pytest.approx(
        1.22, abs=0.005
    )


def test_f_7_a_resistor_in_series_leaves_less_for_the_pull_up() -> None:
    """1 mA at 5 V is 5 kOhm in all; 1 kOhm of them in series leaves 4 kOhm, less 5 %: 3.3 kOhm."""
    assert wetting_pull_up_ohm(5.0, 1000.0) == 3300
    assert wetting_pull_up_ohm(3.3, 2700.0) is None


@pytest.mark.parametrize(
    ("series_ohm", "advice"), [(1000, "a pull-up of 3300 ohm"), (2000, "a smaller 'series_ohm'")]
)
def test_f_7_the_pull_up_in_a_note_keeps_the_low_level(series_ohm: int, advice: str) -> None:
    """With 2 kOhm in series to 2.7 kOhm the closed contact gives 2.1 V, above 0.3 of 5 V."""
    keys = f", pull_up_ohm: 4700, series_ohm: {series_ohm}"
    notes = [one for one in found(contact(keys)) if one.level is FindingLevel.NOTE]
    assert [one.hint for one in notes] == [f"Use gold contacts, or {advice}"]


def test_o_13_little_current_is_a_note_and_no_warning() -> None:
    (note,) = found(contact(""))
    assert note.level is FindingLevel.NOTE
    assert "0.10 mA" in note.what
    assert "4700 ohm" in note.hint
    assert problems(contact("")) == []
