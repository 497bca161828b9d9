"""Wiring faults to order, for a simulated panel that is not wired as its file says.

What could be put right by editing the file (exchanged wires, a lever the wrong way round) makes
another panel file, from which the simulated panel is built. What is broken is done to its parts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from msgspec import Struct

from panelbridge.config.panel_file import PanelFile
from panelbridge.config.panel_parts.output_entries import LampEntry, NeedleEntry
from panelbridge.config.panel_parts.switch_entries import (
    ContactSwitch,
    LeverSwitch,
    OneContactHandle,
    TwoContactHandle,
)
from panelbridge.config.panel_wires import WireKey, changed_panel, rewired, wires_of
from panelbridge.config.words import did_you_mean, listed, quoted
from panelbridge.config.yaml_positions import KeyPath
from panelbridge.errors import UsageError
from panelbridge.simboard.contacts.hands import SwitchFault
from panelbridge.simboard.sim_panel import SimPanel

NOISE_COUNTS = 12
"""Noise of a noisy lever either way, counts of 1023; more on a board that counts further."""

BOUNCE_S = 0.018
"""How long a bouncing contact bounces at most, s."""

KINDS: Mapping[str, str] = {
    "exchanged": "A/B: the wires of two switches, levers, lamps or gauges, or the ports of two"
    " boards",
    "contacts_exchanged": "HANDLE: its two contacts",
    "normally_closed": "SWITCH: opens where the file says that it closes, or the reverse",
    "broken_wire": "SWITCH: its wire is off",
    "stuck": "SWITCH: nothing moves",
    "bouncing": "SWITCH: its contacts bounce for some 18 ms",
    "shorted": "A/B: the wires of two switches touch",
    "reversed": "LEVER or GAUGE: its ends are exchanged",
    "noisy": "LEVER: its readings jump",
    "dead": "LAMP: never lights",
    "inverted": "LAMP: lit by a low pin where the file says by a high one, or the reverse",
}
"""The faults, with what stands behind the equals sign."""


class WiringFault(Struct, frozen=True):
    """One fault.

    Attributes:
        kind: a key of ``KINDS``.
        names: of the parts.
    """

    kind: str
    names: tuple[str, ...]


def parse_faults(texts: Iterable[str], panel: PanelFile) -> list[WiringFault]:
    """Faults as on the command line: ``exchanged=lamp_test/horn_silence``.

    Raises:
        UsageError: no such fault, or none of this part.
    """
    faults = []
    for text in texts:
        kind, _, names = text.partition("=")
        if kind not in KINDS:
            hint = did_you_mean(kind, [*KINDS]) or f"There are {listed([*KINDS], 'and')}"
            raise UsageError(f"no wiring fault is named {quoted(kind)}", "--fault", hint)
        fault = WiringFault(kind, tuple(names.split("/")))
        two = "/" in KINDS[kind].partition(":")[0]
        if len(fault.names) != 1 + two:
            raise UsageError(
                f"{quoted(text)} does not name {'two parts' if two else 'one part'}",
                "--fault",
                f"Write {kind}={KINDS[kind]}",
            )
        _check_names(fault, panel)
        faults.append(fault)
    return faults


def is_of_boards(fault: WiringFault, panel: PanelFile) -> bool:
    """Whether it exchanges the ports of two boards."""
    return fault.kind == "exchanged" and all(name in panel.boards for name in fault.names)


def miswired(panel: PanelFile, faults: Sequence[WiringFault]) -> PanelFile:
    """The panel as it is wired with these faults."""
    for fault in faults:
        if not is_of_boards(fault, panel) and fault.kind in _FILE_FAULTS:
            panel = _FILE_FAULTS[fault.kind](panel, *fault.names)
    return panel


def strike(sim_panel: SimPanel, now_s: float, faults: Iterable[WiringFault]) -> None:
    """Break the parts of a simulated panel."""
    for fault in faults:
        name = fault.names[0]
        if fault.kind == "broken_wire":
            sim_panel.break_switch(now_s, name, SwitchFault.DEAD_WIRE)
        elif fault.kind == "stuck":
            sim_panel.break_switch(now_s, name, SwitchFault.STUCK)
        elif fault.kind == "bouncing":
            sim_panel.let_bounce(name, BOUNCE_S)
        elif fault.kind == "shorted":
            one, other = (_keys_of(sim_panel.panel, part)[0] for part in fault.names)
            sim_panel.join_wires(now_s, one, other)
        elif fault.kind == "noisy":
            entry = sim_panel.panel.wired_switches[name]
            board = sim_panel.boards[entry.board]
            counts = NOISE_COUNTS * (board.board.counts + 1) // 1024
            place = wires_of(sim_panel.panel)[_keys_of(sim_panel.panel, name)[0]]
            board.set_noise(place.pin, counts)
        elif fault.kind == "dead":
            sim_panel.dead_lamps.add(name)


def _keys_of(panel: PanelFile, name: str) -> list[WireKey]:
    """The wires of a part; ``gear_handle.up`` is one of the two of a handle."""
    part, _, end = name.partition(".")
    found = [key for key in wires_of(panel) if key.name == part]
    # A gauge may have the name of a switch: the switch is meant.
    found = [key for key in found if key.group == found[0].group]
    return [key for key in found if key.key == f"{end}_pin"] if end else found


def _check_names(fault: WiringFault, panel: PanelFile) -> None:
    if is_of_boards(fault, panel):
        return
    fits = _FITS[fault.kind]
    known = [key.name for key in wires_of(panel)]
    for name in fault.names:
        keys = _keys_of(panel, name)
        if not keys:
            hint = did_you_mean(name, known) or f"It has {listed(known, 'and')}"
            raise UsageError(f"this panel has no part {quoted(name)}", "--fault", hint)
        if len(keys) > 1 and fault.kind in ("exchanged", "shorted"):
            hint = f"Write {name}.up or {name}.down"
            raise UsageError(f"{quoted(name)} has two contacts", "--fault", hint)
        entry = _entry(panel, keys[0])
        if not isinstance(entry, fits):
            what = f"{quoted(name)} cannot have the fault {fault.kind}"
            raise UsageError(what, "--fault", f"It is for {KINDS[fault.kind]}")


def _entry(panel: PanelFile, key: WireKey) -> object:
    if key.group == "lamps":
        return panel.lamps[key.name]
    if key.is_switch:
        return panel.wired_switches[key.name]
    return panel.horn if key.group == "horn" else getattr(getattr(panel, key.group), key.name)


def _exchanged(panel: PanelFile, one: str, other: str) -> PanelFile:
    first, second = _keys_of(panel, one)[0], _keys_of(panel, other)[0]
    wires = wires_of(panel)
    return rewired(panel, {first: wires[second], second: wires[first]})


def _turned(panel: PanelFile, name: str, *keys: str) -> PanelFile:
    """With the values of two keys exchanged, or the one that is yes or no turned round."""
    path = _keys_of(panel, name)[0].entry
    entry = _entry(panel, _keys_of(panel, name)[0])
    values = [getattr(entry, key) for key in keys]
    new = [not values[0]] if len(keys) == 1 else values[::-1]
    changes: dict[KeyPath, object] = dict(zip([(*path, key) for key in keys], new, strict=True))
    return changed_panel(panel, changes)


def _contacts_exchanged(panel: PanelFile, name: str) -> PanelFile:
    return _turned(panel, name, "up_pin", "down_pin")


def _normally_closed(panel: PanelFile, name: str) -> PanelFile:
    handle = panel.wired_switches[name]
    if isinstance(handle, OneContactHandle):
        other = "up" if handle.closed_means == "down" else "down"
        path = (*_keys_of(panel, name)[0].entry, "closed_means")
        return changed_panel(panel, {path: other})
    return _turned(panel, name, "normally_closed")


def _reversed(panel: PanelFile, name: str) -> PanelFile:
    if isinstance(_entry(panel, _keys_of(panel, name)[0]), LeverSwitch):
        return _turned(panel, name, "counts_at_0", "counts_at_1")
    return _turned(panel, name, "pulse_at_0_us", "pulse_at_1_us")


def _inverted(panel: PanelFile, name: str) -> PanelFile:
    return _turned(panel, name, "active_low")


_FILE_FAULTS: Mapping[str, Callable[..., PanelFile]] = {
    "exchanged": _exchanged,
    "contacts_exchanged": _contacts_exchanged,
    "normally_closed": _normally_closed,
    "reversed": _reversed,
    "inverted": _inverted,
}
_CONTACTS = (ContactSwitch, OneContactHandle, TwoContactHandle)
_FITS: Mapping[str, tuple[type, ...]] = {
    "exchanged": (object,),
    "contacts_exchanged": (TwoContactHandle,),
    "normally_closed": _CONTACTS,
    "broken_wire": (*_CONTACTS, LeverSwitch),
    "stuck": (*_CONTACTS, LeverSwitch),
    "bouncing": _CONTACTS,
    "shorted": _CONTACTS,
    "reversed": (LeverSwitch, NeedleEntry),
    "noisy": (LeverSwitch,),
    "dead": (LampEntry,),
    "inverted": (LampEntry,),
}
