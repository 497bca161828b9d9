"""Which lamps a board can dim, and warnings of those that are meant to be dimmed and cannot.

A lamp is dimmed by pulse width. A pin without it, and a bit of a chain of shift registers, is dark
or fully on: the board lights the lamp fully at any brightness above 0.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from panelbridge.config.board_of_entry import board_of_entry
from panelbridge.config.boards import Board
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.panel_parts.output_entries import LampEntry
from panelbridge.config.pin_names import is_chain_bit
from panelbridge.config.words import counted, quoted, runs
from panelbridge.config.yaml_positions import KeyPath, YamlSource
from panelbridge.errors import ConfigProblem

FULL = 255
DIMMERS = ("dimmer", "night")
"""Switches that dim lamps."""


def can_dim(lamp: LampEntry, board: Board) -> bool:
    """Whether a board dims a lamp."""
    pin = board.pins.get(lamp.pin)
    return lamp.dimmed and pin is not None and pin.pwm


def undimmed_lamps(panel: PanelFile) -> frozenset[str]:
    """The lamps of a panel that are dark or fully lit."""
    kinds = {name: entry.hardware for name, entry in panel.boards.items()}
    lamps = panel.lamps.items()
    return frozenset(name for name, lamp in lamps if not can_dim(lamp, kinds[lamp.board]))


def check_dimming(source: YamlSource) -> Iterator[ConfigProblem]:
    """Warnings of lamps that a dimmer or the night switch dims, and that are dark or fully lit.

    One for each pin and one for each chain; ``dimmed: false`` says that it is meant so.
    """
    if not any(source.get(("switches", name)) is not None for name in DIMMERS):
        return
    on_chains: dict[KeyPath, list[str]] = {}
    for name in source.keys(("lamps",)):
        path: KeyPath = ("lamps", name)
        owner, text = source.get((*path, "board")), source.get((*path, "pin"))
        board = board_of_entry(source, owner)
        meant = source.get((*path, "dimmed")) is False
        if board is None or not isinstance(text, str) or meant:
            continue
        if is_chain_bit(text):
            chain = text.partition(".")[0]
            on_chains.setdefault(("boards", str(owner), "chains", chain), []).append(name)
        elif (pin := board.pins.get(text)) is not None and not pin.pwm:
            what = f"the lamp {quoted(name)} is dark or fully lit: pin {quoted(text)} of a"
            able = runs([one.name for one in board.pins.values() if one.pwm]) or "another board"
            hint = f"To dim it use {able}; write 'dimmed: false' if it is meant so"
            yield _warning(source, (*path, "pin"), f"{what} {board.kind} cannot dim it", hint)
    for path, lamps in on_chains.items():
        if path in source.positions and source.get((*path, "dimmed")) is not False:
            what = f"the chain {quoted(path[-1])} cannot dim: {counted(len(lamps), 'lamp')} on it"
            hint = "To dim a lamp use a pin of the board that can do pulse width; write"
            yield _warning(
                source,
                path,
                f"{what} {'is' if len(lamps) == 1 else 'are'} dark or fully lit",
                f"{hint} 'dimmed: false' at the chain if it is meant so",
            )


def _warning(source: YamlSource, path: KeyPath, what: str, hint: str) -> ConfigProblem:
    return replace(source.at_single(path, what, hint), is_warning=True)
