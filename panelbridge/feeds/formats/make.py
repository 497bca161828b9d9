"""Formats and framings from the keys of a feed file."""

from __future__ import annotations

from collections.abc import Iterable

from panelbridge.config.links.formats import (
    AnyFormatKeys,
    BinaryForm,
    DelimitedForm,
    JsonForm,
    NamesForm,
    RecordsForm,
)
from panelbridge.config.links.link_check import STREAMS
from panelbridge.config.links.transports import AnyTransportKeys, SerialLink
from panelbridge.errors import LogicError
from panelbridge.feeds.formats.binary import BinaryLayout
from panelbridge.feeds.formats.checksums import binary_check
from panelbridge.feeds.formats.delimited import DelimitedText
from panelbridge.feeds.formats.format import Field, Format, Framing
from panelbridge.feeds.formats.framings import Blocks, Lines
from panelbridge.feeds.formats.json_text import JsonText
from panelbridge.feeds.formats.names import NameValueText
from panelbridge.feeds.formats.records import KeyedRecords
from panelbridge.feeds.formats.topics import TopicValues


def make_format(keys: AnyFormatKeys, fields: Iterable[Field]) -> Format:
    """The format that ``keys`` describe, which reads ``fields`` and nothing else."""
    if isinstance(keys, DelimitedForm):
        return DelimitedText(keys, fields)
    if isinstance(keys, NamesForm):
        return NameValueText(keys, fields)
    if isinstance(keys, JsonForm):
        return JsonText(fields)
    if isinstance(keys, BinaryForm):
        return BinaryLayout(keys, fields)
    if isinstance(keys, RecordsForm):
        return KeyedRecords(keys, fields)
    return TopicValues(fields)


def make_framing(keys: AnyFormatKeys, transport: AnyTransportKeys) -> Framing | None:
    """What cuts up the stream of ``transport``; None where each arrival is a message.

    Raises:
        LogicError: the two do not go together (``link_check`` has said so in the file).
    """
    if not isinstance(transport, STREAMS):
        return None
    lossy = isinstance(transport, SerialLink)
    if isinstance(keys, DelimitedForm | NamesForm | JsonForm):
        return Lines(keys.ends_with.encode())
    if isinstance(keys, BinaryForm):
        check = binary_check(keys.checksum, keys.order) if keys.checksum else None
        return Blocks(keys.size_bytes, keys.mark, lossy=lossy, check=check)
    if isinstance(keys, RecordsForm) and keys.records is not None:
        size = keys.first_byte + keys.records * keys.record_bytes
        return Blocks(size, keys.mark, lossy=lossy)
    raise LogicError(f"{keys.form} over {transport.over} has no framing")
