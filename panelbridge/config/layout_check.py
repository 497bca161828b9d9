"""Does the ``layout`` of a panel name what the panel has? Reads raw values, as ``fit_check``."""

from __future__ import annotations

from collections.abc import Iterator

from panelbridge.config.words import did_you_mean, quoted
from panelbridge.config.yaml_positions import KeyPath, YamlSource
from panelbridge.errors import ConfigProblem
from panelbridge.logic.aircraft import AircraftParameters

HANDLE = "gear_handle"
GAP = "gap"
_GROUP = "layout"


def check_layout(source: YamlSource, aircraft: AircraftParameters) -> Iterator[ConfigProblem]:
    """Names that are unknown, stand there twice, or belong to a leg that stands for them."""
    rows = source.get((_GROUP,))
    if not isinstance(rows, list):
        return
    legs = [leg.name for leg in aircraft.legs]
    lamps = source.keys(("lamps",))
    first: dict[str, KeyPath] = {}
    for row, cells in enumerate(rows):
        for place, name in enumerate(cells if isinstance(cells, list) else ()):
            if not isinstance(name, str) or name == GAP:
                continue
            path: KeyPath = (_GROUP, row, place)
            leg = next((leg for leg in legs if name.startswith(f"{leg}_")), None)
            if leg is not None and name in (f"{leg}_green", f"{leg}_red"):
                what = f"{quoted(name)} is a lamp of the {leg} leg, and stands where its leg does"
                yield source.at_value(path, what, f"Write {quoted(leg)}")
            elif name not in (*legs, *lamps, HANDLE):
                what = f"this panel has no leg or lamp {quoted(name)}"
                hint = did_you_mean(name, [*legs, *lamps, HANDLE, GAP])
                hint = hint or "Write the name of a leg or of a wired lamp, gear_handle or gap"
                yield source.at_value(path, what, hint)
            elif name in first:
                line = source.position(first[name]).line
                what = f"{quoted(name)} stands in the layout twice (first in line {line})"
                yield source.at_value(path, what, "Delete one of the two")
            first.setdefault(name, path)
