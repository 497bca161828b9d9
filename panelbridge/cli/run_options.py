"""What the options of a run say: ports, viewers, timelines."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from msgspec import Struct

from panelbridge.config.panel_file import PanelFile
from panelbridge.errors import UsageError
from panelbridge.link.ports import IN_PROCESS_SCHEME, board_urls


class PublishOptions(Struct, frozen=True):
    """What the command line says about viewers.

    Attributes:
        publish: let viewers see the run.
        at: the address at which; empty = this computer alone.
        hands: viewers may move the switches of simulated boards.
    """

    publish: bool = False
    at: str = ""
    hands: bool = False

    def is_wanted(self, *, simulated: bool) -> bool:
        """Whether the run is to be published. Raises: UsageError, for hands that cannot be."""
        wanted = self.publish or bool(self.at)
        if self.hands and not wanted:
            raise UsageError("it is for viewers, and there are none", "--hands", "add --publish")
        if self.hands and not simulated:
            raise UsageError(
                "viewers cannot move the switches of real boards",
                where="--hands",
                hint="leave --hands away, or use --simulate",
            )
        return wanted


NO_VIEWERS = PublishOptions()


class TimelineOptions(Struct, frozen=True):
    """What is asked for.

    Attributes:
        files: to write at the end; pictures (.svg) and waveforms (.vcd).
        signals: names of the signals that are shown; none = the usual ones.
    """

    files: tuple[Path, ...] = ()
    signals: tuple[str, ...] = ()

    @property
    def are_given(self) -> bool:
        """Whether any of them was given."""
        return bool(self.files or self.signals)


NO_TIMELINE = TimelineOptions()


def port_urls(panel: PanelFile, ports: Sequence[str], *, simulate: bool) -> dict[str, str]:
    """The port of each board; with ``simulate`` every board is simulated.

    Raises:
        UsageError: ``ports`` do not fit the panel's boards, or exclude ``simulate``.
    """
    if simulate and ports:
        raise UsageError(
            "--simulate and --port exclude each other",
            hint="simulated boards need no port; leave one of the two away",
        )
    simulated = [f"{name}={IN_PROCESS_SCHEME}{name}" for name in panel.boards]
    return board_urls(panel, simulated if simulate else ports)
