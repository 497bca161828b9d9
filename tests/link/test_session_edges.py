"""Edges: each one exactly once and in order, whatever the wire does to the frames."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.config.panel_file import PanelFile
from panelbridge.link.session import BoardLive, EdgesArrived, SetupPlan, StateArrived
from panelbridge.link.session.live_dialogue import LiveDialogue
from panelbridge.link.session.session_outputs import LinkCounts
from panelbridge.link.wire import EDGE_MODULO, MAX_EDGES, Edge, Report
from tests.link.bench import Bench
from tests.link.conftest import make_panel

PLAN = SetupPlan.of(make_panel(), "gear")
SHAPE = PLAN.shape


def delivered(bench: Bench) -> list[Edge]:
    return [edge for event in bench.received(EdgesArrived) for edge in event.edges]


def test_a_copy_of_a_report_delivers_nothing_again(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    frame = bench.peer.edge(0, True)
    bench.turn()
    bench.peer.inbox += [frame, frame]
    bench.run(0.02)
    assert delivered(bench) == [Edge(0, True)]


def test_a_repeated_edge_in_a_new_report_is_taken_once_and_acknowledged_again(
    panel: PanelFile,
) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.clock.advance(0.02)
    bench.peer.edge(0, True)
    bench.turn()
    sent = len(bench.peer.commands)
    bench.peer.report(edges=(Edge(0, True),), first_edge=0)  # the acknowledgement was lost
    bench.turn()
    assert delivered(bench) == [Edge(0, True)]
    assert [c.edge_ack for c in bench.peer.commands[sent:]] == [1]


def test_old_and_new_edges_in_one_report_deliver_the_new_ones(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.peer.edge(0, True)
    bench.turn()
    both = (Edge(0, True), Edge(0, False), Edge(1, True))
    bench.peer.report(edges=both, first_edge=0)
    bench.turn()
    assert delivered(bench) == list(both)


def test_a_lost_report_loses_nothing(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.peer.mute = True
    bench.peer.edge(0, True)
    bench.peer.mute = False
    bench.peer.report(edges=(Edge(0, True), Edge(0, False)), first_edge=0)
    bench.turn()
    assert delivered(bench) == [Edge(0, True), Edge(0, False)]


def test_an_overtaken_report_is_ignored(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    first = bench.peer.edge(0, True)
    bench.peer.inbox.clear()
    bench.peer.report(edges=(Edge(0, True), Edge(0, False)), first_edge=0)
    bench.turn()
    bench.peer.inbox.append(first)
    bench.turn()
    assert delivered(bench) == [Edge(0, True), Edge(0, False)]
    assert bench.received(StateArrived) == []


def test_edges_that_the_board_could_not_hold_are_counted(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.peer.report(edges=(Edge(1, True),), first_edge=5)
    bench.turn()
    assert bench.received(EdgesArrived) == [EdgesArrived((Edge(1, True),), 0b10, ())]
    assert bench.session.health().edges_lost == 5
    assert "edges_lost" in bench.names()
    bench.clock.advance(0.2)
    bench.turn()
    assert bench.peer.commands[-1].edge_ack == 6


def test_lost_edges_without_any_left_come_as_a_state(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.peer.report(contacts=0b11, first_edge=40)
    bench.turn()
    assert bench.received(StateArrived) == [StateArrived(0b11, ())]
    assert bench.session.health().edges_lost == 40


def test_lost_edges_are_counted_over_all_sessions(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.peer.report(first_edge=2)
    bench.turn()
    bench.peer.reset()
    bench.peer.hello()
    bench.run(0.2)
    bench.peer.report(first_edge=3)
    bench.turn()
    assert bench.session.health().edges_lost == 5


def report(sequence: int, first_edge: int, edges: tuple[Edge, ...], contacts: int) -> bytes:
    return Report(
        session=3,
        sequence=sequence % 65536,
        command_sequence=0,
        flags=0,
        bad_frames=0,
        first_edge=first_edge % EDGE_MODULO,
        contacts=contacts,
        edges=edges,
    ).pack(SHAPE)


def live_dialogue(sequence: int = 0, first_edge: int = 0) -> LiveDialogue:
    live = LiveDialogue(PLAN, 3, 0.0, "here", LinkCounts())
    assert isinstance(live.take_report(0.0, report(sequence, first_edge, (), 0)), BoardLive)
    return live


def test_the_first_report_s_edges_are_its_state() -> None:
    """A change before the board was live is not a press."""
    live = LiveDialogue(PLAN, 3, 0.0, "here", LinkCounts())
    edges = (Edge(0, True), Edge(0, False))
    assert live.take_report(0.0, report(0, 0, edges, 0)) == BoardLive(0, ())
    assert live.next_edge == 2
    assert live.take_report(0.1, report(1, 0, edges, 0)) is None


def test_a_board_whose_numbers_run_backwards_is_followed() -> None:
    live = live_dialogue(first_edge=100)
    assert live.take_report(0.1, report(1, 50, (), 1)) == StateArrived(1, ())
    assert live.counts.malformed == 1
    edge = (Edge(0, False),)
    assert live.take_report(0.2, report(2, 50, edge, 0)) == EdgesArrived(edge, 0, ())


@pytest.mark.parametrize("start", [65530, 65535, 0, 32767])
def test_numbers_wrap_at_65536(start: int) -> None:
    live = live_dialogue(sequence=start, first_edge=start)
    got: list[Edge] = []
    contacts = 0
    for step in range(1, 20):
        edge = Edge(0, not contacts)
        contacts ^= 1
        event = live.take_report(
            0.01 * step, report(start + step, start + step - 1, (edge,), contacts)
        )
        assert isinstance(event, EdgesArrived)
        got += event.edges
    assert [edge.closed for edge in got] == [step % 2 == 0 for step in range(19)]
    assert live.counts.edges_lost == live.counts.malformed == 0
    assert live.next_edge == (start + 19) % EDGE_MODULO


@st.composite
def noisy_wire(draw: st.DrawFn) -> tuple[int, list[Edge], list[tuple[int, int]]]:
    """Start number, edges, and the arrivals as (sequence, edges made by then)."""
    start = draw(st.sampled_from([0, 1, 65000, 65535]))
    edges = draw(st.lists(st.builds(Edge, st.integers(0, 2), st.booleans()), max_size=60))
    made = sorted(draw(st.lists(st.integers(0, len(edges)), min_size=1, max_size=30)))
    sent = list(enumerate(made, start=1))
    arriving = []
    for each in sent:
        copies = draw(st.integers(0, 3))  # lost, once, doubled
        arriving += [each] * copies
    # Overtaking within a short distance.
    keys = [(place + draw(st.integers(0, 4)), place) for place in range(len(arriving))]
    arriving = [arriving[place] for _, place in sorted(keys)]
    return start, edges, arriving


@given(noisy_wire())
def test_every_edge_exactly_once_in_order(
    case: tuple[int, list[Edge], list[tuple[int, int]]],
) -> None:
    """Law: lost, doubled and overtaken reports never lose, repeat or reorder an edge.

    The board sends all edges since the acknowledged one, at most MAX_EDGES, and holds the rest.
    """
    start, edges, arriving = case
    live = live_dialogue(sequence=start, first_edge=start)
    got: list[Edge] = []
    built: dict[int, bytes] = {}
    for sequence, made in arriving:
        if sequence not in built:
            # The board has heard of everything that the host had when this was sent, or less.
            acknowledged = (live.next_edge - start) % EDGE_MODULO
            first = min(acknowledged, made)
            shown = tuple(edges[first:made][:MAX_EDGES])
            built[sequence] = report(start + sequence, start + first, shown, 0)
        event = live.take_report(1.0, built[sequence])
        if isinstance(event, EdgesArrived):
            got += event.edges
    assert got == edges[: len(got)]
    assert live.counts.edges_lost == 0
    assert (live.next_edge - start) % EDGE_MODULO == len(got)


@given(st.binary(max_size=60))
def test_any_bytes_as_a_report_raise_nothing(data: bytes) -> None:
    live = live_dialogue()
    live.take_report(0.1, b"\x83" + data)


@given(st.integers(0, 65535), st.integers(0, 65535), st.integers(0, 16))
def test_the_fast_reader_agrees_with_the_plain_one(sequence: int, first: int, count: int) -> None:
    edges = tuple(Edge(place % 3, place % 2 == 0) for place in range(count))
    message = report(sequence, first, edges, 0b101)
    plain = Report.unpack(message, SHAPE)
    live = live_dialogue(sequence=(sequence - 1) % 65536, first_edge=first)
    event = live.take_report(0.1, message)
    if edges:
        assert event == EdgesArrived(plain.edges, plain.contacts, plain.analogues)
    else:
        assert event == StateArrived(plain.contacts, plain.analogues)
