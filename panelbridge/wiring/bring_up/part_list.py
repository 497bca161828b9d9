"""The parts of a bring-up in their order, and what is known of each."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence

from panelbridge.config.load import LoadedPanel
from panelbridge.config.panel_wires import Place, WireKey
from panelbridge.config.yaml_positions import KeyPath
from panelbridge.wiring.bring_up.outcomes import FileChange, PartOutcome
from panelbridge.wiring.bring_up.parts import PanelPart, PartRecord, parts_of
from panelbridge.wiring.bring_up.prompts import PartState

WITH_WIRES = ("switch", "lever", "lamp")
"""Kinds of part whose wire is found wherever it is."""
DONE = (PartState.PROVEN, PartState.CORRECTED)


class PartList:
    """The parts that are proven.

    Args:
        loaded: the panel.
        only: names of parts; empty: all.
        records: what an earlier part of this bring-up found, by part.

    Attributes:
        parts: in the order in which they are proven.
        records: what is known of each part, by its key.
    """

    def __init__(
        self, loaded: LoadedPanel, only: Collection[str], records: Mapping[str, PartRecord]
    ) -> None:
        self.records: dict[str, PartRecord] = dict(records)
        self._only = set(only)
        self._hard: set[str] = set()  # what no file can mend
        self.use(loaded)

    def use(self, loaded: LoadedPanel) -> None:
        """The panel file says something else now."""
        self._all = parts_of(loaded)
        self.parts = [part for part in self._all if not self._only or part.name in self._only]
        for part in self.parts:
            self.records.setdefault(part.key, PartRecord())

    @property
    def open_parts(self) -> list[PanelPart]:
        """The parts that are not examined yet."""
        return [part for part in self.parts if self.records[part.key].state is PartState.OPEN]

    @property
    def good(self) -> int:
        """How many do what the panel file says."""
        return sum(self.records[part.key].state in DONE for part in self.parts)

    def next_open(self, at: int) -> int | None:
        """Place of the next open part from ``at`` on, then from the first one; None: no more."""
        count = len(self.parts)
        places: list[int] = [*range(at, count), *range(min(at, count))]
        for place in places:
            if self.records[self.parts[place].key].state is PartState.OPEN:
                return place
        return None

    def take(self, part: PanelPart, outcome: PartOutcome, *, is_moved: bool) -> None:
        """An examination is over; ``is_moved``: a wire of the part is elsewhere than filed."""
        record = self.records[part.key]
        record.findings, record.measured = [*outcome.findings], [*outcome.measured]
        failed = outcome.state is PartState.FAULT
        self._hard.discard(part.key)
        if failed and not (part.kind == "lamp" and outcome.wires):
            self._hard.add(part.key)
        if failed or is_moved or outcome.findings:
            record.state = PartState.FAULT
        else:
            record.state = PartState.CORRECTED if record.corrected else PartState.PROVEN

    def skip(self, part: PanelPart) -> None:
        """The part is left out."""
        self.records[part.key] = PartRecord(PartState.SKIPPED)

    def add_owners(self, at: int, wires: Iterable[WireKey], users: Collection[str]) -> None:
        """Parts that were not asked for, but have to do with a wire, come next after ``at``.

        Args:
            at: the present part.
            wires: wires that were found.
            users: parts that the file has at their places.
        """
        names = {key.name for key in wires} | {*users}
        for part in self._all:
            is_meant = part.name in names and part.kind in WITH_WIRES
            if is_meant and part not in self.parts:
                self._only.add(part.name)
                self.parts.insert(at + 1, part)
                self.records.setdefault(part.key, PartRecord())

    def corrected(self, changes: Sequence[FileChange]) -> None:
        """These lines were written: the parts are right now, but for what no file can mend."""
        lines: dict[KeyPath, list[str]] = {}
        for change in changes:
            lines.setdefault(change.path[:-1], []).append(change.line)
        for part in self._all:
            written = lines.get(("horn",) if part.group == "horn" else (part.group, part.name), [])
            if part.kind == "dark":
                written = [one.line for one in changes if one.path[-1] == "active_low"]
            record = self.records.get(part.key)
            if record is None or not written:
                continue
            record.corrected += [line for line in written if line not in record.corrected]
            if record.state is PartState.FAULT and part.key not in self._hard:
                record.state = PartState.CORRECTED

    def prove_again(self, names: Collection[str], because: str) -> None:
        """Parts whose boards have changed ports are open again."""
        for part in self.parts:
            if part.name in names and part.kind in WITH_WIRES:
                self.records[part.key] = PartRecord(corrected=[because])


def is_moved(
    part: PanelPart, proven: Mapping[WireKey, Place], filed: Mapping[WireKey, Place]
) -> bool:
    """Whether a wire of the part proved to end elsewhere than the file says."""
    return any(
        filed.get(key, place) != place
        for key, place in proven.items()
        if (key.group, key.name) == (part.group, part.name)
    )
