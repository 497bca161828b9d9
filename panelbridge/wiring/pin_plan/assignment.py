"""Gives each need one of its options: no place twice, no two that clash. Exact: it finds a way if
there is one.

Needs are placed in their order, each at its first option that leaves a place for all others. What
is left is checked by a bipartite matching (augmenting paths); clashes between options, which no
matching knows, are found by going back.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from typing import Generic, NamedTuple, TypeVar

Place = TypeVar("Place", bound=Hashable)
Note = TypeVar("Note")


class Option(NamedTuple, Generic[Place, Note]):
    """One way to satisfy a need.

    Attributes:
        place: what it takes.
        note: what else it means.
    """

    place: Place
    note: Note


Options = Sequence[Option[Place, Note]]
Clash = Callable[[Option[Place, Note], Option[Place, Note]], bool]


def assign(
    needs: Sequence[Options[Place, Note]], clash: Clash[Place, Note]
) -> list[Option[Place, Note]] | None:
    """An option for each need, or None when there is no way."""
    if not can_all_be_placed(needs):
        return None
    if not needs:
        return []
    first, others = needs[0], needs[1:]
    for option in first:
        left = [
            [one for one in options if one.place != option.place and not clash(option, one)]
            for options in others
        ]
        rest = assign(left, clash)
        if rest is not None:
            return [option, *rest]
    return None


def can_all_be_placed(needs: Sequence[Options[Place, Note]]) -> bool:
    """Whether there is a place of its own for each need, clashes apart."""
    return len(matched(needs)) == len(needs)


def matched(needs: Sequence[Options[Place, Note]]) -> dict[Place, int]:
    """Places for as many needs as possible: the number of the need at each."""
    at: dict[Place, int] = {}
    places = [[*{option.place: None for option in options}] for options in needs]

    def augment(need: int, seen: set[Place]) -> bool:
        for place in places[need]:
            if place in seen:
                continue
            seen.add(place)
            if place not in at or augment(at[place], seen):
                at[place] = need
                return True
        return False

    for need in range(len(needs)):
        augment(need, set())
    return at
