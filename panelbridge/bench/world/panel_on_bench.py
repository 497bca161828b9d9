"""All switches and lamps of a scenario's panel on the bench, with its boards.

Without a panel file every switch and lamp of the aircraft exists, wired the usual way to one board
named ``board``. A switch that the panel lacks is unknown, as it is in a cockpit.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from math import inf

from panelbridge.bench.language.plan import BOARD, HANDLE, FaultKind, ScenarioPlan
from panelbridge.bench.language.signals_by_name import fitted_switches
from panelbridge.bench.world.switches_on_bench import Reading, SwitchOnBench, Wired, start_positions
from panelbridge.config.dimming import undimmed_lamps
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.panel_parts.switch_entries import (
    ContactSwitch,
    LeverSwitch,
    TwoContactHandle,
)
from panelbridge.link.session import link_event
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.inventory import lamps_of, switches_of
from panelbridge.logic.switches import is_lever
from panelbridge.signals import Event, SwitchState

SEED = 1
"""Bad contacts rattle the same way in every run."""
_PORT = "bench"


class PanelOnBench:
    """The panel of a scenario.

    Attributes:
        switches: its switches, by name.
        board_of_lamp: board of each lamp.
        undimmed: lamps that its boards cannot dim.
        unplugged: the boards that are unplugged.
        events: events of the boards; emptied by the reader.
        state: the switches as the logic gets them; the same object while nothing has changed.
        next_due_s: when a contact has something to do.
    """

    def __init__(self, plan: ScenarioPlan) -> None:
        panel, aircraft = plan.panel, plan.aircraft
        rng = random.Random(SEED)
        wiring = _wiring(panel, aircraft)
        start = start_positions(plan, wiring)
        self.switches = {
            name: SwitchOnBench(name, wired, start[name], rng, switches_of(aircraft))
            for name, wired in wiring.items()
        }
        self.board_of_lamp: Mapping[str, str] = {
            name: BOARD if panel is None else panel.lamps[name].board
            for name in lamps_of(aircraft)
            if panel is None or name in panel.lamps
        }
        self.undimmed = undimmed_lamps(panel) if panel is not None else frozenset()
        self.unplugged: frozenset[str] = frozenset()
        self._noisy: set[str] = set()
        self.events: list[Event] = []
        self.state = SwitchState()
        self.next_due_s = 0.0
        self._read_all(0.0)

    def advance(self, now_s: float) -> None:
        """Do all that is due at the contacts."""
        for switch in self.switches.values():
            if switch.next_due_s <= now_s:
                switch.advance(now_s)
        self._read_all(now_s)

    def move(self, now_s: float, switch: str, position: str | float) -> None:
        """Move a switch. Raises: UsageError: no such position."""
        self.switches[switch].hand.move(now_s, position)
        self._read_all(now_s)

    def break_switch(self, now_s: float, switch: str, kind: FaultKind, rattles_s: float) -> None:
        """Break a switch. Raises: UsageError: not in this way."""
        self.switches[switch].break_down(now_s, kind, rattles_s)
        self._read_all(now_s)

    def mend_switch(self, now_s: float, switch: str, kind: FaultKind) -> None:
        """Mend one fault of a switch."""
        self.switches[switch].mend(now_s, kind)
        self._read_all(now_s)

    def unplug(self, now_s: float, board: str) -> None:
        """Unplug a board's cable."""
        if board not in self.unplugged:
            self.unplugged |= {board}
            cause = "its cable is unplugged"
            self.events.append(link_event(now_s, "board_lost", board, _PORT, cause))
            self._read_all(now_s)

    def plug(self, now_s: float, board: str) -> None:
        """Plug a board in: it restarts with the present state of its contacts."""
        if board not in self.unplugged:
            return
        self.unplugged -= {board}
        for switch in self.switches.values():
            if switch.board == board:
                switch.power_up()
        self.events.append(link_event(now_s, "board_reconnected", board, _PORT))
        self._read_all(now_s)

    def _read_all(self, now_s: float) -> None:
        readings = {name: self._read(now_s, switch) for name, switch in self.switches.items()}
        state = SwitchState(**readings)
        if state != self.state:
            self.state = state
        self.next_due_s = min((each.next_due_s for each in self.switches.values()), default=inf)

    def _read(self, now_s: float, switch: SwitchOnBench) -> Reading:
        if switch.board in self.unplugged:
            return None
        if not switch.noisy:
            self._noisy.discard(switch.name)
        elif switch.name not in self._noisy:
            self._noisy.add(switch.name)
            self.events.append(link_event(now_s, "contact_found_noisy", switch.board, _PORT))
        return switch.read()


def _wiring(panel: PanelFile | None, aircraft: AircraftParameters) -> dict[str, Wired]:
    if panel is not None:
        return dict(panel.wired_switches)
    return {name: _usual_wiring(name, aircraft) for name in fitted_switches(aircraft, None)}


def _usual_wiring(name: str, aircraft: AircraftParameters) -> Wired:
    if name == HANDLE:
        return TwoContactHandle(form="two_contact", board=BOARD, up_pin="D2", down_pin="D3")
    if is_lever(name, switches_of(aircraft)):
        return LeverSwitch(form="lever", board=BOARD, pin="A0")
    return ContactSwitch(form="contact", board=BOARD, pin="D4")
