"""Formats and framings as a feed file makes them."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from pydantic import TypeAdapter

from panelbridge.config.links.formats import AnyFormatKeys, FormatKeys
from panelbridge.config.links.transports import AnyTransportKeys, TransportKeys
from panelbridge.feeds.formats.format import Field, Format, Framing
from panelbridge.feeds.formats.make import make_format, make_framing

_FORMATS: TypeAdapter[AnyFormatKeys] = TypeAdapter(FormatKeys)
_TRANSPORTS: TypeAdapter[AnyTransportKeys] = TypeAdapter(TransportKeys)


def format_keys(form: str, **keys: Any) -> AnyFormatKeys:
    """The keys of ``message:`` as they are read from a file."""
    return _FORMATS.validate_json(json.dumps({"form": form, **keys}))


def transport_keys(over: str, **keys: Any) -> AnyTransportKeys:
    """The keys of ``receive:`` as they are read from a file."""
    return _TRANSPORTS.validate_json(json.dumps({"over": over, **keys}))


def a_format(wanted: Iterable[Field], form: str, **keys: Any) -> Format:
    """A format that reads the fields ``wanted``."""
    return make_format(format_keys(form, **keys), wanted)


def a_framing(keys: AnyFormatKeys, over: str = "serial") -> Framing:
    """The framing of a format in a stream."""
    ways: dict[str, dict[str, Any]] = {
        "serial": {"port": "COM5"},
        "tcp": {"port": 5000},
        "tcp_server": {"listen_port": 5000},
    }
    framing = make_framing(keys, transport_keys(over, **ways[over]))
    assert framing is not None
    return framing
