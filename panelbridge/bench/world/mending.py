"""Faults that mend themselves: which, and when."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from panelbridge.bench.language.plan import ALL, Action, ClearFault, FaultKind, SetFault


class Mending:
    """The faults for a time of a scenario that runs."""

    def __init__(self) -> None:
        self._due_s: dict[tuple[str, FaultKind], float] = {}
        self.next_due_s = inf
        """When the next one mends itself, s."""

    def note(self, now_s: float, action: Action) -> None:
        """See an action that is done now. A fault that is set again lasts as it says then."""
        if isinstance(action, SetFault):
            self._due_s[action.target, action.kind] = now_s + action.lasts_s
        elif isinstance(action, ClearFault):
            for target, kind in [*self._due_s]:
                if action.target in (ALL, target) and action.kind in (None, kind):
                    del self._due_s[target, kind]
        self.next_due_s = min(self._due_s.values(), default=inf)

    def take(self, now_s: float) -> Iterator[ClearFault]:
        """What mends itself by ``now_s``."""
        if now_s < self.next_due_s:
            return
        for (target, kind), due_s in [*self._due_s.items()]:
            if due_s <= now_s:
                clear = ClearFault(target, kind)
                self.note(now_s, clear)
                yield clear
