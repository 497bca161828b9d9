"""What can be broken with ``--port``: values of the aircraft, and what a simulated board offers.

Legs are in the logic, and no bench reaches into a running engine; a real board's switches and lamps
are not broken for a scenario either. All that is reported before anything runs.
"""

from __future__ import annotations

from collections.abc import Container, Set

from panelbridge.bench.language.plan import ALL, BOARD, ClearFault, FaultKind, SetFault
from panelbridge.bench.world.switches_on_bench import SWITCH_FAULTS
from panelbridge.clock import Clock
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.panel_parts.switch_entries import TwoContactHandle
from panelbridge.config.words import quoted
from panelbridge.simboard import registry
from panelbridge.simboard.contacts.hands import SwitchFault
from panelbridge.simboard.sim_panel import SimPanel

_HINT = (
    "With --port values can be lost or stuck; on a simulated board switches can be stuck, dead or "
    "contradictory too, lamps dead and boards unplugged. Run it without --port"
)


def is_of_feed(fault: SetFault, values: Container[str]) -> bool:
    """Whether a value of the aircraft breaks, on its way to the logic."""
    kind = fault.kind
    return kind is FaultKind.LOST or (kind is FaultKind.STUCK and fault.target in values)


def refusal(
    fault: SetFault, panel: PanelFile, simulated: Set[str], values: Container[str]
) -> tuple[str, str] | None:
    """Why a fault cannot be set on these boards, and what can be done; None when it can be.

    Args:
        fault: what is to be broken.
        panel: what is wired where.
        simulated: the boards that are simulated here.
        values: names of the aircraft's values.
    """
    kind, target = fault.kind, fault.target
    if is_of_feed(fault, values):
        return None
    board = _board_of(fault, panel)
    if board is None:
        return f"the fault {kind} of {quoted(target)} is for the bench alone", _HINT
    if board not in simulated:
        what = f"the fault {kind} of {quoted(target)} needs a simulated board"
        return what, f"{quoted(board)} is a real one. Run it without --port"
    return None


def board_named(target: str, panel: PanelFile) -> str:
    """The board that a fault means; empty when there is none of that name."""
    if target in panel.boards:
        return target
    alone = target == BOARD and len(panel.boards) == 1
    return next(iter(panel.boards)) if alone else ""


def _board_of(fault: SetFault, panel: PanelFile) -> str | None:
    """The board at which something breaks; None when it does not break at a board."""
    kind, target = fault.kind, fault.target
    if kind is FaultKind.UNPLUGGED:
        return board_named(target, panel) or None
    wired = panel.wired_switches.get(target)
    if wired is not None and kind in SWITCH_FAULTS:
        if kind is FaultKind.CONTRADICTORY and not isinstance(wired, TwoContactHandle):
            return None
        return str(wired.board)
    if kind is FaultKind.DEAD and target in panel.lamps:
        return panel.lamps[target].board
    return None


class BoardFaults:
    """What is broken on the simulated boards of a panel.

    Args:
        panel: the simulated panel.
        clock: the time that its boards live in.
    """

    def __init__(self, panel: SimPanel, clock: Clock) -> None:
        self._panel = panel
        self._clock = clock
        self.dead_lamps: frozenset[str] = frozenset()
        """Lamps that do not light, whatever their pins do."""
        self.unplugged: frozenset[str] = frozenset()
        """Boards whose cable is pulled."""

    def set(self, fault: SetFault) -> None:
        """Break something that ``refusal`` lets pass."""
        now_s, target = self._clock.now(), fault.target
        if fault.kind is FaultKind.UNPLUGGED:
            board = board_named(target, self._panel.panel)
            registry.cable_of(board).unplug(now_s)
            self.unplugged |= {board}
        elif target in self._panel.choices:
            self._panel.break_switch(now_s, target, SWITCH_FAULTS[fault.kind])
        else:
            self.dead_lamps |= {target}

    def clear(self, action: ClearFault) -> None:
        """Mend what is broken at the target, all of it or one kind; what is whole stays so."""
        now_s, target, kind = self._clock.now(), action.target, action.kind
        for name, fault in self._panel.faults().items():
            wanted = kind is None or SWITCH_FAULTS.get(kind) is fault
            if fault is not SwitchFault.NONE and target in (ALL, name) and wanted:
                self._panel.break_switch(now_s, name, SwitchFault.NONE)
        if kind in (None, FaultKind.DEAD):
            self.dead_lamps = frozenset() if target == ALL else self.dead_lamps - {target}
        named = board_named(target, self._panel.panel)
        for board in sorted(self.unplugged if kind in (None, FaultKind.UNPLUGGED) else ()):
            if target == ALL or board == named:
                registry.cable_of(board).replug(now_s)
                self.unplugged -= {board}
