"""Keys of a format: what the bytes of a simulator mean."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from panelbridge.logic.kit.parameters import Parameters

_Text = Annotated[str, Field(min_length=1, max_length=40)]
_Byte = Annotated[int, Field(ge=0, le=255)]
_Name = Annotated[str, Field(min_length=1, max_length=200)]
NumberType = Literal[
    "int8", "uint8", "int16", "uint16", "int32", "uint32", "int64", "uint64", "float32", "float64"
]
"""Types of numbers in binary data; the digits are their bits."""
ByteOrder = Literal["little", "big"]
MAX_BINARY_BYTES = 65_507
"""Longest binary message, bytes: that of a datagram."""


def _the_first_repeated(names: list[str]) -> str | None:
    return next((name for place, name in enumerate(names) if name in names[:place]), None)


class _TextForm(Parameters):
    ends_with: _Text = "\n"
    """What ends a message on a medium without messages (TCP, a serial line); the line end by
    default, with or without a carriage return. In double quotes \\n is a line end, \\r a
    carriage return."""


class DelimitedForm(_TextForm):
    """Text in columns: 140.2,0,1,0.75."""

    form: Literal["delimited"]
    """The format."""
    separator: Annotated[str, Field(min_length=1, max_length=5)] = ","
    """What stands between two columns. A space is any number of spaces and tabs."""
    columns: Annotated[list[_Name], Field(min_length=1, max_length=1000)] | None = None
    """Names of the columns from left to right; a message with another number is refused."""
    announced_by: _Text | None = None
    """Begin of the message with the names of the columns, when the simulator sends one: until it
    has come nothing can be read."""
    skip: Annotated[tuple[_Text, ...], Field(max_length=40)] = ()
    """Messages that begin with one of these are passed over: labels, comments."""
    only: _Text | None = None
    """Messages that do not begin with this are passed over."""
    checksum: Literal["xor"] | None = None
    """Check at the end: `*` and two hexadecimal digits, the exclusive or of all characters between
    `$` or `!` at the start and `*`."""

    @model_validator(mode="after")
    def _columns_have_names(self) -> Self:
        if (self.columns is None) == (self.announced_by is None):
            raise ValueError(
                "give the names of the columns as 'columns', or how the message begins that"
                " announces them as 'announced_by'"
            )
        double = _the_first_repeated(self.columns or [])
        if double is not None:
            raise ValueError(f"the column '{double[:40]}' stands in 'columns' twice")
        if "\n" in self.separator or "\r" in self.separator:
            raise ValueError("'separator' stands between columns and cannot be a line end")
        return self


class NamesForm(_TextForm):
    """Text of names and values: speed=140.2."""

    form: Literal["names"]
    """The format."""
    equals: _Text = "="
    """What stands between a name and its value. A space is any number of spaces and tabs."""
    between: _Text = "\n"
    """What stands between two pairs of one message."""

    @model_validator(mode="after")
    def _marks_differ(self) -> Self:
        if self.equals == self.between:
            raise ValueError("'equals' and 'between' must differ")
        return self


class JsonForm(_TextForm):
    """JSON: {"speed": 140.2, "engines": [{"n1": 88.0}]}."""

    form: Literal["json"]
    """The format."""


class BinaryField(Parameters):
    """A number, or several alike, in a binary message."""

    name: _Name
    """Its name in this file."""
    type: NumberType
    """Its type."""
    count: Annotated[int, Field(ge=1, le=1000)] = 1
    """How many of them follow one another; they are addressed as [name, 0], [name, 1]."""
    at_byte: Annotated[int, Field(ge=0, le=MAX_BINARY_BYTES)] | None = None
    """Where it begins, counted from 0 at the start of the message; without this it follows the
    field before it."""
    bit: Annotated[int, Field(ge=0, le=63)] | None = None
    """Take this bit of it alone, 0 for the lowest: true or false."""

    @model_validator(mode="after")
    def _bit_is_in_it(self) -> Self:
        if self.bit is not None and (
            self.type.startswith("float") or self.bit >= int(self.type.lstrip("uint"))
        ):
            raise ValueError(f"a number of type {self.type} has no bit {self.bit}")
        return self


class _Marked(Parameters):
    order: ByteOrder
    """Order of the bytes of a number: little is lowest first."""
    starts_with: _Text | None = None
    """Text at the start of each message; others are refused."""
    starts_with_bytes: Annotated[list[_Byte], Field(min_length=1, max_length=40)] | None = None
    """The same as numbers: [0xAA, 0x55]."""

    @property
    def mark(self) -> bytes:
        """The bytes at the start of each message."""
        return bytes(self.starts_with_bytes or ()) or (self.starts_with or "").encode()

    @model_validator(mode="after")
    def _has_one_mark(self) -> Self:
        if self.starts_with is not None and self.starts_with_bytes is not None:
            raise ValueError("give one of 'starts_with' and 'starts_with_bytes', not both")
        return self


class BinaryForm(_Marked):
    """Binary data with each number in its place."""

    form: Literal["binary"]
    """The format."""
    header_bytes: Annotated[int, Field(ge=0, le=MAX_BINARY_BYTES)] = 0
    """Bytes before the first field, those of `starts_with` among them."""
    fields: Annotated[list[BinaryField], Field(min_length=1, max_length=1000)]
    """The numbers in their order."""
    length_bytes: Annotated[int, Field(ge=1, le=MAX_BINARY_BYTES)] | None = None
    """Length of a message; without this it ends with its last field. A message of another length
    is refused."""
    checksum: Literal["crc16_ccitt", "xor8", "sum8"] | None = None
    """Check in the last bytes, over all bytes before it: crc16_ccitt (polynomial 0x1021, start
    0xFFFF, two bytes in `order`), xor8 (exclusive or) or sum8 (sum, one byte)."""

    @model_validator(mode="after")
    def _fields_are_apart(self) -> Self:
        double = _the_first_repeated([field.name for field in self.fields])
        if double is not None:
            raise ValueError(f"the field '{double[:40]}' stands in 'fields' twice")
        end = self.end_byte
        if end > MAX_BINARY_BYTES:
            raise ValueError(f"the fields end at byte {end}; that is more than a message can have")
        if self.length_bytes is not None and self.length_bytes < end:
            raise ValueError(f"the fields end at byte {end}, behind 'length_bytes'")
        return self

    def offsets(self) -> list[int]:
        """Where each field begins."""
        found, at = [], max(self.header_bytes, len(self.mark))
        for field in self.fields:
            at = at if field.at_byte is None else field.at_byte
            found.append(at)
            at += field.count * number_bytes(field.type)
        return found

    @property
    def end_byte(self) -> int:
        """The shortest length that holds the mark, all fields and the checksum."""
        ends = [
            at + field.count * number_bytes(field.type)
            for at, field in zip(self.offsets(), self.fields, strict=True)
        ]
        return max(self.header_bytes, len(self.mark), *ends) + self.checksum_bytes

    @property
    def checksum_bytes(self) -> int:
        """Length of the checksum."""
        return {None: 0, "crc16_ccitt": 2, "xor8": 1, "sum8": 1}[self.checksum]

    @property
    def size_bytes(self) -> int:
        """Length of a message."""
        return self.length_bytes or self.end_byte


class RecordsForm(_Marked):
    """Binary records, each a number that says what it is and some values."""

    form: Literal["records"]
    """The format."""
    header_bytes: Annotated[int, Field(ge=0, le=1000)] = 0
    """Bytes before the first record, those of `starts_with` among them."""
    id: NumberType
    """Type of the number that each record begins with."""
    values: Annotated[int, Field(ge=1, le=1000)]
    """How many values each record has; they are addressed as [number, 0], [number, 1]."""
    type: NumberType
    """Type of the values."""
    records: Annotated[int, Field(ge=1, le=1000)] | None = None
    """How many records each message has; any number without this."""

    @property
    def record_bytes(self) -> int:
        """Length of a record."""
        return number_bytes(self.id) + self.values * number_bytes(self.type)

    @property
    def first_byte(self) -> int:
        """Where the first record begins."""
        return max(self.header_bytes, len(self.mark))


class TopicsForm(Parameters):
    """A topic for each value, whose message is the value alone (MQTT)."""

    form: Literal["topics"]
    """The format."""


FormatKeys = Annotated[
    DelimitedForm | NamesForm | JsonForm | BinaryForm | RecordsForm | TopicsForm,
    Field(discriminator="form"),
]
"""The keys of any format."""
AnyFormatKeys = DelimitedForm | NamesForm | JsonForm | BinaryForm | RecordsForm | TopicsForm


def number_bytes(type_: str) -> int:
    """Length of a number of a ``NumberType``, bytes."""
    return int(type_.lstrip("uintfloa")) // 8
