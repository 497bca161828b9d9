"""The messages about keys: unknown, misspelt, missing."""

from __future__ import annotations

from difflib import get_close_matches
from itertools import islice

from panelbridge.config.model_problem import ModelProblem, describe, sentence
from panelbridge.config.model_walk import Target
from panelbridge.config.panel_parts.on_board import FILLED_IN
from panelbridge.config.words import counted, did_you_mean, guessed, listed, nearest, quoted
from panelbridge.config.yaml_positions import KeyPath, YamlSource, place_name
from panelbridge.errors import ConfigProblem

MAX_LISTED = 12
"""No more allowed keys than these are listed in a hint."""


def _free_keys(source: YamlSource, owner: KeyPath, around: Target) -> list[str]:
    """The keys that could stand in the mapping at ``owner`` and were not written there."""
    place, here = source.position(owner), source.get(owner)
    filled_in = (place.key_line, place.key_column)  # where ``panel_short_forms`` puts its keys

    def is_written(name: str) -> bool:
        at = source.position((*owner, name))
        return isinstance(here, dict) and name in here and (at.line, at.column) != filled_in

    return [name for name in around.fields if not is_written(name)]


def is_misspelt(case: ModelProblem) -> bool:
    """A key that is missing because it stands there misspelt, which is a problem of its own.

    So it is with the board of everything that is wired, when the file has no board.
    """
    here = case.source.get(case.path[:-1])
    if case.kind != "missing" or not isinstance(here, dict):
        return False
    if case.path[-1] in FILLED_IN and not case.source.keys(("boards",)):
        return True
    free = _free_keys(case.source, case.path[:-1], case.around)
    strangers = islice((key for key in here if key not in case.around.fields), MAX_LISTED)
    return any(nearest(key, free) == case.path[-1] for key in strangers)


def unknown_key(case: ModelProblem, *, hint: bool = True) -> ConfigProblem:
    """A key that cannot stand there; ``hint``: with the key that may be meant."""
    key, owner = str(case.path[-1]), case.path[:-1]
    what = f"{place_name(owner)} has no key {quoted(key)}"
    return case.source.at_key(case.path, what, _key_hint(case, key, owner) if hint else "")


def _key_hint(case: ModelProblem, key: str, owner: KeyPath) -> str:
    free, fields = _free_keys(case.source, owner, case.around), [*case.around.fields]
    hint = did_you_mean(key, free if guessed(key, free) or not guessed(key, fields) else fields)
    if hint:
        return hint
    for twin in get_close_matches(key, fields, n=1, cutoff=0.75):
        return f"It looks like {quoted(twin)}, which is here too: delete one of the two"
    if len(free) > MAX_LISTED:
        return f"Other keys that it can have are {listed(free[:MAX_LISTED], 'and')}, among others"
    return f"It can also have {listed(free)}" if free else "It has all the keys that it can have"


def missing_key(case: ModelProblem) -> ConfigProblem:
    """A key that is needed and does not stand there."""
    owner, key = case.path[:-1], case.path[-1]
    if isinstance(key, int):
        what = f"{place_name(owner)} has {counted(key, 'item')}, and more are needed"
        return case.source.at_key(owner, what, sentence(case.around.description))
    about, choices = describe(case.target), case.target.choices
    boards = case.source.keys(("boards",))
    if key == "board" and boards and owner[:1] != ("boards",):
        about = f"The boards are {listed(boards, 'and')}"
    hint = f"Add '{key}: {choices[0] if len(choices) == 1 else '...'}'"
    what = f"{place_name(owner)} lacks the key {quoted(key)}"
    return case.source.at_key(owner, what, f"{hint}. {about}" if about else hint)
