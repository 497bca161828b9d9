"""What is wired, as data: what the file says, and what is chosen where it says nothing."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelbridge.config.load import load_panel
from panelbridge.config.shipped import shipped_config, shipped_folder
from panelbridge.wiring.electrics import WiredPanel, WiredPart, wired_panel
from panelbridge.wiring.electrics.circuits import (
    BulbCircuit,
    CoilCircuit,
    ContactCircuit,
    LedCircuit,
    PotentiometerCircuit,
    ServoCircuit,
    SounderCircuit,
)
from tests.wiring.electrics.panels import board, wired

PANELS = sorted((shipped_folder() / "panels").glob("*.yaml"))
CHAINS = (
    "boards:\n  main:\n    board: uno\n    chains:\n"
    "      knobs: { form: inputs, chips: 1, data_pin: D2, clock_pin: D3, latch_pin: D4 }\n"
    "      lights: { form: outputs, chips: 2, data_pin: D5, clock_pin: D6, latch_pin: D7 }\n"
)


def part(panel: WiredPanel, name: str) -> WiredPart:
    return next(one for one in panel.parts if one.name == name)


def led(text: str) -> LedCircuit:
    circuit = wired(board("uno") + text).parts[0].circuit
    assert isinstance(circuit, LedCircuit)
    return circuit


@pytest.mark.parametrize("path", PANELS, ids=lambda path: path.name)
def test_every_part_of_a_shipped_panel_is_there_once_and_at_its_pins(path: Path) -> None:
    panel = load_panel(path).panel
    made = wired_panel(panel)
    names = [(one.kind, one.name) for one in made.parts]
    wanted = [("switch", name) for name in panel.wired_switches]
    wanted += [("lamp", name) for name in panel.lamps]
    wanted += [("horn", "horn")] if panel.horn is not None else []
    wanted += [("gauge", name) for name, entry in panel.gauges if entry is not None]
    wanted += [("solenoid", name) for name, entry in panel.solenoids if entry is not None]
    assert sorted(names) == sorted(wanted)
    for name, its in made.boards.items():
        at_bits = [one for chain in its.chains.values() for one in chain.bits.values()]
        places = {one.place for one in [*its.pins.values(), *at_bits]}
        assert places == {one.place for one in its.parts}
        assert all(one.board == name for one in its.parts)
        for one in its.parts:
            at = [its.pins[pin] for pin in one.pins.values() if pin in its.hardware.pins]
            assert all(there is one for there in at)
    for one in made.parts:
        if isinstance(one.circuit, LedCircuit):
            assert one.circuit.resistor is not None
            assert one.circuit.resistor.proposed


def test_the_kinds_of_circuits() -> None:
    made = wired_panel(load_panel(shipped_config("panels/four_engine_freighter_panel.yaml")).panel)
    kinds = {
        "gear_handle": ContactCircuit,
        "dimmer": PotentiometerCircuit,
        "nose_green": LedCircuit,
        "horn": SounderCircuit,
        "brake_accumulator": ServoCircuit,
        "handle_lock": CoilCircuit,
    }
    assert {name: type(part(made, name).circuit) for name in kinds} == kinds
    handle, lock = part(made, "gear_handle"), part(made, "handle_lock").circuit
    assert handle.pins == {"up_pin": "D22", "down_pin": "D23"}
    assert made.boards["pedestal"].chains["wheels"].bits[7].name == "rr_outer_antiskid_amber"
    assert lock.driver is not None
    said = (lock.driver.kind, lock.supply, lock.supply_v, lock.load.worst_ma)
    assert said == ("mosfet", "coils", 12.0, 300.0)


def test_outputs_of_transistor_arrays_are_given_out_board_by_board() -> None:
    lamps = "".join(
        f"  l{n}_red: {{ board: {owner}, pin: D{n}, driver: transistor_array }}\n"
        for owner, pins in (("one", range(2, 12)), ("two", range(20, 22)))
        for n in pins
    )
    made = wired(
        f"boards:\n  one: {{ board: uno }}\n  two: {{ board: mega2560 }}\nlamps:\n{lamps}"
        "  single_red: { board: two, pin: D30, driver: npn }\n"
    )
    stages = [one.circuit.driver for one in made.parts]
    given = [(s.chip, s.output) for s in stages if s is not None and s.kind != "npn"]
    assert given == [*((1, n) for n in range(1, 9)), (2, 1), (2, 2), (1, 1), (1, 2)]
    single = stages[-1]
    assert single is not None
    assert (single.chip, single.output) == (0, 0)


def test_pull_ups() -> None:
    made = wired(
        CHAINS
        + "switches: { lamp_test: knobs.0, horn_silence: D8, night: { pin: D9, pull_up_ohm: 4700 },"
        + " aux_pump: { pin: knobs.1, pull_up_ohm: 2200 } }\n"
    )
    found = {}
    for one in made.parts:
        assert isinstance(one.circuit, ContactCircuit)
        found[one.name] = (one.circuit.pull_up_ohm, one.circuit.internal_pull_up)
    assert found == {
        "lamp_test": ((10_000, 10_000), False),
        "horn_silence": ((20_000, 50_000), True),
        "night": ((4700, 4700), False),
        "aux_pump": ((2200, 2200), False),
    }
    at_pins = {one.name: one.circuit.at_pin.worst_ma for one in made.parts}
    assert at_pins == {"lamp_test": 0, "horn_silence": 0.25, "night": 0, "aux_pump": 0}


@pytest.mark.parametrize(
    ("lamp", "electrics", "ohm", "proposed"),
    [
        ("pin: D3", "", 680, True),
        ("pin: D3", "resistor_ohm: 330", 330, False),
        ("pin: D3, resistor_ohm: 470", "resistor_ohm: 330", 470, False),
        ("pin: D3, current_ma: 10", "resistor_ohm: 330", 330, True),
        ("pin: D3, current_ma: 10", "resistor_series: E24", 300, True),
        ("pin: D3", "led_current_ma: 2", 1500, True),
        ("pin: D3", "led_forward_v: { red: 1.7 }", 680, True),
        ("pin: D3, forward_v: 2.9", "led_forward_v: { red: 1.7 }", 470, True),
    ],
)
def test_which_resistor(lamp: str, electrics: str, ohm: float, proposed: bool) -> None:
    circuit = led(f"lamps: {{ a_red: {{ {lamp} }} }}\nelectrics: {{ {electrics} }}\n")
    assert circuit.resistor is not None
    assert (circuit.resistor.ohm, circuit.resistor.proposed) == (ohm, proposed)


def test_several_leds_each_have_a_resistor_and_their_currents_add_up() -> None:
    one, two = (led(f"lamps: {{ a_red: {{ pin: D3, leds: {n} }} }}\n") for n in (1, 2))
    assert one.resistor == two.resistor
    assert two.at_pin.worst_ma == pytest.approx(2 * one.at_pin.worst_ma)


def test_a_lamp_behind_a_driver_takes_its_current_from_the_supply_and_little_from_the_pin() -> None:
    text = "lamps: { a_red: { pin: D3, driver: npn, supply: big } }\n"
    text += "electrics: { supplies: { big: { voltage_v: 12 } } }\n"
    circuit = led(text)
    assert (circuit.supply, circuit.supply_v) == ("big", 12.0)
    assert circuit.resistor is not None
    assert circuit.resistor.ohm == 2200  # (12 - 0.2 - 2.0) / 5 mA = 1960
    assert circuit.at_pin.worst_ma == pytest.approx((5 - 0.7) / 1000 * 1000)


def test_a_lamp_that_is_lit_by_a_low_pin_sinks() -> None:
    assert led("lamps: { a_red: { pin: D3, active_low: true } }\n").sinks
    assert not led("lamps: { a_red: { pin: D3, active_low: true, driver: npn } }\n").sinks
    assert not led("lamps: { a_red: D3 }\n").sinks


def test_a_bulb_and_a_coil_that_say_nothing_have_no_current() -> None:
    made = wired(
        board("uno")
        + "lamps: { a_red: { pin: D3, light: bulb, driver: mosfet } }\n"
        + "solenoids: { handle_lock: D4 }\n"
    )
    bulb, coil = (one.circuit for one in made.parts)
    assert isinstance(bulb, BulbCircuit)
    assert isinstance(coil, CoilCircuit)
    assert (bulb.current_ma, coil.current_ma) == (None, None)
    assert (bulb.supply, bulb.supply_v, coil.supply) == ("", None, "")
    assert coil.driver is not None
    stage = coil.driver
    assert (stage.kind, stage.flyback_diode, stage.pull_down) == ("mosfet", True, True)
