"""Debounces a panel contact as a board's firmware does: raw state in, debounced state out.

*Wait until quiet*: a change counts once the contact has been stable for ``settle_s`` (a shorter
glitch is never seen). *Hold after edge*: a change counts at once, and the contact is then ignored
for ``settle_s`` (fast, but a glitch is seen). The result does not depend on the sampling rate if
``sample`` is called at each raw change and again at or after ``due_s``.

``logic.kit.edges.Settling`` is not this: it filters aircraft data, and is a frozen value in a
system's memory, without a hold and without counting bounces.
"""

from __future__ import annotations

NEVER = float("inf")
NOISY_AFTER = 2.0
"""A contact is noisy once a burst lasts longer than this many settling times."""


class Debouncer:
    """The debouncer of one contact.

    Args:
        settle_s: settling time, s, >= 0.
        hold_after_edge: accept a change at once and hold it for ``settle_s``.
        initial: debounced state at the start; None = that of the first sample.
    """

    def __init__(
        self, settle_s: float, hold_after_edge: bool = False, initial: bool | None = None
    ) -> None:
        self._settle_s = settle_s
        self._hold = hold_after_edge
        self._raw = initial
        self._burst_start_s = -NEVER
        self.quiet_s = -NEVER
        """When the raw state will have been stable for the settling time."""
        self.stable: bool | None = initial
        """The debounced state; None before the first sample."""
        self.due_s = NEVER
        """When ``sample`` must be called next even without a raw change; infinity = never."""
        self.bounces = 0
        """Raw changes in the present or last burst."""
        self.noisy = False
        """The present or last burst was too long for ``settle_s``."""

    def begin_burst(self, now_s: float) -> None:
        """From now on the contact is not known to be quiet."""
        self._burst_start_s = now_s
        self.quiet_s = now_s + self._settle_s

    def believe(self) -> None:
        """Take the raw state as the debounced one."""
        self.stable = self._raw

    def sample(self, now_s: float, raw: bool) -> bool:
        """Take the raw state now; returns whether ``stable`` changed.

        A sample after ``due_s`` first does what was due then.

        Args:
            now_s: seconds; never less than in the last call.
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
        """The settling time is over."""
        if self._hold and self._raw != self.stable:
            self.stable = self._raw
            self.due_s += self._settle_s
            return
        self.stable = self._raw
        self.due_s = NEVER

    def _change(self, now_s: float, raw: bool) -> None:
        self._raw = raw
        # A burst ends when the contact has been quiet, not when a hold ends.
        if now_s >= self.quiet_s:
            self._burst_start_s = now_s
            self.bounces = 0
            self.noisy = False
        self.bounces += 1
        self.quiet_s = now_s + self._settle_s
        if now_s - self._burst_start_s > NOISY_AFTER * self._settle_s:
            self.noisy = True
        if not self._hold:
            self.due_s = now_s + self._settle_s
            if self._settle_s == 0.0:
                self._settle()
        elif self.due_s == NEVER:
            self.stable = raw
            self.due_s = now_s + self._settle_s
