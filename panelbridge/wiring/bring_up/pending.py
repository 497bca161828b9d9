"""A correction that is offered: lines of the panel file, or two boards that change ports."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct

from panelbridge.config.panel_wires import Place, WireKey
from panelbridge.wiring.bring_up.outcomes import FileChange
from panelbridge.wiring.bring_up.prompts import Ask, Choice, Prompt


class PendingChange(Struct, frozen=True):
    """What would be written.

    Attributes:
        changes: values of the panel file.
        exchanged_boards: two boards whose ports are exchanged; empty: none.
        because: how that was seen.
        ports_in_file: the file names the ports, so it can be put right there.
    """

    changes: tuple[FileChange, ...]
    exchanged_boards: tuple[str, ...] = ()
    because: str = ""
    ports_in_file: bool = True

    def prompt(self, turn: int, diff: Sequence[str]) -> Prompt:
        """The question whether it shall be written.

        Args:
            turn: which offer this is.
            diff: the change of the file as lines; empty when it is not known.
        """
        choices = (Choice("enter", "yes, write it"), Choice("n", "no, leave it open"))
        if self.exchanged_boards:
            one, other = self.exchanged_boards
            title = f"The boards {one} and {other} are exchanged"
            lines = [self.because]
            if self.ports_in_file:
                lines.append("Shall their ports change places in the panel file?")
            else:
                lines.append("Go on with exchanged ports? Give them so with --port next time.")
                choices = (Choice("enter", "yes, go on so"), Choice("n", "no, leave it open"))
        else:
            title = "Write this into the panel file?"
            lines = [*dict.fromkeys(_sentence(change.because) for change in self.changes)]
        lines += diff or [change.line for change in self.changes]
        return Prompt(Ask("change", turn=turn), title, tuple(lines), choices=choices)


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."


def rewire_changes(
    moves: Mapping[WireKey, Place], filed: Mapping[WireKey, Place]
) -> Iterable[FileChange]:
    """The lines that put wires at the places where they proved to end."""
    for key, place in moves.items():
        end = key.key.rpartition("pin")[0].rstrip("_")
        part = key.name.replace("_", " ") + (f" ({end} contact)" if end else "")
        why = f"the wire of {part} ends at {place}"
        yield FileChange(key.path, place.pin, why)
        if place.board != filed[key].board:
            yield FileChange((*key.entry, "board"), place.board, why)


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
