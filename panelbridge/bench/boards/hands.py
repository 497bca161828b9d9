"""Hands on the switches of a panel: those of a simulated board are moved, a person is asked."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from panelbridge.bench.boards.world import BoardWorld
from panelbridge.bench.language.plan import MoveSwitch
from panelbridge.bench.verdict.trace import Sample
from panelbridge.logic.signal_table import SignalSpec

ASK_S = 30.0
"""So long a person has for a switch, s."""
LEVER_TOLERANCE = 0.05
"""A lever that a person has put so near is where it was asked to be."""
Ask = Callable[[str], None]
"""Tells a person something."""


class BoardHands:
    """Moves switches.

    Args:
        world: has the boards.
        specs: every signal of the panel.
        ask: tells a person what to move.
    """

    def __init__(self, world: BoardWorld, specs: Mapping[str, SignalSpec], ask: Ask) -> None:
        self._world = world
        self._specs = specs
        self._ask = ask

    def move(self, now_s: float, action: MoveSwitch) -> bool:
        """Move a switch, or ask for it; whether somebody was asked and must be waited for."""
        name = action.switch
        if getattr(self._world.panel.switches, name).board in self._world.simulated:
            assert self._world.sim_panel is not None
            self._world.sim_panel.move(now_s, name, action.position)
            return False
        self._ask(f">>> {self.words(action)}, within {ASK_S:g} s")
        return True

    def words(self, action: MoveSwitch) -> str:
        """What a person has to do."""
        label, position = self._specs[action.switch].label, action.position
        if not isinstance(position, str):
            return f"put to {position:g}: {label}"
        verb = {"pressed": "press and hold", "released": "release"}.get(position)
        return f"{verb}: {label}" if verb else f"move {position.upper()}: {label}"

    def is_there(self, action: MoveSwitch, sample: Sample) -> bool:
        """Whether the board reports the switch where it is asked to be."""
        found = self._specs[action.switch].read(sample)
        if isinstance(action.position, str):
            return found == action.position
        near = isinstance(found, float) and abs(found - action.position) <= LEVER_TOLERANCE
        return bool(near)
