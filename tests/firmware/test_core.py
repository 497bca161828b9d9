"""The core with a blocked line or a wrapping clock; on this machine, with sanitizers."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from panelbridge.link.wire import (
    Capture,
    Edge,
    HelloRequest,
    ItemFlag,
    ItemKind,
    MessageType,
    SetupBegin,
    SetupItem,
    SetupStatus,
)
from panelbridge.link.wire.frames import encode_frame
from tests.firmware.bounces import all_edges
from tests.firmware.machines import NativeBench
from tests.simboard.host import PLAN, Host, Plan, contact


@pytest.fixture
def bench() -> Iterator[NativeBench]:
    bench = NativeBench("mega2560")
    yield bench
    bench.close()


@pytest.fixture
def host(bench: NativeBench) -> Host:
    return Host(bench)


def test_no_answer_is_lost_while_the_line_from_the_board_is_blocked(
    host: Host, bench: NativeBench
) -> None:
    host.pass_time(0.05)
    bench.machine.order("room 0")
    begin = SetupBegin(1, len(PLAN.items), PLAN.checksum, 500, 100)
    for message in (begin.pack(), *(item.pack() for item in PLAN.items), HelloRequest().pack()):
        host.say(message)
    host.pass_time(0.1)
    assert host.replies() == []
    bench.machine.order("room 64")
    host.pass_time(0.05)
    answered = [(reply.answers, reply.index) for reply in host.replies()]
    items = [(MessageType.SETUP_ITEM, n) for n in range(len(PLAN.items))]
    assert answered == [(MessageType.SETUP_BEGIN, 0), *items]
    assert host.replies()[-1].checksum == PLAN.checksum


def test_captures_are_answered_one_by_one(host: Host, bench: NativeBench) -> None:
    host.set_up()
    bench.machine.order("room 0")
    for place in (0, 1, 255):
        host.say(Capture(host.session, place, 50).pack())
    host.pass_time(0.05)
    bench.machine.order("room 64")
    host.pass_time(0.05)
    assert [seen.contact for seen in host.captured()] == [0, 1, 255]


def test_frames_stay_whole_when_the_line_takes_one_byte_per_pass(
    host: Host, bench: NativeBench
) -> None:
    bench.machine.order("room 1")
    host.set_up()
    for number in range(10):
        bench.set_contact("D2", number % 2 == 0)
        host.pass_time(0.04)
    assert len(all_edges(host)) == 10
    assert host.parser.counts.bad == 0


def test_the_clock_wraps_in_a_session(host: Host, bench: NativeBench) -> None:
    bench.machine.order(f"clock {2**32 - 400_000}")  # the clock wraps after 72 minutes
    bench.reset()
    lamp = SetupItem(1, ItemKind.LAMP, 5, ItemFlag.PWM, 10)
    host.set_up(Plan((contact(0, 2, 20), lamp)), timeout_ms=300)
    host.command(200)
    edges = []
    for number in range(20):
        host.command(200, ack=number)
        bench.set_contact("D2", number % 2 == 0)
        host.pass_time(0.06)
        edges.append(Edge(0, number % 2 == 0))
        assert all_edges(host) == edges
        assert bench.lamp("D5") == 200
    host.pass_time(0.4)  # the host time-out still works
    assert bench.lamp("D5") == 10


def test_a_command_that_would_not_fit_a_frame_is_refused(host: Host) -> None:
    servos = [SetupItem(1 + n, ItemKind.SERVO, 2 + n, 0, 0, 1000, 2000) for n in range(8)]
    lamps = [SetupItem(9 + n, ItemKind.LAMP, 128 + n) for n in range(100)]
    items = (SetupItem(0, ItemKind.CHAIN_OUT, 10, 0, 11, 12, 16), *servos, *lamps)
    host.begin(Plan(items))
    statuses = [reply.status for reply in host.send_items(items[:106])]
    fits = (118 - 6 - 2 * 8) + 9  # 118 bytes without the CRC, 6 of head, 2 per servo
    assert statuses == [SetupStatus.OK] * fits + [SetupStatus.REPORT_TOO_LONG]


def test_a_frame_too_long_is_counted_once_and_the_next_one_accepted(
    host: Host, bench: NativeBench
) -> None:
    host.set_up()
    bench.write(b"\x55" * 500 + b"\0")
    bench.write(b"\x55" * 122 + b"\0")
    sequence = host.command(9, 0, 0)
    host.until(lambda: host.last_report().command_sequence == sequence)
    host.until(lambda: host.last_report().bad_frames == 2)
    bench.write(encode_frame(bytes((MessageType.HELLO_REQUEST, 1)) + bytes(116)))  # 120: fits
    host.until(lambda: host.last_report().bad_frames == 3)
