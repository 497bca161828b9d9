"""Which transport and format go together, and who may reach what a link opens."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from panelbridge.config.links.addresses import is_loopback
from panelbridge.config.links.formats import (
    AnyFormatKeys,
    BinaryForm,
    DelimitedForm,
    JsonForm,
    NamesForm,
    RecordsForm,
    TopicsForm,
)
from panelbridge.config.links.transports import (
    AnyTransportKeys,
    MqttLink,
    SerialLink,
    TcpLink,
    TcpServerLink,
    UdpLink,
)

STREAMS = (TcpLink, TcpServerLink, SerialLink)
"""Media on which bytes come without borders between messages."""


class LinkAdvice(NamedTuple):
    """Something about a link that the model of neither part can see.

    Attributes:
        part: ``transport`` or ``message``: the part that it is about.
        key: the key in it; empty for the part itself.
        what: what is wrong, one sentence without a full stop.
        hint: what to do about it; may be empty.
        is_warning: it works, but see.
    """

    part: str
    key: str
    what: str
    hint: str = ""
    is_warning: bool = False


def receiving_misfits(transport: AnyTransportKeys, message: AnyFormatKeys) -> Iterator[LinkAdvice]:
    """What makes no sense between a transport from which messages come and their format."""
    if isinstance(transport, UdpLink) and transport.listen_port is None:
        hint = "Add 'listen_port: ...', the port to which the simulator sends"
        yield LinkAdvice("transport", "", "nothing can be received without 'listen_port'", hint)
    if isinstance(transport, MqttLink) and not transport.topics:
        hint = "Add 'topics: [...]' with what the simulator publishes"
        yield LinkAdvice("transport", "", "nothing can be received without 'topics'", hint)
    if isinstance(message, TopicsForm) and not isinstance(transport, MqttLink):
        what = f"'form: topics' needs 'over: mqtt': there are no topics over {transport.over}"
        yield LinkAdvice("message", "form", what)
    if isinstance(message, DelimitedForm | NamesForm | JsonForm):
        yield from _text_misfits(transport, message)
    if isinstance(message, BinaryForm | RecordsForm) and isinstance(transport, STREAMS):
        yield from _block_misfits(transport, message)


def _text_misfits(
    transport: AnyTransportKeys, message: DelimitedForm | NamesForm | JsonForm
) -> Iterator[LinkAdvice]:
    if isinstance(transport, STREAMS):
        return
    if "ends_with" in message.model_fields_set:
        what = f"'ends_with' has no effect over {transport.over}: there each message is whole"
        yield LinkAdvice("message", "ends_with", what, "Delete the line")


def _block_misfits(
    transport: AnyTransportKeys, message: BinaryForm | RecordsForm
) -> Iterator[LinkAdvice]:
    """In a stream the length of a message must be fixed and its start be seen."""
    if isinstance(message, RecordsForm) and message.records is None:
        what = f"over {transport.over} messages have no borders, so their length must be fixed"
        yield LinkAdvice("message", "", what, "Add 'records: ...', how many each message has")
    if isinstance(transport, SerialLink) and not message.mark:
        what = "on a serial line bytes get lost, so the start of a message must be seen"
        hint = "Add 'starts_with: ...' or 'starts_with_bytes: [...]'"
        yield LinkAdvice("message", "", what, hint)


def sending_misfits(transport: AnyTransportKeys) -> Iterator[LinkAdvice]:
    """What is missing in a transport by which commands go out."""
    if isinstance(transport, UdpLink) and transport.port is None:
        hint = "Add 'port: ...', and 'host: ...' when the simulator runs on another computer"
        yield LinkAdvice("transport", "", "nothing can be sent without 'port'", hint)


def reach_warnings(transport: AnyTransportKeys) -> Iterator[LinkAdvice]:
    """Who may reach what a transport opens, where that is more than this computer."""
    if isinstance(transport, UdpLink | TcpServerLink) and transport.listen_port is not None:
        yield from _listening(transport)
    if isinstance(transport, MqttLink) and not is_loopback(transport.host) and not transport.tls:
        what = f"the way to the broker on {transport.host} is not encrypted: the network can read"
        what += " and change what goes there" + ", and read the password" * bool(transport.user)
        hint = "Add 'tls: {}' if the broker can do it, or use a network that you trust"
        yield LinkAdvice("transport", "host", what, hint, True)


def _listening(transport: UdpLink | TcpServerLink) -> Iterator[LinkAdvice]:
    address = transport.listen_address
    if is_loopback(address):
        return
    every = address in ("0.0.0.0", "::")
    where = "on every address of this computer" if every else f"on {address}"
    verb = "send aircraft data" if isinstance(transport, UdpLink) else "connect"
    if transport.only_from is None:
        what = f"any computer that reaches port {transport.listen_port} {where} may {verb}"
        hint = "Add 'only_from: ADDRESS' with that of the simulator's computer, or delete"
        hint += " 'listen_address' when it runs on this one"
        yield LinkAdvice("transport", "listen_address", what, hint, True)
    elif isinstance(transport, UdpLink):
        what = f"{transport.only_from} may send aircraft data to port {transport.listen_port}"
        what += f" {where}; a sender's address can be forged"
        yield LinkAdvice("transport", "listen_address", what, "Use a network that you trust", True)
