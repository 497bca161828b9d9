"""Binary records, each a number that says what it is and some values."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import isfinite
from struct import Struct

from panelbridge.config.links.formats import RecordsForm
from panelbridge.feeds.formats.format import Field, Raw, Refused
from panelbridge.feeds.formats.numbers import LETTERS, order_letter
from panelbridge.feeds.formats.values import SkippedFields, key_of, path_of


class KeyedRecords:
    """Reads records; a message may hold any of them, each at most once.

    Args:
        keys: the file's description.
        fields: the values that are wanted: the record's number, and the value's from 0.
    """

    def __init__(self, keys: RecordsForm, fields: Iterable[Field]) -> None:
        self.skipped = SkippedFields()
        self._mark = keys.mark
        self._first = keys.first_byte
        self._size = keys.record_bytes
        self._records = keys.records
        letters = LETTERS[keys.id] + LETTERS[keys.type] * keys.values
        self._struct = Struct(order_letter(keys.order) + letters)
        self._wanted: dict[object, list[tuple[Field, int]]] = {}
        for field in fields:
            number, place = (*path_of(field), 0)[:2]
            if isinstance(place, int) and 0 <= place < keys.values:
                self._wanted.setdefault(number, []).append((key_of(field), 1 + place))

    def decode(self, data: bytes, topic: str = "") -> Mapping[object, Raw]:
        """The wanted values that are in the message. Raises: Refused."""
        count, rest = divmod(len(data) - self._first, self._size)
        if rest or count < 0 or self._records not in (None, count):
            raise Refused("wrong length", f"{len(data)} bytes are no whole number of records")
        if not data.startswith(self._mark):
            raise Refused("wrong start", f"it begins with {data[: len(self._mark)].hex(' ')}")
        found: dict[object, Raw] = {}
        seen = set()
        for record in self._struct.iter_unpack(data[self._first :]):
            number = record[0]
            if number in seen:
                raise Refused("a record twice", f"record {number} stands in the message twice")
            seen.add(number)
            for field, place in self._wanted.get(number, ()):
                value = record[place]
                if isfinite(value):
                    found[field] = value
                else:
                    self.skipped.add(field, "not a finite number")
        return found
