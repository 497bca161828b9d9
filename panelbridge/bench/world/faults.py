"""What can be broken on the bench, and mended again."""

from __future__ import annotations

from panelbridge.bench.language.plan import ALL, ClearFault, FaultKind, SetFault
from panelbridge.bench.world.aircraft_on_bench import AircraftOnBench
from panelbridge.bench.world.panel_on_bench import PanelOnBench
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.signals import Reason

_OF_CONTACTS = (FaultKind.STUCK, FaultKind.DEAD, FaultKind.BOUNCING, FaultKind.CONTRADICTORY)
"""What can be broken at a switch; a part of a system can have the name of one."""


def lamp_is_dead(lamp: str) -> Reason:
    """Why a lamp is dark that the logic lights."""
    return Reason(f"{lamp} lamp works", False, "it is dead, a fault of the scenario")


def board_is_lost(board: str, why: str) -> Reason:
    """Why a board's lamps and horn are not as the logic has them."""
    return Reason(f"board {board} connected", False, why)


class Faults:
    """Everything that is broken now.

    Args:
        logic: its legs and parts of systems can break.
        panel: its switches, lamps and boards can break.
        aircraft: its values can be lost.
    """

    def __init__(self, logic: PanelLogic, panel: PanelOnBench, aircraft: AircraftOnBench) -> None:
        self._logic = logic
        self._panel = panel
        self._aircraft = aircraft
        self._broken: dict[str, set[FaultKind]] = {}
        self.dead_lamps: frozenset[str] = frozenset()
        """Lamps that do not light, whatever the logic commands."""

    def set(self, now_s: float, fault: SetFault) -> None:
        """Break something.

        Raises:
            LogicError: there is no such thing, or it cannot break so.
        """
        kind, target = fault.kind, fault.target
        if kind is FaultKind.LOST:
            self._aircraft.lose(now_s, target)
        elif kind is FaultKind.UNPLUGGED:
            self._panel.unplug(now_s, target)
        elif target in self._panel.switches and kind in _OF_CONTACTS:
            self._panel.break_switch(now_s, target, kind, fault.for_s)
        elif kind is FaultKind.DEAD and target in self._panel.board_of_lamp:
            self.dead_lamps |= {target}
        else:
            self._logic.set_fault(now_s, target, kind.value)
        self._broken.setdefault(target, set()).add(kind)

    def clear(self, now_s: float, action: ClearFault) -> None:
        """Mend everything that is broken at the target; what is whole stays so."""
        targets = list(self._broken) if action.target == ALL else [action.target]
        for target in targets:
            for kind in sorted(self._broken.pop(target, set())):
                self._mend(now_s, target, kind)

    def _mend(self, now_s: float, target: str, kind: FaultKind) -> None:
        if kind is FaultKind.LOST:
            self._aircraft.find(now_s, target)
        elif kind is FaultKind.UNPLUGGED:
            self._panel.plug(now_s, target)
        elif target in self._panel.switches and kind in _OF_CONTACTS:
            self._panel.mend_switch(now_s, target)
        elif kind is FaultKind.DEAD:
            self.dead_lamps -= {target}
        else:
            self._logic.set_fault(now_s, target, None)
