"""``feed-draft`` over the real media: four programs that send what the drafting code never saw.

What they send has a layout that a seed draws (``strangers.py``); the command is run and its output
judged.
"""

from __future__ import annotations

import contextlib
import os
import socket
import sys
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from paho.mqtt.client import Client
from paho.mqtt.enums import CallbackAPIVersion

from panelbridge.cli.app import run_app
from panelbridge.clock import LiveClock
from panelbridge.feeds.draft.listening import listen
from tests.feeds.draft import strangers
from tests.feeds.transports.broker import Broker
from tests.feeds.transports.running import free_port

PERIOD_S = 0.02


@contextlib.contextmanager
def sending(send: Callable[[float], object]) -> Iterator[None]:
    """Calls ``send`` with a time that goes on, 50 times a second, in a thread."""
    stop = threading.Event()

    def run() -> None:
        clock = LiveClock()
        while not stop.wait(PERIOD_S):
            with contextlib.suppress(OSError):
                send(clock.now())

    thread = threading.Thread(target=run, name="panelbridge-test stranger", daemon=True)
    thread.start()
    try:
        yield
    finally:
        stop.set()
        thread.join()


def draft_of(capsys: pytest.CaptureFixture[str], *options: str) -> dict[str, Any]:
    """What the command drafts, as YAML."""
    assert run_app(["feed-draft", "--seconds", "1.5", *options]) == 0, capsys.readouterr().err
    text = capsys.readouterr().out
    assert text.startswith("# A draft, made by 'panelbridge feed-draft' from 1.")
    draft: dict[str, Any] = yaml.safe_load(text)
    assert draft["source"] == "link"
    return draft


def test_text_over_udp(capsys: pytest.CaptureFixture[str]) -> None:
    stranger, port = strangers.columns(101), free_port()
    with (
        socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as out,
        sending(lambda t: out.sendto(stranger.message(t), ("127.0.0.1", port))),
    ):
        draft = draft_of(capsys, "--udp", str(port))
    assert draft["receive"] == {"over": "udp", "listen_port": port}
    assert draft["message"]["form"] == "delimited"
    assert draft["message"].get("separator", ",") == stranger.about["separator"]
    assert len(draft["message"]["columns"]) == stranger.about["columns"]


def test_names_over_tcp(capsys: pytest.CaptureFixture[str]) -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        peers: list[socket.socket] = []
        server.settimeout(0.01)

        def send(time_s: float) -> None:
            with contextlib.suppress(TimeoutError):
                peers.append(server.accept()[0])
            for peer in peers:
                peer.sendall(f"IAS: {100 + time_s:.3f}\r\nfuel: {900 - time_s}\r\n".encode())

        with sending(send):
            draft = draft_of(capsys, "--tcp", f"127.0.0.1:{server.getsockname()[1]}")
        for peer in peers:
            peer.close()
    assert draft["message"] == {"form": "names", "equals": ":"}
    assert draft["values"] == {"airspeed_kias": {"at": "IAS"}}


@pytest.mark.skipif(sys.platform == "win32", reason="no pseudo-terminals")
def test_binary_over_a_serial_line(capsys: pytest.CaptureFixture[str]) -> None:
    import pty
    import tty

    stranger = strangers.packed(104)
    master, slave = pty.openpty()
    tty.setraw(slave)
    name = os.ttyname(slave)
    os.close(slave)
    os.set_blocking(master, False)
    with sending(lambda t: os.write(master, stranger.message(t))):
        draft = draft_of(capsys, "--serial", name, "--baud", "57600")
    os.close(master)
    assert draft["receive"] == {"over": "serial", "port": name, "baud": 57600}
    assert draft["message"]["form"] == "binary"
    assert draft["message"]["order"] == stranger.about["order"]
    types = [one["type"] for one in draft["message"]["fields"] if one["type"] != "uint8"]
    words = {"f": "float32", "d": "float64", "h": "int16"}
    assert types == [words[letter] for letter in stranger.about["letters"]]


def test_topics_over_mqtt(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    broker = Broker(tmp_path)
    broker.start()
    client = Client(CallbackAPIVersion.VERSION2)
    client.connect("127.0.0.1", broker.port)
    client.loop_start()

    def send(time_s: float) -> None:
        client.publish("cockpit/gs", f"{20 + time_s}")
        client.publish("cockpit/flaps", "10")

    with sending(send):
        draft = draft_of(capsys, "--mqtt", f"127.0.0.1:{broker.port}")
    client.disconnect()
    client.loop_stop()
    broker.kill()
    assert sorted(draft["receive"]["topics"]) == ["cockpit/flaps", "cockpit/gs"]
    assert draft["message"] == {"form": "topics"}
    assert draft["values"] == {
        "ground_speed_kt": {"at": "cockpit/gs"},
        "flap_deg": {"at": "cockpit/flaps"},
    }


def test_the_draft_goes_into_a_file_and_over_no_other(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    port, path = free_port(), tmp_path / "draft.yaml"
    with (
        socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as out,
        sending(lambda t: out.sendto(b"ias=%d\n" % t, ("127.0.0.1", port))),
    ):
        options = ["feed-draft", "--udp", str(port), "--seconds", "0.5", "--output", str(path)]
        assert run_app(options) == 0
        assert run_app(options) == 0  # over an earlier draft
        path.write_text("kind: feed # mine\n", "utf-8")
        assert run_app(options) == 2
    assert path.read_text("utf-8") == "kind: feed # mine\n"
    assert "Nothing was overwritten" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("options", "error"),
    [
        ([], "feed-draft: give one of --udp, --tcp, --serial and --mqtt"),
        (["--udp", "1", "--tcp", "x:1"], "feed-draft: give one of --udp, --tcp, --serial and"),
        (["--udp", "abc"], "--udp: 'abc' names no port\n    write PORT"),
        (["--tcp", "sim"], "--tcp: 'sim' names no port\n    write HOST:PORT"),
        (["--tcp", "a b:1"], "--tcp: 'a b:1' cannot be used: the host must be a name"),
        (["--udp", "70000"], "--udp: '70000' cannot be used: "),
        (["--serial", "/dev/nothing"], "nothing came in 0.5 s (not open: there is no such port)"),
        (["--mqtt", "127.0.0.1:1"], "nothing came in 0.5 s (not connected: no program listens"),
        (["--tcp", "127.0.0.1:1"], "nothing came in 0.5 s (not connected: no program listens"),
    ],
)
def test_what_cannot_be_is_said(
    capsys: pytest.CaptureFixture[str], options: list[str], error: str
) -> None:
    assert run_app(["feed-draft", "--seconds", "0.5", *options]) == 2
    assert error in capsys.readouterr().err


def test_listening_takes_no_more_than_it_keeps(monkeypatch: pytest.MonkeyPatch) -> None:
    from panelbridge.feeds.draft import listening
    from panelbridge.feeds.transports.transport import Arrival
    from tests.feeds.link.fakes import FakeTransport

    class Endless(FakeTransport):
        def read(self, now_s: float) -> list[Arrival]:
            return [Arrival(b"1")] * 64

    monkeypatch.setattr(listening, "MOST_SAMPLES", 1000)
    transport = Endless()
    heard, name = listen(lambda _: transport, 600.0, LiveClock())
    assert (len(heard.samples), name) == (1024, "test")
    assert transport.is_closed
