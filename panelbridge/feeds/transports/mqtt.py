"""Messages through an MQTT 5 broker.

The library's thread connects, reads and writes; it only queues what comes and wakes the engine.
Whatever is sent has quality of service 0 and goes at once or not at all: the library would keep
other messages and deliver them after a reconnect, when the command that they carry is history.
"""

from __future__ import annotations

import socket
import ssl
import sys
import threading
from collections import Counter, deque
from collections.abc import Callable, Sequence
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any, ParamSpec

from panelbridge.config.links.transports import MqttLink
from panelbridge.errors import LogicError
from panelbridge.feeds.transports.broker_secrets import read_password, tls_context
from panelbridge.feeds.transports.transport import (
    MOST_ARRIVALS,
    NOBODY,
    OVERLONG_MESSAGE,
    TOO_MANY,
    Arrival,
    TransportHealth,
)
from panelbridge.link.ports.failure_text import failure_text

if TYPE_CHECKING:
    from paho.mqtt.client import Client, MQTTMessage

MOST_QUEUED = 1024
"""Most messages that wait for the engine; beyond it the oldest are dropped."""
LONGEST_MESSAGE = 65_536
"""Longest message, bytes; the broker is asked to send no longer ones."""
RECONNECT_S = (1, 5)
"""First and longest wait before a connection is tried again, s."""
EXPIRY_S = 2
"""A broker may hand a command on for so many seconds, and not to those who come later."""
CLOSE_WAIT_S = 1.0
"""Longest wait for the goodbye, s."""
ONLINE, OFFLINE = "online", "offline"

_Args = ParamSpec("_Args")


class MqttTransport:
    """One client of a broker.

    Args:
        keys: the file's description.
        wake: ends the engine's wait; called in the library's thread.
        folder: from where relative paths count.
    """

    is_stream = False

    def __init__(self, keys: MqttLink, wake: Callable[[], None], folder: Path) -> None:
        self.name = f"MQTT broker {keys.host}:{keys.port}"
        self._keys = keys
        self._wake = wake
        self._folder = folder
        self._drops = Counter[str]()
        self._queue: deque[Arrival] = deque()
        self._client: Client | None = None
        self._is_connected = False
        self._connections = 0
        self._trouble = "it is tried"
        self._limit = ""
        self._is_refused = False
        self._defect: Exception | None = None

    def open(self, now_s: float) -> None:
        """Begin to connect. Raises: FeedError, for a password or certificate."""
        from paho.mqtt.client import Client
        from paho.mqtt.enums import CallbackAPIVersion, MQTTProtocolVersion
        from paho.mqtt.packettypes import PacketTypes
        from paho.mqtt.properties import Properties

        keys = self._keys
        client = Client(
            CallbackAPIVersion.VERSION2, keys.client_id, protocol=MQTTProtocolVersion.MQTTv5
        )
        if keys.user is not None:
            password = read_password(keys, self._folder, self.name)
            client.username_pw_set(keys.user, password)
        if keys.tls is not None:
            client.tls_set_context(tls_context(keys.tls, self._folder, self.name))
        if keys.status_topic is not None:
            client.will_set(keys.status_topic, OFFLINE, qos=1, retain=True)
        client.reconnect_delay_set(*RECONNECT_S)
        client.on_connect = self._guarded(self._connected)
        client.on_connect_fail = self._guarded(self._not_connected)
        client.on_disconnect = self._guarded(self._disconnected)
        client.on_message = self._guarded(self._received)
        client.on_subscribe = self._guarded(self._subscribed)
        client.on_socket_open = self._guarded(self._begun)
        properties = Properties(PacketTypes.CONNECT)  # type: ignore[no-untyped-call]
        properties.MaximumPacketSize = 2 * LONGEST_MESSAGE
        client.connect_async(
            keys.host, keys.port, keys.keep_alive_s, clean_start=True, properties=properties
        )
        client.loop_start()
        self._client = client

    def read(self, now_s: float) -> Sequence[Arrival]:
        """What has come, oldest first."""
        if self._defect is not None:
            raise LogicError(f"{self.name}: {self._defect!r}") from self._defect
        arrivals: list[Arrival] = []
        while self._queue and len(arrivals) < MOST_ARRIVALS:
            try:
                arrivals.append(self._queue.popleft())
            except IndexError:  # the other thread has just dropped it
                break
        if self._queue:
            self._wake()
        return arrivals

    def send(self, now_s: float, data: bytes, topic: str = "") -> bool:
        """Publish at once or not at all."""
        from paho.mqtt.packettypes import PacketTypes
        from paho.mqtt.properties import Properties

        if self._client is None or not self._is_connected:
            self._drops[NOBODY] += 1
            return False
        is_state = topic in self._keys.state_topics
        properties = Properties(PacketTypes.PUBLISH)  # type: ignore[no-untyped-call]
        if not is_state:
            properties.MessageExpiryInterval = EXPIRY_S
        sent = self._client.publish(topic, data, qos=0, retain=is_state, properties=properties)
        if sent.rc:
            self._drops[NOBODY] += 1
        return not sent.rc

    def filenos(self) -> Sequence[int]:
        """None: the library's thread wakes the engine."""
        return ()

    def health(self) -> TransportHealth:
        """Connected, or why not."""
        text = self._limit or "connected"
        if not self._is_connected:
            text = f"not connected: {self._trouble}"
        return TransportHealth(self._is_connected, text, self._drops, self._connections)

    def close(self) -> None:
        """Say goodbye, with the broker's help to those who read the status, and end the thread."""
        client, self._client = self._client, None
        if client is None:
            return
        from paho.mqtt.packettypes import PacketTypes
        from paho.mqtt.reasoncodes import ReasonCode

        reason = None
        if self._keys.status_topic is not None and self._is_connected:
            reason = ReasonCode(PacketTypes.DISCONNECT, "Disconnect with will message")
        self._is_connected = False
        client.disconnect(reason)
        # It waits for the library's thread, which can hang in the lookup of a name.
        name = f"panelbridge goodbye {self._keys.host}"
        goodbye = threading.Thread(target=client.loop_stop, name=name, daemon=True)
        goodbye.start()
        goodbye.join(CLOSE_WAIT_S)

    def _guarded(self, callback: Callable[_Args, None]) -> Callable[_Args, None]:
        """An error in a callback would end the library's thread unseen: ``read`` raises it."""

        @wraps(callback)
        def guarded(*args: _Args.args, **kwargs: _Args.kwargs) -> None:
            try:
                callback(*args, **kwargs)
            except Exception as error:  # noqa: BLE001 - handed to the engine's thread
                self._defect = error
                self._wake()

        return guarded

    def _begun(self, _: Client, __: Any, opened: Any) -> None:
        self._is_refused = False
        # Small messages wait for no receipt of the one before.
        opened.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)

    def _connected(self, client: Client, _: Any, __: Any, reason: Any, ___: Any) -> None:
        if reason.is_failure:
            self._trouble, self._is_refused = _refusal_text(str(reason)), True
            return
        if self._keys.status_topic is not None:
            client.publish(self._keys.status_topic, ONLINE, qos=0, retain=True)
        self._limit = ""
        if self._keys.topics:  # a clean start forgets them at each connection
            from paho.mqtt.subscribeoptions import SubscribeOptions

            client.subscribe([(topic, SubscribeOptions(qos=0)) for topic in self._keys.topics])
        else:
            self._is_ready()

    def _subscribed(self, _: Client, __: Any, ___: int, reasons: list[Any], ____: Any) -> None:
        refused = [reason for reason in reasons if reason.is_failure]
        if refused:
            self._limit = f"connected, but the broker refuses a topic ({refused[0]})"
        self._is_ready()

    def _is_ready(self) -> None:
        """From here on what is published arrives."""
        self._is_connected = True
        self._connections += 1
        self._wake()

    def _not_connected(self, _: Client, __: Any) -> None:
        error = sys.exc_info()[1]
        if isinstance(error, ssl.SSLCertVerificationError):
            self._trouble = f"its certificate is not valid: {error.verify_message}"
        elif self._keys.tls and isinstance(error, ssl.SSLError | ConnectionResetError):
            self._trouble = "it does not speak TLS at this port, or wants a certificate"
        elif isinstance(error, OSError):
            self._trouble = failure_text(error, self._keys.host)

    def _disconnected(self, _: Client, __: Any, ___: Any, reason: Any, ____: Any) -> None:
        if self._is_connected:
            self._is_connected = False
            self._trouble = f"the connection was lost ({reason})"
            self._wake()
        elif not self._is_refused:
            self._trouble = "the broker hung up at once; it may want TLS, or be no broker"

    def _received(self, _: Client, __: Any, message: MQTTMessage) -> None:
        if len(message.payload) > LONGEST_MESSAGE:
            self._drops[OVERLONG_MESSAGE] += 1
            return
        if len(self._queue) >= MOST_QUEUED:
            self._queue.popleft()
            self._drops[TOO_MANY] += 1
        self._queue.append(Arrival(bytes(message.payload), message.topic, message.retain))
        self._wake()


def _refusal_text(reason: str) -> str:
    if reason in ("Not authorized", "Bad user name or password"):
        return f"the broker refuses the user name or the password ({reason})"
    return f"the broker refuses the connection ({reason})"
