from __future__ import annotations

import random
import threading
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from panelbridge.clock import VirtualClock
from panelbridge.config.boards import BOARDS
from panelbridge.errors import LogicError
from panelbridge.link.wire import (
    Command,
    Edge,
    Hello,
    ItemFlag,
    ItemKind,
    Report,
    ReportFlag,
    SetupBegin,
    SetupCommit,
    SetupItem,
    SetupReply,
    SetupStatus,
)
from panelbridge.link.wire.frames import FrameParser, encode_frame
from panelbridge.simboard.board.outputs import ToneOrder
from panelbridge.simboard.board.setup_book import SetupBook
from panelbridge.simboard.board.sim_board import SimBoard
from panelbridge.simboard.contacts.contact import bouncing
from tests.simboard.benches import UrlBench
from tests.simboard.host import CONTACT_FLAGS, PLAN, Host, Plan, contact


def set_up(board: SimBoard, now_s: float, plan: Plan = PLAN, timeout_ms: int = 500) -> None:
    begin = SetupBegin(1, len(plan.items), plan.checksum, timeout_ms, 100).pack()
    commit = SetupCommit(plan.checksum).pack()
    for message in (begin, *(item.pack() for item in plan.items), commit):
        board.receive(now_s, encode_frame(message))


def reports(board: SimBoard, plan: Plan = PLAN) -> list[tuple[float, Report]]:
    found = []
    for time_s, frame in board.take_timed_output():
        for message in FrameParser().feed(frame):
            if message[0] == 0x83:
                found.append((time_s, Report.unpack(message, plan.shape)))
    return found


def test_hello_comes_at_once_and_at_each_half_second() -> None:
    board = SimBoard("nano", firmware=(3, 4), boot_id=77)
    board.advance(1.3)
    sent = board.take_timed_output()
    assert [time_s for time_s, _ in sent] == [0.0, 0.5, 1.0]
    hello = Hello.unpack(FrameParser().feed(sent[0][1])[0])
    assert (hello.firmware_major, hello.firmware_minor, hello.boot_id) == (3, 4, 77)
    assert board.next_due_s == 1.5


def test_another_protocol_version_is_told() -> None:
    board = SimBoard("uno", protocol=9)
    assert Hello.unpack(FrameParser().feed(board.take_output())[0]).protocol == 9


def test_contacts_that_change_at_one_instant_come_in_one_report() -> None:
    """As on a board that reads all of them in turn before it sends."""
    plan = Plan((contact(0, 2), contact(1, 4), contact(2, 6)))
    board = SimBoard("uno")
    set_up(board, 1.0, plan)
    for pin in ("D2", "D4", "D6"):
        board.plan_contact(1.5, pin, [(2.0, True)])
    board.advance(2.05)
    edges = [report.edges for _, report in reports(board, plan) if report.edges]
    assert edges[0] == (Edge(0, True), Edge(1, True), Edge(2, True))


def test_times_of_reports() -> None:
    board = SimBoard("mega2560")
    set_up(board, 1.0)
    board.set_contact(1.25, "D2", True)
    board.advance(1.4)
    assert [round(time_s, 3) for time_s, _ in reports(board)] == [
        1.01,  # the contacts have settled
        1.11,
        1.21,
        1.255,  # the edge, when it has settled
        1.295,  # and again while it is not acknowledged
        1.335,
        1.375,
    ]
    board.receive(1.41, encode_frame(Command(1, 1, 1, (0, 0, 0)).pack(PLAN.shape)))
    board.advance(1.6)
    times = [round(time_s, 3) for time_s, _ in reports(board)]
    assert times == [1.41, 1.51]  # the answer to the command; then the interval again


def test_no_answer_to_a_command_so_shortly_after_a_report() -> None:
    board = SimBoard("mega2560")
    set_up(board, 1.0)
    for number, time_s in enumerate((1.005, 1.029, 1.0301, 1.04, 1.051), 1):
        board.receive(time_s, encode_frame(Command(1, number, 0, (0, 0, 0)).pack(PLAN.shape)))
    assert [round(time_s, 4) for time_s, _ in reports(board)] == [1.01, 1.0301, 1.051]


def test_host_time_out_is_exact_and_counts_from_the_commit_at_first() -> None:
    board = SimBoard("mega2560")
    set_up(board, 1.0, timeout_ms=500)
    silent = []
    for time_s in (1.499, 1.5):
        board.advance(time_s)
        silent.append(board.outputs.host_silent)
    board.receive(2.0, encode_frame(Command(1, 1, 0, (9, 1, 1)).pack(PLAN.shape)))
    assert [*silent, board.outputs.host_silent] == [False, True, False]
    board.advance(2.499)
    assert board.outputs.lamps["D5"] == 9
    board.advance(2.5)
    assert (board.outputs.lamps["D5"], board.outputs.idle) == (10, True)
    assert board.outputs.tones["D8"].order is ToneOrder.SILENT


def test_sequences_go_on_from_65535_to_0() -> None:
    board = SimBoard("mega2560")
    set_up(board, 1.0)
    for value, sequence in enumerate((65534, 65535, 0, 1), 1):
        message = Command(1, sequence, 0, (value, 0, 0)).pack(PLAN.shape)
        board.receive(1.0 + value / 10, encode_frame(message))
        assert board.outputs.lamps["D5"] == value


@pytest.mark.thorough
def test_edge_numbers_go_on_from_65535_to_0() -> None:
    plan = Plan((contact(0, 2, debounce_ms=1),))
    board = SimBoard("mega2560")
    set_up(board, 0.0, plan, timeout_ms=5000)
    time_s, closed = 0.02, False
    for number in range(65540):
        closed = not closed
        board.set_contact(time_s, "D2", closed)
        time_s += 0.002
        ack = (number + 1) % 65536
        board.receive(time_s, encode_frame(Command(1, ack, ack, ()).pack(plan.shape)))
        board.take_output() if number < 65535 else None
    last = [report for _, report in reports(board, plan) if report.edges]
    assert [report.first_edge for report in last] == [65535, 0, 1, 2, 3]
    assert not any(report.flags & ReportFlag.EDGES_LOST for report in last)


def test_a_queue_holds_an_edge_of_each_contact() -> None:
    plan = Plan(tuple(contact(n, 2 + n) for n in range(60)))
    board = SimBoard("mega2560")
    set_up(board, 0.0, plan, timeout_ms=5000)
    for pin in sorted(board.board.pins.values(), key=lambda pin: pin.number)[2:62]:
        board.set_contact(1.0, pin.name, True)
    heard: dict[int, Edge] = {}
    for number in range(1, 5):
        board.advance(1.01 + number / 1000)
        for _, report in reports(board, plan):
            heard |= dict(enumerate(report.edges, report.first_edge))
            assert not report.flags & ReportFlag.EDGES_LOST
        message = Command(1, number, len(heard), ()).pack(plan.shape)
        board.receive(1.01 + number / 1000, encode_frame(message))
    assert [heard[number] for number in sorted(heard)] == [Edge(n, True) for n in range(60)]


def test_tone_pattern_starts_with_its_sound_and_a_repeated_command_goes_on_with_it() -> None:
    board = SimBoard("mega2560")
    set_up(board, 1.0)
    for number, time_s in enumerate((2.0, 2.05, 2.15, 2.25), 1):
        board.receive(time_s, encode_frame(Command(1, number, 0, (0, 0, 1)).pack(PLAN.shape)))
    view = board.outputs
    heard = {
        t: view.tones["D8"].sounding(t) for t in (2.0, 2.199, 2.201, 2.299, 2.301, 2.499, 2.501)
    }
    assert list(heard.values()) == [True, True, False, False, True, True, False]


def test_lamp_levels_of_a_lamp_that_a_low_pin_lights() -> None:
    plan = Plan(
        (
            SetupItem(0, ItemKind.LAMP, 5, ItemFlag.PWM | ItemFlag.ACTIVE_LOW),
            SetupItem(1, ItemKind.LAMP, 7, ItemFlag.ACTIVE_LOW),
            SetupItem(2, ItemKind.SERVO, 9, 0, 1000, 1000, 2000),
        )
    )
    board = SimBoard("uno")
    set_up(board, 1.0, plan)
    assert (board.outputs.levels["D5"], board.outputs.servo_us["D9"]) == (255, 1000)
    board.receive(1.1, encode_frame(Command(1, 1, 0, (40, 1, 2500)).pack(plan.shape)))
    assert board.outputs.lamps == {"D5": 40, "D7": 255}
    assert board.outputs.levels == {"D5": 215, "D7": 0}
    assert board.outputs.servo_us == {"D9": 2000}  # held to its limits
    board.receive(1.2, encode_frame(Command(1, 2, 0, (40, 1, 0)).pack(plan.shape)))
    assert board.outputs.servo_us == {"D9": 0}  # no pulse at all


@pytest.mark.parametrize(
    ("flags", "closed_bit", "open_bit"),
    [
        (ItemFlag.PULL_UP | ItemFlag.ACTIVE_LOW, 1, 0),
        (ItemFlag.PULL_UP, 0, 1),  # normally closed: operated means open
        (ItemFlag.ACTIVE_LOW, 1, 1),  # no pull-up: an open pin stays where it was
    ],
)
def test_levels_of_contacts(flags: ItemFlag, closed_bit: int, open_bit: int) -> None:
    plan = Plan((SetupItem(0, ItemKind.CONTACT, 2, flags, 5),))
    board = SimBoard("uno")
    board.set_contact(0.0, "D2", True)
    set_up(board, 1.0, plan, timeout_ms=9000)
    board.advance(1.05)
    assert reports(board, plan)[-1][1].contacts == closed_bit
    board.set_contact(2.0, "D2", False)
    board.advance(3.0)
    assert reports(board, plan)[-1][1].contacts == open_bit


def test_hold_after_edge_reports_at_once() -> None:
    plan = Plan((contact(0, 2, 50, CONTACT_FLAGS | ItemFlag.HOLD_AFTER_EDGE),))
    board = SimBoard("uno")
    set_up(board, 0.9, plan)
    board.advance(1.0)
    board.take_output()
    board.set_contact(1.01, "D2", True)
    ((time_s, report),) = reports(board, plan)
    assert (time_s, report.edges) == (1.01, (Edge(0, True),))
    board.set_contact(1.03, "D2", False)
    board.advance(1.0599)
    assert reports(board, plan)[-1][1].edges == (Edge(0, True),)
    board.advance(1.0601)
    assert reports(board, plan)[-1][1].edges == (Edge(0, True), Edge(0, False))


def test_a_bounce_of_the_longest_kind_is_one_edge_each_way() -> None:
    """G-1: J. Ganssle, "A Guide to Debouncing": mean 1.557 ms, longest 6.2 ms; 10 ms settle it."""
    plan = Plan((contact(0, 2, debounce_ms=10),))
    rng = random.Random(1)
    board = SimBoard("mega2560")
    set_up(board, 0.0, plan, timeout_ms=5000)
    edges = 0
    for number in range(200):
        time_s = 0.1 + number * 0.1
        board.plan_contact(time_s, "D2", bouncing(rng, time_s, number % 2 == 0))
        board.receive(
            time_s + 0.05, encode_frame(Command(1, number + 1, edges, ()).pack(plan.shape))
        )
        edges = number + 1
    board.advance(21.0)
    found = reports(board, plan)
    assert {report.first_edge for _, report in found} == set(range(200))
    assert not any(report.flags & ReportFlag.NOISY_CONTACT for _, report in found)


def test_a_contact_that_does_not_settle_is_called_noisy() -> None:
    """G-1: a burst of 157 ms at 20 ms must be detected, not become many commands."""
    plan = Plan((contact(0, 2, debounce_ms=20),))
    board = SimBoard("mega2560")
    set_up(board, 0.0, plan, timeout_ms=5000)
    changes = [(0.1 + n * 0.001, n % 2 == 0) for n in range(157)]
    board.plan_contact(0.1, "D2", changes)
    board.advance(0.24)
    found = reports(board, plan)
    assert found[-1][1].flags & ReportFlag.NOISY_CONTACT
    assert not any(report.edges for _, report in found)
    board.advance(0.5)
    assert reports(board, plan)[-1][1].edges == (Edge(0, True),)


def test_analogue_values_move_by_more_than_their_noise_gate_only() -> None:
    plan = Plan((SetupItem(0, ItemKind.ANALOGUE, 54, 0, 4),))
    board = SimBoard("mega2560")
    board.set_analogue(0.0, "A0", 500)
    set_up(board, 0.0, plan, timeout_ms=60_000)
    board.take_output()
    board.set_analogue(0.105, "A0", 504)
    board.advance(0.303)
    assert {report.analogues for _, report in reports(board, plan)} == {(500,)}
    board.set_analogue(0.305, "A0", 505)
    board.advance(0.33)
    ((time_s, report),) = reports(board, plan)
    assert (round(time_s, 3), report.analogues) == (0.32, (505,))
    board.set_analogue(0.4, "A0", 99_999)
    board.advance(0.43)
    assert reports(board, plan)[-1][1].analogues == (1023,)


def test_a_board_whose_voltages_stand_still_has_no_reading_due() -> None:
    plan = Plan((SetupItem(0, ItemKind.ANALOGUE, 54, 0, 4),))
    board = SimBoard("mega2560")
    set_up(board, 0.0, plan, timeout_ms=60_000)
    board.advance(1.0)
    before = reports(board, plan)[-1][0]
    assert board.next_due_s > before + 0.09  # its next REPORT
    for changed_s in (1.001, 1.0123, 1.05):
        board.set_analogue(changed_s, "A0", round(changed_s * 500))
        assert changed_s < board.next_due_s <= changed_s + 0.02
        assert round(board.next_due_s * 1000) % 20 == 0
        board.advance(changed_s)
    board.advance(2.0)
    board.set_noise("A0", 1)
    dues = []
    while board.next_due_s < 2.2:
        dues.append(board.next_due_s)
        board.advance(board.next_due_s)
    assert len(dues) >= 9


def test_noise_stays_within_its_counts_and_a_gate_that_is_too_small_lets_it_through() -> None:
    for gate, quiet in ((8, True), (1, False)):
        plan = Plan((SetupItem(0, ItemKind.ANALOGUE, 54, 0, gate),))
        board = SimBoard("mega2560", noise_counts=4, seed=3)
        board.set_analogue(0.0, "A0", 500)
        set_up(board, 0.0, plan, timeout_ms=60_000)
        board.advance(5.0)
        values = {report.analogues[0] for _, report in reports(board, plan)}
        assert all(496 <= value <= 504 for value in values)
        assert (len(values) == 1) is quiet


def test_a_board_without_power_is_deaf_and_dark_and_its_contacts_still_move() -> None:
    board = SimBoard("mega2560")
    set_up(board, 0.0)
    board.receive(0.1, encode_frame(Command(1, 1, 0, (9, 1, 1)).pack(PLAN.shape)))
    board.power_off(0.2)
    board.take_output()
    board.plan_contact(0.3, "D2", [(0.5, True)])
    board.receive(0.6, encode_frame(PLAN.items[0].pack()))
    board.advance(9.0)
    assert board.take_output() == b""
    assert not board.outputs.lamps
    assert not board.powered
    assert board.contact_closed("D2")
    boot_id = board.boot_id
    board.reset(10.0)
    assert board.boot_id == boot_id + 1
    assert len(board.take_timed_output()) == 1


def test_pins_that_are_not_there_raise_an_error() -> None:
    board = SimBoard("uno")
    with pytest.raises(LogicError, match="no contact pin D53"):
        board.set_contact(0.0, "D53", True)
    with pytest.raises(LogicError, match="no analogue pin D3"):
        board.set_analogue(0.0, "D3", 1)
    with pytest.raises(LogicError, match="no contact pin A6"):
        SimBoard("nano").plan_contact(0.0, "A6", [])


def test_times_that_have_passed_count_as_now() -> None:
    board = SimBoard("uno")
    set_up(board, 1.0, timeout_ms=9000)
    board.advance(3.0)
    board.take_output()
    board.set_contact(2.0, "D2", True)  # another thread's clock was read a little earlier
    board.advance(3.1)
    assert round(next(t for t, r in reports(board) if r.edges), 3) == 3.005


def test_set_up_limits() -> None:
    board = SimBoard("uno")
    parser = FrameParser()

    def ask(message: bytes) -> SetupReply:
        board.advance(1.0)
        board.take_output()
        board.receive(1.0, encode_frame(message))
        return SetupReply.unpack(parser.feed(board.take_output())[0])

    assert ask(SetupBegin(1, 200, 0, 500, 100).pack()).status == SetupStatus.TOO_MANY_ITEMS
    assert ask(SetupItem(0, ItemKind.CONTACT, 2, 3, 5).pack()).status == SetupStatus.BAD_ORDER
    for begin in (SetupBegin(0, 1, 0, 500, 100), SetupBegin(1, 1, 0, 0, 100)):
        assert ask(begin.pack()).status == SetupStatus.BAD_VALUE
    board.advance(1.6)
    assert len(board.take_timed_output()) == 1  # no set-up under way: it says hello again


def test_pins_can_do_what_their_board_can() -> None:
    """Each pin of each board, as each kind of item, against its entry in ``BOARDS``."""
    for kind, described in BOARDS.items():
        for pin in described.pins.values():
            for item, able in (
                (SetupItem(0, ItemKind.CONTACT, pin.number, 0, 5), pin.digital),
                (SetupItem(0, ItemKind.LAMP, pin.number), pin.digital),
                (SetupItem(0, ItemKind.LAMP, pin.number, ItemFlag.PWM), pin.digital and pin.pwm),
                (SetupItem(0, ItemKind.TONE, pin.number, 0, 700, 1, 1), pin.digital),
                (SetupItem(0, ItemKind.SERVO, pin.number, 0, 0, 1000, 2000), pin.digital),
                (SetupItem(0, ItemKind.ANALOGUE, pin.number), pin.analogue),
            ):
                book = SetupBook(described)
                book.begin(SetupBegin(1, 1, 0, 500, 100))
                expected = SetupStatus.OK if able else SetupStatus.PIN_CANNOT
                if pin.reserved:
                    expected = SetupStatus.NO_SUCH_PIN
                assert book.take(item) == expected, (kind, pin, item)


def test_a_report_that_would_not_fit_a_frame_is_refused() -> None:
    # 16 analogue inputs (32 bytes), 16 edges and 51 servos at 2 bytes: COMMAND is what overflows.
    board = SimBoard(replace(BOARDS["mega2560"], servos=60))
    items = [SetupItem(n, ItemKind.SERVO, 2 + n, 0, 1500, 1000, 2000) for n in range(60)]
    board.receive(1.0, encode_frame(SetupBegin(1, 60, 0, 500, 100).pack()))
    board.take_output()
    for item in items:
        board.receive(1.0, encode_frame(item.pack()))
    replies = [SetupReply.unpack(m) for m in FrameParser().feed(board.take_output())]
    refused = [reply.index for reply in replies if reply.status != SetupStatus.OK]
    assert refused[0] == 56  # 6 + 2 * 56 = 118 bytes fit, with 57 they do not
    assert replies[56].status == SetupStatus.REPORT_TOO_LONG


# -- laws -----------------------------------------------------------------------------------------

_steps = st.lists(
    st.tuples(
        st.floats(0.0, 0.2, allow_nan=False),
        st.sampled_from(["contact", "bounce", "command", "begin", "request", "release", "reset"]),
        st.integers(0, 3),
    ),
    max_size=25,
)


def _live_through(
    steps: list[tuple[float, str, int]], look: Callable[[SimBoard, float, float], None]
) -> list[tuple[float, bytes]]:
    board = SimBoard("mega2560", noise_counts=3, seed=5)
    plan = Plan(
        (*PLAN.items, SetupItem(5, ItemKind.ANALOGUE, 54, 0, 2)),
    )
    rng = random.Random(7)
    time_s, sequence = 1.0, 0
    set_up(board, time_s, plan, timeout_ms=150)
    for wait_s, what, number in steps:
        look(board, time_s, time_s + wait_s)
        time_s += wait_s
        pin, closed = ("D2", "D4")[number % 2], number > 1
        if what == "contact":
            board.set_contact(time_s, pin, closed)
        elif what == "bounce":
            board.plan_contact(time_s, pin, bouncing(rng, time_s + 0.02 * number, closed))
        elif what == "command":
            sequence += 1
            message = Command(1, sequence, number, (number, 0, number % 3)).pack(plan.shape)
            board.receive(time_s, encode_frame(message))
        elif what == "begin":
            set_up(board, time_s, plan, timeout_ms=150)
        elif what == "reset":
            board.reset(time_s)
        else:
            board.receive(time_s, encode_frame(b"\x01\x01" if what == "request" else b"\x06"))
    look(board, time_s, time_s + 1.0)
    board.advance(time_s + 1.0)
    return board.take_timed_output()


@given(_steps)
def test_one_late_call_gives_the_same_as_many_early_ones(
    steps: list[tuple[float, str, int]],
) -> None:
    """Law: what a board sends, and when, does not depend on how often it is advanced."""

    def often(board: SimBoard, from_s: float, to_s: float) -> None:
        for step in range(40):
            board.advance(from_s + (to_s - from_s) * step / 40)

    def never(board: SimBoard, from_s: float, to_s: float) -> None:
        pass

    assert _live_through(steps, often) == _live_through(steps, never)


@given(_steps)
def test_output_is_in_the_order_of_time(steps: list[tuple[float, str, int]]) -> None:
    times = [time_s for time_s, _ in _live_through(steps, lambda *_: None)]
    assert times == sorted(times)


@given(st.lists(st.binary(max_size=200), max_size=10), st.booleans())
def test_any_bytes_are_taken(pieces: list[bytes], live: bool) -> None:
    """Law: no bytes make the board raise or grow, and it still answers afterwards."""
    board = SimBoard("mega2560")
    if live:
        set_up(board, 0.5)
    time_s = 1.0
    for piece in pieces:
        board.receive(time_s, piece)
        time_s += 0.1
    _answers(board, time_s)


@given(st.lists(st.binary(min_size=1, max_size=118), max_size=10), st.booleans())
def test_any_message_with_a_right_checksum_is_taken(messages: list[bytes], live: bool) -> None:
    """Law: as above, behind the checksum."""
    board = SimBoard("mega2560")
    if live:
        set_up(board, 0.5)
    for message in messages:
        board.receive(1.0, encode_frame(bytes((message[0] % 8,)) + message[1:]))
    _answers(board, 1.0)


def _answers(board: SimBoard, now_s: float) -> None:
    board.take_output()
    board.receive(now_s, b"\0" + encode_frame(b"\x01\x01"))
    assert any(m[0] == 0x81 for m in FrameParser().feed(board.take_output()))


def test_two_threads_may_use_a_board_at_once() -> None:
    bench = UrlBench("mega2560")
    host = Host(bench)
    host.set_up(Plan((contact(0, 2, debounce_ms=1), contact(1, 4, debounce_ms=1))))
    clock = bench.clock
    assert isinstance(clock, VirtualClock)
    done = threading.Event()

    def move_the_other() -> None:
        for number in range(2000):
            bench.board.set_contact(clock.now(), "D4", number % 2 == 0)
        done.set()

    thread = threading.Thread(target=move_the_other, name="panelbridge test hand")
    thread.start()
    while not done.is_set():
        host.pass_time(0.001)
    thread.join()
    host.pass_time(0.1)
    assert host.last_report().contacts == 0
    bench.close()
