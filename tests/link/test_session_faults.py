"""Faults of a session: reported once, nothing is commanded, and the board is found again."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from panelbridge.config.panel_file import PanelFile
from panelbridge.errors import LinkError, PortBusy, PortMissing
from panelbridge.link.session import BoardLive, BoardLost, StateArrived
from panelbridge.link.wire import MessageType, ReportFlag, SetupReply, SetupStatus
from panelbridge.link.wire.time_outs import (
    BACK_OFF_CAP_S,
    BACK_OFF_FIRST_S,
    HELLO_WAIT_S,
    REPLY_WAIT_S,
    SETUP_TRIES,
    SILENCE_S,
)
from panelbridge.signals import Event, Level, Outputs
from tests.link.bench import STEP_S, Bench


def faults(bench: Bench) -> list[str]:
    return [h.text for h in bench.received(Event) if h.level is Level.FAULT]


def test_a_missing_port_is_reported_once_and_tried_less_and_less_often(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.outcomes = [PortMissing("there is no such port", "/dev/fake", "plug it in")] * 100
    bench.run(30.0)
    assert faults(bench) == ["board gear (/dev/fake): there is no such port; plug it in"]
    assert bench.session.health().message == "there is no such port; plug it in"
    assert bench.state == "waiting"
    waits = [b - a for a, b in zip(bench.opened, bench.opened[1:], strict=False)]
    law = [min(BACK_OFF_FIRST_S * 2**tries, BACK_OFF_CAP_S) for tries in range(len(waits))]
    assert waits == pytest.approx(law, abs=2 * STEP_S)
    assert law[-1] == BACK_OFF_CAP_S


def test_another_trouble_is_loud_again(panel: PanelFile) -> None:
    bench = Bench(panel)
    missing: LinkError = PortMissing("there is no such port", "/dev/fake")
    busy: LinkError = PortBusy("another program holds the port", "/dev/fake")
    bench.outcomes = [missing, missing, busy, busy, missing]
    bench.run(6.0)
    assert bench.names()[:2] == ["port_missed", "port_found_busy"]
    assert bench.names().count("port_missed") == 1


def test_a_port_that_comes_is_used(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.outcomes = [PortMissing("there is no such port", "/dev/fake")]
    bench.run(BACK_OFF_FIRST_S + 2 * STEP_S)
    bench.peer.hello()
    bench.run(0.2)
    assert bench.state == "live"
    assert bench.names() == ["port_missed", "board_connected"]
    assert bench.session.health().message == ""
    assert bench.session.health().reconnects == 0


def test_a_slow_opening_blocks_nothing_and_is_reported(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.outcomes = [None]
    bench.run(HELLO_WAIT_S + 1.0)
    assert bench.state == "opening"
    assert len(bench.opened) == 1
    assert "takes a long time" in bench.session.health().message


def test_a_board_that_never_says_hello(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.peer.mute = True
    bench.run(20.0)
    assert bench.names() == ["board_not_heard"]
    assert "has not answered" in faults(bench)[0]
    assert "no byte has come" in faults(bench)[0]
    assert "is the sketch flashed" in faults(bench)[0]
    assert set(bench.peer.kinds_heard()) == {MessageType.HELLO_REQUEST}
    assert len(bench.opened) >= 3
    assert all(port.closed for port in bench.ports[:-1])


def test_garbage_has_a_message_of_its_own(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.peer.loses = lambda message: True
    bench.turn()
    for _ in range(60):
        bench.peer.inbox.append(bytes(range(1, 200)) + b"\0")
        bench.run(0.1)
    assert bench.names() == ["board_not_heard"]
    assert "bytes come but no frame" in faults(bench)[0]
    assert "right sketch" in faults(bench)[0]
    assert "baud" in faults(bench)[0]
    assert bench.session.health().frame_errors > 10


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"protocol": 2}, "speaks version 2 of the protocol, this program speaks 1; flash"),
        ({"code": 3}, "says that it is a mega2560, the panel file says uno"),
        ({"code": 99}, "of an unknown kind (99)"),
        ({"code": 200}, "of another kind (code 200)"),
    ],
)
def test_a_board_that_can_not_be_used(panel: PanelFile, change: dict[str, int], words: str) -> None:
    bench = Bench(panel)
    for name, value in change.items():
        setattr(bench.peer, name, value)
    bench.turn()
    bench.peer.hello()
    bench.run(0.1)
    assert bench.state == "refused"
    bench.session.command(bench.clock.now(), Outputs({"nose_green": 255}))
    bench.run(3 * BACK_OFF_CAP_S)
    assert words in faults(bench)[0]
    assert bench.names() == ["board_refused"]
    assert words in bench.session.health().message
    assert set(bench.peer.kinds_heard()) <= {MessageType.HELLO_REQUEST}  # nothing commanded
    assert bench.received(BoardLive) == []


def test_a_refused_board_is_tried_seldom_and_its_right_successor_is_taken(
    panel: PanelFile,
) -> None:
    bench = Bench(panel)
    bench.peer.code = 3
    bench.turn()
    bench.peer.hello()
    bench.run(1.0)
    assert len(bench.opened) == 1
    bench.peer.code = 1
    bench.run(BACK_OFF_CAP_S)
    bench.peer.hello()
    bench.run(0.3)
    assert bench.state == "live"


@pytest.mark.parametrize(
    ("status", "words"),
    [
        (SetupStatus.PIN_CANNOT, "lamp nose_green on pin D5: the pin cannot do that"),
        (SetupStatus.NO_SUCH_PIN, "the board has no such pin"),
        (SetupStatus.PIN_IN_USE, "the pin is used already"),
        (99, "unknown code 99"),
    ],
)
def test_a_refused_item_is_named_in_the_users_words(
    panel: PanelFile, status: int, words: str
) -> None:
    bench = Bench(panel)
    lamp = bench.plan.items[3].pack()
    bench.peer.status = lambda message: status if message == lamp else SetupStatus.OK
    bench.turn()
    bench.peer.hello()
    bench.run(1.0)
    assert bench.state == "refused"
    assert "the board refuses lamp nose_green on pin D5" in faults(bench)[0]
    assert words in faults(bench)[0]
    assert bench.peer.commands == []
    assert bench.received(BoardLive) == []


def test_a_set_up_that_is_refused_as_a_whole(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.peer.status = lambda message: (
        SetupStatus.TOO_MANY_ITEMS if message[0] == MessageType.SETUP_BEGIN else SetupStatus.OK
    )
    bench.turn()
    bench.peer.hello()
    bench.run(1.0)
    assert "refuses the start of the set-up: the board takes fewer pins" in faults(bench)[0]


def test_a_set_up_that_is_not_answered(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.turn()
    bench.peer.hello()
    bench.turn()
    bench.peer.mute = True
    bench.run(SETUP_TRIES * REPLY_WAIT_S + 0.1)
    assert bench.names() == ["board_not_heard"]
    assert "does not answer the set-up" in faults(bench)[0]
    assert bench.peer.heard[1:] == [bench.plan.items[0].pack()] * SETUP_TRIES
    assert "switch gear_handle (up contact) on pin D2" in faults(bench)[0]


def every_other() -> Callable[[bytes], bool]:
    count = 0

    def loses(message: bytes) -> bool:
        nonlocal count
        count += 1
        return count % 2 == 1

    return loses


def test_lost_set_up_messages_are_sent_again(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.turn()
    bench.peer.hello()
    bench.peer.loses = every_other()
    bench.run(10.0, reports=True)
    assert bench.state == "live"
    assert tuple(bench.peer.items) == bench.plan.items


def test_a_board_that_lost_its_place_is_set_up_from_the_beginning(panel: PanelFile) -> None:
    bench = Bench(panel)
    once = [SetupStatus.BAD_ORDER]
    item = bench.plan.items[2].pack()
    bench.peer.status = lambda message: once.pop() if once and message == item else SetupStatus.OK
    bench.go_live()
    assert bench.peer.kinds_heard().count(MessageType.SETUP_BEGIN) == 2
    assert tuple(bench.peer.items) == bench.plan.items


def test_a_checksum_that_never_agrees_is_refused(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.peer.status = lambda message: (
        SetupStatus.BAD_CHECKSUM if message[0] == MessageType.SETUP_COMMIT else SetupStatus.OK
    )
    bench.turn()
    bench.peer.hello()
    bench.run_until("refused")
    assert "do not agree on the set-up's checksum" in faults(bench)[0]


def test_a_commit_whose_reply_has_another_checksum_is_not_taken_for_done(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.turn()
    bench.peer.hello()
    bench.peer.loses = lambda message: message[0] == MessageType.SETUP_COMMIT
    while MessageType.SETUP_COMMIT not in bench.peer.kinds_heard():
        bench.run(STEP_S)
    reply = SetupReply(bench.peer.session, MessageType.SETUP_COMMIT, 0, 0, bench.plan.checksum ^ 1)
    bench.peer.send(reply.pack())
    bench.run(0.02)
    assert bench.peer.commands == []
    assert bench.peer.kinds_heard().count(MessageType.SETUP_BEGIN) == 2


def test_replies_that_are_late_doubled_or_strange_change_nothing(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.peer.loses = lambda message: True
    bench.turn()
    bench.peer.hello()
    bench.turn()
    session = bench.peer.heard[0][1]
    for reply in (
        SetupReply(session, MessageType.SETUP_COMMIT, 0, 0, bench.plan.checksum),  # not yet
        SetupReply(session, MessageType.SETUP_ITEM, 0, 0, 0xFFFF),  # not yet
        SetupReply(session % 255 + 1, MessageType.SETUP_BEGIN, 0, 0, 0xFFFF),  # another session
        SetupReply(session % 255 + 1, MessageType.SETUP_BEGIN, 0, 3, 0xFFFF),
    ):
        bench.peer.send(reply.pack())
        bench.run(0.02)
    assert bench.peer.kinds_heard() == [MessageType.SETUP_BEGIN]
    right = SetupReply(session, MessageType.SETUP_BEGIN, 0, 0, 0xFFFF).pack()
    bench.peer.send(right)
    bench.peer.send(right)
    bench.run(0.02)
    assert bench.peer.heard[1:] == [bench.plan.items[0].pack()]


def test_a_set_up_message_is_repeated_no_sooner_than_its_reply_may_take(panel: PanelFile) -> None:
    bench = Bench(panel, url="simboard://gear")  # polled more often than anything is due
    bench.peer.loses = lambda message: True
    bench.turn()
    bench.peer.hello()
    bench.run(REPLY_WAIT_S)
    assert bench.peer.kinds_heard() == [MessageType.SETUP_BEGIN]
    bench.run(3 * STEP_S)
    assert bench.peer.kinds_heard() == [MessageType.SETUP_BEGIN] * 2


def test_a_board_that_reports_but_says_no_hello_is_not_flooded(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.peer.loses = lambda message: True
    bench.run(2.0, reports=True)
    assert 2 <= bench.peer.kinds_heard().count(MessageType.HELLO_REQUEST) <= 5


def test_half_a_frame_of_before_the_unplug_spoils_nothing_after_it(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.peer.inbox = [bench.peer.report()[:6]]
    bench.turn()
    bench.port.broken = True
    bench.run(BACK_OFF_FIRST_S + 0.1)
    bench.peer.reset()
    bench.peer.hello()
    bench.run(0.2)
    assert bench.state == "live"
    assert bench.session.health().frame_errors == 0


def test_resets_are_forgiven_once_the_board_is_live(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    for _ in range(6):
        bench.peer.reset()
        bench.peer.hello()
        bench.turn()
        bench.peer.reset()  # and once more in the middle of the set-up
        bench.peer.hello()
        bench.run(0.3)
        assert bench.state == "live"
    assert faults(bench) == []


def test_silence_is_a_loss_and_the_board_is_found_again(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.session.command(bench.clock.now(), Outputs({"nose_green": 255}))
    bench.run(SILENCE_S - 0.02)
    assert bench.received(BoardLost) == []
    bench.run(0.1)
    assert len(bench.received(BoardLost)) == 1
    assert f"silent for {SILENCE_S:g} s" in bench.received(BoardLost)[0].reason
    assert bench.state == "waiting"
    assert bench.port.closed
    bench.run(0.4)
    bench.peer.contacts = 0b100  # moved meanwhile
    bench.peer.hello()
    bench.run(0.3)
    assert bench.state == "live"
    assert bench.session.health().reconnects == 1
    assert bench.names() == ["board_connected", "board_lost", "board_reconnected"]
    assert bench.received(BoardLive)[-1] == BoardLive(0b100, ())
    assert bench.peer.commands[0].outputs[0] == 255  # the lamp is lit again


def test_frames_of_another_session_are_no_sign_of_life(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.events.clear()
    for _ in range(int(SILENCE_S / 0.1) + 2):
        bench.peer.report(session=bench.peer.session % 255 + 1, contacts=0b111)
        bench.run(0.1)
    assert len(bench.received(BoardLost)) == 1
    assert bench.received(StateArrived) == []
    assert "no report of this session" in bench.received(BoardLost)[0].reason


def test_garbage_on_a_live_link_is_distinguished_from_silence(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    for _ in range(int(SILENCE_S / 0.1) + 2):
        bench.peer.inbox.append(b"\x55\xaa" * 20 + b"\0")
        bench.run(0.1)
    assert "bytes come but no good frame" in bench.received(BoardLost)[0].reason


def test_a_board_that_reported_and_is_mute_has_sent_no_bytes(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.run(0.5, reports=True)
    bench.run(SILENCE_S + 0.1)
    assert bench.received(BoardLost)[0].reason == f"the board has been silent for {SILENCE_S:g} s"


def test_a_board_that_reports_and_answers_nothing_has_a_message_of_its_own(
    panel: PanelFile,
) -> None:
    bench = Bench(panel)
    bench.peer.loses = lambda message: True
    bench.run(HELLO_WAIT_S + 0.1, reports=True)
    assert "the board sends frames but has not answered" in faults(bench)[0]
    assert "does not hear this computer" in faults(bench)[0]


def test_a_stall_of_ours_is_no_silence_of_the_board(panel: PanelFile) -> None:
    """After a pause of the computer the bytes that waited are read before anything is judged."""
    bench = Bench(panel)
    bench.go_live()
    bench.clock.advance(3.0)
    bench.peer.report()
    bench.turn()
    assert bench.state == "live"
    assert bench.received(BoardLost) == []


@pytest.mark.parametrize("on", ["read", "command"])
def test_an_unplug_is_a_loss_wherever_it_shows(panel: PanelFile, on: str) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.port.broken = True
    if on == "command":
        bench.session.command(bench.clock.now(), Outputs({"nose_green": 1}))
        assert bench.session.next_due_s == float("-inf")
    bench.turn()
    assert [event.reason for event in bench.received(BoardLost)] == ["the port went away"]
    assert bench.names()[-1] == "board_lost"
    assert bench.ports[0].closed


def test_edges_that_came_before_the_unplug_are_still_delivered(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.clock.advance(0.02)
    bench.peer.edge(0, True)
    bench.port.broken = True
    bench.turn()
    bench.turn()
    kinds = [type(event).__name__ for event in bench.events]
    assert kinds.index("EdgesArrived") < kinds.index("BoardLost")


def test_five_losses_leave_a_live_link_and_five_reconnects(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    for _ in range(5):
        bench.port.broken = True
        bench.run(BACK_OFF_FIRST_S + 0.1)
        bench.peer.reset()
        bench.peer.hello()
        bench.run(0.3)
        assert bench.state == "live"
    assert bench.session.health().reconnects == 5
    assert bench.names().count("board_lost") == 5  # each is loud: it had been live between
    assert all(port.closed for port in bench.ports[:-1])


def test_a_port_that_goes_away_and_stays_missing_is_reported_once(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.outcomes = [PortMissing("there is no such port", "/dev/fake")] * 50
    bench.port.broken = True
    bench.run(20.0)
    assert bench.names() == ["board_connected", "board_lost"]
    assert bench.session.health().message == "there is no such port"


def test_a_reset_while_live_sets_up_again_without_opening_again(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.session.command(0.0, Outputs({"nose_green": 33}))
    bench.go_live()
    bench.peer.reset()
    bench.peer.hello()
    bench.run(0.2)
    assert bench.state == "live"
    assert len(bench.opened) == 1
    assert bench.names() == ["board_connected", "board_was_reset", "board_reconnected"]
    assert bench.session.health().reconnects == 1
    assert [type(e).__name__ for e in bench.events if not isinstance(e, Event)] == [
        "BoardLive",
        "BoardLost",
        "BoardLive",
    ]
    assert bench.peer.commands[0].outputs[0] == 33


def test_a_reset_with_the_same_boot_number_is_seen_by_the_missing_set_up(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.peer.checksum_in_force = 0
    bench.peer.hello()
    bench.run(0.2)
    assert "board_was_reset" in bench.names()
    assert bench.state == "live"


def test_a_hello_of_the_live_board_is_no_reset(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.peer.hello()
    bench.run(0.2)
    assert bench.names() == ["board_connected"]


def test_another_board_after_a_reset_is_refused(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.peer.reset()
    bench.peer.code = 3
    bench.peer.hello()
    bench.run(0.2)
    assert bench.state == "refused"
    assert bench.names()[-1] == "board_refused"
    assert len(bench.received(BoardLost)) == 1


def test_a_board_that_resets_again_and_again_is_given_up_for_a_while(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.turn()
    bench.peer.loses = lambda message: message[0] != MessageType.SETUP_BEGIN
    for _ in range(6):
        bench.peer.reset()
        bench.peer.hello()
        bench.run(0.05)
    assert "resets again and again" in faults(bench)[0]
    assert "supply" in faults(bench)[0]
    assert bench.state == "waiting"


def test_a_set_up_board_that_never_reports_is_lost(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.peer.reports_by_itself = False
    bench.turn()
    bench.peer.hello()
    bench.run(SILENCE_S + 0.2)
    assert bench.received(BoardLive) == []
    assert bench.names() == ["board_not_heard"]


def test_flags_of_the_board_are_reported_once(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    flags = ReportFlag.NOISY_CONTACT | ReportFlag.EDGES_LOST
    for _ in range(3):
        bench.peer.report(flags=flags)
        bench.run(0.05)
        bench.peer.report(flags=0)
        bench.run(0.05)
    assert bench.names() == ["board_connected", "contact_found_noisy", "edges_lost"]


def test_a_board_that_thinks_the_host_silent_is_commanded_at_once(panel: PanelFile) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.clock.advance(0.02)
    sent = len(bench.peer.commands)
    bench.peer.report(flags=ReportFlag.HOST_SILENT)
    bench.turn()
    assert len(bench.peer.commands) == sent + 1


@pytest.mark.parametrize(
    "message",
    [b"\x81\x01", b"\x82\x01", b"\x42strange", b"\x83"],
)
def test_messages_that_make_no_sense_are_counted_and_ignored(
    panel: PanelFile, message: bytes
) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.events.clear()
    bench.peer.send(message)
    bench.run(0.05)
    assert bench.events == []
    assert bench.session.health().frame_errors == 1


@pytest.mark.parametrize(
    "body",
    [
        "00 00 00",  # a byte too many
        "00 00 01",  # announces no edge and has one
        "02 00 01",  # announces two edges and has one
        "11" + " 00" * 18,  # more edges than may be
        "00 08",  # a contact that is not set up
        "01 00 03",  # an edge of it
        "02 00 01 83",  # the same among others
    ],
)
def test_a_report_that_does_not_fit_the_set_up_changes_nothing(panel: PanelFile, body: str) -> None:
    bench = Bench(panel)
    bench.go_live()
    bench.events.clear()
    head = bytes([0x83, bench.peer.session, 9, 0, 0, 0, 0, 0, 0, 0])
    bench.peer.send(head + bytes.fromhex(body))
    bench.run(0.05)
    assert bench.events == []
    assert bench.session.health().frame_errors == 1
    bench.peer.send(head + b"\0\x05")
    bench.run(0.05)
    assert bench.events == [StateArrived(0b101, ())]
