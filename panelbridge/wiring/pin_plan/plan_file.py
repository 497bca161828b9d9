"""Plans the pins of a panel file: which board if it says none, which pins, and the edits."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from pathlib import Path

from msgspec import Struct

from panelbridge.config.board_of_entry import board_of_entry
from panelbridge.config.load import load_panel_to_plan
from panelbridge.config.panel_parts.switch_entries import LeverSwitch
from panelbridge.config.pins_to_plan import NEW_BOARD, PlannedSource, planned_source
from panelbridge.config.yaml_positions import KeyPath, Value, YamlSource
from panelbridge.errors import UsageError
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.wiring.file_edit import PanelEdit
from panelbridge.wiring.pin_plan.board_choice import SMALLEST_FIRST, BoardTrial
from panelbridge.wiring.pin_plan.board_plan import PinShortage, PlannedPin, plan_boards
from panelbridge.wiring.pin_plan.pin_needs import form_of, pin_needs


def planned_values(
    planned: PlannedSource, pins: Iterable[PlannedPin], aircraft: AircraftParameters
) -> dict[KeyPath, Value]:
    """The values to be set, in the order of the file."""
    source = planned.named
    of_part: defaultdict[KeyPath, list[PlannedPin]] = defaultdict(list)
    for pin in pins:
        of_part[pin.need.path].append(pin)
    several = len(source.keys(("boards",))) > 1
    values: dict[KeyPath, Value] = {}
    for part in planned.parts:
        path, its = part.path, of_part[part.path]
        is_bare = not part.keys
        keys: dict[str, Value] = {**form_of(path, aircraft)} if is_bare else {}
        if several and is_bare:
            keys["board"] = its[0].need.board
        keys |= {pin.need.key: pin.place for pin in its}
        keys |= _further(source, its[0])
        if is_bare:
            values[path] = keys["pin"] if [*keys] == ["pin"] else keys
        else:
            values |= {(*path, key): value for key, value in keys.items()}
        values |= _chain_values(its[0])
    return values


def _further(source: YamlSource, pin: PlannedPin) -> dict[str, Value]:
    """Keys that the pin calls for besides."""
    need = pin.need
    if pin.use.dimmed is False:
        return {"dimmed": False}
    board = board_of_entry(source, need.board)
    counts: int = LeverSwitch.model_fields["counts_at_1"].default
    given = source.get((*need.path, "counts_at_1"))
    if need.use == "lever" and board is not None and board.counts != counts and given is None:
        return {"counts_at_1": board.counts}
    return {}


def _chain_values(pin: PlannedPin) -> dict[KeyPath, Value]:
    """A dimmer dims no lamp of a chain: the chain says that it is meant so."""
    chain, point, _ = pin.place.partition(".")
    if pin.need.use != "lamp" or pin.use.pin is not None or not point or not pin.need.wants_dimming:
        return {}
    return {("boards", pin.need.board, "chains", chain, "dimmed"): False}


class PinPlan(Struct, frozen=True):
    """A panel file in which everything has its pin; nothing is written yet.

    Attributes:
        edit: the file with its edits; unchanged when nothing was missing.
        pins: the pins that were given.
        boards: kind of each board, by name.
        is_new_board: the plan chose the board.
    """

    edit: PanelEdit
    pins: tuple[PlannedPin, ...]
    boards: Mapping[str, str]
    is_new_board: bool = False


def plan_pins(path: Path) -> PinPlan:
    """A pin for everything that has none in the panel file at ``path``.

    Raises:
        ConfigError: the file has other errors than missing pins, or its plan would have some.
        UsageError: it does not fit, with what would help.
    """
    edit = PanelEdit(path)
    is_new_board = planned_source(edit.source).lacks_board
    if is_new_board:
        _choose_board(edit)
    aircraft = load_panel_to_plan(edit.source).aircraft
    planned = planned_source(edit.source)
    if not planned.parts:
        return PinPlan(edit, (), {})
    needs = pin_needs(planned, aircraft)
    found = plan_boards(planned.named, needs)
    if isinstance(found, PinShortage):
        its = [need for need in needs if need.board == found.board]
        raise BoardTrial(planned.named, its, found.board).shortage(found)
    edit.set_all(planned_values(planned, found, aircraft))
    edit.check()
    boards = planned.named.keys(("boards",))
    kinds = {name: str(planned.named.get(("boards", name, "board"))) for name in boards}
    return PinPlan(edit, tuple(found), kinds, is_new_board)


def _choose_board(edit: PanelEdit) -> None:
    """Write the smallest board that has room, and its chains. Raises: ConfigError, UsageError."""
    planned = planned_source(edit.source)
    aircraft = load_panel_to_plan(edit.source).aircraft
    found = BoardTrial(planned.named, pin_needs(planned, aircraft), NEW_BOARD).smallest()
    if found is None:
        what = f"not even a board of kind {SMALLEST_FIRST[-1]} with chains has room for all of it"
        raise UsageError(what, str(edit.path), "Write two boards, and at each part on which it is")
    kind, chains = found
    board: dict[str, Value] = {"board": kind}
    edit.set(("boards", NEW_BOARD), board | ({"chains": dict(chains)} if chains else {}))
