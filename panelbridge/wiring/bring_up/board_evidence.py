"""Two boards of one kind with exchanged ports: the same pins move, but of the other board."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import combinations

from msgspec import Struct, field

from panelbridge.config.panel_wires import Place, WireKey
from panelbridge.wiring.bring_up.exams.exam import ExamContext
from panelbridge.wiring.bring_up.parts import PanelPart

ENOUGH = 2
"""One wire may be at the wrong board; two at the same pins of it are exchanged boards."""


def exchanged_kinds(reasons: Mapping[str, str], kinds: Mapping[str, str]) -> tuple[str, ...]:
    """Two boards each of which was refused because it is of the other's kind; empty: none.

    Args:
        reasons: why boards are not live, by name (``link/session/greeting.py`` words it).
        kinds: of the boards in the panel file.
    """
    for one, other in combinations(reasons, 2):
        if kinds[one] != kinds[other] and all(
            f"says that it is a {kinds[b]}," in reasons[a] for a, b in ((one, other), (other, one))
        ):
            return (one, other)
    return ()


class BoardEvidence(Struct):
    """What speaks for exchanged boards.

    Attributes:
        found: for each pair of boards the wires that speak for it, by the name of their part.
    """

    found: dict[tuple[str, ...], dict[str, dict[WireKey, Place]]] = field(default_factory=dict)
    _taken: tuple[str, ...] = ()

    def sort(
        self, part: PanelPart, wires: Mapping[WireKey, Place], context: ExamContext
    ) -> dict[WireKey, Place]:
        """Keep what speaks for exchanged boards; returns the other wires.

        A wire that is right speaks against it: what was kept of its board is returned as well.
        """
        others: dict[WireKey, Place] = {}
        kinds = {name: board.board for name, board in context.panel.boards.items()}
        for key, place in wires.items():
            filed = context.wires[key]
            pair = tuple(sorted((filed.board, place.board)))
            same_pin = place.pin == filed.pin and place.board != filed.board
            if same_pin and kinds[filed.board] == kinds[place.board]:
                self.found.setdefault(pair, {}).setdefault(key.name, {})[key] = place
                continue
            others[key] = place
            if place == filed:
                for kept in [one for one in self.found if filed.board in one]:
                    for wires_kept in self.found.pop(kept).values():
                        others |= wires_kept
        return others

    def proven_exchange(self, open_parts: Iterable[PanelPart]) -> tuple[str, ...]:
        """The two boards that are exchanged; empty: none, or not enough is known."""
        open_on = {part.board for part in open_parts if part.kind in ("switch", "lever", "lamp")}
        for pair, names in self.found.items():
            if len(names) >= ENOUGH or (names and not open_on & set(pair)):
                self._taken = pair
                return pair
        return ()

    def take(self) -> list[str]:
        """The parts that spoke for it, once it was put right."""
        return [*self.found.pop(self._taken, {})]
