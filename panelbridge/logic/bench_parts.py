"""What the bench may break, and what it may put somewhere: the parts that the systems declare."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from panelbridge.errors import LogicError
from panelbridge.logic.kit.handles import Fault, Placing
from panelbridge.logic.kit.system import System


class BenchParts:
    """The parts of some systems by name.

    Args:
        systems: in their order.
    """

    def __init__(self, systems: Iterable[System[Any]]) -> None:
        every = tuple(systems)
        self._faults = {fault.name: fault for system in every for fault in system.faults}
        self._placings = {one.name: one for system in every for one in system.placings}

    def fault(self, target: str, kind: str | None) -> Fault:
        """The part that is to be broken, or mended when ``kind`` is None.

        Raises:
            LogicError: no such part, or it cannot break so.
        """
        fault = self._faults.get(target)
        if fault is None:
            raise LogicError(f"no fault target is named '{target}'")
        if kind is not None and kind not in fault.kinds:
            raise LogicError(f"'{target}' cannot be '{kind}'", hint=", ".join(fault.kinds))
        return fault

    def placing(self, name: str) -> Placing:
        """The part that is to be put somewhere.

        Raises:
            LogicError: no such part.
        """
        placing = self._placings.get(name)
        if placing is None:
            raise LogicError(f"no part of the model is named '{name}'")
        return placing
