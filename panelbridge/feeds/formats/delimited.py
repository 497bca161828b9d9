"""Text in columns."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping
from io import StringIO
from math import inf, isfinite

from panelbridge.config.links.formats import DelimitedForm
from panelbridge.config.words import counted
from panelbridge.feeds.formats.checksums import checked_sentence
from panelbridge.feeds.formats.format import Field, Raw, Refused
from panelbridge.feeds.formats.values import SkippedFields, number_or_word, single_steps, text_of

MAX_COLUMNS = 1000
"""Most columns that a message can announce."""


class DelimitedText:
    """Reads text in columns, whose names the file gives or the simulator announces.

    Args:
        keys: the file's description.
        fields: the columns that are wanted, by name, or by number from 0.
    """

    def __init__(self, keys: DelimitedForm, fields: Iterable[Field]) -> None:
        self.skipped = SkippedFields()
        self._keys = keys
        self._fields = single_steps(fields)
        self._others = (*keys.skip,)
        self._columns: list[str] | None = None
        self._wanted: list[tuple[Field, int]] = []
        if keys.columns is not None:
            self._use(list(keys.columns))

    def decode(self, data: bytes, topic: str = "") -> Mapping[object, Raw]:
        """The wanted columns; none for a message that is passed over. Raises: Refused."""
        text = text_of(data)
        keys = self._keys
        if keys.announced_by is not None and text.startswith(keys.announced_by):
            self._announce(text, keys.announced_by)
            return {}
        if text.startswith(self._others) or not text.startswith(keys.only or ""):
            return {}
        if self._columns is None:
            raise Refused("columns not announced yet", "their names have not come yet")
        if keys.checksum is not None:
            text = checked_sentence(text)
        parts = self._split(text)
        if len(parts) != len(self._columns):
            has = counted(len(parts), "column")
            detail = f"it has {has}, and {len(self._columns)} are expected"
            raise Refused("wrong column count", detail)
        found: dict[object, Raw] = {}
        is_plain = text.isascii() and "_" not in text
        for field, place in self._wanted:
            if is_plain:  # nearly always: a number that Python and everyone else reads alike
                try:
                    number = float(parts[place])
                except ValueError:
                    number = inf
                if isfinite(number):
                    found[field] = number
                    continue
            value = number_or_word(parts[place], field, self.skipped)
            if value is not None:
                found[field] = value
        return found

    def _split(self, text: str) -> list[str]:
        separator = self._keys.separator
        if '"' in text and len(separator) == 1:
            return self._unquoted(text, separator)
        if "\n" in text or "\r" in text:
            raise Refused("more than one line")
        return text.split() if separator == " " else text.split(separator)

    @staticmethod
    def _unquoted(text: str, separator: str) -> list[str]:
        try:
            rows = list(csv.reader(StringIO(text, newline=""), delimiter=separator, strict=True))
        except csv.Error as error:
            raise Refused("broken quotes", str(error)) from None
        if len(rows) != 1:
            raise Refused("more than one line")
        return rows[0]

    def _announce(self, text: str, begin: str) -> None:
        """Take the names of the columns; ``begin`` is no column when it ends with a separator."""
        separator = self._keys.separator
        is_label = begin.endswith(separator) or (separator == " " and begin[-1:].isspace())
        names = [name.strip() for name in self._split(text[len(begin) :] if is_label else text)]
        if len(names) > MAX_COLUMNS:
            raise Refused("too many columns", f"{len(names)} columns are announced")
        self._use(names)
        for name, field in self._fields.items():
            count = names.count(str(name)) if isinstance(name, str) else name < len(names)
            if count != 1:
                self.skipped.add(field, "announced twice" if count else "not announced")

    def _use(self, columns: list[str]) -> None:
        """A name that stands twice names no column."""
        self._columns = columns
        self._wanted = [
            (field, name if isinstance(name, int) else columns.index(name))
            for name, field in self._fields.items()
            if (name < len(columns) if isinstance(name, int) else columns.count(name) == 1)
        ]
