"""What can be broken on the bench, and mended again."""

from __future__ import annotations

from collections.abc import Mapping, Set

from panelbridge.bench.language.plan import ALL, ClearFault, FaultKind, SetFault
from panelbridge.bench.world.aircraft_on_bench import AircraftOnBench
from panelbridge.bench.world.panel_on_bench import PanelOnBench
from panelbridge.config.dimming import FULL
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.signals import Reason

_OF_CONTACTS = (FaultKind.STUCK, FaultKind.DEAD, FaultKind.BOUNCING, FaultKind.CONTRADICTORY)
"""What can be broken at a switch; a part of a system can have the name of one."""


def lamp_is_dead(lamp: str) -> Reason:
    """Why a lamp is dark that the logic lights."""
    return Reason(f"{lamp} lamp works", False, "it is dead, a fault of the scenario")


DIMMED = range(1, FULL)
"""Brightness of a lamp that is lit and not fully."""


def as_wired(lamps: Mapping[str, int], undimmed: Set[str]) -> Mapping[str, int]:
    """Brightness as the wiring can do it: what cannot be dimmed is dark or fully lit."""
    if not undimmed:
        return lamps
    return {n: FULL if value and n in undimmed else value for n, value in lamps.items()}


def lamp_cannot_be_dimmed(lamp: str) -> Reason:
    """Why a lamp is fully lit that the logic dims."""
    return Reason(f"{lamp} can be dimmed", False, "its pin cannot: it is dark or fully lit")


def board_is_lost(board: str, why: str) -> Reason:
    """Why a board's lamps and horn are not as the logic has them."""
    return Reason(f"board {board} connected", False, why)


class Faults:
    """Everything that is broken now.

    Args:
        logic: its legs and parts of systems can break.
        panel: its switches, lamps and boards can break.
        aircraft: its values can be lost, or stay as they are.
    """

    def __init__(self, logic: PanelLogic, panel: PanelOnBench, aircraft: AircraftOnBench) -> None:
        self._logic = logic
        self._panel = panel
        self._aircraft = aircraft
        self._broken: dict[str, list[FaultKind]] = {}
        """How each target is broken, in the order in which it was."""
        self.dead_lamps: frozenset[str] = frozenset()
        """Lamps that do not light, whatever the logic commands."""

    def set(self, now_s: float, fault: SetFault) -> None:
        """Break something.

        Raises:
            LogicError: there is no such thing, or it cannot break so.
        """
        kind, target = fault.kind, fault.target
        match self._room(target, kind):
            case "aircraft":
                self._aircraft.break_value(now_s, target, kind)
            case "board":
                self._panel.unplug(now_s, target)
            case "switch":
                self._panel.break_switch(now_s, target, kind, fault.rattles_s)
            case "lamp":
                self.dead_lamps |= {target}
            case _:
                self._logic.set_fault(now_s, target, kind.value)
        kinds = self._broken.setdefault(target, [])
        self._broken[target] = [*(one for one in kinds if one is not kind), kind]

    def clear(self, now_s: float, action: ClearFault) -> None:
        """Mend what is broken at the target, all of it or one kind; what is whole stays so."""
        targets = list(self._broken) if action.target == ALL else [action.target]
        for target in targets:
            for kind in sorted(self._broken.get(target, ())):
                if action.kind in (None, kind):
                    self._mend(now_s, target, kind)

    def _mend(self, now_s: float, target: str, kind: FaultKind) -> None:
        room, kinds = self._room(target, kind), self._broken[target]
        later = kinds[kinds.index(kind) + 1 :]
        kinds.remove(kind)
        match room:
            case "aircraft":
                self._aircraft.mend_value(now_s, target, kind)
            case "board":
                self._panel.plug(now_s, target)
            case "switch":
                self._panel.mend_switch(now_s, target, kind)
            case "lamp":
                self.dead_lamps -= {target}
            case _:
                # A part of the logic is broken in one way: that which was set last.
                if not any(self._room(target, one) == "logic" for one in later):
                    self._logic.set_fault(now_s, target, None)

    def _room(self, target: str, kind: FaultKind) -> str:
        """Whose fault it is."""
        if kind is FaultKind.LOST or (kind is FaultKind.STUCK and target in self._aircraft.names):
            return "aircraft"
        if kind is FaultKind.UNPLUGGED:
            return "board"
        if target in self._panel.switches and kind in _OF_CONTACTS:
            return "switch"
        if kind is FaultKind.DEAD and target in self._panel.board_of_lamp:
            return "lamp"
        return "logic"
