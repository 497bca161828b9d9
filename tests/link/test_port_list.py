"""The list of ports: what the system and the panel files say, and what answers when asked."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import Future
from pathlib import Path

import pytest

from panelbridge.clock import VirtualClock
from panelbridge.config.load import load_panel
from panelbridge.errors import LinkError, LinkLost, PortBusy
from panelbridge.link.port_list import (
    Answer,
    BoardOfFile,
    FoundPort,
    ask_ports,
    boards_in,
    list_lines,
    listing,
)
from panelbridge.link.ports import BytePort, Opening
from panelbridge.link.session import SetupPlan
from panelbridge.link.wire import Hello, HelloRequest, Report, SetupShape
from panelbridge.link.wire.frames import encode_frame
from tests.own_process import REPOSITORY, Process

CONFIGS = REPOSITORY / "configs"
ARDUINO = FoundPort("COM5", "Mega 2560", "Some maker", "2341:0042", "A123")


@pytest.fixture
def panel(tmp_path: Path) -> Path:
    text = (CONFIGS / "panels" / "first_lamp.yaml").read_text("utf-8")
    text = text.replace("../aircraft", (CONFIGS / "aircraft").as_posix())
    path = tmp_path / "panel.yaml"
    path.write_text(text.replace("    board: uno\n", "    board: uno\n    port: com5\n"), "utf-8")
    return path


# -- listed ----------------------------------------------------------------------------------------


def test_a_port_with_all_that_is_known_of_it(panel: Path) -> None:
    assert [*list_lines([ARDUINO], boards_in([panel]))] == [
        "COM5                 Mega 2560, by Some maker, USB 2341:0042, serial number A123",
        f"    board 'main' (uno) of {panel}:15",
    ]


def test_a_maker_who_stands_in_the_description_is_not_repeated() -> None:
    port = FoundPort("COM6", "Some maker serial (COM6)", "Some maker")
    assert [*list_lines([port], ())] == ["COM6                 Some maker serial (COM6)"]


def test_ports_of_which_nothing_is_known_are_counted_unless_a_file_names_one(panel: Path) -> None:
    bare = [FoundPort(f"/dev/ttyS{n}", f"ttyS{n}") for n in range(3)]
    assert [*list_lines(bare, ())] == [
        "3 ports of which the system knows nothing but the name",
        listing.NO_PORT,
    ]
    (board,) = boards_in([panel])
    lines = [*list_lines([FoundPort("COM5")], [board])]
    assert lines == ["COM5                 no description", f"    {board.words}"]


def test_boards_whose_port_is_not_there_or_not_given(panel: Path, tmp_path: Path) -> None:
    (board,) = boards_in([panel])
    assert f"com5 is not there now: {board.words}" in [*list_lines([], [board])]
    panel.write_text(panel.read_text("utf-8").replace("port: com5", "port: socket://a:1"), "utf-8")
    assert [*list_lines([ARDUINO], boards_in([tmp_path]))][1:] == []
    panel.write_text(panel.read_text("utf-8").replace("    port: socket://a:1\n", ""), "utf-8")
    (line,) = [*list_lines([ARDUINO], boards_in([tmp_path]))][1:]
    assert line.endswith("has no port yet: write 'port:' there")


def test_a_file_with_errors_still_says_it_and_others_say_nothing(
    panel: Path, tmp_path: Path
) -> None:
    panel.write_text(panel.read_text("utf-8").replace("pin: D2", "pin: D99"), "utf-8")
    (tmp_path / "broken.yaml").write_text("kind: [panel\n", "utf-8")
    (tmp_path / "feed.yaml").write_text("kind: feed\nboards: { main: { port: COM5 } }\n", "utf-8")
    (tmp_path / "notes.txt").write_text(panel.read_text("utf-8"), "utf-8")
    (tmp_path / "folder.yaml").mkdir()
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "pipe.yaml")
    (board,) = boards_in([tmp_path])
    assert (board.name, board.kind, board.port, board.code) == ("main", "uno", "com5", 1)
    assert board.checksum() is None
    assert boards_in([tmp_path / "not_there"]) == []


@pytest.mark.skipif(os.name != "posix", reason="needs links")
def test_a_link_is_the_port_that_it_leads_to(panel: Path, tmp_path: Path) -> None:
    (tmp_path / "device").touch()
    (tmp_path / "link").symlink_to(tmp_path / "device")
    text = panel.read_text("utf-8").replace("port: com5", f"port: {tmp_path / 'link'}")
    panel.write_text(text, "utf-8")
    (board,) = boards_in([panel])
    assert board.is_on(str(tmp_path / "device"))
    assert not board.is_on(str(tmp_path / "other"))


@pytest.mark.skipif(os.name != "posix", reason="permissions of POSIX")
@pytest.mark.parametrize(
    ("group", "mend"),
    [
        ("dialout", "sudo usermod -aG dialout $USER, then log in again"),
        ("root", "sudo chmod a+rw {}, until it is unplugged"),
    ],
)
def test_no_permission(
    group: str, mend: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    device = tmp_path / "ttyACM0"
    device.touch()
    assert listing.permission_line(str(device)) == ""
    monkeypatch.setattr(os, "access", lambda path, mode: False)
    monkeypatch.setattr(listing, "_group_of", lambda path: group)
    wanted = f"no permission to open it: {mend.format(device)}"
    assert listing.permission_line(str(device)) == wanted
    lines = [*list_lines([FoundPort(str(device), "Some board", usb_id="2341:0042")], ())]
    assert lines[1] == f"    {wanted}"
    assert listing.permission_line("socket://a:1") == ""


def test_nothing_of_posix_is_asked_on_windows(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "name", "nt")
    assert listing.permission_line("COM5") == ""


# -- asked -----------------------------------------------------------------------------------------


class FakePort:
    """A port with a fake board behind it."""

    def __init__(self, replies: bytes = b"", unasked: bytes = b"") -> None:
        self.replies, self.unasked = replies, unasked
        self.written: list[bytes] = []
        self.is_closed = False
        self._waiting = b""

    def read(self) -> bytes:
        data, self._waiting = self._waiting + self.unasked, b""
        return data

    def write(self, data: bytes) -> None:
        self.written.append(data)
        self._waiting += self.replies

    def close(self) -> None:
        self.is_closed = True

    def fileno(self) -> int | None:
        return None


class Ports:
    """Opens fake ports; a port that is not there is still being opened."""

    def __init__(self, ports: dict[str, FakePort | LinkError]) -> None:
        self.ports = ports
        self.speeds: dict[str, int] = {}

    def __call__(self, url: str, baud: int) -> Opening:
        self.speeds[url] = baud
        future: Future[BytePort] = Future()
        port = self.ports.get(url)
        if isinstance(port, LinkError):
            future.set_exception(port)
        elif port is not None:
            future.set_result(port)
        return Opening(future)


def hello(code: int = 1, protocol: int = 1, checksum: int = 0) -> bytes:
    return encode_frame(Hello(protocol, code, 1, 2, 7, checksum, 32).pack())


def asked(
    port: FakePort | LinkError | None, boards: list[BoardOfFile] | None = None
) -> tuple[Answer, Ports]:
    ports = Ports({"COM5": port} if port else {})
    answers: list[Answer] = []
    ask_ports(["COM5"], boards or [], ports, VirtualClock(), answers.append)
    (answer,) = answers
    if isinstance(port, FakePort):
        assert port.is_closed
        assert set(port.written) <= {encode_frame(HelloRequest().pack())}
    return answer, ports


def test_a_board_of_ours() -> None:
    answer, ports = asked(FakePort(replies=hello()))
    assert answer.is_board
    assert answer.lines == (
        "a board of kind uno, protocol 1, firmware 1.2",
        "takes 32 items; no set-up: no session runs on it",
    )
    assert ports.speeds == {"COM5": 250_000}


@pytest.mark.parametrize(
    ("code", "words"),
    [
        (3, "a board of kind mega2560"),
        (100, "a board of another kind, 'board: other' with code 100"),
        (42, "a board of an unknown kind (42)"),
    ],
)
def test_kinds_of_boards(code: int, words: str) -> None:
    answer, _ = asked(FakePort(unasked=hello(code)))
    assert answer.lines[0].startswith(words)


def test_what_the_panel_file_says_of_it(panel: Path) -> None:
    boards = boards_in([panel])
    checksum = SetupPlan.of(load_panel(panel).panel, "main").checksum
    answer, _ = asked(FakePort(unasked=hello(checksum=checksum)), boards)
    words = boards[0].words
    assert answer.lines[1:] == (
        f"takes 32 items; it still has the set-up 0x{checksum:04X} of a session, that of {words}",
        f"it is the kind of {words}",
    )
    answer, _ = asked(FakePort(unasked=hello(3, checksum=1)), boards)
    assert answer.lines[1].endswith("the set-up 0x0001 of a session")
    assert answer.lines[2] == f"another kind than {words}: correct 'board:' there, or the port"


def test_the_speed_is_the_panels_or_the_given_one(panel: Path) -> None:
    text = panel.read_text("utf-8").replace("port: com5", "port: com5\n    baud: 500000")
    panel.write_text(text, "utf-8")
    _, ports = asked(FakePort(unasked=hello()), boards_in([panel]))
    assert ports.speeds == {"COM5": 500_000}
    ports = Ports({"COM5": FakePort(unasked=hello())})
    ask_ports(["COM5"], boards_in([panel]), ports, VirtualClock(), lambda answer: None, 115_200)
    assert ports.speeds == {"COM5": 115_200}


@pytest.mark.parametrize(
    ("port", "words", "hint"),
    [
        (FakePort(), "no byte has come", "is the sketch flashed"),
        (FakePort(unasked=b"Hello there\r\n\0"), "bytes come but no frame", "is 250000 bit/s"),
        (
            FakePort(
                unasked=encode_frame(Report(1, 1, 0, 0, 0, 0, 0, (), ()).pack(SetupShape(0, 0, ())))
            ),
            "the board sends frames but has not answered",
            "unplug it",
        ),
        (FakePort(replies=hello(protocol=9)), "version 9 of the protocol", "flash the firmware"),
        (PortBusy("another program holds the port", "COM5", "close it there"), "holds", "close"),
        (LinkLost("the port went away", "COM5", "check the cable"), "went away", "cable"),
        (None, "it has not opened for 10 s", ""),
    ],
)
def test_what_is_no_board(port: FakePort | LinkError | None, words: str, hint: str) -> None:
    answer, _ = asked(port)
    assert not answer.is_board
    assert words in answer.lines[0]
    assert hint in "".join(answer.lines[1:])


def test_a_boot_loader_is_left_alone_for_two_seconds() -> None:
    clock = VirtualClock()
    port = FakePort(replies=hello())
    write: Callable[[bytes], None] = port.write
    times: list[float] = []
    port.write = lambda data: (times.append(clock.now()), write(data))[1]  # type: ignore[method-assign, func-returns-value]
    ask_ports(["COM5"], [], Ports({"COM5": port}), clock, lambda answer: None)
    assert times[0] >= 2.0


def test_several_ports_are_asked_at_once() -> None:
    clock = VirtualClock()
    ports = Ports({"COM5": FakePort(), "COM6": FakePort(replies=hello()), "COM7": FakePort()})
    answers: list[Answer] = []
    ask_ports([*ports.ports, "COM6"], [], ports, clock, answers.append)
    assert [answer.port for answer in answers] == ["COM6", "COM5", "COM7"]
    assert clock.now() < 6.0


@pytest.mark.skipif(os.name != "posix", reason="needs a pseudo-terminal")
@pytest.mark.thorough
def test_the_command_asks_a_served_board_and_what_is_none(tmp_path: Path) -> None:
    link = tmp_path / "board"
    ours = Process("simboard", "--kind", "nano", "--link", str(link))
    master, silent = os.openpty()
    try:
        ours.wait_for("port ")
        names = [str(link), os.ttyname(silent), str(REPOSITORY / "README.md")]
        asking = Process("ports", "--ask", *names)
        asking.wait_for("can reset its board")
        asking.wait_for("README.md: this is not a serial port")
        asking.wait_for("a board of kind nano, protocol 1, firmware 1.0")
        asking.wait_for("no byte has come")
        assert asking._finish() == 1
    finally:
        ours.stop()
        os.close(master)
        os.close(silent)
