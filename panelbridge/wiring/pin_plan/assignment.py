"""Gives each need one of its options: no place twice, no two that clash. Exact: it finds a way if
there is one.

Needs are placed in their order, each at its first option that leaves a place for all others. What
is left is checked by a bipartite matching (augmenting paths); clashes between options, which no
matching knows, are found by going back.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from math import inf
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
Allowed = Callable[[Sequence[Option[Place, Note]]], bool]


def assign(
    needs: Sequence[Options[Place, Note]],
    clash: Clash[Place, Note],
    allowed: Allowed[Place, Note] = lambda _: True,
    most_tries: float = inf,
) -> list[Option[Place, Note]] | None:
    """An option for each need, or None when there is no way.

    Args:
        needs: the options of each need, best first.
        clash: whether two options cannot be had together.
        allowed: whether the options of the first needs, one each, can be had together; once they
            cannot, more of them cannot either.
        most_tries: give up after this many.
    """
    tries = 0

    def rest_of(
        chosen: list[Option[Place, Note]], left: Sequence[Options[Place, Note]]
    ) -> list[Option[Place, Note]] | None:
        nonlocal tries
        tries += 1
        if tries > most_tries or not can_all_be_placed(left):
            return None
        if not left:
            return chosen
        for option in left[0]:
            taken = [*chosen, option]
            if not allowed(taken):
                continue
            others = [
                [one for one in options if one.place != option.place and not clash(option, one)]
                for options in left[1:]
            ]
            found = rest_of(taken, others)
            if found is not None:
                return found
        return None

    return rest_of([], needs)


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
