"""F-13, O-6, O-7, O-14, O-15: coils, sounders, servos and their drivers.

F-13: *common knowledge of the trade, from memory*. O-6: data sheet ULN2803A (clamp diodes, pin
COM). O-7: recipe of a logic-level MOSFET, *from memory*; its figures are computed. O-14: a maker of
buzzers (en.haixucn.com/doc_24193014.html): piezo up to 3 mA, magnetic up to 100 mA. O-15:
measurements of servos (forum.pololu.com/t/current-draw-of-servo/3606; fallows.ca, servo of 9 g).
"""

from __future__ import annotations

import pytest

from panelbridge.wiring.electrics.circuits import ServoCircuit, SounderCircuit
from panelbridge.wiring.electrics.drivers import DRIVERS, PULL_DOWN_OHM
from panelbridge.wiring.electrics.findings.finding import FindingLevel
from tests.wiring.electrics.panels import board, found, line, problems, wired

SUPPLIES = "electrics: { supplies: { coils: { voltage_v: 12 }, servos: { voltage_v: 5 } } }\n"


def solenoid(keys: str) -> list[tuple[bool, str]]:
    text = board("uno") + f"solenoids: {{ handle_lock: {{ pin: D4{keys} }} }}\n" + SUPPLIES
    return [(p.is_warning, p.what) for p in problems(text)]


def horn(keys: str, kind: str = "uno", pin: str = "D4") -> str:
    return board(kind) + f"horn: {{ pin: {pin}{keys} }}\n" + SUPPLIES


def gauge(keys: str) -> list[tuple[bool, str]]:
    text = board("uno") + f"gauges: {{ emergency_air: {{ pin: D4{keys} }} }}\n" + SUPPLIES
    return [(p.is_warning, p.what) for p in problems(text)]


def test_f_13_a_coil_at_a_pin_is_an_error() -> None:
    ((is_warning, what),) = solenoid(", driver: none")
    assert not is_warning
    assert "coil at a pin" in what


@pytest.mark.parametrize("driver", ["mosfet", "npn", "transistor_array"])
def test_f_13_a_coil_behind_a_driver_with_a_diode_is_good(driver: str) -> None:
    assert solenoid(f", driver: {driver}, supply: coils, current_ma: 300") == []


def test_f_13_nothing_written_means_a_driver_with_all_that_it_needs() -> None:
    assert solenoid("") == []


@pytest.mark.parametrize("driver", ["mosfet", "npn"])
def test_f_13_without_a_diode_it_is_a_warning(driver: str) -> None:
    ((is_warning, what),) = solenoid(f", driver: {driver}, flyback_diode: false")
    assert is_warning
    assert "without a flyback diode" in what


def test_o_6_com_that_is_not_tied_is_an_error() -> None:
    ((is_warning, what),) = solenoid(", driver: transistor_array, flyback_diode: false")
    assert not is_warning
    assert "COM" in what


def test_o_7_the_gate() -> None:
    """220 ohm and 10 kOhm leave 4.89 V at the gate; off in 10 us for each nF."""
    mosfet = DRIVERS["mosfet"]
    assert 5.0 * PULL_DOWN_OHM / (PULL_DOWN_OHM + mosfet.input_ohm) == pytest.approx(
        4.89, abs=0.005
    )
    assert pytest.approx(10.0) == PULL_DOWN_OHM * 1e-9 * 1e6


@pytest.mark.parametrize("driver", ["mosfet", "npn"])
def test_o_7_a_driver_without_pull_down_is_a_warning(driver: str) -> None:
    ((is_warning, what),) = solenoid(f", driver: {driver}, pull_down: false")
    assert is_warning
    assert "floats while the board starts" in what
    assert solenoid(", driver: transistor_array, pull_down: false") == []


def test_o_14_a_piezo_takes_3_ma() -> None:
    circuit = wired(horn("")).parts[0].circuit
    assert isinstance(circuit, SounderCircuit)
    assert circuit.at_pin.worst_ma == 3.0
    assert problems(horn("")) == []


def test_o_14_a_magnetic_buzzer_of_17_ohm_at_a_pin() -> None:
    text = horn(", sounder: magnetic_buzzer, coil_ohm: 17")
    assert line(text, "pin D4").current.worst_ma == pytest.approx(294, abs=0.5)
    errors = [p.what for p in problems(text) if not p.is_warning]
    assert any("coil at a pin and takes 294 mA" in what for what in errors)
    assert any(what.startswith("pin D4") for what in errors)


def test_o_14_a_magnetic_buzzer_behind_a_driver_is_good() -> None:
    keys = ", sounder: magnetic_buzzer, driver: npn, current_ma: 100, supply: board"
    assert problems(horn(keys)) == []
    (problem,) = problems(horn(keys + ", flyback_diode: false"))
    assert problem.is_warning


def test_an_active_buzzer_does_not_take_a_tone() -> None:
    """Common practice, no source."""
    said = problems(horn(", sounder: active_buzzer, driver: npn"))
    assert [p.is_warning for p in said] == [True]


def test_o_15_a_servo_at_the_boards_supply_is_an_error() -> None:
    errors = [what for is_warning, what in gauge(", supply: board") if not is_warning]
    assert any("held fast it takes 2 A" in what for what in errors)
    assert gauge(", supply: servos") == []
    assert gauge("") == []


def test_o_15_the_peak_of_several_servos() -> None:
    text = (
        board("uno")
        + "gauges: { emergency_air: { pin: D4, supply: servos }, hydraulic_pressure: "
        + "{ pin: D5, supply: servos } }\n"
        + "electrics: { supplies: { servos: { voltage_v: 5, limit_ma: 3000 } } }\n"
    )
    assert line(text, "the supply 'servos'").current.worst_ma == 2 * 2000
    assert [p.is_warning for p in problems(text)] == [False]
    assert problems(text.replace("3000", "4000")) == []
    (note,) = found(text.partition("electrics")[0].replace(", supply: servos", ""))
    assert note.level is FindingLevel.NOTE
    assert "2 servos held fast may take 4 A" in note.what


@pytest.mark.parametrize(
    ("keys", "good"),
    [
        ("", True),
        (", pulse_at_0_us: 900", True),
        (", pulse_at_0_us: 899", False),
        (", pulse_at_0_us: 540", False),
        (", pulse_at_1_us: 2101", False),
    ],
)
def test_o_15_end_stops(keys: str, good: bool) -> None:
    """A stall at the end stop begins between 650 and 900 us; 1000 to 2000 is the default."""
    assert [is_warning for is_warning, _ in gauge(keys)] == ([] if good else [True])


def test_o_15_the_default_stays_within_the_safe_range() -> None:
    circuit = wired(board("uno") + "gauges: { emergency_air: { pin: D4 } }\n").parts[0].circuit
    assert isinstance(circuit, ServoCircuit)
    assert circuit.stall_ma == 2000


@pytest.mark.parametrize(
    ("kind", "pin", "good"),
    [
        *(("uno", "D13", False), ("nano", "D13", False), ("mega2560", "D13", False)),
        *(("leonardo", "D13", False), ("micro", "D13", False), ("uno", "D12", True)),
        *(("pico", "GP3", True), ("mega2560", "D44", True)),
    ],
)
def test_a_pin_that_the_boot_loader_blinks(kind: str, pin: str, good: bool) -> None:
    """Boot loaders of the boards: PB5, PB7 and PC7, which all are D13."""
    for thing in (
        f"horn: {pin}\n",
        f"solenoids: {{ handle_lock: {pin} }}\n",
        f"gauges: {{ emergency_air: {pin} }}\n",
    ):
        said = problems(board(kind) + thing)
        assert [p.is_warning for p in said] == ([] if good else [True])
        assert all("while the board starts" in p.what for p in said)
    assert problems(board(kind) + f"lamps: {{ one_red: {pin} }}\n") == []


@pytest.mark.parametrize(
    ("pin", "keys", "good"),
    [
        ("D13", "", False),
        ("D13", ", series_ohm: 249", False),  # 5 V / 20 mA
        ("D13", ", series_ohm: 250", True),
        ("D12", "", True),
    ],
)
def test_a_closed_contact_at_such_a_pin_shorts_it(pin: str, keys: str, good: bool) -> None:
    """Computed: the boot loader makes the pin an output, and high."""
    text = board("uno") + f"switches: {{ lamp_test: {{ pin: {pin}{keys} }} }}\n"
    said = problems(text)
    assert [p.is_warning for p in said] == ([] if good else [True])
    assert all("shorts it" in p.what for p in said)
