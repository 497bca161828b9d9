"""Debouncing of one contact: raw in, settled out. Pure: no clock, no pin.

Two ways, named for what they do. *Wait until quiet*: a change counts once the contact has kept it
for ``settle_s`` (a glitch shorter than that is never seen). *Hold after edge*: a change counts at
once and the contact is then not looked at for ``settle_s`` (fast, but a glitch is seen).

Whether somebody looks often or rarely does not change the result, as long as ``sample`` is called
at each raw change and again at or after ``due_s``.
"""

from __future__ import annotations

NEVER = float("inf")
NOISY_AFTER = 2.0
"""A burst that is longer than this many settling times is no clean switch any more."""


class Debouncer:
    """One contact.

    Args:
        settle_s: time that the contact must be quiet, s, >= 0.
        hold_after_edge: take a change at once and hold it for ``settle_s``.
        initial: settled state at the start; None = taken from the first sample.
    """

    __slots__ = (
        "_burst_over_s",
        "_burst_start_s",
        "_hold",
        "_raw",
        "_settle_s",
        "bounces",
        "due_s",
        "noisy",
        "stable",
    )

    def __init__(
        self, settle_s: float, hold_after_edge: bool = False, initial: bool | None = None
    ) -> None:
        self._settle_s = settle_s
        self._hold = hold_after_edge
        self._raw = initial
        self._burst_start_s = self._burst_over_s = -NEVER
        self.stable: bool | None = initial
        """The settled state; None before the first sample."""
        self.due_s = NEVER
        """When ``sample`` has to be called again though nothing changes; inf = not at all."""
        self.bounces = 0
        """Raw changes in the burst that is on, or in the last one."""
        self.noisy = False
        """The burst that is on, or the last one, was too long for ``settle_s``."""

    def sample(self, now_s: float, raw: bool) -> bool:
        """Look at the contact; True when ``stable`` changed by this look.

        A look later than ``due_s`` first settles what was due then.

        Args:
            now_s: seconds; never less than at the last look.
            raw: the contact is closed.
        """
        before = self.stable
        if before is None:
            self.stable = self._raw = raw
            return True
        while self.due_s <= now_s:
            self._settle()
        if raw != self._raw:
            self._change(now_s, raw)
        return self.stable != before

    def _settle(self) -> None:
        """The contact has been quiet (or held) for the settling time."""
        if self._hold and self._raw != self.stable:
            self.stable = self._raw
            self.due_s += self._settle_s
            return
        self.stable = self._raw
        self.due_s = NEVER

    def _change(self, now_s: float, raw: bool) -> None:
        self._raw = raw
        # A burst is over when the contact was quiet, not when a hold ends.
        if now_s >= self._burst_over_s:
            self._burst_start_s = now_s
            self.bounces = 0
            self.noisy = False
        self.bounces += 1
        self._burst_over_s = now_s + self._settle_s
        if now_s - self._burst_start_s > NOISY_AFTER * self._settle_s:
            self.noisy = True
        if not self._hold:
            self.due_s = now_s + self._settle_s
            if self._settle_s == 0.0:
                self._settle()
        elif self.due_s == NEVER:
            self.stable = raw
            self.due_s = now_s + self._settle_s
