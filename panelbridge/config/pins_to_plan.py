"""What has no pin yet: ``nose_green:`` alone, or a group without its pin. ``plan`` proposes them.

``check`` says so in one sentence, and checks the rest as if these parts were left out.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from panelbridge.config.model_walk import Target
from panelbridge.config.panel_short_forms import in_long_form, wired
from panelbridge.config.words import counted, listed
from panelbridge.config.yaml_positions import KeyPath, Position, Value, YamlSource
from panelbridge.errors import ConfigProblem

CHAIN_PINS = ("data_pin", "clock_pin", "latch_pin")
WIRED_PINS = ("pin", "up_pin", "down_pin")
NEW_BOARD = "panel"
"""Name of the board of a file that has none yet."""
_ANY_KIND = "mega2560"
_ANY_PIN = "D2"
_MOST_NAMED = 6


class PartToPlan(Struct, frozen=True):
    """Something that is wired, or a chain, and lacks pins.

    Attributes:
        path: where it stands.
        keys: of its pins; none for a part of which only the name is there.
    """

    path: KeyPath
    keys: tuple[str, ...] = ()


class PlannedSource(Struct, frozen=True):
    """A panel file whose parts may lack pins, in its long form.

    Attributes:
        complete: the file without bare names, and with any pin at the other parts, as the models
            read it.
        named: the file without those pins, as names and boards are checked.
        parts: those parts.
        lacks_board: the file has no board; ``complete`` and ``named`` have one of a large kind.
    """

    complete: YamlSource
    named: YamlSource
    parts: tuple[PartToPlan, ...] = ()
    lacks_board: bool = False


def planned_source(source: YamlSource) -> PlannedSource:
    """The panel file ``source``, as it is written, split by what has its pins."""
    parts = (*_parts(source), *_chains(source))
    if not parts:
        long = in_long_form(source)
        return PlannedSource(long, long)
    has_no_board = source.get(("boards",)) is None
    if has_no_board:
        source = _with_board(source)
    bare = {part.path for part in parts if not part.keys}
    value = source.value
    for part in parts:
        if part.keys:  # the models read the rest of its keys
            value = with_keys(value, part.path, dict.fromkeys(part.keys, _ANY_PIN))
    places = {path: place for path, place in source.positions.items() if path not in bare}
    complete = YamlSource(source.file, _without(value, (), bare), places)
    # A bare name has no form yet, and so none that could be wrong.
    value = source.value
    for path in bare:
        value = with_keys(value, path, {"form": None})
    named = YamlSource(source.file, value, source.positions)
    return PlannedSource(in_long_form(complete), in_long_form(named), parts, has_no_board)


def plan_problem(source: YamlSource, planned: PlannedSource) -> ConfigProblem:
    """The one sentence of ``check`` about a file that ``plan`` has not completed."""
    paths = [part.path for part in planned.parts]
    names = [str(path[-1]) for path in paths]
    has = "has" if len(names) == 1 else "have"
    if planned.lacks_board:
        what = f"no board is chosen, and {counted(len(names), 'part')} {has} no pin yet"
    else:
        others = len(names) - _MOST_NAMED
        shown = names if others < 2 else [*names[:_MOST_NAMED], f"{others} others"]
        what = f"{listed(shown, 'and')} {has} no pin yet"
    hint = f"Run 'panelbridge plan {source.file}', which proposes them, or write them yourself"
    return source.at_key(paths[0], what, hint)


def _parts(source: YamlSource) -> Iterator[PartToPlan]:
    for path, target in wired(source):
        place = source.positions.get(path)
        if place is None or not target.models:
            continue
        written = source.get(path)
        if written is None and not place.written:  # a written null leaves it out
            yield PartToPlan(path)
        elif isinstance(written, dict):
            fields = _keys_of(target, written)
            keys = tuple(key for key in WIRED_PINS if key in fields)
            # A key that is not known may be a misspelt pin.
            if keys and _has_none(written, keys) and not written.keys() - fields:
                yield PartToPlan(path, keys)


def _keys_of(target: Target, written: dict[str, Value]) -> set[str]:
    """The keys that the form of a part has; none when the form is missing or wrong."""
    for tag, model in target.models:
        if not target.discriminator or tag == written.get(target.discriminator):
            return {*model.model_fields}
    return set()


def _chains(source: YamlSource) -> Iterator[PartToPlan]:
    for board in source.keys(("boards",)):
        for name in source.keys(("boards", board, "chains")):
            path: KeyPath = ("boards", board, "chains", name)
            chain = source.get(path)
            if isinstance(chain, dict) and _has_none(chain, CHAIN_PINS):
                yield PartToPlan(path, CHAIN_PINS)


def _has_none(written: dict[str, Value], keys: tuple[str, ...]) -> bool:
    """None of the pins is there; where only one of several is missing, that is an error."""
    return all(written.get(key) is None for key in keys)


def _with_board(source: YamlSource) -> YamlSource:
    """``source`` with a board that takes whatever there is."""
    assert isinstance(source.value, dict)
    boards: Value = {NEW_BOARD: {"board": _ANY_KIND}}
    top = source.position(())
    paths: tuple[KeyPath, ...] = (
        ("boards",),
        ("boards", NEW_BOARD),
        ("boards", NEW_BOARD, "board"),
    )
    places: dict[KeyPath, Position] = {**source.positions}
    places.update((path, top) for path in paths)
    value: dict[str, Value] = {**source.value, "boards": boards}
    return YamlSource(source.file, value, places)


def with_keys(value: Value, path: KeyPath, keys: dict[str, Value]) -> Value:
    """``value`` with some keys in the group at ``path``, which may be empty."""
    old: dict[str, Value] = dict(value) if isinstance(value, dict) else {}
    if not path:
        return old | keys
    step = str(path[0])
    old[step] = with_keys(old.get(step), path[1:], keys)
    return old


def _without(value: Value, path: KeyPath, gone: set[KeyPath]) -> Value:
    if not isinstance(value, dict):
        return value
    parts = {key: part for key, part in value.items() if (*path, key) not in gone}
    return {key: _without(part, (*path, key), gone) for key, part in parts.items()}
