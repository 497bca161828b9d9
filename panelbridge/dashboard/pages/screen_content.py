"""The data that a page is drawn from, and the first lines of every page."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct, field
from msgspec.structs import replace

from panelbridge.dashboard.blocks.header import header_line, horn_lines, live_boards
from panelbridge.dashboard.blocks.lamp_cells import LampLayout, lay_out_lamps
from panelbridge.dashboard.blocks.switch_rows import SwitchesView
from panelbridge.dashboard.history import ShownMoment
from panelbridge.dashboard.interfaces import Equipment, LampLook
from panelbridge.dashboard.text.lines import Line
from panelbridge.engine.snapshot import Snapshot
from panelbridge.feeds.feed import NO_HEALTH

TALL = 32
"""Least height, rows, with empty lines between the blocks."""
SHORT = 22
"""Below this height, rows, the horn has one line, or two if its reasons are long."""
TINY = 12
"""Below this height, rows, headings and empty lines are left out."""


class ScreenContent(Struct, frozen=True):
    """The data that a page is drawn from.

    Attributes:
        snapshot: of the engine.
        title: the run's title.
        switches: as the screen shows them.
        lamp_looks: of the panel's lamps, in display order; others are not fitted.
        horn_board: name of the horn's board; empty: unknown, then the link is not considered; None:
            the panel has no horn.
        full_scale_psi: top of the pressure bar, > 0.
        equipment: what aircraft and panel have.
        samples: of the last minute, the oldest first.
        firsts: sections of the systems page that come first, each with the reason; None: it is
            normal again.
        layout: rows of names, as the panel is built: legs, ``gear_handle``, lamps, ``gap``.
    """

    snapshot: Snapshot = Snapshot()
    title: str = ""
    switches: SwitchesView = SwitchesView()
    lamp_looks: Sequence[LampLook] = ()
    horn_board: str | None = ""
    full_scale_psi: float = 4000.0
    equipment: Equipment = Equipment()
    layout: Sequence[Sequence[str]] = ()
    samples: Sequence[ShownMoment] = ()
    firsts: Mapping[str, str | None] = field(default_factory=dict)

    def lamp_layout(self) -> LampLayout:
        """Which lamp is shown where."""
        legs = [leg.name for leg in self.snapshot.logic.legs]
        names = self.snapshot.outputs.lamps
        return lay_out_lamps(self.lamp_looks, names, legs, live_boards(self.snapshot))


def first_lines(content: ScreenContent, width: int, least: int, most: int) -> list[Line]:
    """The header, and the horn in ``least`` to ``most`` lines; they stay above an enlarged log."""
    header = header_line(content.snapshot, content.title, width)
    return [header, *horn_lines(content.snapshot, content.horn_board, width, least, most)]


def page_inputs(content: ScreenContent) -> object:
    """What pages show of ``content``: while this stays equal, so do they.

    A change of what no page shows, the boards' counts and the log among it, redraws nothing.
    """
    snapshot = content.snapshot
    shown = replace(snapshot, boards=(), events=(), event_count=0, positions={}, reasons={})
    shown = replace(shown, time_s=int(snapshot.time_s), feed=NO_HEALTH, explanations={})
    return replace(content, snapshot=shown)
