"""Structs as JSON and back: a snapshot that went this way is equal to the first."""

from __future__ import annotations

import json
from collections.abc import Collection
from typing import Any, Generic, TypeVar, get_type_hints

import msgspec

from panelbridge.engine.snapshot import Snapshot
from panelbridge.errors import MessageError
from panelbridge.signals import Event, HandleContacts, SwitchState

T = TypeVar("T", bound=msgspec.Struct)


class JsonCodec(Generic[T]):
    """Writes objects of a class as JSON, and reads them.

    Args:
        kind: the class.
        left_out: its fields that do not travel; they have their defaults at the other end.
    """

    def __init__(self, kind: type[T], left_out: Collection[str] = ()) -> None:
        self._kind = kind
        hints = get_type_hints(kind)
        self._names = [name for name in kind.__struct_fields__ if name not in left_out]
        # A missing or unknown field is another version of this program.
        travelling = msgspec.defstruct(
            f"{kind.__name__}Fields",
            [(name, hints[name]) for name in self._names],
            forbid_unknown_fields=True,
        )
        self._decoder = msgspec.json.Decoder(travelling, dec_hook=_special)

    def write(self, thing: T) -> bytes:
        """One line of JSON, UTF-8."""
        return to_json({name: getattr(thing, name) for name in self._names})

    def read(self, text: bytes) -> T:
        """What was written. Raises: MessageError, when it is something else."""
        try:
            found = self._decoder.decode(text)
        except (msgspec.MsgspecError, RecursionError) as error:
            raise MessageError("this is not what this version of panelbridge publishes") from error
        return self._kind(**{name: getattr(found, name) for name in self._names})


def to_json(thing: object) -> bytes:
    """Plain values, structs and read-only mappings as one line of JSON."""
    try:
        return msgspec.json.encode(thing, enc_hook=_plain)
    except UnicodeEncodeError:
        # A name of a file or port that is no Unicode (lone surrogates): "?" stands in its place.
        plain = msgspec.to_builtins(thing, enc_hook=_plain)
        return json.dumps(plain, ensure_ascii=False).encode("utf-8", "replace")


def _plain(thing: Any) -> Any:
    return dict(thing.positions if isinstance(thing, SwitchState) else thing)


def _special(kind: type[Any], plain: Any) -> Any:
    if kind is not SwitchState:
        raise NotImplementedError(kind)
    return SwitchState(**msgspec.convert(plain, dict[str, HandleContacts | bool | float]))


SNAPSHOTS = JsonCodec(Snapshot, left_out=("world", "events"))
"""Events travel by themselves, each once; the logic's world stays where it is."""
EVENTS = JsonCodec(Event)
