"""The gauges of the panel page: their names are whole, or shortened as is usual, never cut."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from panelbridge.cli.screen import content_of
from panelbridge.dashboard.blocks.gauge_cells import gauge_cells
from panelbridge.engine.snapshot import Snapshot
from tests.dashboard.real_runs import DEMO, loaded_panel
from tests.dashboard.text import text_of

SHOWN = content_of(loaded_panel(DEMO))
GAUGES = {look.name: 1888.0 for look in SHOWN.equipment.gauges}


def heads(width: int) -> list[str]:
    """Names and values at so many cells."""
    snapshot = Snapshot()
    outputs = replace(snapshot.outputs, gauges=GAUGES)
    unplugged = replace(SHOWN.equipment, boards=dict.fromkeys(SHOWN.equipment.boards, ""))
    head, _ = gauge_cells(replace(snapshot, outputs=outputs), unplugged, width)
    return [part.strip() for part in text_of(head).split("1888 psi") if part.strip()]


@pytest.mark.parametrize(
    ("width", "names"),
    [
        (198, ["hydraulic pressure", "emergency air", "brake accumulator", "left brake"]),
        (118, ["hyd pressure", "emerg air", "brake accu", "left brake"]),
        (78, ["hyd press", "emerg air", "brk accu", "L brk"]),
        (58, ["hyd press", "emerg air", "brk accu"]),
    ],
)
def test_names_are_whole_where_there_is_room(width: int, names: list[str]) -> None:
    assert heads(width)[: len(names)] == names


@pytest.mark.parametrize("width", range(18, 240))
def test_no_name_is_cut_at_any_width(width: int) -> None:
    assert not any("…" in name for name in heads(width))
