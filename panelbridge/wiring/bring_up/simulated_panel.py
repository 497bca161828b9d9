"""Simulated boards for a bring-up, with wiring faults to order, and the port of each."""

from __future__ import annotations

from collections.abc import Sequence

from panelbridge.clock import Clock
from panelbridge.config.load import LoadedPanel
from panelbridge.config.panel_file import PanelFile
from panelbridge.link.ports import IN_PROCESS_SCHEME
from panelbridge.logic.inventory import switches_of
from panelbridge.simboard.sim_panel import SimPanel
from panelbridge.simboard.wiring_faults import WiringFault, is_of_boards, miswired, strike


class MiswiredPanel:
    """A simulated panel whose wiring need not be that of the panel file.

    Args:
        wired_as: how it is wired, before the faults; need not be the file that is proven.
        faults: what is wrong with it.
        clock: its time.
        seed: of bounces and noise.
    """

    def __init__(
        self, wired_as: LoadedPanel, faults: Sequence[WiringFault], clock: Clock, seed: int = 0
    ) -> None:
        panel = wired_as.panel
        self.sim_panel = SimPanel(
            miswired(panel, faults),
            now_s=clock.now(),
            seed=seed,
            declared=switches_of(wired_as.aircraft),
        )
        strike(self.sim_panel, clock.now(), faults)
        self.sim_panel.register(clock)
        at = {name: board.port or name for name, board in panel.boards.items()}
        for fault in faults:
            if is_of_boards(fault, panel):
                one, other = fault.names
                at[one], at[other] = at[other], at[one]
        self._board_at = {port: name for name, port in at.items()}

    def urls(self, panel: PanelFile) -> dict[str, str]:
        """The port of each board of the panel file that is proven."""
        return {
            name: IN_PROCESS_SCHEME + self._board_at.get(board.port or name, name)
            for name, board in panel.boards.items()
        }

    def close(self) -> None:
        """Free the names of the boards."""
        self.sim_panel.unregister()
