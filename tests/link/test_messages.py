from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.errors import MessageError
from panelbridge.link.wire import (
    MAX_CAPTURE_TIMES,
    MAX_EDGES,
    NO_CONTACT,
    PROTOCOL_VERSION,
    Capture,
    Captured,
    Command,
    Edge,
    Hello,
    HelloRequest,
    ItemKind,
    MessageType,
    Release,
    Report,
    SetupBegin,
    SetupCommit,
    SetupItem,
    SetupReply,
    SetupShape,
)
from panelbridge.link.wire.frames import MAX_MESSAGE

byte = st.integers(0, 255)
word = st.integers(0, 65535)
fixed = st.one_of(
    st.builds(HelloRequest, byte),
    st.builds(Hello, st.just(PROTOCOL_VERSION), byte, byte, byte, word, word, byte),
    st.builds(SetupBegin, byte, byte, word, word, word),
    st.builds(SetupItem, byte, byte, byte, byte, word, word, word),
    st.builds(SetupCommit, word),
    st.builds(SetupReply, byte, byte, byte, byte, word),
    st.builds(Release),
)
Fixed = HelloRequest | Hello | SetupBegin | SetupItem | SetupCommit | SetupReply | Release

outputs = st.lists(st.sampled_from([ItemKind.LAMP, ItemKind.TONE, ItemKind.SERVO]), max_size=20)
shapes = st.builds(
    SetupShape,
    contacts=st.integers(0, 40),
    analogues=st.integers(0, 8),
    outputs=outputs.map(tuple),
)


@st.composite
def commands(draw: st.DrawFn) -> tuple[SetupShape, Command]:
    shape = draw(shapes)
    values = tuple(draw(word if kind == ItemKind.SERVO else byte) for kind in shape.outputs)
    return shape, Command(draw(byte), draw(word), draw(word), values)


@st.composite
def reports(draw: st.DrawFn) -> tuple[SetupShape, Report]:
    shape = draw(shapes)
    contact = st.integers(0, shape.contacts - 1) if shape.contacts else st.nothing()
    edges = draw(st.lists(st.builds(Edge, contact, st.booleans()), max_size=MAX_EDGES))
    report = Report(
        session=draw(byte),
        sequence=draw(word),
        command_sequence=draw(word),
        flags=draw(byte),
        bad_frames=draw(byte),
        first_edge=draw(word),
        contacts=draw(st.integers(0, (1 << shape.contacts) - 1)),
        analogues=tuple(draw(st.lists(word, min_size=shape.analogues, max_size=shape.analogues))),
        edges=tuple(edges),
    )
    return shape, report


def refuses_other_lengths(unpack: Callable[[bytes], object], packed: bytes) -> None:
    for length in range(len(packed)):
        with pytest.raises(MessageError):
            unpack(packed[:length])
    for extra in (b"\0", b"\x01", bytes(8)):
        with pytest.raises(MessageError):
            unpack(packed + extra)


@given(fixed)
def test_fixed_messages_come_back_as_they_went(message: Fixed) -> None:
    packed = message.pack()
    assert type(message).unpack(packed) == message
    assert packed[0] in list(MessageType)
    refuses_other_lengths(type(message).unpack, packed)


@given(commands())
def test_commands_come_back_as_they_went(drawn: tuple[SetupShape, Command]) -> None:
    shape, command = drawn
    packed = command.pack(shape)
    assert len(packed) == shape.command_length
    assert Command.unpack(packed, shape) == command
    refuses_other_lengths(lambda message: Command.unpack(message, shape), packed)


@given(reports())
def test_reports_come_back_as_they_went(drawn: tuple[SetupShape, Report]) -> None:
    shape, report = drawn
    packed = report.pack(shape)
    assert len(packed) <= shape.longest_report
    assert Report.unpack(packed, shape) == report
    refuses_other_lengths(lambda message: Report.unpack(message, shape), packed)


captures = st.builds(
    Capture, byte, st.one_of(st.integers(0, 4), st.just(NO_CONTACT)), st.integers(1, 1000)
)


@given(captures)
def test_captures_come_back_as_they_went(capture: Capture) -> None:
    packed = capture.pack()
    assert Capture.unpack(packed) == capture
    capture.check(5)
    refuses_other_lengths(Capture.unpack, packed)


@pytest.mark.parametrize(
    ("capture", "words"),
    [
        (Capture(1, 5, 10), "a contact that the set-up does not have"),
        (Capture(1, 254, 10), "a contact that the set-up does not have"),
        (Capture(1, 4, 0), "for 0 ms"),
        (Capture(1, 4, 1001), "for 1001 ms"),
        (Capture(1, NO_CONTACT, 0), "for 0 ms"),
    ],
)
def test_a_capture_that_makes_no_sense_is_refused(capture: Capture, words: str) -> None:
    with pytest.raises(MessageError, match=words):
        capture.check(5)


@st.composite
def captured(draw: st.DrawFn) -> Captured:
    changes = draw(st.one_of(st.integers(0, 40), st.just(65535)))
    count = min(changes, MAX_CAPTURE_TIMES)
    later = draw(st.lists(st.integers(0, (1 << 24) - 1), min_size=count, max_size=count))
    times = tuple(sorted([0, *later])[:count])
    return Captured(draw(byte), draw(byte), draw(st.booleans()), changes, draw(word), times)


@given(captured())
def test_raw_changes_come_back_as_they_went(message: Captured) -> None:
    packed = message.pack()
    assert len(packed) <= MAX_MESSAGE - 2
    assert Captured.unpack(packed) == message
    assert (message.changes == 0) == (message.times_us == ())
    refuses_other_lengths(Captured.unpack, packed)


@pytest.mark.parametrize(
    "packed",
    [
        Captured(1, 0, True, 2, 0, (1, 2)).pack(),  # the first is not at 0
        Captured(1, 0, True, 3, 0, (0, 9, 8)).pack(),
        bytes((MessageType.CAPTURED, 1, 0, 2, 0, 0, 0, 0)),
    ],
)
def test_raw_changes_that_make_no_sense_are_refused(packed: bytes) -> None:
    with pytest.raises(MessageError, match="make no sense"):
        Captured.unpack(packed)


@pytest.mark.parametrize("kind", [*ItemKind, 0x7F])
def test_an_item_is_an_input_an_output_or_a_chain(kind: int) -> None:
    item = SetupItem(0, kind, 2)
    assert [item.is_input, item.is_output, item.is_chain].count(True) == (kind != 0x7F)
    assert item.is_chain == (kind in (0x20, 0x21))
    shape = SetupShape.of((item,))
    assert (shape.outputs == (kind,)) == item.is_output
    assert (shape.contacts + shape.analogues == 1) == item.is_input


@given(st.binary(max_size=MAX_MESSAGE), shapes)
def test_any_bytes_give_a_message_or_a_message_error(data: bytes, shape: SetupShape) -> None:
    readers: list[Callable[[bytes], object]] = [
        each.unpack
        for each in (HelloRequest, Hello, SetupBegin, SetupItem, SetupCommit, SetupReply, Release)
    ]
    readers += [lambda m: Command.unpack(m, shape), lambda m: Report.unpack(m, shape)]
    readers += [Capture.unpack, Captured.unpack]
    for read in readers:
        try:
            read(data)
        except MessageError:
            continue


def test_a_hello_of_another_version_says_its_version_whatever_its_length() -> None:
    for length in range(2, 40):
        assert Hello.unpack(bytes([0x81, 9]) + bytes(length - 2)).protocol == 9


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"contacts": 0b1000}, "closes contacts"),
        ({"edges": (Edge(3, True),)}, "edge of a contact"),
    ],
)
def test_a_report_about_contacts_that_are_not_set_up_is_refused(
    change: dict[str, object], words: str
) -> None:
    shape = SetupShape(contacts=3, analogues=0, outputs=())
    good: dict[str, object] = {
        "session": 1,
        "sequence": 1,
        "command_sequence": 0,
        "flags": 0,
        "bad_frames": 0,
        "first_edge": 0,
        "contacts": 0b101,
    }
    packed = Report(**{**good, **change}).pack(shape)  # type: ignore[arg-type]  # a test's table
    with pytest.raises(MessageError, match=words):
        Report.unpack(packed, shape)
