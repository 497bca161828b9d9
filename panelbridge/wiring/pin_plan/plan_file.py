"""Plans the pins of a panel file: which board if it says none, which pins, and the edits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from panelbridge.config.load import load_panel_to_plan
from panelbridge.config.pins_to_plan import NEW_BOARD, planned_source
from panelbridge.config.yaml_positions import Value
from panelbridge.errors import UsageError
from panelbridge.wiring.file_edit import PanelEdit
from panelbridge.wiring.pin_plan.board_choice import SMALLEST_FIRST, BoardTrial
from panelbridge.wiring.pin_plan.board_plan import PinShortage, PlannedPin, plan_boards
from panelbridge.wiring.pin_plan.pin_needs import pin_needs
from panelbridge.wiring.pin_plan.planned_values import planned_values


@dataclass(frozen=True, slots=True)
class PinPlan:
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
