"""P-6 to P-9: MQTT 5.0 (OASIS), clauses as stored sources quote them, at a real broker.

P-6 retained messages [MQTT-3.3.1-5, -6, -9 to -11]; P-7 the will [MQTT-3.1.2-8, -10], [3.1.3-9];
P-8 session expiry 3.1.2.11.2 and keep alive [3.1.2-22]; P-9 quality of service 4.3 and variable
byte integers 1.5.5 (from memory). Not used and so not checked: delay of a will, no retained
messages on request (handling 1 and 2), quality of service 2.
"""

from __future__ import annotations

import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from paho.mqtt.properties import VariableByteIntegers

from tests.examples import few_of
from tests.feeds.formats.making import a_format
from tests.feeds.transports.broker import Broker
from tests.feeds.transports.running import Running


@pytest.fixture
def broker(tmp_path: Path) -> Iterator[Broker]:
    one = Broker(tmp_path)
    one.start()
    yield one
    one.kill()


def a_client(broker: Broker, *topics: str, **keys: Any) -> Running:
    return Running("mqtt", port=broker.port, topics=topics, **keys)


def test_p_6_a_retained_message_is_replaced_shown_to_newcomers_and_removed(broker: Broker) -> None:
    with a_client(broker, state_topics=["panel/gear"]) as writer:
        writer.until_open()
        for state in (b"up", b"down"):
            assert writer.send(state, "panel/gear")
        for _ in range(2):  # a reader that starts again finds it again
            with a_client(broker, "panel/gear") as reader:
                reader.until(lambda one=reader: one.data != [])  # type: ignore[misc]
                (found,) = reader.arrivals
                # It says nothing of now: it must not count as fresh.
                assert (found.data, found.is_retained) == (b"down", True)
        assert writer.send(b"", "panel/gear")
        with a_client(broker, "#") as reader:
            reader.until_open()
            reader.until(lambda: writer.send(b"1", "probe") and reader.data != [])
            assert set(reader.data) == {b"1"}


def test_p_6_what_comes_after_the_subscription_is_not_marked_as_retained(broker: Broker) -> None:
    with a_client(broker, "panel/#", state_topics=["panel/gear"]) as client:
        client.until_open()
        client.until(lambda: client.send(b"down", "panel/gear") and client.data != [])
        assert not any(one.is_retained for one in client.arrivals)


_PANEL = """
import sys
from tests.feeds.transports.running import Running
with Running("mqtt", port=int(sys.argv[1]), status_topic="panel/online", keep_alive_s=2) as panel:
    panel.until_open()
    panel.until(lambda: False)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no such signals")
@pytest.mark.parametrize("name", few_of(["SIGKILL", "SIGSTOP"]))
def test_p_7_p_8_the_will_of_a_program_that_is_killed_or_silent(broker: Broker, name: str) -> None:
    """Killed, its connection closes; silent, it is dropped after 1.5 times the keep alive."""
    with a_client(broker, "panel/online") as reader:
        reader.until_open()
        panel = subprocess.Popen([sys.executable, "-c", _PANEL, str(broker.port)])
        reader.until(lambda: b"online" in reader.data)
        panel.send_signal(getattr(signal, name))
        reader.until(lambda: reader.data[-1] == b"offline")
        panel.kill()
        panel.wait()


def test_p_7_a_goodbye_with_0x00_leaves_no_will_and_one_with_0x04_does(broker: Broker) -> None:
    with a_client(broker, "#") as reader:
        reader.until_open()
        with a_client(broker, status_topic="first/online") as first:
            first.until_open()
            reader.until(lambda: reader.data != [])
            first.transport._client.disconnect()  # type: ignore[attr-defined]  # 0x00
            first.until(lambda: not first.transport.health().is_open)
        with a_client(broker, status_topic="second/online") as second:
            second.until_open()
        reader.until(lambda: reader.data[-1] == b"offline")
        wills = [one.topic for one in reader.arrivals if one.data == b"offline"]
        assert wills == ["second/online"]


def test_p_8_without_a_session_expiry_nothing_is_kept_for_an_absent_client(broker: Broker) -> None:
    with a_client(broker, "x") as writer:
        writer.until_open()
        with a_client(broker, "x", client_id="panel") as first:
            first.until_open()
        assert writer.send(b"meanwhile", "x")
        writer.until(lambda: b"meanwhile" in writer.data)  # the broker has dealt with it
        with a_client(broker, "x", client_id="panel") as second:
            second.until_open()
            second.until(lambda: writer.send(b"now", "x") and second.data != [])
            assert set(second.data) == {b"now"}


def test_p_9_a_state_that_comes_twice_is_the_same_state() -> None:
    form = a_format(["panel/gear"], "topics")
    assert form.decode(b"down", "panel/gear") == form.decode(b"down", "panel/gear")


@pytest.mark.parametrize(
    ("number", "encoded"),
    [
        (127, "7F"),
        (128, "80 01"),
        (16_383, "FF 7F"),
        (16_384, "80 80 01"),
        (268_435_455, "FF FF FF 7F"),
    ],
)
def test_p_9_variable_byte_integers_of_the_library(number: int, encoded: str) -> None:
    encode: Any = VariableByteIntegers.encode
    decode: Any = VariableByteIntegers.decode
    assert encode(number) == bytes.fromhex(encoded)
    assert decode(bytes.fromhex(encoded)) == (number, len(encoded.split()))
