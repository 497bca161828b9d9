"""The time of the simulation: a pause, a rate, and a computer that stood still.

Our own decisions. What is conserved: while paused nothing changes, and after it everything goes on
as if there had been none. Limits: unknown is neither paused nor faster; a pause ends with the data.

By hand, legs 0.5 + 6.0 s: handle down at 1.0, paused at 3.0 for 1000 s: the nose leg is locked down
at 1007.5. At rate 4 it takes 1.625 s. A step of 8 h with at most 60 s: 28,740 s are skipped.
"""

from __future__ import annotations

import pickle
from math import inf, nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.logic.simulation.clock import LogicTime, SimulationClock
from panelbridge.logic.simulation.facts import rate_of
from panelbridge.signals import AircraftState, SwitchState
from tests.examples import examples
from tests.logic.build import Bench, changed, flying_gear_up, on_ground, switches, twin
from tests.logic.whole_aircraft import KINDS
from tests.logic.whole_runs import STARTS, Move, Moves, Run, moves_of, scenes

OWN = {"simulation_paused", "simulation_resumed"}
RATES = st.sampled_from([0.25, 1.0, 2.0, 16.0])


def paused(bench: Bench, **aircraft: object) -> None:
    bench.after(0.0, aircraft=changed(bench.aircraft, paused=True, **aircraft))


def resumed(bench: Bench) -> None:
    bench.after(0.0, aircraft=changed(bench.aircraft, paused=False))


def lowering() -> Bench:
    """Two seconds after the handle went down."""
    bench = flying_gear_up()
    bench.after(1.0, switches("down"))
    bench.after(2.0)
    bench.take_names()
    return bench


def nose_locked_s(bench: Bench) -> float:
    """When the nose leg was locked down, s."""
    named = [one for one in bench.events if one.name == "leg_locked_down"]
    (time_s,) = [one.time_s for one in named if one.subject == "nose"]
    return time_s


def test_a_leg_stands_still_while_paused() -> None:
    """The figures of the head."""
    bench = lowering()
    began_s = bench.now_s
    paused(bench)
    shown = (bench.result.outputs, bench.logic.view(), bench.logic.next_due_s)
    assert shown[2] == inf
    bench.after(1000.0)
    assert (bench.result.outputs, bench.logic.view(), bench.logic.next_due_s) == shown
    assert bench.names == ["simulation_paused"]
    resumed(bench)
    bench.after(100.0)
    assert nose_locked_s(bench) == pytest.approx(began_s + 1000.0 + 4.5)
    assert bench.names[:2] == ["simulation_paused", "simulation_resumed"]


def test_a_rate_moves_the_legs_faster() -> None:
    bench = flying_gear_up()
    bench.after(1.0, aircraft=changed(bench.aircraft, simulation_rate=4.0))
    bench.after(1.0, switches("down"))
    began_s = bench.now_s
    bench.after(60.0)
    assert nose_locked_s(bench) == pytest.approx(began_s + 6.5 / 4.0)


def test_what_a_switch_does_during_a_pause() -> None:
    """Where it stands when the pause ends counts as moved then; a push alone is nothing."""
    bench = on_ground()
    paused(bench)
    before = bench.result
    bench.after(1.0, switches("down", lamp_test=True, dimmer=0.1))
    assert bench.result.outputs is before.outputs
    bench.after(1.0, switches("down"))
    resumed(bench)
    assert bench.result.outputs == before.outputs
    assert bench.take_names() == ["simulation_paused", "simulation_resumed"]
    bench = flying_gear_up()
    paused(bench)
    bench.after(5.0, switches("down"))
    assert bench.command == "up"
    resumed(bench)
    assert bench.command == "down"
    assert "gear_handle_moved_down" in bench.names


def test_a_board_lost_during_a_pause_commands_nothing_when_it_is_over() -> None:
    """A reconnect is no command, whenever it was."""
    bench = flying_gear_up()
    paused(bench)
    bench.after(1.0, SwitchState())
    bench.after(1.0, switches("down"))
    resumed(bench)
    bench.after(10.0)
    assert bench.command == "nothing"
    assert "gear_handle_disagreed" in bench.names
    assert "gear_handle_moved_down" not in bench.names


def test_data_that_is_lost_ends_a_pause() -> None:
    bench = lowering()
    paused(bench)
    bench.after(10.0)
    bench.after(0.0, aircraft=AircraftState())
    bench.after(30.0)
    assert "leg_locked_down" in bench.names


def test_a_fault_of_a_pause_acts_when_it_is_over() -> None:
    bench = lowering()
    paused(bench)
    shown = bench.logic.view()
    bench.logic.set_fault(bench.now_s + 1.0, "nose", "contradictory")
    bench.after(2.0)
    assert bench.logic.view() == shown
    resumed(bench)
    bench.after(60.0)
    assert "leg_locks_contradicted" in bench.names


@pytest.mark.parametrize(
    ("is_paused", "rate", "expected"),
    [
        *[(None, None, 1.0), (False, None, 1.0), (True, None, 0.0), (True, 4.0, 0.0)],
        *[(None, 4.0, 4.0), (None, 0.0, 0.0), (None, -1.0, 0.0), (None, 99.0, 64.0)],
        *[(None, nan, 1.0)],
    ],
)
def test_the_rate(is_paused: bool | None, rate: float | None, expected: float) -> None:
    assert rate_of(is_paused, rate) == expected


def test_a_computer_that_stood_still_skips_time_with_one_event() -> None:
    """The figures of the head."""
    logic = PanelLogic(twin(), longest_step_s=60.0)
    bench = flying_gear_up()
    logic.step(0.0, switches("up"), bench.aircraft)
    logic.step(1.0, switches("down"), bench.aircraft)
    logic.step(2.0, switches("down"), bench.aircraft)
    events = logic.step(28_802.0, switches("down"), bench.aircraft).events
    (skipped,) = (one for one in events if one.name == "time_skipped")
    assert "28740 s" in skipped.text
    assert events[0] is skipped
    assert [one.name for one in events][-1] == "gear_locked_down", "timers have settled"
    assert all(28_742.0 <= one.time_s <= 28_802.0 for one in events)
    assert logic.step(28_802.02, switches("down"), bench.aircraft).events == ()
    exact = PanelLogic(twin(), longest_step_s=60.0)
    exact.step(0.0, switches("down"), on_ground().aircraft)
    assert exact.step(60.0, switches("down"), on_ground().aircraft).events == ()


def test_the_work_after_hours_is_bounded() -> None:
    """A pump that cycles: no more is done in a day than in a minute."""
    counts = []
    for gap_s in (60.0, 86_400.0):
        run = Run(KINDS["jet"])
        run.logic = PanelLogic(KINDS["jet"], longest_step_s=60.0)
        run.move(0.0, scenes(KINDS["jet"])["parked"])
        run.move(1.0, Move({"aux_pump": True}, {"engine_running": (False, False)}))
        run.wait(200.0)
        run.events = []
        run.wait(gap_s, by_due=False)
        run.events = [one for one in run.events if one.name != "time_skipped"]
        counts.append(len(run.events))
    assert counts[0] == counts[1]


# -- laws -----------------------------------------------------------------------------------------


@settings(max_examples=examples(25), deadline=None)
@given(
    kind=st.sampled_from(sorted(KINDS)),
    start=st.sampled_from(STARTS),
    data=st.data(),
    pauses=st.dictionaries(st.integers(0, 9), st.sampled_from([0.5, 8.0, 4096.0]), max_size=4),
)
def test_law_a_paused_world_changes_nothing(
    kind: str, start: str, data: st.DataObject, pauses: dict[int, float]
) -> None:
    aircraft = KINDS[kind]
    moves: Moves = data.draw(moves_of(aircraft, most=10))
    others: Moves = data.draw(moves_of(aircraft, least=1, most=3, lost=False))
    plain, held = Run(aircraft), Run(aircraft)
    for run in (plain, held):
        run.move(0.0, scenes(aircraft)[start])
        run.wait(4.0)
    offset_s = 0.0
    for number, (wait_s, move) in enumerate(moves):
        plain.move(wait_s, move)
        held.move(wait_s, move)
        if number in pauses and held.has_feed:
            pause(held, pauses[number], others)
            offset_s += pauses[number]
        same(plain, held)
    for run in (plain, held):
        run.wait(30.0)
    same(plain, held)
    assert held.now_s == pytest.approx(plain.now_s + offset_s)


def pause(run: Run, for_s: float, others: Moves) -> None:
    """Pause, move everything to and fro meanwhile, and go on."""
    panel, state = run.panel, run.state
    run.move(0.0, Move({}, {"paused": True}))
    shown = (run.result.outputs, run.result.commands, run.view)
    count = len(run.events)
    for _, move in others:
        known = {k: v for k, v in dict(move.switches).items() if SwitchState(**{k: v}).get(k) == v}
        run.take(Move(known, move.aircraft))
        run.take(Move({}, {"paused": True}))
        run.step(run.now_s + for_s / 8.0)
    run.panel = panel
    run.step(run.now_s + for_s - len(others) * for_s / 8.0)
    assert (run.result.outputs, run.result.commands, run.view) == shown
    assert len(run.events) == count
    run.state = state
    run.step(run.now_s)


def same(one: Run, two: Run) -> None:
    """What is shown, asked and published; numbers to the millionth."""
    assert two.result.outputs.lamps == one.result.outputs.lamps
    assert two.result.outputs.horn is one.result.outputs.horn
    assert two.result.commands == one.result.commands
    values = [{k: rounded(v) for k, v in run.view.values.items()} for run in (one, two)]
    assert values[0] == pytest.approx(values[1], abs=1e-6)
    names = [(h.name, h.subject) for h in two.events if h.name not in OWN]
    assert names == [(h.name, h.subject) for h in one.events]


def rounded(value: object) -> object:
    return float(value) if isinstance(value, float) else value


@given(
    bends=st.lists(st.tuples(st.floats(0.0, 1e4), st.one_of(RATES, st.just(0.0))), max_size=6),
    after_s=st.floats(0.0, 1e4),
)
def test_law_the_clock_never_runs_back_and_finds_its_way(
    bends: list[tuple[float, float]], after_s: float
) -> None:
    time = LogicTime(lambda _: ())
    run_s = now_s = 0.0
    for step_s, rate in bends:
        before_s = now_s
        run_s += step_s
        now_s = time.reach(run_s, before_s, inf)
        assert now_s >= before_s
        time.follow(now_s, rate)
    clock = time.clock
    if clock.rate:
        due_s = now_s + after_s
        assert time.reach(clock.when(due_s), now_s, due_s) >= due_s
        assert clock.at(clock.when(due_s)) == pytest.approx(due_s)
    else:
        assert clock.when(now_s + 1.0) == inf


def test_what_was_saved_goes_on_the_same() -> None:
    first, second = lowering(), lowering()
    for bench in (first,):
        paused(bench)
        bench.after(7.0, SwitchState())
    second.logic = PanelLogic(twin())
    second.logic.restore(pickle.loads(pickle.dumps(first.logic.save())))
    assert second.logic.save() == first.logic.save()
    for bench in (first, second):
        bench.now_s, bench.aircraft = first.now_s, first.aircraft
        bench.events = []
    later_s = first.now_s + 3.0
    for bench in (first, second):
        bench.at(later_s, switches("down"), changed(bench.aircraft, paused=False))
        bench.at(later_s + 30.0)
    assert second.logged == first.logged
    assert second.logic.save() == first.logic.save()


def test_a_clock_by_hand() -> None:
    clock = SimulationClock(100.0, 40.0, 2.0)
    assert (clock.at(110.0), clock.when(60.0)) == (60.0, 110.0)
    assert clock.reach(100.0 - 4e-7, 40.0, inf) == 40.0
    assert SimulationClock(100.0, 40.0, 0.0).run_time_of(40.0) == 100.0


def test_each_gap_is_reported_by_itself() -> None:
    """By hand, at most 60 s a step: gaps of 100 s and of 1,000 s skip 40 s and 940 s."""
    logic = PanelLogic(twin(), longest_step_s=60.0)
    texts = []
    for now_s in (0.0, 100.0, 101.0, 1101.0, 1102.0):
        events = logic.step(now_s, switches("down"), AircraftState()).events
        texts += [one.text for one in events if one.name == "time_skipped"]
    assert [text.split(": ")[1].split()[0] for text in texts] == ["40", "940"]
