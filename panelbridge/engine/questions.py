"""What screens ask the engine to explain: the last few subjects, each for a while.

A screen asks again while it shows the answer, so that nothing is explained when nobody looks. The
answers travel in the snapshot: a few subjects, so that it stays short.
"""

from __future__ import annotations

from panelbridge.logic.explaining import Explainer
from panelbridge.signals import Explanation

MOST_SUBJECTS = 3
"""Subjects at a time; the one that was asked for longest ago gives way."""
LASTS_S = 3.0
"""A question counts for this long, s."""
PERIOD_S = 0.2
"""Shortest time between two answers, s."""


class Questions:
    """The questions of all screens."""

    def __init__(self, explainer: Explainer) -> None:
        self._explainer = explainer
        self._asked: dict[str, float] = {}
        self._answered_s = -PERIOD_S
        self._answers: dict[str, Explanation] = {}

    def ask(self, now_s: float, subject: str) -> None:
        """Take a question, or the same again."""
        is_new = self._asked.pop(subject, None) is None
        self._asked[subject] = now_s
        while len(self._asked) > MOST_SUBJECTS:
            del self._asked[next(iter(self._asked))]
        if is_new:
            self._answered_s = now_s - PERIOD_S  # at once

    def answers(self, now_s: float) -> dict[str, Explanation]:
        """The answers; the same object while they are not made again."""
        if not self._asked:
            if self._answers:
                self._answers = {}
            return self._answers
        if now_s - self._answered_s < PERIOD_S:
            return self._answers
        self._answered_s = now_s
        self._asked = {name: at for name, at in self._asked.items() if now_s - at < LASTS_S}
        found = {name: self._explainer.explain(name) for name in self._asked}
        self._answers = {name: one for name, one in found.items() if one is not None}
        return self._answers
