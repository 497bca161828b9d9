"""The list of what can be broken in a running panel: what scenarios can break, and its cables."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from enum import StrEnum

from msgspec import Struct

from panelbridge.bench.language.names import Names
from panelbridge.bench.language.plan import FEED, FaultKind
from panelbridge.bench.world.switches_on_bench import SWITCH_FAULTS
from panelbridge.config.load import LoadedPanel


class PartRoom(StrEnum):
    """Where a part is, for people: the headings of the list."""

    SYSTEM = "legs and systems"
    BOARD = "boards and cables"
    SWITCH = "switches"
    LAMP = "lamps and horn"
    VALUE = "data of the simulator"


class CableFault(StrEnum):
    """What can be wrong between computer and board, besides that it is unplugged."""

    DAMAGED = "damaged frames"
    SLOW = "slow"
    RESET = "reset"
    """It is over at once: the board starts again."""


HORN = "horn"
_CONTACTS = (*SWITCH_FAULTS, FaultKind.BOUNCING)


class BreakablePart(Struct, frozen=True):
    """One way in which one part can be broken.

    Attributes:
        name: of the part, as a scenario names it.
        target: of the part, as a plan names it.
        kind: how it is broken.
        room: where it is.
    """

    name: str
    target: str
    kind: FaultKind | CableFault
    room: PartRoom

    @property
    def words(self) -> str:
        """For people; no two parts have the same."""
        of = " switch" if self.room is PartRoom.SWITCH else ""
        return f"{self.name}{of} {self.kind}".replace("_", " ")

    @property
    def slot(self) -> tuple[str, str, str]:
        """Of two parts with the same slot one alone can be broken."""
        together = self.room is PartRoom.BOARD or self.kind is FaultKind.BOUNCING
        return (self.room, self.target, self.kind if together else "")


def breakable_parts(loaded: LoadedPanel) -> Mapping[str, BreakablePart]:
    """All of them by their words, in the order in which they are shown."""
    found = {part.words: part for part in _parts(Names(loaded.aircraft, loaded.panel))}
    rooms = list(PartRoom)
    ordered = sorted(found.values(), key=lambda part: (rooms.index(part.room), part.target != FEED))
    return {part.words: part for part in ordered}


def _parts(names: Names) -> Iterator[BreakablePart]:
    for name, (target, kinds) in names.faults.items():
        if target in names.boards and name != target:
            continue  # another name of the only board
        for kind in kinds:
            yield BreakablePart(name, target, kind, _room(names, target, kind))
    for board in names.boards:
        for fault in CableFault:
            yield BreakablePart(board, board, fault, PartRoom.BOARD)
    yield BreakablePart(FEED, FEED, FaultKind.STUCK, PartRoom.VALUE)
    if names.panel is not None and names.panel.horn is not None:
        yield BreakablePart(HORN, HORN, FaultKind.DEAD, PartRoom.LAMP)


def _room(names: Names, target: str, kind: FaultKind) -> PartRoom:
    if kind is FaultKind.LOST or (kind is FaultKind.STUCK and target in names.values):
        return PartRoom.VALUE
    if kind is FaultKind.UNPLUGGED:
        return PartRoom.BOARD
    if target in names.switches and kind in _CONTACTS:
        return PartRoom.SWITCH
    return PartRoom.LAMP if kind is FaultKind.DEAD else PartRoom.SYSTEM
