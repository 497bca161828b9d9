"""Binary data with each number in its place."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import isfinite
from struct import Struct

from panelbridge.config.links.formats import BinaryForm, number_bytes
from panelbridge.feeds.formats.checksums import binary_check
from panelbridge.feeds.formats.format import Field, Raw, Refused
from panelbridge.feeds.formats.numbers import LETTERS, order_letter
from panelbridge.feeds.formats.values import SkippedFields, key_of, path_of


class BinaryLayout:
    """Reads numbers at fixed places of a message of one length.

    Args:
        keys: the file's description.
        fields: the numbers that are wanted: a name, or a name and a number from 0.
    """

    def __init__(self, keys: BinaryForm, fields: Iterable[Field]) -> None:
        self.skipped = SkippedFields()
        self._size = keys.size_bytes
        self._mark = keys.mark
        self._check = binary_check(keys.checksum, keys.order) if keys.checksum else None
        wanted: list[tuple[int, str, Field, int | None]] = []
        layout = dict(zip([field.name for field in keys.fields], keys.offsets(), strict=True))
        by_name = {field.name: field for field in keys.fields}
        for field in fields:
            name, place = (*path_of(field), 0)[:2]
            entry = by_name.get(str(name))
            if entry is not None and isinstance(place, int) and 0 <= place < entry.count:
                at = layout[entry.name] + place * number_bytes(entry.type)
                wanted.append((at, LETTERS[entry.type], key_of(field), entry.bit))
        self._runs = _runs(wanted, order_letter(keys.order))

    def decode(self, data: bytes, topic: str = "") -> Mapping[object, Raw]:
        """The wanted numbers. Raises: Refused."""
        if len(data) != self._size:
            detail = f"it has {len(data)} bytes, and {self._size} are expected"
            raise Refused("wrong length", detail)
        if not data.startswith(self._mark):
            raise Refused("wrong start", f"it begins with {data[: len(self._mark)].hex(' ')}")
        if self._check is not None and not self._check(data):
            raise Refused("wrong checksum")
        found: dict[object, Raw] = {}
        for struct, start, fields in self._runs:
            for (field, bit), value in zip(fields, struct.unpack_from(data, start), strict=True):
                if bit is not None:
                    found[field] = bool(value >> bit & 1)
                elif isinstance(value, int) or isfinite(value):
                    found[field] = value
                else:
                    self.skipped.add(field, "not a finite number")
        return found


_Run = tuple[Struct, int, list[tuple[Field, int | None]]]


def _runs(wanted: list[tuple[int, str, Field, int | None]], order: str) -> list[_Run]:
    """As few structures as possible, each of numbers that do not overlap, with gaps between."""
    left = sorted(wanted, key=lambda one: one[0])
    runs: list[_Run] = []
    while left:
        start = at = left[0][0]
        letters, fields, others = order, [], []
        for one in left:
            offset, letter, field, bit = one
            if offset < at:
                others.append(one)
                continue
            letters += "x" * (offset - at) + letter
            fields.append((field, bit))
            at = offset + Struct(order + letter).size
        runs.append((Struct(letters), start, fields))
        left = others
    return runs
