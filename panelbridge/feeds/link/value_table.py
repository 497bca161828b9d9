"""The values of a link: the newest of each, and how old it is."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from math import inf

from msgspec import Struct

from panelbridge.config.links.values import LinkValue
from panelbridge.feeds.formats.format import Field, Raw, Refused
from panelbridge.feeds.link.counts import Counts
from panelbridge.feeds.link.value_reader import ValueReader
from panelbridge.logic.aircraft_values import AircraftValue, put_values
from panelbridge.signals import AircraftState, Value


class FedValue(Struct):
    """A line of the feed file's ``values`` while it runs.

    Attributes:
        name: as in the file; it can stand for several of the aircraft's values.
        members: these.
        field: where it stands in a message.
        reader: reads it.
        stale_after_s: age above which it is unknown, s.
        raw: what was sent last.
        value: what was read of it; None is unknown.
        time_s: when it came; None before it did.
        why: why it could not be read; empty when it could.
        keeps: what was sent before is read as before.
    """

    name: str
    members: Sequence[str]
    field: Field
    reader: ValueReader
    stale_after_s: float
    raw: Raw | None = None
    value: Value = None
    time_s: float | None = None
    why: str = ""
    keeps: bool = True

    def is_stale(self, now_s: float) -> bool:
        """It never came, or is too old."""
        return self.time_s is None or now_s - self.time_s > self.stale_after_s


class ValueTable:
    """All values of a link.

    Args:
        keys: those of the feed file.
        specs: the aircraft's values.
        members: the aircraft's values that a name of the file stands for.
        stale_after_s: age above which a value is unknown, unless its own line says otherwise, s.
        refused: takes what cannot be read.
    """

    def __init__(
        self,
        keys: Mapping[str, LinkValue],
        specs: Mapping[str, AircraftValue],
        members: Callable[[str], Sequence[str]],
        stale_after_s: float,
        refused: Counts,
    ) -> None:
        self._specs, self._refused = specs, refused
        self.values = [
            FedValue(
                name,
                found,
                one.at,
                ValueReader(one, specs[found[0]]),
                one.stale_after_s or stale_after_s,
                keeps=not one.smooth_s,
            )
            for name, one in keys.items()
            if (found := [*members(name)])
        ]
        self._state = AircraftState()
        self._changed: list[FedValue] = []
        self._next_stale_s = inf

    @property
    def fields(self) -> Iterable[Field]:
        """What a format has to find."""
        return [value.field for value in self.values]

    def take(self, fields: Mapping[object, Raw], now_s: float, *, is_whole: bool) -> bool:
        """Take the fields of a message that came at ``now_s``; whether any could be read.

        ``is_whole``: a field that is not among them has no value now; else it keeps what it had.
        """
        if not fields:
            return False
        any_read = False
        for one in self.values:
            raw = fields.get(one.field)
            if raw is None:
                if is_whole:
                    one.raw = None
                    self._unknown(one, "empty or refused in the last message")
                continue
            any_read = self._read(one, raw, now_s) or any_read
        return any_read

    def _read(self, one: FedValue, raw: Raw, now_s: float) -> bool:
        if (
            raw == one.raw and one.keeps and not one.is_stale(now_s)
        ):  # most values of a message are as before
            one.time_s = now_s
            return True
        one.raw = raw
        try:
            value = one.reader.read(raw, now_s)
        except Refused as refused:
            self._refused.add(f"{one.name}: {refused.reason}", refused.detail)
            self._unknown(one, refused.reason)
            return False
        if value != one.value:
            self._changed.append(one)
        one.value, one.time_s, one.why = value, now_s, ""
        self._next_stale_s = min(self._next_stale_s, now_s + one.stale_after_s)
        return True

    def _unknown(self, one: FedValue, why: str) -> None:
        if one.value is not None:
            self._changed.append(one)
        one.value, one.time_s, one.why = None, None, why
        one.reader.forget()

    def state(self, now_s: float) -> AircraftState:
        """The aircraft, without what is too old; the same object while nothing has changed."""
        if now_s > self._next_stale_s:
            for one in self.values:
                if one.time_s is not None and one.is_stale(now_s):
                    self._unknown(one, "too old")
            known = [
                one.time_s + one.stale_after_s for one in self.values if one.time_s is not None
            ]
            self._next_stale_s = min(known, default=inf)
        if self._changed:
            given = {member: one.value for one in self._changed for member in one.members}
            self._changed = []
            self._state = put_values(self._specs, self._state, given)
        return self._state

    def forget(self, why: str) -> None:
        """Nothing is known."""
        for one in self.values:
            if one.time_s is not None:
                self._unknown(one, why)
