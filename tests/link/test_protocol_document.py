"""The protocol's document agrees with the code: its numbers, its tables and its example."""

from __future__ import annotations

import re
from enum import IntEnum
from itertools import groupby
from operator import itemgetter
from pathlib import Path
from struct import Struct
from typing import Any

import pytest

from panelbridge.config.boards import BOARDS, BoardCode
from panelbridge.config.other_board import OtherBoard
from panelbridge.link.session import EdgesArrived
from panelbridge.link.wire import (
    Capture,
    Captured,
    Command,
    Edge,
    Hello,
    HelloRequest,
    ItemFlag,
    ItemKind,
    MessageType,
    Release,
    Report,
    ReportFlag,
    SetupBegin,
    SetupCommit,
    SetupItem,
    SetupReply,
    SetupShape,
    SetupStatus,
    capture_messages,
    constants,
    frames,
    state_messages,
    time_outs,
)
from panelbridge.link.wire.frames import FrameParser, crc16, encode_frame
from panelbridge.signals import HornPattern, Outputs
from panelbridge.simboard.board.chains import chain_bits
from panelbridge.simboard.board.setup_book import SetupBook
from tests.link.bench import Bench
from tests.link.conftest import make_panel

DOCUMENT = Path(__file__).parents[2] / "firmware_examples" / "PROTOCOL.md"
TEXT = DOCUMENT.read_text(encoding="utf-8")
WORDS = " ".join(TEXT.split())

CLASSES: dict[str, Any] = {
    "HELLO_REQUEST": HelloRequest,
    "SETUP_BEGIN": SetupBegin,
    "SETUP_ITEM": SetupItem,
    "SETUP_COMMIT": SetupCommit,
    "COMMAND": Command,
    "RELEASE": Release,
    "HELLO": Hello,
    "SETUP_REPLY": SetupReply,
    "REPORT": Report,
    "CAPTURE": Capture,
    "CAPTURED": Captured,
}


def section(title: str) -> str:
    """The text below the heading whose words are ``title``, up to the next heading."""
    match = re.search(rf"^#+ [\d.]+ {re.escape(title)}\n(.*?)(?=^#|\Z)", TEXT, re.M | re.S)
    assert match, f"no section '{title}'"
    return match.group(1)


def rows(text: str) -> list[list[str]]:
    """Cells of the first table in ``text``, without its head."""
    lines = re.findall(r"(?:^\|.*\n)+", text, re.M)[0].splitlines()[2:]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines]


def names_and_numbers(title: str) -> dict[str, float]:
    table = rows(section(title))
    assert table
    return {row[0]: int(row[1], 16) if row[1].startswith("0x") else float(row[1]) for row in table}


@pytest.mark.parametrize(
    ("title", "numbers"),
    [
        ("Types", MessageType),
        ("Kinds of board", BoardCode),
        ("Kinds of item", ItemKind),
        ("Status in SETUP_REPLY", SetupStatus),
    ],
)
def test_numbers(title: str, numbers: type[IntEnum]) -> None:
    expected = {name: float(member) for name, member in numbers.__members__.items()}
    assert names_and_numbers(title) == expected


def test_flags() -> None:
    items = {flag.name: int(flag) for flag in ItemFlag if flag}
    assert names_and_numbers("Flags of an item") == items
    reports = {flag.name: int(flag) for flag in ReportFlag if flag}
    assert names_and_numbers("Flags of a REPORT") == reports


def test_limits() -> None:
    for name, value in names_and_numbers("Limits").items():
        (owner,) = [each for each in (frames, constants, time_outs) if hasattr(each, name)]
        assert getattr(owner, name) == value, name


@pytest.mark.parametrize("title", ["Times of the board", "Times of the host"])
def test_times(title: str) -> None:
    for name, value in names_and_numbers(title).items():
        assert getattr(time_outs, name) == value, name
        assert name.endswith("_MS" if title.endswith("board") else "_S")


def test_every_time_of_the_host_that_a_board_can_notice_is_in_the_document() -> None:
    ours_alone = {"OPENING_POLL_S", "IN_PROCESS_POLL_S", "SETUP_RESTARTS", "SETUP_TRIES"}
    ours_alone.add("ROUND_TRIP_EACH_S")
    named = {name for name in vars(time_outs) if name.isupper()} - ours_alone
    assert [name for name in sorted(named) if name not in TEXT] == []


def test_tries_are_those_in_the_words() -> None:
    assert f"up to {time_outs.SETUP_TRIES} times in all" in TEXT


def test_words_about_frames() -> None:
    assert "`123456789` is 0x29B1" in WORDS
    assert crc16(b"123456789") == 0x29B1
    assert f"at most {frames.MAX_MESSAGE} bytes long" in WORDS
    assert f"more than {frames.MAX_ENCODED} bytes" in WORDS
    assert f"shorter than {frames.MIN_MESSAGE} bytes" in WORDS
    assert f"Version {constants.PROTOCOL_VERSION}." in WORDS


LAYOUTS = {
    "HELLO_REQUEST": HelloRequest.layout,
    "HELLO": Hello.layout,
    "SETUP_BEGIN": SetupBegin.layout,
    "SETUP_ITEM": SetupItem.layout,
    "SETUP_COMMIT": SetupCommit.layout,
    "SETUP_REPLY": SetupReply.layout,
    "COMMAND": Struct(state_messages._COMMAND_HEAD),
    "REPORT": Struct(state_messages._REPORT_HEAD),
    "CAPTURE": Capture.layout,
    "CAPTURED": capture_messages._CAPTURED_HEAD,
}
WIDTHS = {"B": "1", "H": "2"}


@pytest.mark.parametrize("name", LAYOUTS)
def test_tables_of_bytes(name: str) -> None:
    """Offsets and widths of the fixed part, and the fields' names in the order of the class."""
    table = rows(section(name))
    codes = LAYOUTS[name].format.removeprefix("<")
    offset = 0
    for row, code in zip(table, codes, strict=False):
        assert row[:2] == [str(offset), WIDTHS[code]], row
        offset += int(row[1])
    assert len(table) >= len(codes)
    assert table[0][2:] == ["type", f"0x{MessageType[name]:02X}"]
    of_class = list(CLASSES[name].__struct_fields__)
    of_table = [row[2] for row in table[1:] if row[2] != "edge_count"]
    assert of_table == of_class


def test_lengths_in_the_table_of_types() -> None:
    lengths = {row[0]: row[3] for row in rows(section("Types"))}
    assert lengths.pop("RELEASE") == str(len(Release().pack()))
    for name, words in lengths.items():
        assert words.split(" ")[0] == str(LAYOUTS[name].size), name


# -- the example -------------------------------------------------------------------------------

FRAME = re.compile(r"^    (host|board) +((?:[0-9A-F]{2} ?)+)\n +([A-Z_]+)(.*)$", re.M)


EXCHANGE = "An example exchange"
MORE = "Examples of chains and a capture"


def frames_of_example(title: str = EXCHANGE) -> list[tuple[str, bytes, str, dict[str, str]]]:
    """(sender, bytes on the wire, message's name, its fields as they are written)."""
    found = []
    for sender, hexadecimal, name, words in FRAME.findall(section(title)):
        values = dict(word.split("=") for word in words.split())
        found.append((sender, bytes.fromhex(hexadecimal), name, values))
    return found


def as_written(value: object, example: str) -> str:
    """A field's value in the way in which the document writes it."""
    if isinstance(value, tuple):
        parts = [
            f"{each.contact}:{'closed' if each.closed else 'opened'}"
            if isinstance(each, Edge)
            else str(int(each))
            for each in value
        ]
        return ",".join(parts) or "none"
    assert isinstance(value, int)
    return f"0x{value:0{len(example) - 2}X}" if example.startswith("0x") else str(int(value))


def test_the_example_means_what_it_says() -> None:
    exchange = frames_of_example()
    assert len(exchange) == 20
    assert {name for _, _, name, _ in exchange} == set(CLASSES) - {"CAPTURE", "CAPTURED"}
    items: list[SetupItem] = []
    for sender, on_wire, name, values in exchange:
        parser = FrameParser()
        (message,) = parser.feed(on_wire)
        assert parser.counts.bad == 0
        assert message[0] == MessageType[name]
        assert (message[0] >= 0x80) == (sender == "board")
        needs_shape = name in ("COMMAND", "REPORT")
        extra = (SetupShape.of(tuple(items)),) if needs_shape else ()
        read = CLASSES[name].unpack(message, *extra)
        written = {
            field: as_written(getattr(read, field), values.get(field, ""))
            for field in read.__struct_fields__
        }
        assert written == values, name
        assert read.pack(*extra) == message
        if isinstance(read, SetupItem):
            items.append(read)
        if isinstance(read, SetupBegin):
            announced = read
    assert announced.item_count == len(items)
    assert announced.checksum == crc16(b"".join(item.body() for item in items))


def test_a_session_sends_the_very_frames_of_the_example() -> None:
    """The example's board talks to a real session; what that answers is what is printed."""
    entry = {"board": "only"}
    panel = make_panel(
        boards={"only": {"board": "uno"}},
        switches={"lamp_test": {**entry, "form": "contact", "pin": "D2"}},
        lamps={"steering": {**entry, "pin": "D5", "colour": "green"}},
        horn={**entry, "pin": "D8"},
        gauges={},
    )
    bench = Bench(panel, board="only")
    bench.peer.loses = lambda message: True  # only the document speaks for the board
    session, clock = bench.session, bench.clock
    session.command(0.0, Outputs({"steering": 200}))
    bench.turn()
    clock.advance(time_outs.QUIET_AFTER_RESET_S)
    for sender, group in groupby(frames_of_example(), key=itemgetter(0)):
        if sender == "board" and bench.state != "idle":
            assert bench.peer.heard == []  # it has sent no more than the example's host
            bench.peer.inbox += [on_wire for _, on_wire, _, _ in group]
            for event in session.poll(clock.now()):
                if isinstance(event, EdgesArrived):
                    sounding = Outputs({"steering": 200}, HornPattern.INTERMITTENT)
                    session.command(clock.now(), sounding)
        for _, on_wire, name, _ in group if sender == "host" else ():
            if name == "RELEASE":
                session.release(clock)
            elif not bench.peer.heard:
                clock.advance(time_outs.HEARTBEAT_S)
                bench.turn()
            assert encode_frame(bench.peer.heard.pop(0)) == on_wire, name


def test_the_examples_of_chains_and_captures_are_right() -> None:
    examples = frames_of_example(MORE)
    items: list[SetupItem] = []
    for sender, on_wire, name, values in examples:
        (message,) = FrameParser().feed(on_wire)
        assert (message[0], sender == "board") == (MessageType[name], message[0] >= 0x80)
        read = CLASSES[name].unpack(message)
        written = {
            field: as_written(getattr(read, field), values.get(field, ""))
            for field in read.__struct_fields__
        }
        assert written == values, name
        assert read.pack() == message
        if isinstance(read, SetupItem):
            items.append(read)
    assert [item.kind for item in items if item.is_chain] == [ItemKind.CHAIN_IN, ItemKind.CHAIN_OUT]
    book = SetupBook(BOARDS["uno"])
    book.begin(SetupBegin(9, len(items), 0, 500, 100))
    assert [book.take(item) for item in items] == [SetupStatus.OK] * len(items)
    bits = chain_bits(items)
    assert (bits[137].bit, bits[148].bit) == (9, 4)
    assert (bits[137].data_pin, bits[148].data_pin) == (10, 3)


@pytest.mark.parametrize("title", [EXCHANGE, MORE])
def test_no_frame_of_the_example_is_overlooked(title: str) -> None:
    """Every line of bytes is read by the tests above, so none can be wrong in silence."""
    lines = re.findall(r"^    (?:host|board) .*$", section(title), re.M)
    assert len(lines) == len(frames_of_example(title)) > 0


def test_items_that_each_kind_of_board_takes() -> None:
    table = {row[0]: int(row[2]) for row in rows(section("Kinds of board"))}
    of_other = OtherBoard.model_fields["max_items"].default
    known = {BoardCode(board.code).name: board.items for board in BOARDS.values()}
    assert table == {**known, BoardCode.OTHER.name: of_other}


def numbers_of(words: str) -> set[int]:
    """Numbers behind the names of a cell: ``D0-D13: 0-13; A0: 14`` or ``3, 5, 9-11``."""
    found: set[int] = set()
    for part in re.split("[;,]", words):
        for first, last in re.findall(r"^(?:.*: )?(\d+)(?:-(\d+))?$", part.strip()):
            found |= {*range(int(first), int(last or first) + 1)}
    return found


def names_of(words: str) -> set[str]:
    """The names of pins in a cell."""
    found: set[str] = set()
    for letters, first, last in re.findall(r"([A-Z]+)(\d+)-[A-Z]+(\d+):", words):
        found |= {f"{letters}{number}" for number in range(int(first), int(last) + 1)}
    return found


def test_the_table_of_pins_is_that_of_the_boards() -> None:
    tables = re.findall(r"(?:^\|.*\n)+", section("Kinds of board"), re.M)
    lines = [
        [cell.strip() for cell in line.strip("|\n").split("|")]
        for line in tables[1].splitlines()[2:]
    ]
    by_kind = {cells[0]: cells[1:] for cells in lines}
    assert [*by_kind] == [code.name for code in BoardCode]
    for board in BOARDS.values():
        digital, pwm, analogue, reserved = by_kind[BoardCode(board.code).name]
        pins = board.pins.values()
        assert numbers_of(digital) == {pin.number for pin in pins if pin.digital}
        assert names_of(digital) == {pin.name for pin in pins if pin.digital}
        assert numbers_of(analogue) == {pin.number for pin in pins if pin.analogue}
        assert names_of(analogue) == {pin.name for pin in pins if pin.analogue}
        all_of_them = {pin.number for pin in pins if pin.digital}
        able = all_of_them if pwm == "all" else numbers_of(pwm)
        assert able == {pin.number for pin in pins if pin.pwm}
        kept = numbers_of(reserved.partition(":")[0].replace("none", ""))
        assert kept == {pin.number for pin in pins if pin.reserved}
        full = re.search(rf"{board.counts} (?:counts )?on (?:AVR boards|a PICO)", TEXT)
        assert full, board.kind
