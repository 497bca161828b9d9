"""Hands on the switches of boards: of a simulated board, or of a person who is asked."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from panelbridge.bench.boards.panel_on_boards import PanelOnBoards
from panelbridge.bench.language.plan import MoveSwitch
from panelbridge.bench.verdict.trace import Sample
from panelbridge.logic.kit.declarations import Signal

ASK_S = 30.0
"""Time that a person has to move a switch, s."""
LEVER_TOLERANCE = 0.05
"""Deviation at which a lever that a person moves counts as put in place."""
Ask = Callable[[str], object]
"""Prints a text for a person."""
_VERBS = {"pressed": "press and hold", "released": "release"}


class BoardHands:
    """Moves switches.

    Args:
        panel: has the boards.
        specs: every signal of the panel.
        ask: asks a person to move a switch.
    """

    def __init__(self, panel: PanelOnBoards, specs: Mapping[str, Signal], ask: Ask) -> None:
        self._boards = panel
        self._specs = specs
        self._ask = ask

    def move(self, now_s: float, action: MoveSwitch) -> bool:
        """Move a switch, or ask for it; returns whether a person was asked."""
        name, sim_panel = action.switch, self._boards.sim_panel
        board = self._boards.panel.wired_switches[name].board
        if sim_panel is not None and board in self._boards.simulated:
            sim_panel.move(now_s, name, action.position)
            return False
        self._ask(f">>> {self.words(action)}, within {ASK_S:g} s")
        return True

    def words(self, action: MoveSwitch) -> str:
        """What a person has to do."""
        label, position = self._specs[action.switch].label, action.position
        if not isinstance(position, str):
            return f"put to {position:g}: {label}"
        return f"{_VERBS.get(position, f'move {position.upper()}')}: {label}"

    def is_there(self, action: MoveSwitch, sample: Sample) -> bool:
        """Whether the board reports the switch in the position that was asked for."""
        found, position = self._specs[action.switch].read(sample), action.position
        if isinstance(position, str) or not isinstance(found, float):
            return found == position
        return abs(found - position) <= LEVER_TOLERANCE
