"""All supplies of the hydraulic system together: what they give, whom they serve, what failed."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence

from panelbridge.clock import TimerHeap
from panelbridge.logic.aux_pump import AuxPump
from panelbridge.logic.engine_supply import EngineSupply
from panelbridge.logic.events import EventLog
from panelbridge.logic.hydraulic_parameters import CONSUMERS, HydraulicsParameters

AUX_PUMP_LABEL = "auxiliary hydraulic pump"


class HydraulicSupplies:
    """The engines' supplies and the auxiliary pump; any one suffices.

    Args:
        parameters: the numbers of the system.
        timers: for spooling up and for the limit of the auxiliary pump.
        log: takes the events of the auxiliary pump.
    """

    def __init__(self, parameters: HydraulicsParameters, timers: TimerHeap, log: EventLog) -> None:
        self._engines = tuple(EngineSupply(each, timers) for each in parameters.supplies)
        aux = parameters.aux_pump
        self._aux_flow_l_per_s = aux.flow_l_per_s if aux else 0.0
        self._aux_serves = aux.serves if aux else ()
        self._stored_serves = parameters.accumulator.serves
        self._has_aux = aux is not None
        self._aux_powered = False
        self._aux_fault: str | None = None
        self.aux = AuxPump(aux.on_limit_s if aux else None, timers, log)
        """The auxiliary pump; it stays off where there is none."""

    @property
    def fault_kinds(self) -> Mapping[str, tuple[str, ...]]:
        """What can be broken, and how."""
        names = [f"engine_{each.parameters.engine}_supply" for each in self._engines]
        kinds: dict[str, tuple[str, ...]] = dict.fromkeys(names, ("failed",))
        if self._has_aux:
            kinds["aux_pump"] = ("failed", "runs_on")
        return kinds

    @property
    def engines_give(self) -> bool:
        """At least one engine's supply works."""
        return any(each.gives for each in self._engines)

    @property
    def compensated_l_per_s(self) -> float:
        """Greatest flow of the engines' supplies, which hold the nominal pressure."""
        return sum(each.parameters.flow_l_per_s for each in self._engines if each.gives)

    @property
    def constant_l_per_s(self) -> float:
        """Flow of the auxiliary pump."""
        return self._aux_flow_l_per_s if self.aux.is_running else 0.0

    @property
    def failed(self) -> tuple[str, ...]:
        """Those that ought to give pressure now and do not, in words."""
        failed = [
            each.parameters.label for each in self._engines if each.is_driven and each.is_failed
        ]
        if self._aux_powered and self._aux_fault == "failed":
            failed.append(AUX_PUMP_LABEL)
        return tuple(failed)

    def served(self, *, empty: bool) -> tuple[str, ...]:
        """Who has pressure, provided that it is usable.

        Args:
            empty: there is no fluid to give: only what is stored serves.
        """
        served: set[str] = set(self._stored_serves)
        if not empty:
            for supply in self._engines:
                if supply.gives:
                    served.update(supply.parameters.serves)
            if self.aux.is_on:
                served.update(self._aux_serves)
        return tuple(consumer for consumer in CONSUMERS if consumer in served)

    def update(
        self, now_s: float, *, engine_running: Sequence[bool | None], aux_powered: bool
    ) -> None:
        """Take the engines, and whether the auxiliary pump is switched on and has power."""
        for supply in self._engines:
            supply.update(now_s, engine_running)
        self._aux_powered = aux_powered and self._has_aux

    def settle(self, now_s: float, *, wants_pressure: bool) -> None:
        """Start and stop the auxiliary pump as its pressure switch asks."""
        able = self._aux_powered and self._aux_fault != "failed"
        stuck = self._aux_fault == "runs_on"
        self.aux.update(now_s, able=able, wanted=wants_pressure, stuck=stuck)

    def timer_due(self, now_s: float, name: Hashable) -> None:
        """One of their timers came due."""
        self.aux.timer_due(now_s, name)
        for supply in self._engines:
            supply.timer_due(name)

    def fail(self, target: str, kind: str | None) -> None:
        """Break one of ``fault_kinds``, or mend it with None."""
        if target == "aux_pump":
            self._aux_fault = kind
        for supply in self._engines:
            if target == f"engine_{supply.parameters.engine}_supply":
                supply.is_failed = kind is not None
