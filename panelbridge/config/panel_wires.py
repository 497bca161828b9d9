"""Every signal wire of a panel file: which key names its pin, and where that is."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from panelbridge.config.panel_file import PanelFile
from panelbridge.config.panel_parts.switch_entries import TwoContactHandle
from panelbridge.config.yaml_positions import KeyPath

HANDLE_KEYS = ("up_pin", "down_pin")
"""The two wires of a handle with two contacts."""


class Place(NamedTuple):
    """Where a wire ends.

    Attributes:
        board: name of the board.
        pin: as printed on it, or a bit of a chain.
    """

    board: str
    pin: str

    def __str__(self) -> str:
        return f"{self.pin} of {self.board}"


class WireKey(NamedTuple):
    """The wire of a part: the key of the panel file that names its pin.

    Attributes:
        group: ``switches``, ``own_switches``, ``lamps``, ``horn``, ``gauges`` or ``solenoids``.
        name: of the part; ``horn`` for the horn.
        key: ``pin``, or ``up_pin`` and ``down_pin`` of a handle.
    """

    group: str
    name: str
    key: str = "pin"

    @property
    def entry(self) -> tuple[str, ...]:
        """The keys down to the part."""
        return ("horn",) if self.group == "horn" else (self.group, self.name)

    @property
    def is_switch(self) -> bool:
        """Whether the part is a switch, lever or handle."""
        return self.group in ("switches", "own_switches")

    @property
    def path(self) -> KeyPath:
        """The keys down to the pin."""
        return (*self.entry, self.key)


def wires_of(panel: PanelFile) -> dict[WireKey, Place]:
    """Where the file says that each wire ends."""
    return {key: Place(entry.board, getattr(entry, key.key)) for key, entry in wired_entries(panel)}


def wired_entries(panel: PanelFile) -> Iterator[tuple[WireKey, Any]]:
    """Every wire in the order of the file, with the entry of its part."""
    for name, switch in panel.wired_switches.items():
        group = "own_switches" if name in panel.own_switches else "switches"
        keys = HANDLE_KEYS if isinstance(switch, TwoContactHandle) else ("pin",)
        for key in keys:
            yield WireKey(group, name, key), switch
    for name, lamp in panel.lamps.items():
        yield WireKey("lamps", name), lamp
    if panel.horn is not None:
        yield WireKey("horn", "horn"), panel.horn
    for name, gauge in panel.gauges:
        if gauge is not None:
            yield WireKey("gauges", name), gauge
    for name, solenoid in panel.solenoids:
        if solenoid is not None:
            yield WireKey("solenoids", name), solenoid


def changed_panel(panel: PanelFile, changes: Mapping[KeyPath, object]) -> PanelFile:
    """The panel with other values at some keys; nothing is compared with the aircraft.

    Raises:
        ValidationError: a value that its key cannot have.
    """
    content: Any = panel.model_dump(mode="json")
    for path, value in changes.items():
        group = content
        for key in path[:-1]:
            group = group[key]
        group[path[-1]] = value
    return PanelFile.model_validate_json(json.dumps(content))


def rewired(panel: PanelFile, wires: Mapping[WireKey, Place]) -> PanelFile:
    """The panel with some wires at other places."""
    changes: dict[KeyPath, object] = {}
    for key, place in wires.items():
        changes[key.path] = place.pin
        changes[(*key.entry, "board")] = place.board
    return changed_panel(panel, changes)
