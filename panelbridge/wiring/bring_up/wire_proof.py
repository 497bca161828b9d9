"""From where wires proved to end to a change of the file that names no pin twice."""

from __future__ import annotations

from collections.abc import Mapping

from panelbridge.config.panel_wires import Place, WireKey


def rewiring(
    filed: Mapping[WireKey, Place], proven: Mapping[WireKey, Place]
) -> dict[WireKey, Place]:
    """The wires that can be written elsewhere now, each with its place.

    A wire moves to the place where it proved to end once that place is free: no other wire of the
    file is there, or that one proved to end elsewhere as well. A lamp's pin that proved to be a
    switch's counts as exchanged with it, for no one can light it there; the lamps show it later.
    """
    moves = {key: place for key, place in proven.items() if filed.get(key, place) != place}
    moves |= _displaced_lamps(filed, proven, moves)
    while True:
        owners = {place: key for key, place in filed.items() if key not in moves}
        targets: dict[Place, list[WireKey]] = {}
        for key, place in moves.items():
            targets.setdefault(place, []).append(key)
        stuck = [key for key, place in moves.items() if place in owners or len(targets[place]) > 1]
        if not stuck:
            return moves
        for key in stuck:
            del moves[key]


def _displaced_lamps(
    filed: Mapping[WireKey, Place],
    proven: Mapping[WireKey, Place],
    moves: Mapping[WireKey, Place],
) -> dict[WireKey, Place]:
    at = {place: key for key, place in filed.items()}
    found = {}
    for key, place in moves.items():
        lamp = at.get(place)
        if key.is_switch and lamp and lamp.group == "lamps" and lamp not in proven:
            found[lamp] = filed[key]
    return found
