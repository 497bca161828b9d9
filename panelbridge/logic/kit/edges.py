"""Rising edge and settling of a contact, as frozen values: part of a system's memory."""

from __future__ import annotations

from math import inf

from msgspec import Struct


class RisingEdge(Struct, frozen=True):
    """A switch that counts when it is operated, never when it is found on.

    It must have been seen off since it was last unknown: start-up is not a command, nor is a
    reconnect.

    Attributes:
        on: it is on.
        armed: it was seen off since it was last unknown or refused.
    """

    on: bool = False
    armed: bool = False

    @property
    def holds(self) -> bool:
        """It is on, and was operated, not found so."""
        return self.on and self.armed

    def take(self, on: bool | None) -> RisingEdge:
        """The switch now, None when unknown."""
        is_on = on is True
        armed = self.armed if is_on else on is False
        if is_on is self.on and armed is self.armed:
            return self
        return RisingEdge(is_on, armed)

    def rises(self, now: RisingEdge) -> bool:
        """From this to ``now`` it was operated."""
        return now.on and now.armed and not self.on

    def spent(self) -> RisingEdge:
        """What it asked for was refused: it counts again once it was released."""
        return RisingEdge(self.on, armed=False) if self.on else self


class Settling(Struct, frozen=True):
    """A yes-or-no value that counts once it has stayed the same for a time.

    For aircraft data; panel contacts are debounced on their board (``simboard.contacts.debounce``).

    Attributes:
        raw: the value now; None when unknown.
        stable: the settled value; None when unknown.
        due_s: when ``raw`` becomes ``stable``, s; inf = it is.
    """

    raw: bool | None = None
    stable: bool | None = None
    due_s: float = inf

    def take(self, now_s: float, raw: bool | None, settle_s: float) -> Settling:
        """The value now. One that becomes known counts at once; unknown counts at once too.

        Args:
            now_s: seconds.
            raw: the value, None when unknown.
            settle_s: how long it has to stay the same, s; 0 = it counts at once.
        """
        if raw is None or self.raw is None:
            return self if raw is self.raw else Settling(raw, raw)
        stable, due_s = (self.raw, inf) if now_s >= self.due_s else (self.stable, self.due_s)
        if raw is not self.raw:
            if settle_s <= 0.0:
                stable, due_s = raw, inf
            else:
                due_s = inf if raw is stable else now_s + settle_s
        if (raw, stable, due_s) == (self.raw, self.stable, self.due_s):
            return self
        return Settling(raw, stable, due_s)
