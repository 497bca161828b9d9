"""Explains a panel: why a lamp, the horn, a fault or a value is as it is, and what would change it.

Outcomes are noted when the logic has changed, so that *since when* can be said of any of them.
Everything else is made when it is asked for.

Subjects: the name of a signal (a lamp, ``horn``, a value), ``horn: CAUSE``, ``fault: SENTENCE``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from operator import attrgetter

from panelbridge.errors import LogicError
from panelbridge.logic.kit.rule import Decision, reasons_of
from panelbridge.logic.kit.turning import is_on, ways_to_turn, words_of_way
from panelbridge.logic.panel_views import UNPOWERED, PanelViews
from panelbridge.logic.truth_book import TruthBook
from panelbridge.signals import Explanation, Reason, Value

HORN, CAUSE, FAULT = "horn", "horn: ", "fault: "
_POWER = "'electrical power' becomes true"
_TESTS = ("lamp test", "gear warning test")

Placed = Sequence[tuple[int, Decision]]
"""Decisions of an output, each with the place of its system."""


class Explainer:
    """Explains one panel.

    Args:
        views: the panel.
    """

    def __init__(self, views: PanelViews) -> None:
        self._views = views
        self._book = TruthBook(views.systems)
        self._seen: object = None
        self._since: dict[str, tuple[object, float]] = {}
        self._values: Mapping[str, object] = {}
        self._causes: frozenset[str] = frozenset()
        self._faults: frozenset[str] = frozenset()

    def look(self, now_s: float, changes: int) -> None:
        """Note what has changed since the last look.

        Args:
            now_s: the run's time, s.
            changes: a number that is another when a system has changed.
        """
        views = self._views
        seen = (changes, views.kept())
        if seen == self._seen:
            return
        self._seen = seen
        self._book.look(now_s)
        for name, lit in views.lit().items():
            self._keep(now_s, name, lit)
        self._keep(now_s, HORN, views.horn())
        self._causes = self._present(now_s, CAUSE, views.horn_causes(), self._causes)
        self._faults = self._present(now_s, FAULT, views.failures(), self._faults)

    def look_at_values(self, now_s: float, values: Mapping[str, Value]) -> None:
        """Note the words among the published values, at each publication."""
        before, self._values = self._values, values
        for name, value in values.items():
            # Most words are the very object of before: no call for them.
            if value is not before.get(name, before) and not isinstance(value, float):
                self._keep(now_s, name, value)

    def _keep(self, now_s: float, key: str, value: object) -> None:
        known = self._since.get(key)
        if known is None or known[0] != value:
            self._since[key] = (value, now_s)

    def _present(
        self, now_s: float, kind: str, now: Sequence[str], before: frozenset[str]
    ) -> frozenset[str]:
        there = frozenset(now)
        for name in there | before:
            self._keep(now_s, kind + name, name in there)
        return there

    def since_s(self, subject: str) -> float | None:
        """Since when a subject is as it is, s; None: not known."""
        known = self._since.get(subject)
        return None if known is None else known[1]

    def explain(self, subject: str) -> Explanation | None:
        """The explanation of a subject; None when there is no such subject."""
        since_s, views = self.since_s(subject), self._views
        if subject.startswith(FAULT):
            sentence = subject.removeprefix(FAULT)
            state = "present" if sentence in self._faults else "not present"
            reasons = views.behind_failure(sentence)
            return Explanation(state, since_s, reasons)
        if subject.startswith(CAUSE):
            name = subject.removeprefix(CAUSE)
            placed = _of_rule(views.decisions(HORN), name)
            return self._of_output(HORN, placed, "sounds the horn", "is quiet", since_s)
        if subject == HORN:
            return self._of_output(HORN, views.decisions(HORN), views.horn(), "silent", since_s)
        if subject in views.lit():
            return self._of_output(subject, views.decisions(subject), "lit", "dark", since_s)
        try:
            reasons, state = views.reasons(subject), views.word_of(subject)
        except LogicError:
            return None
        return Explanation(state, since_s, reasons)

    def _of_output(
        self, output: str, placed: Placed, on: str, off: str, since_s: float | None
    ) -> Explanation | None:
        if not placed:
            return None
        decisions = [decision for _, decision in placed]
        if not self._views.is_powered:
            ways = _ways(decisions)
            power = [(_POWER,)] if is_on(decisions) else [(_POWER, *way) for way in ways]
            return Explanation(off, since_s, (UNPOWERED,), tuple(power))
        state = on if is_on(decisions) else off
        reasons = self._with_times(output, placed, reasons_of(decisions))
        return Explanation(state, since_s, reasons, _ways(decisions))

    def _with_times(
        self, output: str, placed: Placed, reasons: Sequence[Reason]
    ) -> tuple[Reason, ...]:
        times: dict[Reason, float] = {}
        for place, decision in placed:
            for rule in decision.rules:
                every = []
                for need, _ in rule.needs:
                    since_s = self._book.since_s(place, output, need)
                    every.append(since_s)
                    if since_s is None:
                        continue
                    value = bool(attrgetter(need)(decision.conditions))
                    same = (one for one in decision.words[need] if one.holds is value)
                    if (first := next(same, None)) is not None:
                        times[first] = since_s
                known = [one for one in every if one is not None]
                if rule.holds(decision.conditions) and len(known) == len(every):
                    times[Reason(f"rule: {rule.name}", True, rule.effect)] = max(known)
        return tuple([replace(one, since_s=times.get(one)) for one in reasons])


def _of_rule(placed: Placed, name: str) -> Placed:
    """The rule of a name alone."""
    found = []
    for place, decision in placed:
        rules = [rule for rule in decision.rules if rule.name == name]
        if rules:
            found.append(
                (place, Decision(rules, decision.conditions, decision.words, decision.ways))
            )
    return found


def _ways(decisions: Sequence[Decision]) -> tuple[tuple[str, ...], ...]:
    """Ways in words; a test of lamps comes last, for it is always one."""

    def is_test(way: frozenset[tuple[int, str]]) -> bool:
        rules = [rule.name for at, _ in way for rule in decisions[at].rules]
        return all(name in _TESTS for name in rules)

    found = sorted(ways_to_turn(decisions), key=is_test)
    every = [text for way in found for text in words_of_way(decisions, way)]
    return tuple(dict.fromkeys(text for text in every if text))
