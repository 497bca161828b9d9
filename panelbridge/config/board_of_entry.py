"""What a board of a panel file can do, from the file's raw values, and errors in its description.

The checks that read raw values ask ``board_of_entry``; whatever has a model asks
``BoardEntry.hardware``.
"""

from __future__ import annotations

from collections.abc import Iterator

from pydantic import ValidationError

from panelbridge.config.boards import BOARDS, OTHER, Board
from panelbridge.config.model_problems import json_text
from panelbridge.config.other_board import OtherBoard
from panelbridge.config.pin_names import is_pin_name
from panelbridge.config.words import quoted
from panelbridge.config.yaml_positions import KeyPath, YamlSource, place_name
from panelbridge.errors import ConfigProblem


def description_of(board: str) -> KeyPath:
    """Where the description of a board of another kind stands."""
    return ("boards", board, "other_board")


def board_of_entry(source: YamlSource, name: object) -> Board | None:
    """What the board ``name`` of a panel file can do, from its raw values.

    None when the file has no such board, its kind is unknown, or its description has errors.
    """
    kind = source.get(("boards", name, "board")) if isinstance(name, str) else None
    if not isinstance(name, str) or kind != OTHER:
        return next((board for known, board in BOARDS.items() if known == kind), None)
    try:
        described = OtherBoard.model_validate_json(json_text(source.get(description_of(name))))
    except ValidationError:
        return None
    return described.hardware


def check_descriptions(source: YamlSource) -> Iterator[ConfigProblem]:
    """Boards of other kinds without a description, descriptions where none is needed, and errors
    that no single value shows."""
    for board in source.keys(("boards",)):
        kind, path = source.get(("boards", board, "board")), description_of(board)
        if kind == OTHER and path not in source.positions:
            yield source.at_value(
                ("boards", board, "board"),
                f"board {quoted(board)} is of another kind and lacks the key 'other_board'",
                "Describe it there: 'supply_v' (volts of its pins) and 'pins'",
            )
        elif kind != OTHER and any(kind == known for known in BOARDS) and path in source.positions:
            yield source.at_key(
                path,
                f"a board of kind {kind} is known and cannot have 'other_board'",
                "Delete it, or write 'board: other'",
            )
        else:
            yield from _check_pins(source, path)


def _check_pins(source: YamlSource, owner: KeyPath) -> Iterator[ConfigProblem]:
    first: dict[int, str] = {}
    analogue = False
    for name in source.keys((*owner, "pins")):
        path = (*owner, "pins", name)
        if not is_pin_name(name):
            yield source.at_key(
                path,
                f"a pin cannot be called {quoted(name)}",
                "A name has up to 16 letters, digits or _ / + - ~, and begins with a letter or "
                "digit; one with a point begins with a capital letter or a digit",
            )
        number = source.get((*path, "number"))
        if isinstance(number, int) and first.setdefault(number, name) != name:
            yield source.at_value(
                (*path, "number"),
                f"pins {quoted(first[number])} and {quoted(name)} have the same number, {number}",
                "Each pin has a number of its own on the wire; write a second name as a comment",
            )
        digital = source.get((*path, "digital")) is not False
        analogue = analogue or source.get((*path, "analogue")) is True
        if not digital and source.get((*path, "pwm")) is True:
            yield source.at_value(
                (*path, "pwm"),
                f"{place_name(path)} cannot dim a lamp when it is not digital",
                "Delete 'pwm', or 'digital: false'",
            )
        can = digital or source.get((*path, "analogue")) is True
        if not can and not source.get((*path, "reserved")):
            yield source.at_value(
                (*path, "digital"),
                f"{place_name(path)} can be neither a contact or lamp nor a lever",
                "Write 'analogue: true', or why it must stay free ('reserved: ...')",
            )
    if analogue and source.get((*owner, "counts_full_scale")) is None:
        yield source.at_key(
            owner,
            f"{place_name(owner)} lacks the key 'counts_full_scale', and has analogue pins",
            "Add what the board reports for the full voltage: 1023 with 10 bits, 4095 with 12",
        )
