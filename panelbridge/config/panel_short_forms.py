"""Fills in what a panel file may leave out, so that everything else reads its long form only.

The board, when there is only one; the only form of a switch, and a contact as the form of a switch
of the builder's own; the colour of a lamp whose name ends
in it; a bare pin stands for the whole of what is wired to it: ``lamp_test: D24``; and the number of
a pin of a board of another kind for the whole pin.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import get_args

from msgspec.structs import replace

from panelbridge.config.model_walk import Target, child_of, target_of
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.panel_parts.output_entries import LampColour
from panelbridge.config.yaml_positions import KeyPath, Position, Value, YamlSource

COLOURS: tuple[str, ...] = get_args(LampColour)
_PANEL = target_of(PanelFile)


def in_long_form(source: YamlSource) -> YamlSource:
    """The panel file ``source`` with everything written out; what is filled in has its place."""
    boards = source.keys(("boards",))
    default = {"board": boards[0]} if len(boards) == 1 else {}
    value = {
        key: dict(group) if isinstance(group, dict) else group
        for key, group in (source.value.items() if isinstance(source.value, dict) else ())
    }
    positions = dict(source.positions)
    for path, target in wired(source):
        written = source.get(path)
        entry: Mapping[str, Value]
        own = path[0] == "own_switches"
        if isinstance(written, dict):
            entry = written
        elif ("pin" in target.fields or own) and isinstance(written, str | int):
            entry = {"pin": written}
        else:
            continue
        colour = str(path[-1]).rpartition("_")[2]
        of_name = {"colour": colour} if colour in COLOURS and path[0] == "lamps" else {}
        form = target.fields.get("form")
        only_form = {"form": "contact"} if own else {}
        if form is not None:
            only_form = {"form": form.default}
        filled: dict[str, Value] = {**default, **only_form, **of_name, **entry}
        place = positions[path]
        at_key = replace(place, line=place.key_line, column=place.key_column)
        for key in filled:
            positions.setdefault((*path, key), place if key == "pin" else at_key)
        group = value if len(path) == 1 else value[str(path[0])]
        assert isinstance(group, dict)
        group[str(path[-1])] = filled
    _write_out_pins(value, positions)
    return YamlSource(source.file, value, positions)


def _write_out_pins(value: dict[str, Value], positions: dict[KeyPath, Position]) -> None:
    """The pins of boards of other kinds: a bare number is that of a digital pin."""
    boards = value.get("boards")
    for board, entry in boards.items() if isinstance(boards, dict) else ():
        described = entry.get("other_board") if isinstance(entry, dict) else None
        pins = described.get("pins") if isinstance(described, dict) else None
        if not isinstance(entry, dict) or not isinstance(described, dict):
            continue
        if not isinstance(pins, dict) or not isinstance(boards, dict):
            continue
        long: dict[str, Value] = {}
        for name, pin in pins.items():
            path: KeyPath = ("boards", board, "other_board", "pins", name)
            is_number = isinstance(pin, int) and not isinstance(pin, bool)
            long[name] = {"number": pin} if is_number else pin
            if is_number:
                positions[(*path, "number")] = positions[path]
        boards[board] = {**entry, "other_board": {**described, "pins": long}}


_GROUPS = ("switches", "own_switches", "lamps", "gauges", "solenoids")


def is_wired(path: KeyPath) -> bool:
    """Whether what is wired to a board stands at ``path``, a pin alone perhaps."""
    return path == ("horn",) or (len(path) == 2 and path[0] in _GROUPS)


def wired(source: YamlSource) -> Iterator[tuple[KeyPath, Target]]:
    """Everything that is wired to a board, and what may stand there."""
    for group in _GROUPS:
        for name in source.keys((group,)):
            yield (group, name), child_of(child_of(_PANEL, group), name)
    yield ("horn",), child_of(_PANEL, "horn")
