"""A session that goes as it should: greeting, set-up, live, release."""

from __future__ import annotations

from panelbridge.config.panel_file import PanelFile
from panelbridge.link.session import BoardLive, BoardLost, EdgesArrived, StateArrived
from panelbridge.link.wire import Command, Edge, HelloRequest, MessageType, Release
from panelbridge.link.wire.time_outs import HEARTBEAT_S, QUIET_AFTER_RESET_S, QUIET_S
from panelbridge.signals import Event, HornPattern, Level, Outputs
from tests.link.bench import STEP_S, Bench
from tests.link.conftest import make_panel


def test_a_board_that_says_hello_is_set_up_at_once(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.peer.contacts = 0b10
    bench.go_live()
    assert bench.received(BoardLive) == [BoardLive(0b10, ())]
    assert tuple(bench.peer.items) == bench.plan.items
    assert bench.names() == ["board_connected"]
    assert bench.clock.now() < QUIET_AFTER_RESET_S  # without waiting for the boot loader
    assert MessageType.HELLO_REQUEST not in bench.peer.kinds_heard()


def test_nothing_is_written_before_a_boot_loader_is_done(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.run(QUIET_AFTER_RESET_S)
    assert bench.peer.heard == []
    bench.run(0.1)
    assert bench.peer.heard[0] == HelloRequest().pack()
    bench.run(0.2)
    assert bench.state == "live"


def test_a_board_that_does_not_reset_is_asked_soon(panel: PanelFile) -> None:
    bench = Bench(panel, board="pedestal")
    bench.peer.code = 4
    bench.run(QUIET_S)
    assert bench.peer.heard == []
    bench.run(0.2)
    assert bench.state == "live"


def test_a_board_in_this_process_is_asked_soon(panel: PanelFile) -> None:
    bench = Bench(panel, url="simboard://gear")
    bench.run(QUIET_S + 0.2)
    assert bench.state == "live"


def test_a_board_that_still_reports_to_an_earlier_host_is_asked_at_once(
    panel: PanelFile,
) -> None:
    bench = Bench(panel)
    bench.run(0.1)
    bench.peer.report(session=99)
    bench.run(0.2)
    assert bench.state == "live"
    assert bench.peer.kinds_heard().count(MessageType.HELLO_REQUEST) == 1


def test_lamps_are_sent_as_soon_as_the_set_up_is_in_force(panel: PanelFile) -> None:
    """Also those that were decided before the board was there."""
    bench = Bench(panel)
    bench.session.command(0.0, Outputs({"nose_green": 90}, HornPattern.CONTINUOUS))
    bench.go_live()
    assert bench.peer.commands[0].outputs == (90, 0, 2, 0)


def test_without_any_decision_the_outputs_are_idle(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    assert bench.peer.commands[0].outputs == bench.plan.idle_values == (0, 0, 0, 1000)


def test_a_changed_output_goes_out_at_once_and_an_equal_one_does_not(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    sent = len(bench.peer.commands)
    bench.session.command(bench.clock.now(), Outputs({"nose_red": 255}))
    assert [c.outputs for c in bench.peer.commands[sent:]] == [(0, 255, 0, 0)]
    bench.session.command(bench.clock.now(), Outputs({"nose_red": 255, "not_ours": 9}))
    assert len(bench.peer.commands) == sent + 1


def test_heartbeats_come_and_keep_their_pace(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.run(0.05)
    before = len(bench.peer.commands)
    bench.run(1.0, reports=True)
    assert 1.0 / (HEARTBEAT_S + STEP_S) - 1 <= len(bench.peer.commands) - before <= 10


def test_heartbeats_are_faster_for_a_board_with_a_short_time_out() -> None:
    boards = {"gear": {"board": "uno", "host_timeout_ms": 100}, "pedestal": {"board": "leonardo"}}
    bench = Bench(make_panel(boards=boards))
    bench.go_live()
    before = len(bench.peer.commands)
    bench.run(1.0, reports=True)
    assert len(bench.peer.commands) - before >= 25  # three of them in each time-out


def test_an_edge_is_delivered_and_answered_in_the_same_turn(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.clock.advance(0.02)
    sent = len(bench.peer.commands)
    bench.peer.edge(1, True)
    assert bench.turn() == [EdgesArrived((Edge(1, True),), 0b10, ())]
    assert [c.edge_ack for c in bench.peer.commands[sent:]] == [1]


def test_an_output_that_an_edge_changes_rides_on_its_acknowledgement(panel: PanelFile) -> None:
    """One frame answers an edge, not two."""
    bench = Bench(panel)
    bench.go_live()
    bench.clock.advance(0.02)
    sent = len(bench.peer.commands)
    bench.peer.edge(0, True)
    for event in bench.session.poll(bench.clock.now()):
        assert isinstance(event, EdgesArrived)
        bench.session.command(bench.clock.now(), Outputs({"nose_green": 7}))
    assert [(c.edge_ack, c.outputs[0]) for c in bench.peer.commands[sent:]] == [(1, 7)]


def test_outputs_of_poll_that_are_not_taken_come_again(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.peer.edge(0, True)
    bench.session.poll(bench.clock.now())  # not iterated
    assert bench.session.next_due_s == float("-inf")
    assert bench.turn() == [EdgesArrived((Edge(0, True),), 1, ())]


def test_an_unchanged_state_is_no_event(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.events.clear()
    bench.run(1.0, reports=True)
    assert bench.events == []


def test_a_moved_lever_is_a_state(panel: PanelFile) -> None:
    bench = Bench(panel, board="pedestal")
    bench.peer.code = 4
    bench.go_live()
    bench.peer.report(analogues=(512,))
    assert bench.turn() == [StateArrived(0, (512,))]


def test_sessions_have_other_numbers_each_time(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    first = bench.peer.session
    bench.peer.reset()
    bench.peer.hello()
    bench.run(0.3)
    assert bench.state == "live"
    assert bench.peer.session not in (0, first)


def test_round_trip_is_measured_from_a_command_to_the_report_that_names_it(
    panel: PanelFile,
) -> None:
    bench = Bench(panel)
    bench.go_live()
    assert bench.session.health().round_trip_ms is None
    sent = len(bench.peer.commands)
    while len(bench.peer.commands) == sent:
        bench.run(STEP_S)
    bench.clock.advance(0.003)
    bench.peer.report()
    bench.turn()
    measured = bench.session.health().round_trip_ms
    assert measured is not None
    assert round(measured, 6) == round(1000 * (STEP_S + 0.003), 6)


def test_round_trip_is_measured_however_commands_and_reports_fall_together(
    panel: PanelFile,
) -> None:
    """A board whose reports come just before the heartbeats still gets a question now and then."""
    bench = Bench(panel)
    bench.go_live()
    for _ in range(30):
        sent = len(bench.peer.commands)
        bench.run(0.05)
        if len(bench.peer.commands) > sent and bench.session.next_due_s > bench.clock.now():
            bench.peer.report()  # it answers a question in the middle
        bench.run(0.05)
        bench.peer.report()
        bench.turn()
    measured = bench.session.health().round_trip_ms
    assert measured is not None
    assert measured <= 50.0


def test_a_report_that_crosses_a_command_is_no_answer_to_it(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    sent = len(bench.peer.commands)
    while len(bench.peer.commands) == sent:
        bench.run(STEP_S)
    before = bench.peer.commands[-2].sequence
    bench.peer.report(command_sequence=before)
    bench.turn()
    bench.clock.advance(0.09)
    bench.peer.report()
    bench.turn()
    assert bench.session.health().round_trip_ms is None


def test_a_probe_that_no_report_names_makes_no_flood_of_commands(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    before, old = len(bench.peer.commands), bench.peer.commands[-1].sequence
    for _ in range(50):
        bench.run(0.1)
        bench.peer.report(command_sequence=old)
    assert len(bench.peer.commands) - before < 100
    assert bench.session.health().round_trip_ms is None


def test_release_brings_the_board_to_idle_and_closes_the_port(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    before = bench.clock.now()
    bench.session.release(bench.clock)
    assert bench.peer.heard[-1] == Release().pack()
    assert bench.clock.now() == before  # it answered, no wait was needed
    assert bench.port.closed
    assert bench.state == "idle"
    assert bench.session.fileno() is None
    assert bench.turn() == []
    assert bench.session.next_due_s == float("inf")
    bench.session.release(bench.clock)
    assert bench.peer.kinds_heard().count(MessageType.RELEASE) == 1


def test_release_is_repeated_and_its_wait_is_bounded(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.peer.mute = True
    before = bench.clock.now()
    bench.session.release(bench.clock)
    assert bench.peer.kinds_heard().count(MessageType.RELEASE) == 2
    assert 0.19 <= bench.clock.now() - before <= 0.22
    assert bench.port.closed


def test_release_of_a_port_that_is_gone_is_quiet(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.port.broken = True
    bench.session.release(bench.clock)
    assert bench.port.closed
    assert bench.state == "idle"


def test_release_while_opening_gives_the_opening_up(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.outcomes = [None]
    bench.turn()
    assert bench.state == "opening"
    bench.session.release(bench.clock)
    assert bench.openings[0].abandoned
    assert bench.state == "idle"


def test_release_before_the_first_poll(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.session.release(bench.clock)
    assert bench.turn() == []
    assert bench.opened == []


def test_the_last_frames_both_ways_are_kept(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.peer.inbox.append(b"damaged\0")
    bench.turn()
    bench.run(30.0, reports=True)
    frames = bench.session.recent_frames()
    assert len(frames) == 200
    assert {way for _, way, _ in frames} == {"<", ">"}
    assert [time_s for time_s, _, _ in frames] == sorted(time_s for time_s, _, _ in frames)
    command = next(data for _, way, data in frames if way == ">")
    assert Command.unpack(command, bench.plan.shape).session == bench.peer.session


def test_damaged_bytes_are_kept_too(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.peer.inbox.append(b"damaged\0")
    bench.turn()
    assert bench.session.recent_frames()[-1][1:] == ("!", b"damaged\0")
    assert bench.session.health().frame_errors == 1


def test_health_counts_frames(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.peer.report(bad_frames=3)
    bench.turn()
    health = bench.session.health()
    assert (health.name, health.kind, health.url) == ("gear", "uno", "/dev/fake")
    assert health.frames_sent == len(bench.peer.heard)
    replies = len(bench.plan.items) + 2
    assert health.frames_received == 1 + replies + 2  # hello, replies, reports
    assert health.board_errors == 3
    assert health.frame_errors == health.reconnects == health.edges_lost == 0
    assert health.message == ""


def test_events_of_a_normal_start_are_no_alarm(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    assert [h.level for h in bench.received(Event)] == [Level.INFO]
    assert bench.received(BoardLost) == []
