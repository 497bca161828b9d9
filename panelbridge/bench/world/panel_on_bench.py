"""All switches and lamps of a panel on the bench, with its boards; or of no panel in particular.

Without a panel file every switch and lamp of the aircraft exists, wired the usual way to one board
that is called ``board``. A switch that the panel lacks is unknown, as it is in a cockpit.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from typing import Any

from panelbridge.bench.language.plan import BOARD, HANDLE, FaultKind, ScenarioPlan
from panelbridge.bench.language.signals_by_name import fitted_switches
from panelbridge.bench.world.switches_on_bench import (
    Reading,
    SwitchOnBench,
    Wired,
    start_positions,
    switch_on_bench,
)
from panelbridge.config.panel_file import (
    ContactSwitch,
    LeverSwitch,
    PanelFile,
    TwoContactHandle,
)
from panelbridge.errors import LogicError
from panelbridge.link.events import link_event
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.inventory import lamps_of
from panelbridge.logic.switch_words import LEVERS, field_of
from panelbridge.signals import Event, SwitchState

SEED = 1
"""Bad contacts rattle the same way in every run."""
_PORT = "bench"


class PanelOnBench:
    """The panel of a scenario.

    Args:
        plan: the scenario.
    """

    def __init__(self, plan: ScenarioPlan) -> None:
        panel, aircraft = plan.panel, plan.aircraft
        rng = random.Random(SEED)
        wiring = _wiring(panel, aircraft)
        start = start_positions(plan, wiring)
        self._switches: dict[str, SwitchOnBench] = {
            name: switch_on_bench(name, wired, start[name], rng) for name, wired in wiring.items()
        }
        self.boards: tuple[str, ...] = (BOARD,) if panel is None else tuple(panel.boards)
        self.board_of_lamp: Mapping[str, str] = _lamp_boards(panel, aircraft)
        self.unplugged: frozenset[str] = frozenset()
        """The boards that are unplugged."""
        self._told_noisy: set[str] = set()
        self.events: list[Event] = []
        """What the boards told since this was emptied."""
        self.state = SwitchState()
        """The switches as the logic gets them."""
        self.next_due_s = 0.0
        """When a contact has something to do."""
        self._look(0.0)

    def advance(self, now_s: float) -> None:
        """Do all that is due at the contacts."""
        for switch in self._switches.values():
            if switch.next_due_s <= now_s:
                switch.advance(now_s)
        self._look(now_s)

    def has(self, switch: str) -> bool:
        """Whether the panel has this switch."""
        return switch in self._switches

    def move(self, now_s: float, switch: str, position: str | float) -> None:
        """Move a switch. Raises: LogicError: no such switch, or it does not go there."""
        self._known(switch).move(now_s, position)
        self._look(now_s)

    def break_switch(self, now_s: float, switch: str, kind: FaultKind, for_s: float) -> None:
        """Break a switch. Raises: LogicError: no such switch, or it cannot break so."""
        self._known(switch).break_down(now_s, kind, for_s)
        self._look(now_s)

    def mend_switch(self, now_s: float, switch: str) -> None:
        """Mend a switch. Raises: LogicError: no such switch."""
        self._known(switch).mend(now_s)
        self._look(now_s)

    def unplug(self, now_s: float, board: str) -> None:
        """Pull a board's cable. Raises: LogicError: no such board."""
        if board not in self.boards:
            raise LogicError(f"there is no board '{board}' on the bench")
        if board in self.unplugged:
            return
        self.unplugged |= {board}
        trouble = "its cable is unplugged"
        self.events.append(link_event(now_s, "board_lost", board, _PORT, trouble))
        self._look(now_s)

    def plug(self, now_s: float, board: str) -> None:
        """Put a board's cable back: it begins anew, with what its contacts are now."""
        if board not in self.unplugged:
            return
        self.unplugged -= {board}
        for switch in self._switches.values():
            if switch.board == board:
                switch.power_up()
        self.events.append(link_event(now_s, "board_reconnected", board, _PORT))
        self._look(now_s)

    def _known(self, switch: str) -> SwitchOnBench:
        if switch not in self._switches:
            raise LogicError(f"there is no switch '{switch}' on the bench")
        return self._switches[switch]

    def _look(self, now_s: float) -> None:
        """Read all switches anew."""
        readings = {field_of(n): self._read(now_s, switch) for n, switch in self._switches.items()}
        known: Any = {name: value for name, value in readings.items() if value is not None}
        state = SwitchState(**known)
        if state != self.state:
            self.state = state
        dues = [switch.next_due_s for switch in self._switches.values()]
        self.next_due_s = min(dues, default=float("inf"))

    def _read(self, now_s: float, switch: SwitchOnBench) -> Reading:
        if switch.board in self.unplugged:
            return None
        if not switch.noisy:
            self._told_noisy.discard(switch.name)
        elif switch.name not in self._told_noisy:
            self._told_noisy.add(switch.name)
            told = link_event(now_s, "contact_found_noisy", switch.board, _PORT)
            self.events.append(told)
        return switch.read()


def _wiring(panel: PanelFile | None, aircraft: AircraftParameters) -> dict[str, Wired]:
    if panel is not None:
        return {name: wired for name, wired in panel.switches if wired is not None}
    return {name: _usual_wiring(name) for name in fitted_switches(aircraft, None)}


def _usual_wiring(name: str) -> Wired:
    if name == HANDLE:
        return TwoContactHandle(form="two_contact", board=BOARD, up_pin="D2", down_pin="D3")
    if name in LEVERS:
        return LeverSwitch(form="lever", board=BOARD, pin="A0")
    return ContactSwitch(form="contact", board=BOARD, pin="D4")


def _lamp_boards(panel: PanelFile | None, aircraft: AircraftParameters) -> Mapping[str, str]:
    """The board of each lamp that there is."""
    if panel is None:
        return dict.fromkeys(lamps_of(aircraft), BOARD)
    return {name: panel.lamps[name].board for name in lamps_of(aircraft) if name in panel.lamps}
