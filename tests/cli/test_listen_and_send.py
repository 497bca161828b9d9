"""``listen`` and ``send`` on real sockets of this computer, with peers that are not ours."""

from __future__ import annotations

import socket
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from panelbridge.cli.app import run_app

HEAD = "kind: feed\nformat: 2\nname: Test\nsource: link\n"


def free_udp_port() -> int:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as one:
        one.bind(("127.0.0.1", 0))
        port: int = one.getsockname()[1]
        return port


@pytest.fixture
def taker() -> Iterator[socket.socket]:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as one:
        one.bind(("127.0.0.1", 0))
        one.settimeout(20.0)
        yield one


def feed_file(folder: Path, text: str) -> str:
    path = folder / "feed.yaml"
    path.write_text(HEAD + text, "utf-8")
    return str(path)


LISTEN = """receive: {{ over: udp, listen_port: {port} }}
message: {{ form: names, between: " " }}
values:
  airspeed_kias: {{ at: v, unit: m/s }}
  strut_tail: {{ at: w, above: 0.5 }}
  flap_deg: {{ at: f }}
"""


def test_listen_shows_raw_and_read_and_why_not(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    port = free_udp_port()
    path = feed_file(tmp_path, LISTEN.format(port=port))
    done = threading.Event()

    def send() -> None:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as out:
            while not done.wait(0.02):
                out.sendto(b"v=100 w=1 f=900", ("127.0.0.1", port))
                out.sendto(b"\xff\xfe", ("127.0.0.1", port))

    sender = threading.Thread(target=send)
    sender.start()
    try:
        assert run_app(["listen", path, "--seconds", "0.6", "--every", "0.3"]) == 0
    finally:
        done.set()
        sender.join()
    shown = capsys.readouterr().out
    last = shown[shown.rindex(f"UDP 127.0.0.1:{port}: ") :]
    assert "data is fresh" in last
    lines = [line.split() for line in last.splitlines()]
    assert ["airspeed_kias", "194.384", "v", "=", "100.0"] in lines
    assert ["strut_tail", "compressed", "w", "=", "1.0"] in lines
    assert ["flap_deg", "?", "f", "=", "900.0", "<-", "out", "of", "range"] in lines
    assert "not UTF-8 text" in last


def test_listen_to_nothing_ends_with_1(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = feed_file(tmp_path, LISTEN.format(port=free_udp_port()))
    assert run_app(["listen", path, "--seconds", "0.2"]) == 1
    shown = capsys.readouterr().out
    assert "NO FRESH DATA, 0 messages" in shown
    assert "not in any message yet" in shown


def test_a_port_in_use(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], taker: socket.socket
) -> None:
    path = feed_file(tmp_path, LISTEN.format(port=taker.getsockname()[1]))
    assert run_app(["listen", path, "--seconds", "1"]) == 2
    said = capsys.readouterr().err
    assert "is taken" in said
    assert "Traceback" not in said


SEND = """targets:
  sim:
    transport: {{ over: udp, port: {port} }}
    commands:
      gear: {{ words: {{ up: "gear 0\\n", down: "gear 1\\n" }} }}
      brakes:
        text: "{{left_brake:.2f}} {{right_brake:.2f}}"
        ends: {{ left_brake: 0, right_brake: 0 }}
"""


@pytest.fixture
def to_taker(tmp_path: Path, taker: socket.socket) -> str:
    return feed_file(tmp_path, SEND.format(port=taker.getsockname()[1]))


def test_send_sends_once_and_says_so(
    to_taker: str, taker: socket.socket, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run_app(["send", to_taker, "gear=up"]) == 0
    assert taker.recv(100) == b"gear 0\n"
    assert capsys.readouterr().out.endswith("gear: sent 'gear 0\\n'\n")
    assert run_app(["send", to_taker, "left_brake=0.5", "right_brake=0.25"]) == 0
    assert taker.recv(100) == b"0.50 0.25"
    taker.setblocking(False)
    with pytest.raises(BlockingIOError):
        taker.recv(100)


@pytest.mark.parametrize(
    ("given", "says"),
    [
        (["gear"], "'gear' is no command"),
        (["gear=top"], "'gear' cannot be 'top'"),
        (["gaer=up"], "Did you mean 'gear'?"),
        (["left_brake=x"], "must be a number"),
        (["left_brake=0.5"], "needs right_brake too"),
        (["parking_brake=set"], "no message of this feed sends 'parking_brake'"),
    ],
)
def test_what_cannot_be_sent(
    to_taker: str, given: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run_app(["send", to_taker, *given]) == 2
    said = capsys.readouterr().err
    assert says in said
    assert "Traceback" not in said


def answering(listener: socket.socket, answer: bytes) -> threading.Thread:
    def serve() -> None:
        peer, _ = listener.accept()
        with peer:
            peer.sendall(b"hello\n> ")
            received = b""
            while not received.endswith(b"\n"):
                received += peer.recv(100)
            peer.sendall(answer + received + b"> ")
            while peer.recv(100):
                pass

    thread = threading.Thread(target=serve)
    thread.start()
    return thread


@pytest.mark.parametrize(
    ("answer", "code", "says"),
    [
        (b"done ", 0, "sent 'gear 0\\n', obeyed: 'done gear 0'"),
        (b"no ", 1, "sent 'gear 0\\n', refused by the simulator: 'no gear 0'"),
    ],
)
def test_an_answer_is_reported(
    tmp_path: Path, answer: bytes, code: int, says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with socket.create_server(("127.0.0.1", 0)) as listener:
        text = SEND.format(port=listener.getsockname()[1]).replace("udp", "tcp")
        text += '    answer: { holds: done, ends_with: "> ", greets: true }\n'
        thread = answering(listener, answer)
        assert run_app(["send", feed_file(tmp_path, text), "gear=up"]) == code
        thread.join(20.0)
    assert says in capsys.readouterr().out


def test_nobody_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with socket.create_server(("127.0.0.1", 0)) as listener:
        port = listener.getsockname()[1]
    path = feed_file(tmp_path, SEND.format(port=port).replace("udp", "tcp"))
    assert run_app(["send", path, "gear=up", "--wait", "0.3"]) == 1
    assert "gear: not sent: " in capsys.readouterr().out
