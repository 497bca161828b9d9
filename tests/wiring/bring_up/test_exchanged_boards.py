"""Two boards of one kind whose ports are exchanged."""

from __future__ import annotations

from pathlib import Path

from panelbridge.config.load import load_panel
from panelbridge.wiring.bring_up.prompts import PartState
from tests.wiring.bring_up.robot import all_of_it, bring_up, copy_of, not_right, turn, turn_until

TWO_UNOS = """\
kind: panel
format: 2
name: Two of a kind
aircraft: ../aircraft/first_steps.yaml
boards:
  left: { board: uno, port: COM5 } # the one at the window
  right: { board: uno, port: COM6 }
switches:
  gear_handle: { form: one_contact, board: left, pin: D2, closed_means: down }
  horn_silence: { board: left, pin: D4 }
  lamp_test: { board: right, pin: D7 }
lamps:
  nose_green: { board: left, pin: D9 }
  left_green: { board: right, pin: D10 }
  right_green: { board: right, pin: D11 }
  nose_red: { board: right, pin: D5 }
not_fitted: [left_red, right_red, horn]
"""


def _panel(folder: Path, text: str = TWO_UNOS) -> Path:
    path = copy_of("two_unos.yaml", folder)
    path.write_text(text, encoding="utf-8")
    return path


def test_two_boards_that_are_right_are_left_as_they_are(tmp_path: Path) -> None:
    assert not not_right(all_of_it(_panel(tmp_path)))


def test_exchanged_ports_are_found_and_put_right_in_the_file(tmp_path: Path) -> None:
    path = _panel(tmp_path)
    wired = load_panel(path)
    records = all_of_it(path, wired_as=wired, faults=["exchanged=left/right"])
    assert set(not_right(records).values()) == {PartState.CORRECTED}
    assert records["switch:gear_handle"].corrected == ["ports of left and right"]
    text = path.read_text("utf-8")
    assert "left: { board: uno, port: COM6 } # the one at the window" in text
    assert "right: { board: uno, port: COM5 }" in text
    assert "board: left, pin: D2" in text  # no wire was moved for it
    again = all_of_it(path, wired_as=wired, faults=["exchanged=left/right"])
    assert not not_right(again)


def test_ports_that_no_file_names_are_exchanged_for_this_bring_up(tmp_path: Path) -> None:
    text = TWO_UNOS.replace(", port: COM5", "").replace(", port: COM6", "")
    path = _panel(tmp_path, text)
    with bring_up(path, faults=["exchanged=left/right"]) as (run, clock):
        turn_until(run, clock, "finished")
        assert run.exchanged_ports == {"left": "simboard://left", "right": "simboard://right"}
        assert set(not_right(run.flow.records).values()) == {PartState.CORRECTED}
    assert path.read_text("utf-8") == text


def test_one_part_alone_is_enough_when_it_is_all_there_is(tmp_path: Path) -> None:
    path = _panel(tmp_path)
    wired = load_panel(path)
    records = all_of_it(path, wired_as=wired, faults=["exchanged=left/right"], only=["gear_handle"])
    assert "COM6 } # the one" in path.read_text("utf-8")
    assert records


def test_boards_of_two_kinds_are_refused_and_put_right(tmp_path: Path) -> None:
    path = copy_of("two_boards.yaml", tmp_path)
    text = path.read_text("utf-8").replace("# port: COM5", "port: COM5 #")
    path.write_text(text.replace("# port: COM6", "port: COM6"), encoding="utf-8")
    wired = load_panel(path)
    fault = ["exchanged=gear_panel/pedestal"]
    with bring_up(path, wired_as=wired, faults=fault) as (run, clock):
        run.key("enter")
        turn_until(run, clock, "change", by_itself=False)
        assert "At the port of gear_panel is a uno" in run.flow.prompt.lines[0]
        turn_until(run, clock, "finished")
        assert not not_right(run.flow.records)
        assert "The ports of gear_panel and pedestal are exchanged." in run.flow.notes[0]
    assert "port: COM6 #   <- write" in path.read_text("utf-8")
    assert not not_right(all_of_it(path, wired_as=wired, faults=fault))


def test_boards_of_two_kinds_that_shall_stay_exchanged_are_not_offered_again(
    tmp_path: Path,
) -> None:
    path = copy_of("two_boards.yaml", tmp_path)
    with bring_up(path, faults=["exchanged=gear_panel/pedestal"]) as (run, clock):
        run.key("enter")
        turn_until(run, clock, "change", by_itself=False)
        run.key("n")
        turn(run, clock, 5.0)
        assert run.flow.corrections.pending is None
        assert "says that it is a uno" in run.view().waits_for


def test_one_wire_at_the_other_board_is_a_wire_and_no_exchange(tmp_path: Path) -> None:
    path = _panel(tmp_path)
    wired_path = path.with_name("wired.yaml")
    text = TWO_UNOS.replace("board: right, pin: D7", "board: left, pin: D7")
    wired_path.write_text(text, encoding="utf-8")
    records = all_of_it(path, wired_as=load_panel(wired_path))
    assert "port: COM5" in path.read_text("utf-8").partition("right:")[0]
    assert "lamp_test: { board: left, pin: D7 }" in path.read_text("utf-8")
    assert not_right(records) == {"switch:lamp_test": PartState.CORRECTED}
