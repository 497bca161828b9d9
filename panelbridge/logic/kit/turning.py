"""What would turn an output: the fewest fields of the facts that would have to be otherwise.

Found by trying: a way is given only when the rules, asked with its fields turned, give the
opposite. So it cannot drift from what the rules do.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from operator import attrgetter
from typing import NamedTuple

from panelbridge.logic.kit.rule import Decision, Rule
from panelbridge.signals import Reason

MOST_WAYS = 6
_MOST_TRIED = 200
_MOST_DETAILS = 3


class Turn(NamedTuple):
    """A field of the facts of a decision that becomes the other.

    Attributes:
        decision: its place among the decisions.
        need: the field.
    """

    decision: int
    need: str


Way = frozenset[Turn]


def is_on(decisions: Sequence[Decision], way: Collection[Turn] = ()) -> bool:
    """Whether a rule holds, with the fields of ``way`` turned."""
    return _holding(decisions, way) is not None


def _holding(decisions: Sequence[Decision], way: Collection[Turn]) -> tuple[int, Rule] | None:
    """The first rule that holds, with the fields of ``way`` turned."""
    turned = {(id(decisions[turn.decision].conditions), turn.need) for turn in way}
    for at, one in enumerate(decisions):
        for rule in one.rules:
            if all(
                (attrgetter(need)(one.conditions) == wanted)
                is not ((id(one.conditions), need) in turned)
                for need, wanted in rule.needs
            ):
                return at, rule
    return None


def ways_to_turn(decisions: Sequence[Decision]) -> tuple[Way, ...]:
    """The smallest ways to put an output on that is off, or off that is on.

    Args:
        decisions: of one output.
    """
    if is_on(decisions):
        found = _all_ended(decisions)
    else:
        found = [
            frozenset([Turn(at, need) for need in rule.lacks(one.conditions)])
            for at, one in enumerate(decisions)
            for rule in one.rules
        ]
    smallest: list[Way] = []
    for way in sorted(dict.fromkeys(found), key=len):
        if not any(known <= way for known in smallest):
            smallest.append(way)
    return tuple(smallest[:MOST_WAYS])


def _all_ended(decisions: Sequence[Decision]) -> list[Way]:
    """Sets of fields that end every rule that holds, and start no other by it."""
    found: list[Way] = []
    tried: list[Way] = [frozenset()]
    while tried:
        longer: dict[Way, None] = {}
        for way in tried:
            holding = _holding(decisions, way)
            if holding is None:
                found.append(way)
                continue
            at, rule = holding
            turns = [Turn(at, need) for need, _ in rule.needs]
            longer.update(dict.fromkeys([way | {one} for one in turns if one not in way]))
        tried = list(longer)[:_MOST_TRIED]
        if len(found) >= MOST_WAYS:
            break
    return found


def words_of_way(decisions: Sequence[Decision], way: Way) -> list[tuple[str, ...]]:
    """A way in words; more than one where a field can turn in several, none where it cannot.

    A field whose named condition is as asked already follows from the others: it is not named.
    """
    texts: list[tuple[str, ...]] = [()]
    for turn in sorted(way):
        decision = decisions[turn.decision]
        ways = decision.ways(turn.need) if decision.ways is not None else ()
        more = [tuple(one) for one in ways] or _words(decision, turn.need)
        texts = [(*before, *one) for before in texts for one in more][:MOST_WAYS]
    return texts


def _words(decision: Decision, need: str) -> list[tuple[str, ...]]:
    value = bool(attrgetter(need)(decision.conditions))
    reasons = [one for one in decision.words[need] if one.holds is value]
    if not reasons:
        return [()] if decision.words[need] else []
    first, *others = reasons
    details = [first.detail] if first.detail else [_now(one) for one in others[:_MOST_DETAILS]]
    now = f" (now: {', '.join(details)})" if details else ""
    return [(f"'{first.condition}' becomes {_truth(not value)}{now}",)]


def _now(reason: Reason) -> str:
    return f"{reason.condition}: {reason.detail or _truth(reason.holds)}"


def _truth(value: bool) -> str:
    return "true" if value else "false"
