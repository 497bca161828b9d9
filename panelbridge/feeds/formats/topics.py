"""A topic for each value."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from panelbridge.feeds.formats.format import Field, Raw
from panelbridge.feeds.formats.values import SkippedFields, number_or_word, single_steps, text_of


class TopicValues:
    """Reads messages whose text is the value, and whose topic says of what.

    Args:
        fields: the topics that are wanted.
    """

    def __init__(self, fields: Iterable[Field]) -> None:
        self.skipped = SkippedFields()
        self._wanted = single_steps(fields)

    def decode(self, data: bytes, topic: str = "") -> Mapping[object, Raw]:
        """The value, if its topic is wanted; a removed one is empty. Raises: Refused."""
        field = self._wanted.get(topic)
        if field is None:
            return {}
        if not data:
            self.skipped.add(field, "empty")
            return {}
        value = number_or_word(text_of(data), field, self.skipped)
        return {} if value is None else {field: value}
