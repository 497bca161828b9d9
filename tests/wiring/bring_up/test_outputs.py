"""Horn, gauges, solenoids and lamps: how long they are on, and what answers lead to."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelbridge.simboard.board.outputs import ToneOrder
from panelbridge.wiring.bring_up.exams.output_exams import LONGEST_PULL_S, LONGEST_SOUND_S
from panelbridge.wiring.bring_up.prompts import PartState
from tests.wiring.bring_up.robot import all_of_it, bring_up, copy_of, not_right, turn, turn_until


def _tone(run: object) -> ToneOrder:
    tone = run.simulated.sim_panel.horn()  # type: ignore[attr-defined]
    assert tone is not None
    found: ToneOrder = tone.order
    return found


def test_the_horn_is_silent_before_the_caution_is_read_and_after_a_while(tmp_path: Path) -> None:
    path = copy_of("first_lamp.yaml", tmp_path)
    with bring_up(path, only=["horn"]) as (run, clock):
        turn_until(run, clock, "horn")
        turn(run, clock, 1.0)
        assert "LOUD" in run.flow.prompt.caution
        assert _tone(run) is ToneOrder.SILENT
        run.key("enter")
        turn(run, clock, 0.1)
        assert _tone(run) is ToneOrder.CONTINUOUS
        run.key("enter")
        turn(run, clock, 0.1)
        assert _tone(run) is ToneOrder.INTERMITTENT
        turn(run, clock, LONGEST_SOUND_S)
        assert _tone(run) is ToneOrder.SILENT
        assert run.flow.prompt.lines == ("It is silent again. R begins again.",)
        run.key("n")
        assert not_right(run.flow.records)["horn:horn"] is PartState.FAULT
        turn(run, clock, 0.1)
        assert _tone(run) is ToneOrder.SILENT


def test_a_solenoid_is_let_go_by_itself(tmp_path: Path) -> None:
    path = copy_of("two_boards.yaml", tmp_path)
    with bring_up(path, only=["handle_lock"]) as (run, clock):
        turn_until(run, clock, "solenoid")
        turn(run, clock, 1.0)
        simulated = run.simulated
        assert simulated is not None
        assert simulated.sim_panel.solenoids() == {"handle_lock": False}
        run.key("enter")
        turn(run, clock, 0.1)
        assert simulated.sim_panel.solenoids() == {"handle_lock": True}
        turn(run, clock, LONGEST_PULL_S)
        assert simulated.sim_panel.solenoids() == {"handle_lock": False}
        run.key("n")
        assert "did not pull in" in run.flow.records["solenoid:handle_lock"].findings[0]


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        (["enter", "n"], "the needle does not move"),
        (["n"], "the needle does not move"),
        (["enter", "e"], "does not reach both ends"),
        (["o", "enter"], "does not reach both ends"),
    ],
)
def test_a_needle_that_goes_wrong(keys: list[str], words: str, tmp_path: Path) -> None:
    path = copy_of("two_boards.yaml", tmp_path)
    with bring_up(path, only=["emergency_air"]) as (run, clock):
        turn_until(run, clock, "gauge")
        for key in keys:
            run.key(key)
        record = run.flow.records["gauge:emergency_air"]
        assert record.state is PartState.FAULT
        assert words in record.findings[0]


def test_a_needle_is_moved_within_its_pulses(tmp_path: Path) -> None:
    path = copy_of("two_boards.yaml", tmp_path)
    with bring_up(path, only=["emergency_air"]) as (run, clock):
        simulated = run.simulated
        assert simulated is not None
        seen = set()
        while not run.flow.finished:
            turn(run, clock, by_itself=True)
            seen.add(simulated.sim_panel.gauges_us()["emergency_air"])
        assert seen == {0, 1000, 2000}


def test_every_lamp_the_other_way_round(tmp_path: Path) -> None:
    """Wired to the supply instead of ground: all are lit while they should be dark."""
    path = copy_of("first_lamp.yaml", tmp_path)
    faults = [f"inverted={name}_green" for name in ("nose", "left", "right")]
    records = all_of_it(path, faults=faults)
    assert set(not_right(records).values()) == {PartState.CORRECTED}
    assert path.read_text("utf-8").count("active_low: true") == 3
    assert not not_right(all_of_it(path))


@pytest.mark.parametrize(
    ("key", "words"),
    [("c", "put an LED of that colour in its place"), ("m", "lights several lamps")],
)
def test_a_lamp_that_no_file_can_mend(key: str, words: str, tmp_path: Path) -> None:
    path = copy_of("first_lamp.yaml", tmp_path)
    with bring_up(path, only=["nose_green"]) as (run, clock):
        turn_until(run, clock, "lamp")
        run.key(key)
        record = run.flow.records["lamp:nose_green"]
        assert record.state is PartState.FAULT
        assert words in record.findings[0]


def test_all_are_lit_with_one_key(tmp_path: Path) -> None:
    path = copy_of("first_lamp.yaml", tmp_path)
    with bring_up(path) as (run, clock):
        turn_until(run, clock, "dark")
        run.key("a")
        pending = run.flow.corrections.pending
        assert pending is not None
        assert [change.path for change in pending.changes] == [
            ("lamps", f"{name}_green", "active_low") for name in ("nose", "left", "right")
        ]
