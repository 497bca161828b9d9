"""Text of names and values."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from panelbridge.config.links.formats import NamesForm
from panelbridge.feeds.formats.format import Field, Raw, Refused
from panelbridge.feeds.formats.values import SkippedFields, number_or_word, single_steps, text_of


class NameValueText:
    """Reads pairs of a name and its value; a message may hold any of them.

    A name that stands twice in one message has no value.

    Args:
        keys: the file's description.
        fields: the names that are wanted.
    """

    def __init__(self, keys: NamesForm, fields: Iterable[Field]) -> None:
        self.skipped = SkippedFields()
        self._equals = None if keys.equals == " " else keys.equals
        self._between = None if keys.between == " " else keys.between
        self._wanted = single_steps(fields)

    def decode(self, data: bytes, topic: str = "") -> Mapping[object, Raw]:
        """The wanted values that are in the message. Raises: Refused."""
        found: dict[object, Raw] = {}
        seen: set[Field] = set()
        pairs = 0
        for part in text_of(data).split(self._between):
            pair = part.split(self._equals, 1)
            if len(pair) != 2:
                continue
            pairs += 1
            field = self._wanted.get(pair[0].strip())
            if field is None:
                continue
            if field in seen:
                self.skipped.add(field, "twice in one message")
                found.pop(field, None)
                continue
            seen.add(field)
            value = number_or_word(pair[1], field, self.skipped)
            if value is not None:
                found[field] = value
        if not pairs:
            raise Refused("no name and value")
        return found
