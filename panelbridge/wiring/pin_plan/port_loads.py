"""Currents of port groups: pins of a microcontroller that bear only so much together."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from msgspec import Struct
from pydantic import ValidationError

from panelbridge.config.model_problems import json_text
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.yaml_positions import KeyPath, Value, YamlSource
from panelbridge.wiring.electrics import WiredBoard, wired_panel
from panelbridge.wiring.electrics.circuits import Circuit
from panelbridge.wiring.electrics.port_pins import PORT_PINS
from panelbridge.wiring.pin_plan.pin_needs import PinNeed
from panelbridge.wiring.pin_plan.pin_options import PinOption

_ANY_PIN = "D2"
_SWITCHES = ("switches", "own_switches")


class PinGroup(Struct, frozen=True):
    """Pins with a limit together.

    Attributes:
        pins: their names on the board.
        sinks: for currents into them; otherwise out of them.
        left_ma: what the parts that have their pins leave of the limit, mA.
    """

    pins: frozenset[str]
    sinks: bool
    left_ma: float


class PortLoads(Struct, frozen=True):
    """What the groups of a board have left, and what each need takes from its pin.

    Attributes:
        groups: pins with a limit together.
        takes: of each need: into the pin or out of it, and how much at worst, mA.
    """

    groups: tuple[PinGroup, ...]
    takes: tuple[tuple[bool, float], ...]

    def allow(self, chosen: Sequence[PinOption]) -> bool:
        """Whether the options of the first needs keep every group within its limit."""
        return all(
            sum(
                worst_ma
                for (sinks, worst_ma), option in zip(self.takes, chosen, strict=False)
                if sinks is group.sinks and option.place in group.pins
            )
            <= group.left_ma
            for group in self.groups
        )


def port_loads(source: YamlSource, board: str, needs: Sequence[PinNeed]) -> PortLoads:
    """The groups of a board and the currents of ``needs``; contacts take next to nothing.

    ``source`` is the panel file in its long form, in which these needs have no pin.
    """
    open_paths = {need.path for need in needs}
    try:
        panel = PanelFile.model_validate_json(json_text(_with_any_pins(source, open_paths)))
    except ValidationError:  # another board's parts have no pins either
        return PortLoads((), ())
    wired = wired_panel(panel).boards[board]
    circuits: dict[KeyPath, Circuit] = {part.place: part.circuit for part in wired.parts}
    its = [circuits.get(need.path) for need in needs]
    takes = [(False, 0.0) if one is None else (one.sinks, one.at_pin.worst_ma) for one in its]
    return PortLoads(_groups(wired, open_paths), tuple(takes))


def _with_any_pins(source: YamlSource, open_paths: Collection[KeyPath]) -> Value:
    """The file with a pin at every part but at switches, which are left out."""
    assert isinstance(source.value, dict)
    value = {key: part for key, part in source.value.items() if key not in _SWITCHES}
    for path in open_paths:
        entry = source.get(path)
        if path[0] in (*_SWITCHES, "boards") or not isinstance(entry, dict):
            continue
        filled: Value = {key: one for key, one in entry.items() if key != "form"} | {
            "pin": _ANY_PIN
        }
        group = value[str(path[0])]
        if len(path) == 1:
            value[str(path[0])] = filled
        elif isinstance(group, dict):
            value[str(path[0])] = group | {str(path[1]): filled}
    boards = value["boards"]
    assert isinstance(boards, dict)
    value["boards"] = {
        name: {key: part for key, part in entry.items() if key != "chains"}
        for name, entry in boards.items()
        if isinstance(entry, dict)
    }
    return value


def _groups(board: WiredBoard, open_paths: Collection[KeyPath]) -> tuple[PinGroup, ...]:
    ports = PORT_PINS.get(board.hardware.kind, {})
    groups: list[PinGroup] = []
    for group in board.chip.groups if board.chip is not None else ():
        pins = frozenset(pin for pin, port in ports.items() if port in group.ports)
        for sinks, has in ((True, group.sinks), (False, group.sources)):
            given = [
                part.circuit.at_pin.worst_ma
                for part in board.parts
                if part.place not in open_paths
                and part.circuit.sinks is sinks
                and pins & {*part.pins.values()}
            ]
            if has:
                groups.append(PinGroup(pins, sinks, group.limit_ma - sum(given)))
    return tuple(groups)
