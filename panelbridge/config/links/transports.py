"""Keys of a transport: over which medium bytes come from a simulator, or go to it."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import AfterValidator, Field, model_validator

from panelbridge.config.links.addresses import LOOPBACK, Address, Host, Port
from panelbridge.logic.kit.parameters import Parameters


class UdpLink(Parameters):
    """Datagrams over UDP; each is a whole message."""

    over: Literal["udp"]
    """The medium."""
    listen_port: Port | None = None
    """Port of this computer to which the simulator sends."""
    listen_address: Address = LOOPBACK
    """Address of this computer to which it sends: 127.0.0.1 can be reached by programs of this
    computer only, 0.0.0.0 is all addresses."""
    only_from: Address | None = None
    """Address of the only computer whose datagrams are read."""
    host: Host = LOOPBACK
    """Computer to which this program sends."""
    port: Port | None = None
    """Port of that computer to which this program sends."""

    @model_validator(mode="after")
    def _has_a_direction(self) -> Self:
        if self.listen_port is None and self.port is None:
            raise ValueError(
                "UDP needs 'listen_port' (to receive), 'port' (to send), or both of them"
            )
        return self


class TcpLink(Parameters):
    """A TCP connection that this program makes to the simulator."""

    over: Literal["tcp"]
    """The medium."""
    host: Host = LOOPBACK
    """Computer on which the simulator waits for a connection."""
    port: Port
    """Its port."""


class TcpServerLink(Parameters):
    """A TCP connection that the simulator makes to this program; the newest one counts."""

    over: Literal["tcp_server"]
    """The medium."""
    listen_port: Port
    """Port of this computer to which the simulator connects."""
    listen_address: Address = LOOPBACK
    """Address of this computer to which it connects: 127.0.0.1 can be reached by programs of this
    computer only, 0.0.0.0 is all addresses."""
    only_from: Address | None = None
    """Address of the only computer that may connect."""


class SerialLink(Parameters):
    """A serial line with 8 data bits, no parity and 1 stop bit."""

    over: Literal["serial"]
    """The medium."""
    port: Annotated[str, Field(min_length=1, max_length=200)]
    """The serial port: COM5, /dev/ttyUSB0."""
    baud: Annotated[int, Field(ge=300, le=4_000_000)] = 115_200
    """Speed of the line, bit/s."""

    @model_validator(mode="after")
    def _is_a_port(self) -> Self:
        if "://" in self.port:
            raise ValueError("the port must be a serial port; network addresses have 'over: tcp'")
        return self


def _checked_filter(topic: str) -> str:
    levels = topic.split("/")
    hashes = [level for level in levels if "#" in level]
    if "\0" in topic or any("+" in level and level != "+" for level in levels):
        raise ValueError("'+' must stand alone between slashes, as in sim/+/speed")
    if hashes and (hashes != ["#"] or levels[-1] != "#"):
        raise ValueError("'#' must stand alone at the end of a topic, as in sim/#")
    return topic


def _checked_topic(topic: str) -> str:
    if any(c in topic for c in "+#\0"):
        raise ValueError("a topic to which something is sent has neither '+' nor '#'")
    return topic


TopicFilter = Annotated[str, Field(min_length=1, max_length=200), AfterValidator(_checked_filter)]
"""A topic, or several by ``+`` and ``#``."""
Topic = Annotated[str, Field(min_length=1, max_length=200), AfterValidator(_checked_topic)]
"""One topic."""
_File = Annotated[str, Field(min_length=1, max_length=500)]


class TlsKeys(Parameters):
    """Encryption of the way to the broker; its certificate must be valid for ``host``."""

    ca_file: _File | None = None
    """Certificate of the authority that signed the broker's; without it those that this
    computer trusts."""
    cert_file: _File | None = None
    """Certificate of this program, where the broker asks for one."""
    key_file: _File | None = None
    """Private key of that certificate."""

    @model_validator(mode="after")
    def _key_has_a_certificate(self) -> Self:
        if self.key_file is not None and self.cert_file is None:
            raise ValueError("a 'key_file' needs the 'cert_file' that it belongs to")
        return self


class MqttLink(Parameters):
    """Messages through a broker of MQTT, version 5; paths of files count from the feed file."""

    over: Literal["mqtt"]
    """The medium."""
    host: Host = LOOPBACK
    """Computer on which the broker runs."""
    port: Port = 1883
    """Its port."""
    topics: Annotated[tuple[TopicFilter, ...], Field(max_length=200)] = ()
    """Topics that are received; + is any one level, # any levels at the end."""
    state_topics: Annotated[tuple[Topic, ...], Field(max_length=200)] = ()
    """Topics to which this program sends a state, not a command: the broker keeps the last message
    for those who come later."""
    status_topic: Topic | None = None
    """Topic of this program's own state, which the broker keeps: online, or offline when it has
    ended or is gone."""
    client_id: Annotated[str, Field(max_length=100)] = ""
    """Name of this program at the broker, used by no other; the broker chooses one without it."""
    user: Annotated[str, Field(min_length=1, max_length=200)] | None = None
    """User name at the broker."""
    password_env: Annotated[str, Field(min_length=1, max_length=100)] | None = None
    """Environment variable that holds the password."""
    password_file: _File | None = None
    """File whose first line is the password."""
    tls: TlsKeys | None = None
    """Encryption; without it everything is readable on its way."""
    keep_alive_s: Annotated[int, Field(ge=2, le=600)] = 5
    """The broker drops this program after 1.5 times of this without a sign of life; a broker that
    is hung is noticed after twice this time, s."""

    @model_validator(mode="after")
    def _password_belongs_to_a_user(self) -> Self:
        if self.password_env is not None and self.password_file is not None:
            raise ValueError("give one of 'password_env' and 'password_file', not both")
        if self.user is None and (self.password_env or self.password_file):
            raise ValueError("a password needs the 'user' that it belongs to")
        return self


TransportKeys = Annotated[
    UdpLink | TcpLink | TcpServerLink | SerialLink | MqttLink, Field(discriminator="over")
]
"""The keys of any transport."""
AnyTransportKeys = UdpLink | TcpLink | TcpServerLink | SerialLink | MqttLink
