"""Wires at pins that the file gives to nobody, or to a lamp; and pins that are never watched."""

from __future__ import annotations

from pathlib import Path

from panelbridge.config.load import load_panel
from panelbridge.config.panel_wires import Place, WireKey, changed_panel, rewired
from panelbridge.config.yaml_positions import KeyPath
from panelbridge.link.wire import ItemFlag, ItemKind
from panelbridge.wiring.bring_up.input_plan import contact_places, input_plan
from panelbridge.wiring.bring_up.prompts import PartState
from tests.wiring.bring_up.robot import (
    all_of_it,
    bring_up,
    copy_of,
    not_right,
    turn,
    turn_until,
    wired_like,
)

LEVERS = """\
kind: panel
format: 2
name: Levers on two boards
aircraft: ../aircraft/twin_jet.yaml
boards: { main: { board: uno }, other: { board: pico } }
switches:
  gear_handle: { form: one_contact, board: main, pin: D2, closed_means: down }
  parking_brake: { form: lever, board: main, pin: A0, counts_at_0: 0, counts_at_1: 1023 }
  emergency_brake: { form: lever, board: other, pin: GP26, counts_at_0: 0, counts_at_1: 65535 }
not_fitted: [emergency_extend, steering_button, cold_weather, nose_green, left_green, right_green,
  nose_red, left_red, right_red, parking_brake_amber, lamp_test, horn_silence, antiskid, aux_pump]
"""


def _wired(path: Path, name: str, pin: str) -> object:
    loaded = load_panel(path)
    key = WireKey("switches", name)
    board = next(iter(loaded.panel.boards))
    return wired_like(rewired(loaded.panel, {key: Place(board, pin)}), loaded)


def test_a_switch_at_a_spare_pin_is_found(tmp_path: Path) -> None:
    path = copy_of("first_lamp.yaml", tmp_path)
    records = all_of_it(path, wired_as=_wired(path, "horn_silence", "D6"))
    assert "D6 of main (not in the file)" in records["switch:horn_silence"].findings[0]
    assert "horn_silence: D6 # push button" in path.read_text("utf-8")


def test_a_switch_that_is_exchanged_with_a_lamp_is_found_and_so_is_the_lamp(tmp_path: Path) -> None:
    path = copy_of("first_lamp.yaml", tmp_path)
    loaded = load_panel(path)
    truth = rewired(
        loaded.panel,
        {
            WireKey("switches", "horn_silence"): Place("main", "D9"),
            WireKey("lamps", "nose_green"): Place("main", "D4"),
        },
    )
    records = all_of_it(path, wired_as=wired_like(truth, loaded))
    text = path.read_text("utf-8")
    assert "horn_silence: D9" in text
    assert "nose_green: D4" in text
    assert set(not_right(records).values()) == {PartState.CORRECTED}
    assert not not_right(all_of_it(path, wired_as=wired_like(truth, loaded)))


def test_a_lamp_s_pin_that_follows_a_switch_counts_for_nothing(tmp_path: Path) -> None:
    path = copy_of("first_lamp.yaml", tmp_path)
    with bring_up(path) as (run, clock):
        turn_until(run, clock, "switch", "horn_silence")
        simulated = run.simulated
        assert simulated is not None
        for position in ("pressed", "released"):
            assert run.flow.prompt.ask.position == position
            simulated.sim_panel.move(clock.now(), "horn_silence", position)
            closed = position == "pressed"
            simulated.sim_panel.boards["main"].set_contact(clock.now(), "D9", closed)
            turn(run, clock, 1.0)
        turn_until(run, clock, "note")
        assert not run.flow.records["switch:horn_silence"].findings


def test_levers_that_change_boards_take_the_counts_of_the_other_board(tmp_path: Path) -> None:
    """A Pico reads up to 65535, an Uno up to 1023: neither may be written before its wire."""
    path = copy_of("levers.yaml", tmp_path)
    path.write_text(LEVERS, encoding="utf-8")
    loaded = load_panel(path)
    first = {"board": "other", "pin": "GP26", "counts_at_0": 0, "counts_at_1": 65535}
    second = {"board": "main", "pin": "A0", "counts_at_0": 0, "counts_at_1": 1023}
    changes: dict[KeyPath, object] = {
        ("switches", name, key): value
        for name, keys in (("parking_brake", first), ("emergency_brake", second))
        for key, value in keys.items()
    }
    truth = changed_panel(loaded.panel, changes)
    records = all_of_it(path, wired_as=wired_like(truth, loaded))
    assert set(not_right(records).values()) == {PartState.CORRECTED}
    assert load_panel(path).panel == truth


def test_every_harmless_pin_is_watched_with_its_pull_up(tmp_path: Path) -> None:
    panel = load_panel(copy_of("first_lamp.yaml", tmp_path)).panel
    plan = input_plan(panel, "main")
    pins = {place.pin for place in contact_places(plan)}
    assert {"D2", "D4", "D9", "D10", "D11", "D3", "D13", "A5"} <= pins
    assert not pins & {"D0", "D1", "D8"}  # the serial line, and the horn
    assert all(item.kind is ItemKind.CONTACT for item in plan.items)
    assert all(item.flags == ItemFlag.PULL_UP | ItemFlag.ACTIVE_LOW for item in plan.items)


def test_beside_a_coil_only_the_pins_of_switches_are_watched(tmp_path: Path) -> None:
    panel = load_panel(copy_of("two_boards.yaml", tmp_path)).panel
    pins = {place.pin for place in contact_places(input_plan(panel, "gear_panel"))}
    assert pins == {"D22", "D23", *(f"D{n}" for n in range(25, 33))}


def test_the_set_up_stays_the_same_when_two_switches_change_places(tmp_path: Path) -> None:
    panel = load_panel(copy_of("demo_panel.yaml", tmp_path)).panel
    name = next(iter(panel.boards))
    lamp_test, tiller = WireKey("switches", "lamp_test"), WireKey("switches", "tiller")
    silence, dimmer = WireKey("switches", "horn_silence"), WireKey("switches", "dimmer")
    other = rewired(
        panel,
        {
            lamp_test: Place(name, "D24"),
            silence: Place(name, "D25"),
            tiller: Place(name, "A0"),
            dimmer: Place(name, "A5"),
        },
    )
    assert input_plan(panel, name).items == input_plan(other, name).items


def test_chains_are_watched_and_their_lamps_are_dark(tmp_path: Path) -> None:
    panel = load_panel(copy_of("chains_on_small_board.yaml", tmp_path)).panel
    name = next(iter(panel.boards))
    plan = input_plan(panel, name)
    pins = [place.pin for place in contact_places(plan)]
    assert "knobs.15" in pins
    lamps = [lamp for lamp in panel.lamps.values() if lamp.pin.startswith("lights.")]
    assert lamps
    assert sum(item.kind == ItemKind.LAMP for item in plan.items) == len(lamps)
    assert len(plan.items) <= panel.boards[name].hardware.items
