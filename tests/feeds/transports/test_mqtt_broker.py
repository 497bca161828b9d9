"""MQTT through a real broker: what is kept, what is late, a broker that is killed, passwords."""

from __future__ import annotations

import logging
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from panelbridge.errors import FeedError, LogicError
from panelbridge.feeds.transports import mqtt
from tests.feeds.transports.broker import Broker, require_tool
from tests.feeds.transports.running import Running


@pytest.fixture
def broker(tmp_path: Path) -> Iterator[Broker]:
    """A broker without passwords."""
    one = Broker(tmp_path)
    one.start()
    yield one
    one.kill()


def a_client(broker: Broker, *topics: str, **keys: Any) -> Running:
    return Running("mqtt", port=broker.port, topics=topics, **keys)


def test_messages_go_from_one_client_to_another(broker: Broker) -> None:
    with a_client(broker, "sim/#") as reader, a_client(broker) as writer:
        assert reader.transport.name == f"MQTT broker 127.0.0.1:{broker.port}"
        reader.until_open()
        writer.until_open()
        assert reader.text == "connected"
        reader.until(lambda: writer.send(b"ready?", "sim/probe") and b"ready?" in reader.data)
        for number in range(200):
            assert writer.send(b"%d" % number, f"sim/{number % 7}")
        assert writer.send(b"x", "other")
        reader.until(lambda: b"199" in reader.data)
        found = [one for one in reader.arrivals if one.data != b"ready?"]
        assert [one.data for one in found] == [b"%d" % number for number in range(200)]
        assert [one.topic for one in found] == [f"sim/{number % 7}" for number in range(200)]
        assert not any(one.is_retained for one in found)


def test_a_state_is_kept_for_those_who_come_later_and_a_command_is_not(broker: Broker) -> None:
    with a_client(broker, state_topics=["panel/gear"]) as writer:
        writer.until_open()
        assert writer.send(b"old", "panel/gear")
        assert writer.send(b"down", "panel/gear")
        assert writer.send(b"1", "command/gear")
        with a_client(broker, "#") as reader:
            reader.until(lambda: b"down" in reader.data)
            assert writer.send(b"end", "end")
            reader.until(lambda: b"end" in reader.data)
            assert [(one.data, one.is_retained) for one in reader.arrivals] == [
                (b"down", True),
                (b"end", False),
            ]


def test_a_broker_that_is_killed_and_starts_again(broker: Broker) -> None:
    """Nothing that was sent meanwhile is delivered late, and nothing twice."""
    with a_client(broker, "command/#") as reader, a_client(broker) as writer:
        reader.until_open()
        writer.until_open()
        reader.until(lambda: writer.send(b"before", "command/gear") and reader.data != [])
        broker.kill()
        reader.until(lambda: not reader.transport.health().is_open)
        writer.until(lambda: not writer.transport.health().is_open)
        assert reader.text.startswith("not connected: ")
        assert not writer.send(b"late", "command/gear")
        assert not writer.send(b"late", "command/brakes")
        broker.start()
        writer.until_open()
        reader.until_open()
        assert reader.transport.health().connections == 2
        assert writer.send(b"new", "command/gear")
        reader.until(lambda: b"new" in reader.data)
        assert [data for data in reader.data if data != b"before"] == [b"new"]
        assert writer.transport.health().dropped == {"nobody there to take it": 2}


def test_a_broker_that_comes_later_is_found(tmp_path: Path) -> None:
    broker = Broker(tmp_path)
    with a_client(broker, "sim/#") as client:
        client.until(lambda: client.text == "not connected: no program listens there")
        assert not client.send(b"late", "sim/x")
        broker.start()
        client.until_open()
        assert client.send(b"now", "sim/x")
        client.until(lambda: client.data == [b"now"])
    broker.kill()


def test_a_name_that_is_not_known_is_said() -> None:
    with Running("mqtt", host="no-such-name.invalid", topics=["x"]) as client:
        text = "not connected: the name 'no-such-name.invalid' is not known in this network"
        client.until(lambda: client.text == text)


def test_the_broker_says_when_a_program_is_gone(broker: Broker) -> None:
    """P-7 and others in ``tests/published``: here what stands at the topic."""
    with a_client(broker, "panel/online") as reader:
        reader.until_open()
        with a_client(broker, status_topic="panel/online") as panel:
            panel.until_open()
            reader.until(lambda: reader.data == [b"online"])
        reader.until(lambda: reader.data == [b"online", b"offline"])
    with a_client(broker, "panel/online") as reader:
        reader.until(lambda: reader.data == [b"offline"])
        assert reader.arrivals[0].is_retained


_PANEL = """
import sys
from tests.feeds.transports.running import Running
with Running("mqtt", port=int(sys.argv[1]), status_topic="panel/online") as panel:
    panel.until_open()
    panel.until(lambda: False)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no such signal")
def test_the_will_of_a_killed_program(broker: Broker) -> None:
    with a_client(broker, "panel/online") as reader:
        reader.until_open()
        panel = subprocess.Popen([sys.executable, "-c", _PANEL, str(broker.port)])
        reader.until(lambda: reader.data == [b"online"])
        panel.send_signal(signal.SIGKILL)
        panel.wait()
        reader.until(lambda: reader.data == [b"online", b"offline"])


SECRET = "corr3ct-h0rse"


@pytest.fixture
def guarded(tmp_path: Path) -> Iterator[Broker]:
    """A broker with the user panel."""
    passwords = tmp_path / "passwords"
    tool = require_tool(shutil.which("mosquitto_passwd"), "mosquitto")
    subprocess.run([tool, "-b", "-c", str(passwords), "panel", SECRET], check=True)
    one = Broker(tmp_path, "allow_anonymous false", f"password_file {passwords}")
    one.start()
    yield one
    one.kill()


def test_a_password_from_a_file_and_from_the_environment(
    guarded: Broker, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "secret.txt").write_text(f"{SECRET}\n", "utf-8")
    keys = {"user": "panel", "password_file": "secret.txt"}
    with Running("mqtt", port=guarded.port, folder=tmp_path, **keys) as client:
        client.until_open()
    monkeypatch.setenv("PANEL_PASSWORD", SECRET)
    with a_client(guarded, user="panel", password_env="PANEL_PASSWORD") as client:
        client.until_open()


def test_a_wrong_password_is_said_and_never_shown(
    guarded: Broker, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.DEBUG)
    monkeypatch.setenv("PANEL_PASSWORD", "wr0ng-" + SECRET)
    with a_client(guarded, "x", user="panel", password_env="PANEL_PASSWORD") as client:
        client.until(lambda: "refuses" in client.text)
        assert client.text == (
            "not connected: the broker refuses the user name or the password (Not authorized)"
        )
        assert not client.send(b"x", "y")
        shown = f"{client.transport.health()} {client.transport.name} {caplog.text}"
        assert SECRET not in shown


def test_no_password_where_one_is_needed_is_said(guarded: Broker) -> None:
    with a_client(guarded, "x") as client:
        client.until(lambda: "(Not authorized)" in client.text)


def certificates(folder: Path) -> None:
    """An authority, and the broker's certificate that it has signed."""
    openssl = require_tool(shutil.which("openssl"), "openssl")
    names = "subjectAltName=IP:127.0.0.1"
    (folder / "names").write_text(names, "utf-8")
    for command in (
        "req -x509 -newkey rsa:2048 -nodes -keyout ca.key -out ca.pem -days 2 -subj /CN=authority",
        "req -newkey rsa:2048 -nodes -keyout broker.key -out broker.csr -subj /CN=broker",
        "x509 -req -in broker.csr -CA ca.pem -CAkey ca.key -CAcreateserial -days 2"
        " -out broker.pem -extfile names",
        "req -x509 -newkey rsa:2048 -nodes -keyout o.key -out other.pem -days 2 -subj /CN=other",
    ):
        subprocess.run([openssl, *command.split()], cwd=folder, check=True, capture_output=True)


# The library leaves a socket to the garbage collector when the handshake fails.
leaves_a_socket = pytest.mark.filterwarnings("ignore:unclosed <ssl.SSLSocket:ResourceWarning")


@leaves_a_socket
def test_tls_checks_the_certificate(tmp_path: Path) -> None:
    certificates(tmp_path)
    lines = [
        f"{key} {tmp_path / name}"
        for key, name in (
            ("cafile", "ca.pem"),
            ("certfile", "broker.pem"),
            ("keyfile", "broker.key"),
        )
    ]
    broker = Broker(tmp_path, "allow_anonymous true", *lines)
    broker.start()

    def client(host: str, ca_file: str) -> Running:
        keys = {"topics": ["x"], "tls": {"ca_file": ca_file}}
        return Running("mqtt", host=host, port=broker.port, folder=tmp_path, **keys)

    with client("127.0.0.1", "ca.pem") as one:
        one.until_open()
        one.until(lambda: one.send(b"secret", "x") and b"secret" in one.data)
    with client("127.0.0.1", "other.pem") as one:
        one.until(lambda: "certificate" in one.text)
        assert one.text.startswith("not connected: its certificate is not valid: ")
    with client("localhost", "ca.pem") as one:  # it is not valid for this name
        one.until(lambda: "certificate" in one.text)
        assert "localhost" in one.text
    with Running("mqtt", port=broker.port, topics=["x"]) as one:
        one.until(lambda: "it may want TLS" in one.text)
        assert not one.transport.health().is_open
    broker.kill()


@leaves_a_socket
def test_a_broker_without_tls_is_said(broker: Broker) -> None:
    with a_client(broker, "x", tls={}) as client:
        client.until(lambda: "TLS" in client.text)
        text = "not connected: it does not speak TLS at this port, or wants a certificate"
        assert client.text == text


def test_of_a_flood_the_newest_are_kept(broker: Broker, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(mqtt, "MOST_QUEUED", 100)
    with a_client(broker, "sim/#") as reader, a_client(broker) as writer:
        reader.until_open()
        writer.until_open()
        reader.until(lambda: writer.send(b"ready", "sim/x") and b"ready" in reader.data)
        queue = reader.transport._queue  # type: ignore[attr-defined]
        for number in range(500):
            writer.send(b"%d" % number, "sim/x")
        writer.until(lambda: queue and queue[-1].data == b"499")
        assert len(queue) == 100
        reader.until(lambda: b"499" in reader.data)
        assert reader.data[-100:] == [b"%d" % number for number in range(400, 500)]
        assert reader.transport.health().dropped["too many at once"] >= 400


def test_an_overlong_message_is_dropped(broker: Broker) -> None:
    with a_client(broker, "sim/#") as reader, a_client(broker) as writer:
        reader.until_open()
        writer.until_open()
        reader.until(lambda: writer.send(b"ready", "sim/x") and b"ready" in reader.data)
        assert writer.send(b"x" * 65_537, "sim/x")
        assert writer.send(b"y" * 300_000, "sim/x")  # the broker does not send it at all
        assert writer.send(b"end", "sim/x")
        reader.until(lambda: b"end" in reader.data)
        assert set(reader.data) == {b"ready", b"end"}
        assert reader.transport.health().dropped == {"overlong message": 1}


def test_a_defect_in_the_library_s_thread_reaches_ours(
    broker: Broker, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError("broken")

    monkeypatch.setattr(mqtt.MqttTransport, "_received", broken)
    with a_client(broker, "sim/#") as client:
        client.until_open()
        with pytest.raises(LogicError, match="broken"):
            client.until(lambda: client.send(b"x", "sim/x") and False)


@pytest.mark.parametrize(
    ("keys", "text"),
    [
        (
            {"user": "u", "password_env": "NOT_SET_ANYWHERE"},
            "the environment variable NOT_SET_ANYWHERE with the password is not set",
        ),
        (
            {"user": "u", "password_file": "nothing"},
            "the file with the password cannot be read: No such file or directory",
        ),
        (
            {"user": "u", "password_file": "empty"},
            "the first line of the file with the password is empty or too long",
        ),
        (
            {"user": "u", "password_file": "binary"},
            "the file with the password cannot be read: it is not UTF-8 text",
        ),
        (
            {"tls": {"ca_file": "nothing"}},
            "the certificate 'ca_file' cannot be used: No such file or directory",
        ),
        (
            {"tls": {"ca_file": "empty"}},
            "the certificate 'ca_file' cannot be used: it is no certificate or key in PEM form",
        ),
        (
            {"tls": {"cert_file": "binary"}},
            "'cert_file' and 'key_file' cannot be used: it is no certificate or key in PEM form",
        ),
    ],
)
def test_what_cannot_be_read_is_an_error_before_anything_is_sent(
    tmp_path: Path, keys: dict[str, object], text: str
) -> None:
    (tmp_path / "empty").write_bytes(b"\n")
    (tmp_path / "binary").write_bytes(b"\xff\xfe")
    with pytest.raises(FeedError) as caught:
        Running("mqtt", folder=tmp_path, **keys).__enter__()
    assert caught.value.what == text
    assert caught.value.where == "MQTT broker 127.0.0.1:1883"
    assert tmp_path.as_posix() in caught.value.hint or not keys.get("password_file")
