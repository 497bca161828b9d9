"""Which kind of board, and which chains, would have room: tried on values, without an edit."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from panelbridge.config.boards import BoardKind
from panelbridge.config.cross_check import check_wiring
from panelbridge.config.pins_to_plan import CHAIN_PINS, with_keys
from panelbridge.config.words import counted, listed, quoted
from panelbridge.config.yaml_positions import KeyPath, Value, YamlSource
from panelbridge.errors import UsageError
from panelbridge.wiring.pin_plan.board_plan import PinShortage, PlannedPin, plan_boards
from panelbridge.wiring.pin_plan.pin_needs import PinNeed

SMALLEST_FIRST: tuple[BoardKind, ...] = ("uno", "nano", "leonardo", "mega2560")
"""Kinds of board that a plan chooses among: those of 5 V, at which any usual LED is lit."""
Chains = Mapping[str, dict[str, Value]]
_NAMES = {"outputs": "lights", "inputs": "knobs"}
_CHIPS = {"outputs": "74HC595", "inputs": "74HC165"}
_MOST_CHIPS = 8


class BoardTrial(Struct, frozen=True):
    """A panel file, in its long form, with another board.

    Attributes:
        source: the file; parts without a pin have none in it.
        needs: pins that are missing.
        board: name of the board that is tried.
    """

    source: YamlSource
    needs: Sequence[PinNeed]
    board: str

    def pins(self, kind: str | None = None, chains: Chains | None = None) -> list[PlannedPin]:
        """The plan with another kind of board, or with more chains; empty when it does not fit."""
        path: KeyPath = ("boards", self.board)
        value, needs = self.source.value, [*self.needs]
        if kind is not None:
            value = with_keys(value, path, {"board": kind})
        if chains:
            value = with_keys(value, (*path, "chains"), dict(chains))
            new = [(*path, "chains", name) for name in chains]
            lines = [PinNeed(p, key, "chain", self.board) for p in new for key in CHAIN_PINS]
            needs = [*lines, *needs]
        source = YamlSource(self.source.file, value, self.source.positions)
        if any(check_wiring(source, is_whole=False)):  # a given pin that this kind does not have
            return []
        found = plan_boards(source, needs)
        return [] if isinstance(found, PinShortage) else found

    def smallest(self) -> tuple[BoardKind, Chains] | None:
        """The smallest kind that has room, with chains on the largest alone."""
        for kind in SMALLEST_FIRST:
            if self.pins(kind):
                return kind, {}
        largest = SMALLEST_FIRST[-1]
        return next(((largest, one) for one in _chain_sets() if self.pins(largest, one)), None)

    def shortage(self, short: PinShortage) -> UsageError:
        """What does not fit, and what would help."""
        title = f"board {quoted(short.board)} ({short.kind})"
        if short.items:
            what = f"more is wired to {title} than the {short.items} items that its firmware takes"
        else:
            missing = counted(short.needs - short.placed, "pin")
            what = f"{missing} of {short.needs} that are needed cannot be had on {title}"
        helps = [*self._larger(short.kind), *self._chain()]
        hint = f"Either {', or '.join(helps)}" if len(helps) > 1 else listed(helps)
        hint = (
            hint[:1].upper() + hint[1:]
            or "Write a second board, and at each part on which of the two it is"
        )
        where = self.source.at_key(("boards", short.board), "").where
        return UsageError(what, where, hint)

    def _larger(self, kind: str) -> Iterator[str]:
        found = (other for other in SMALLEST_FIRST if other != kind and self.pins(other))
        for other in found:
            yield f"write 'board: {other}', which has room"
            return

    def _chain(self) -> Iterator[str]:
        """The shortest chain that makes room."""
        there = self.source.keys(("boards", self.board, "chains"))
        for chips in range(1, _MOST_CHIPS + 1):
            for form, name in _NAMES.items():
                chain: dict[str, Value] = {"form": form, "chips": chips}
                if name not in there and self.pins(chains={name: chain}):
                    yield (
                        f"write '{name}: {{ form: {form}, chips: {chips} }}' under 'chains:' of "
                        f"the board, a chain of {counted(chips, 'chip')} {_CHIPS[form]} at three "
                        "pins, and run plan again"
                    )
                    return


def _chain_sets() -> Iterator[Chains]:
    """Chains to try: for lamps first, then for switches too; few chips first."""
    for forms in (("outputs",), ("outputs", "inputs")):
        for chips in range(1, _MOST_CHIPS + 1):
            yield {_NAMES[form]: {"form": form, "chips": chips} for form in forms}
