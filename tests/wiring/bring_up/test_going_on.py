"""Pause and resume, one part alone, leaving out, going back, and a board that is unplugged."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from panelbridge.errors import UsageError
from panelbridge.simboard import registry
from panelbridge.wiring.bring_up.progress_file import progress_path
from panelbridge.wiring.bring_up.prompts import PartState
from panelbridge.wiring.file_edit import PanelEdit
from tests.wiring.bring_up.robot import all_of_it, bring_up, copy_of, not_right, turn, turn_until

HANDLE, SILENCE = "switch:gear_handle", "switch:horn_silence"


def test_a_later_start_goes_on_where_it_ended(tmp_path: Path) -> None:
    path = copy_of("first_lamp.yaml", tmp_path)
    progress = progress_path(path)
    with bring_up(path, progress=progress) as (run, clock):
        turn_until(run, clock, "switch", "horn_silence")
    with bring_up(path, progress=progress) as (run, clock):
        assert run.flow.records[HANDLE].state is PartState.PROVEN
        assert run.flow.records[HANDLE].measured
        assert "Taken up where it ended: 1 part done." in run.view().remark
        turn_until(run, clock, "switch")
        assert run.flow.prompt.ask.name == "horn_silence"
        turn_until(run, clock, "finished")
    with bring_up(path, progress=progress, from_start=True) as (run, _):
        assert run.flow.records[HANDLE].state is PartState.OPEN


def test_what_the_file_says_otherwise_since_is_proven_again(tmp_path: Path) -> None:
    path = copy_of("first_lamp.yaml", tmp_path)
    progress = progress_path(path)
    with bring_up(path, progress=progress) as (run, clock):
        turn_until(run, clock, "lamp")
    text = path.read_text("utf-8")
    path.write_text(text.replace("horn_silence: D4", "horn_silence: D5"), encoding="utf-8")
    with bring_up(path, progress=progress) as (run, clock):
        assert "The panel file has changed since at horn_silence" in run.view().remark
        assert run.flow.records[HANDLE].state is PartState.PROVEN
        assert run.flow.records[SILENCE].state is PartState.OPEN
        turn_until(run, clock, "switch")
        assert run.flow.prompt.ask.name == "horn_silence"


def test_what_was_left_open_at_the_end_is_proven_again(tmp_path: Path) -> None:
    path = copy_of("first_lamp.yaml", tmp_path)
    progress = progress_path(path)
    with bring_up(path, progress=progress, faults=["dead=left_green"]) as (run, clock):
        turn_until(run, clock, "lamp", "right_green")
        run.key("s")
        turn_until(run, clock, "finished")
    with bring_up(path, progress=progress) as (run, clock):  # it has been mended
        assert "Left open, and proven again: left_green, right_green." in run.view().remark
        assert run.flow.prompt.ask.kind == "note"
        turn_until(run, clock, "lamp")
        assert run.flow.prompt.ask.name == "left_green"
        turn_until(run, clock, "finished")
        assert not not_right(run.flow.records)
    with bring_up(path, progress=progress) as (run, _):
        assert run.flow.finished


def test_an_own_correction_is_no_change_since(tmp_path: Path) -> None:
    path = copy_of("first_lamp.yaml", tmp_path)
    progress = progress_path(path)
    faults = ["normally_closed=horn_silence"]
    with bring_up(path, faults=faults, progress=progress) as (run, clock):
        turn_until(run, clock, "dark")
    with bring_up(path, progress=progress) as (run, _):
        assert run.flow.records[SILENCE].state is PartState.CORRECTED
        assert run.flow.records[SILENCE].corrected == [
            "switches.horn_silence.normally_closed: true"
        ]


@pytest.mark.parametrize("content", ["", "[]", '{"kind": "other"}', '{"parts": 1}', "\x00"])
def test_what_is_no_progress_is_not_taken_up_and_not_overwritten(
    content: str, tmp_path: Path
) -> None:
    path = copy_of("first_lamp.yaml", tmp_path)
    progress = tmp_path / "p.json"
    progress.write_text(content, encoding="utf-8")
    with (
        pytest.raises(UsageError, match="no progress of a bring-up"),
        bring_up(path, progress=progress),
    ):
        pass
    assert progress.read_text("utf-8") == content


def test_a_progress_with_other_values_is_no_progress(tmp_path: Path) -> None:
    path = copy_of("first_lamp.yaml", tmp_path)
    progress = progress_path(path)
    with bring_up(path, progress=progress) as (run, clock):
        turn_until(run, clock, "dark")
    content = json.loads(progress.read_text("utf-8"))
    content["parts"][HANDLE]["state"] = "perfect"
    progress.write_text(json.dumps(content), encoding="utf-8")
    with pytest.raises(UsageError), bring_up(path, progress=progress):
        pass


def test_one_part_alone(tmp_path: Path) -> None:
    path = copy_of("two_boards.yaml", tmp_path)
    assert [*all_of_it(path, only=["lamp_test"])] == ["switch:lamp_test"]
    assert [*all_of_it(path, only=["nose_green", "dimmer"])] == ["lever:dimmer", "lamp:nose_green"]
    with pytest.raises(UsageError, match="no part 'nose'"), bring_up(path, only=["nose"]):
        pass


def test_a_part_alone_brings_the_one_that_it_is_exchanged_with(tmp_path: Path) -> None:
    path = copy_of("two_boards.yaml", tmp_path)
    records = all_of_it(path, only=["lamp_test"], faults=["exchanged=lamp_test/antiskid"])
    assert not_right(records) == dict.fromkeys(
        ["switch:lamp_test", "switch:antiskid"], PartState.CORRECTED
    )
    path = copy_of("two_boards.yaml", tmp_path)
    records = all_of_it(path, only=["nose_green"], faults=["exchanged=nose_green/left_red"])
    assert not_right(records) == dict.fromkeys(
        ["lamp:nose_green", "lamp:left_red"], PartState.CORRECTED
    )


def test_leaving_out_and_going_back(tmp_path: Path) -> None:
    path = copy_of("first_lamp.yaml", tmp_path)
    with bring_up(path) as (run, clock):
        turn_until(run, clock, "switch", "gear_handle")
        run.key("s")
        assert run.flow.records[HANDLE].state is PartState.SKIPPED
        turn_until(run, clock, "switch", "horn_silence")
        run.key("b")
        turn(run, clock, 0.1)
        assert run.flow.prompt.ask.name == "gear_handle"
        turn_until(run, clock, "finished")
        assert not not_right(run.flow.records)
        run.key("b")
        assert run.flow.prompt.ask.name == "horn"


def test_a_part_is_picked_from_the_list(tmp_path: Path) -> None:
    path = copy_of("first_lamp.yaml", tmp_path)
    with bring_up(path) as (run, clock):
        turn_until(run, clock, "switch", "gear_handle")
        run.choose_part("lamp:left_green")
        assert run.flow.prompt.ask.kind == "note"  # the boards drive something from here on
        run.key("enter")
        turn_until(run, clock, "lamp", "left_green", by_itself=False)
        turn_until(run, clock, "lamp", "right_green")
        turn_until(run, clock, "finished")
        assert not not_right(run.flow.records)


def test_a_correction_that_is_declined_is_left_open_and_not_offered_again(tmp_path: Path) -> None:
    path = copy_of("first_lamp.yaml", tmp_path)
    before = path.read_bytes()
    with bring_up(path, faults=["normally_closed=horn_silence"]) as (run, clock):
        turn_until(run, clock, "change")
        assert "+  horn_silence: { pin: D4, normally_closed: true }" in " ".join(
            run.flow.prompt.lines
        )
        run.key("n")
        turn_until(run, clock, "finished")
        assert not_right(run.flow.records) == {SILENCE: PartState.FAULT}
        run.choose_part(SILENCE)
        turn_until(run, clock, "strokes")
        turn_until(run, clock, "finished")  # with nothing to write: else it would be written
        assert not_right(run.flow.records) == {SILENCE: PartState.FAULT}
    assert path.read_bytes() == before


def test_a_correction_that_cannot_be_written_is_said_and_left_open(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = copy_of("first_lamp.yaml", tmp_path)
    before = path.read_bytes()

    def refuse(edit: PanelEdit) -> None:
        raise UsageError("this file cannot be written: it is open elsewhere", str(edit.path))

    monkeypatch.setattr(PanelEdit, "write", refuse)
    with bring_up(path, faults=["normally_closed=horn_silence"]) as (run, clock):
        turn_until(run, clock, "change")
        run.key("enter")
        assert "Not written: " in run.view().remark
        assert "it is open elsewhere" in run.view().remark
        turn_until(run, clock, "finished")
        assert not_right(run.flow.records) == {SILENCE: PartState.FAULT}
    assert path.read_bytes() == before


def test_a_board_that_is_unplugged_is_waited_for_and_its_part_begins_again(tmp_path: Path) -> None:
    path = copy_of("two_boards.yaml", tmp_path)
    with bring_up(path) as (run, clock):
        turn_until(run, clock, "strokes", "gear_handle")
        entry = registry.find("gear_panel")
        assert entry is not None
        entry.cable.unplug(clock.now())
        turn(run, clock, 2.0, by_itself=True)
        view = run.view()
        assert view.waits_for.startswith("board gear_panel:")
        assert view.boards["gear_panel"] != "ready"
        assert view.boards["pedestal"] == "ready"
        entry.cable.replug(clock.now())
        turn_until(run, clock, "switch", "gear_handle", by_itself=False)
        assert not run.view().waits_for
        turn_until(run, clock, "finished")
        assert not not_right(run.flow.records)


def test_without_a_board_that_is_not_there_the_rest_is_proven(tmp_path: Path) -> None:
    path = copy_of("two_boards.yaml", tmp_path)
    with bring_up(path) as (run, clock):
        entry = registry.find("pedestal")
        assert entry is not None
        entry.cable.unplug(clock.now())
        run.key("enter")
        turn(run, clock, 3.0)
        assert run.view().waits_for.startswith("board pedestal")
        run.key("o")
        turn_until(run, clock, "switch", "gear_handle", by_itself=False)
        turn_until(run, clock, "switch", "aux_pump")


def test_after_a_while_it_says_what_to_check(tmp_path: Path) -> None:
    path = copy_of("first_lamp.yaml", tmp_path)
    with bring_up(path) as (run, clock):
        turn_until(run, clock, "switch", "horn_silence")
        assert not run.view().slow
        turn(run, clock, 9.0)
        view = run.view()
        assert view.slow
        assert "open all the time" in view.prompt.checks[0]


def test_nothing_is_driven_while_switches_are_proven(tmp_path: Path) -> None:
    path = copy_of("two_boards.yaml", tmp_path)
    with bring_up(path) as (run, clock):
        turn_until(run, clock, "switch")
        simulated = run.simulated
        assert simulated is not None
        for board in simulated.sim_panel.boards.values():
            assert not board.outputs.levels
            assert not board.outputs.tones
        turn_until(run, clock, "lamp")
        assert simulated.sim_panel.boards["gear_panel"].outputs.levels
