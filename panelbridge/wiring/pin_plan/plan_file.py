"""Plans the pins of a panel file: which board if it says none, which pins, and the edits."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from copy import copy
from dataclasses import dataclass, replace
from pathlib import Path

from panelbridge.config.board_of_entry import board_of_entry
from panelbridge.config.boards import BoardKind
from panelbridge.config.load import load_panel_to_plan
from panelbridge.config.panel_file import LeverSwitch
from panelbridge.config.pins_to_plan import NEW_BOARD, PlannedSource, planned_source
from panelbridge.config.words import counted, listed, quoted
from panelbridge.config.yaml_positions import KeyPath, Value
from panelbridge.errors import ConfigError, UsageError
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.wiring.file_edit import PanelEdit
from panelbridge.wiring.pin_plan.board_plan import PinShortage, PlannedPin, plan_boards
from panelbridge.wiring.pin_plan.pin_needs import PinNeed, form_of, pin_needs

SMALLEST_FIRST: tuple[BoardKind, ...] = ("uno", "nano", "leonardo", "mega2560")
"""Kinds of board that a plan chooses among: those of 5 V, in which any usual LED is lit."""
_CHAIN_NAMES = {"outputs": "lights", "inputs": "knobs"}
_CHIPS = {"outputs": "74HC595", "inputs": "74HC165"}
_MOST_CHIPS = 8


@dataclass(frozen=True, slots=True)
class PinPlan:
    """A panel file in which everything has its pin; nothing is written yet.

    Attributes:
        edit: the file with its edits; unchanged when nothing was missing.
        pins: the pins that were given.
        boards: kind of each board, by name.
        new_board: the plan chose the board.
    """

    edit: PanelEdit
    pins: tuple[PlannedPin, ...]
    boards: Mapping[str, str]
    new_board: bool = False


def plan_pins(path: Path) -> PinPlan:
    """A pin for everything that has none in the panel file at ``path``.

    Raises:
        ConfigError: the file has other errors than missing pins.
        UsageError: it does not fit, with what would help.
    """
    edit = PanelEdit(path)
    planned = planned_source(edit.source)
    if planned.lacks_board:
        return _on_smallest(edit)
    aircraft = load_panel_to_plan(edit.source).aircraft
    if not planned.parts:
        return PinPlan(edit, (), {})
    found = plan_boards(planned.named, pin_needs(planned, aircraft))
    if isinstance(found, PinShortage):
        raise _shortage(edit, found)
    return _edited(edit, planned, found, aircraft)


def _on_smallest(edit: PanelEdit) -> PinPlan:
    """The plan on the smallest kind of board that has room, with chains on the largest alone."""
    refused: ConfigError | UsageError | None = None
    for kind in SMALLEST_FIRST:
        for chains in ({}, *_chain_sets()) if kind == SMALLEST_FIRST[-1] else ({},):
            trial = copy(edit)
            trial.set(
                ("boards", NEW_BOARD), {"board": kind, **({"chains": chains} if chains else {})}
            )
            try:
                plan = _tried(trial)
            except (ConfigError, UsageError) as error:  # a pin that this kind does not have
                refused = error
                continue
            if plan is not None:
                return replace(plan, new_board=True)
    if isinstance(refused, ConfigError | UsageError):
        raise refused
    what = f"not even a board of kind {SMALLEST_FIRST[-1]} with chains has room for all of it"
    raise UsageError(what, str(edit.path), "Write two boards, and at each part on which it is")


def _tried(edit: PanelEdit) -> PinPlan | None:
    """The plan for a file with its boards; None when something does not fit."""
    planned = planned_source(edit.source)
    aircraft = load_panel_to_plan(edit.source).aircraft
    found = plan_boards(planned.named, pin_needs(planned, aircraft))
    if isinstance(found, PinShortage):
        return None
    return _edited(edit, planned, found, aircraft)


def _chain_sets() -> Iterator[dict[str, Value]]:
    """Chains to try: lamps first, then switches too; few chips first."""
    for chips in range(1, _MOST_CHIPS + 1):
        yield {_CHAIN_NAMES["outputs"]: {"form": "outputs", "chips": chips}}
    for chips in range(1, _MOST_CHIPS + 1):
        yield {_CHAIN_NAMES[form]: {"form": form, "chips": chips} for form in ("outputs", "inputs")}


def _edited(
    edit: PanelEdit,
    planned: PlannedSource,
    pins: list[PlannedPin],
    aircraft: AircraftParameters,
) -> PinPlan:
    source = planned.named
    bare = {part.path for part in planned.parts if not part.keys}
    by_path: dict[KeyPath, list[PlannedPin]] = {}
    for pin in pins:
        by_path.setdefault(pin.need.path, []).append(pin)
    several = len(source.keys(("boards",))) > 1
    for part in planned.parts:
        path, its = part.path, by_path[part.path]
        keys: dict[str, Value] = {**form_of(path, aircraft)} if path in bare else {}
        if several and path in bare:
            keys["board"] = its[0].need.board
        keys |= {pin.need.key: pin.place for pin in its}
        keys |= _further(edit, its[0], its[0].need)
        if path in bare:
            edit.set(path, keys["pin"] if [*keys] == ["pin"] else keys)
        else:
            for key, value in keys.items():
                edit.set((*path, key), value)
        _mark_chain(edit, its[0])
    edit.check()
    kinds = {name: str(source.get(("boards", name, "board"))) for name in source.keys(("boards",))}
    return PinPlan(edit, tuple(pins), kinds)


def _further(edit: PanelEdit, pin: PlannedPin, need: PinNeed) -> dict[str, Value]:
    """Keys that the pin calls for besides."""
    if pin.use.dimmed is False:
        return {"dimmed": False}
    board = board_of_entry(edit.source, need.board)
    counts: int = LeverSwitch.model_fields["counts_at_1"].default
    is_given = edit.has((*need.path, "counts_at_1"))
    if need.use == "lever" and board is not None and board.counts != counts and not is_given:
        return {"counts_at_1": board.counts}
    return {}


def _mark_chain(edit: PanelEdit, pin: PlannedPin) -> None:
    """A dimmer dims no lamp of a chain: say that it is meant so."""
    name, point, _ = pin.place.partition(".")
    path: KeyPath = ("boards", pin.need.board, "chains", name, "dimmed")
    if pin.need.use == "lamp" and pin.use.pin is None and point and pin.need.wants_dimming:
        edit.set(path, False)


def _shortage(edit: PanelEdit, short: PinShortage) -> UsageError:
    """What does not fit, and what would help."""
    title = f"board {quoted(short.board)} ({short.kind})"
    if short.items:
        what = f"more is wired to {title} than the {short.items} items that its firmware takes"
    else:
        missing = counted(short.needs - short.placed, "pin")
        what = f"{missing} of {short.needs} that are needed cannot be had on {title}"
    helps = [
        *(f"write 'board: {kind}', which has room" for kind in _larger(edit, short)),
        *_chains_that_help(edit, short),
    ]
    hint = f"Either {listed(helps)}" if len(helps) > 1 else "".join(helps).capitalize()
    hint = hint or "Write a second board, and at each part on which of the two it is"
    return UsageError(what, edit.source.at_key(("boards", short.board), "").where, hint)


def _fits(edit: PanelEdit) -> bool:
    try:
        return _tried(edit) is not None
    except (ConfigError, UsageError):
        return False


def _larger(edit: PanelEdit, short: PinShortage) -> Iterator[str]:
    """The smallest other kind of board that has room."""
    for kind in SMALLEST_FIRST:
        trial = copy(edit)
        trial.set(("boards", short.board, "board"), kind)
        if kind != short.kind and _fits(trial):
            yield kind
            return


def _chains_that_help(edit: PanelEdit, short: PinShortage) -> Iterator[str]:
    """The shortest chain that makes room."""
    for chips in range(1, _MOST_CHIPS + 1):
        for form, name in _CHAIN_NAMES.items():
            trial = copy(edit)
            path: KeyPath = ("boards", short.board, "chains", name)
            if trial.has(path):
                continue
            trial.set(path, {"form": form, "chips": chips})
            if _fits(trial):
                chain = f"'{name}: {{ form: {form}, chips: {chips} }}'"
                yield (
                    f"write {chain} under 'chains:' of the board, a chain of "
                    f"{counted(chips, 'chip')} {_CHIPS[form]} at three pins, and run plan again"
                )
                return
