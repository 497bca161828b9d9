"""Frozen dataclasses as JSON and back: a snapshot that went this way is equal to the first."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Collection, Mapping
from typing import Annotated, Any, Generic, TypeVar, get_type_hints

import pydantic_core
from pydantic import ConfigDict, PlainValidator, TypeAdapter, ValidationError, create_model

from panelbridge.engine.snapshot import Snapshot
from panelbridge.errors import MessageError
from panelbridge.signals import Event, HandleContacts, SwitchState

T = TypeVar("T")
_POSITIONS = TypeAdapter(dict[str, HandleContacts | bool | float])


def _switches(positions: Any) -> SwitchState:
    return SwitchState(**_POSITIONS.validate_python(positions))


_OWN_TYPES: Mapping[Any, Any] = {SwitchState: Annotated[SwitchState, PlainValidator(_switches)]}
"""Types that pydantic does not know, with how they are read."""


class JsonCodec(Generic[T]):
    """Writes objects of a frozen dataclass as JSON, and reads them.

    Args:
        kind: the class.
        left_out: its fields that do not travel; they have their defaults at the other end.
    """

    def __init__(self, kind: type[T], left_out: Collection[str] = ()) -> None:
        self._kind = kind
        hints = get_type_hints(kind)
        names = [field.name for field in dataclasses.fields(kind)]  # type: ignore[arg-type]
        self._names = [name for name in names if name not in left_out]
        fields: dict[str, Any] = {
            name: (_OWN_TYPES.get(hints[name], hints[name]), ...) for name in self._names
        }
        # A missing or unknown field is another version of this program.
        config = ConfigDict(extra="forbid")
        self._model = create_model(f"{kind.__name__}Fields", __config__=config, **fields)

    def write(self, thing: T) -> bytes:
        """One line of JSON, UTF-8."""
        return to_json({name: getattr(thing, name) for name in self._names})

    def read(self, text: bytes) -> T:
        """What was written. Raises: MessageError, when it is something else."""
        try:
            found = self._model.model_validate_json(text)
        except (ValidationError, RecursionError) as error:
            raise MessageError("this is not what this version of panelbridge publishes") from error
        return self._kind(**{name: getattr(found, name) for name in self._names})


def to_json(thing: object) -> bytes:
    """Plain values, dataclasses and read-only mappings as one line of JSON."""
    try:
        return pydantic_core.to_json(thing, fallback=_plain)
    except pydantic_core.PydanticSerializationError:
        # A name of a file or port that is no Unicode (lone surrogates): "?" stands in its place.
        text = json.dumps(thing, default=_plain, ensure_ascii=False)
        return text.encode("utf-8", "replace")


def _plain(thing: Any) -> Any:
    if isinstance(thing, SwitchState):
        return dict(thing.positions)
    if dataclasses.is_dataclass(thing) and not isinstance(thing, type):
        return {field.name: getattr(thing, field.name) for field in dataclasses.fields(thing)}
    return dict(thing)


SNAPSHOTS = JsonCodec(Snapshot, left_out=("world", "events"))
"""Events travel by themselves, each once; the logic's world stays where it is."""
EVENTS = JsonCodec(Event)
