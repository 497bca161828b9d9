"""A host that was silent (suspended, stopped, overloaded): what came meanwhile moves nothing."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.config.panel_file import PanelFile
from panelbridge.link.session import BoardLost, EdgesArrived, StateArrived, SwitchesForgotten
from panelbridge.link.session.link_events import OFTEN, OFTEN_WITHIN_S
from panelbridge.link.wire import Edge, ReportFlag
from panelbridge.link.wire.time_outs import SILENCE_S
from panelbridge.signals import Event, Level
from tests.link.bench import STEP_S, Bench
from tests.link.conftest import make_panel

SILENT = int(ReportFlag.HOST_SILENT)
HOST_TIMEOUT_S = 0.5


def live_bench(panel: PanelFile) -> Bench:
    bench = Bench(panel)
    bench.go_live()
    bench.run(0.3, reports=True)
    bench.events.clear()
    return bench


def of_switches(bench: Bench) -> list[object]:
    return [event for event in bench.events if not isinstance(event, Event)]


def test_after_a_sleep_the_switches_are_found_and_not_moved(panel: PanelFile) -> None:
    bench = live_bench(panel)
    for _ in range(300):  # what waits in the port: the handle was moved in it
        bench.clock.advance(0.1)
        bench.peer.report(flags=SILENT)
    bench.peer.edge(1, False, flags=SILENT)
    bench.peer.edge(0, True, flags=SILENT)
    bench.turn()
    assert of_switches(bench) == [SwitchesForgotten()]
    assert bench.names() == ["host_not_heard"]
    assert "this computer stood still for 30." in bench.received(Event)[0].text
    bench.clock.advance(STEP_S)
    bench.peer.report()  # the answer to the COMMAND that went at once
    bench.turn()
    assert of_switches(bench) == [SwitchesForgotten(), StateArrived(0b001, ())]
    bench.peer.edge(0, False)
    bench.turn()
    assert of_switches(bench)[2:] == [EdgesArrived((Edge(0, False),), 0, ())]
    assert bench.state == "live"
    assert len(bench.opened) == 1


def test_the_boards_word_alone_is_enough(panel: PanelFile) -> None:
    """The clock of a suspended computer may have stood still too; edges come before the word."""
    bench = live_bench(panel)
    bench.clock.advance(STEP_S)
    bench.peer.edge(1, True)
    bench.peer.edge(0, True, flags=SILENT)
    bench.turn()
    assert of_switches(bench) == [SwitchesForgotten()]
    assert "nothing from this computer for a while" in bench.received(Event)[0].text
    bench.peer.report()
    bench.turn()
    assert of_switches(bench)[1:] == [StateArrived(0b011, ())]
    assert bench.names() == ["host_not_heard"]


def test_edges_that_do_not_fit_into_a_report_are_history_too(panel: PanelFile) -> None:
    bench = live_bench(panel)
    edges = tuple(Edge(number % 2, number % 4 > 1) for number in range(20))
    bench.clock.advance(10.0)
    bench.peer.report(edges=edges[:16], flags=SILENT)
    bench.turn()
    bench.peer.report(edges=edges[:16], first_edge=0)  # sent again with the answer
    bench.turn()
    assert of_switches(bench) == [SwitchesForgotten()]
    bench.peer.report(edges=edges[16:], first_edge=16)
    bench.turn()
    assert of_switches(bench)[1:] == [StateArrived(bench.peer.contacts, ())]


@pytest.mark.parametrize(("away_s", "events"), [(1.9, 0), (2.1, 1)])
def test_a_turn_counts_as_too_long_only_far_beyond_the_boards_time_out(
    away_s: float, events: int
) -> None:
    boards = {
        "gear": {"board": "uno", "host_timeout_ms": 1000},
        "pedestal": {"board": "leonardo"},
    }
    bench = live_bench(make_panel(boards=boards))
    bench.clock.advance(away_s - STEP_S)
    bench.peer.report()
    bench.turn()
    assert bench.names() == ["host_not_heard"] * events


def test_late_copies_of_the_boards_word_are_no_news(panel: PanelFile) -> None:
    bench = live_bench(panel)
    bench.clock.advance(STEP_S)
    late = bench.peer.report(flags=SILENT)
    bench.turn()
    bench.peer.report()
    bench.turn()
    for _ in range(3):
        bench.peer.inbox.append(late)
        bench.turn()
    assert bench.names() == ["host_not_heard"]


def test_a_board_that_goes_on_hearing_nothing_is_lost(panel: PanelFile) -> None:
    bench = live_bench(panel)
    heard = bench.peer.commands[-1].sequence
    bench.clock.advance(STEP_S)
    for _ in range(int(SILENCE_S / 0.1) + 1):
        bench.peer.report(flags=SILENT, command_sequence=heard)
        bench.run(0.1)
    assert bench.names() == ["host_not_heard", "board_lost"]
    assert "heard nothing for 1 s" in bench.received(BoardLost)[0].reason


def be_silent(bench: Bench) -> None:
    bench.peer.report(flags=SILENT)
    bench.turn()
    bench.clock.advance(STEP_S)
    bench.peer.report()
    bench.turn()


def test_a_host_that_is_often_silent_gets_a_caution(panel: PanelFile) -> None:
    bench = live_bench(panel)
    for _ in range(OFTEN - 1):
        be_silent(bench)
        bench.run(OFTEN_WITHIN_S / OFTEN, reports=True)
    assert bench.names() == ["host_not_heard"] * (OFTEN - 1)
    be_silent(bench)
    assert bench.names()[OFTEN - 1 :] == ["host_not_heard", "host_often_not_heard"]
    caution = bench.received(Event)[-1]
    assert caution.level is Level.CAUTION
    assert "4 times in 10 minutes" in caution.text
    assert "power saving" in caution.text


def test_a_host_that_is_seldom_silent_gets_none(panel: PanelFile) -> None:
    bench = live_bench(panel)
    for _ in range(2 * OFTEN):
        be_silent(bench)
        bench.run(OFTEN_WITHIN_S / (OFTEN - 1) + 1, reports=True)
    assert set(bench.names()) == {"host_not_heard"}


@given(
    st.lists(st.tuples(st.integers(0, 2), st.booleans(), st.booleans()), max_size=12),
    st.floats(2 * HOST_TIMEOUT_S + 0.1, 40.0),
)
def test_no_edge_from_the_time_of_a_silence_reaches_the_logic(
    moves: list[tuple[int, bool, bool]], away_s: float
) -> None:
    """Law: whatever moved, and in whatever frames it came, only the state after it is given."""
    bench = live_bench(make_panel())
    for contact, closed, silent in moves:
        bench.peer.edge(contact, closed, flags=SILENT if silent else 0)
    bench.clock.advance(away_s)
    bench.turn()
    assert of_switches(bench) == [SwitchesForgotten()]
    bench.peer.report()
    bench.turn()
    assert of_switches(bench)[1:] == [StateArrived(bench.peer.contacts, ())]
