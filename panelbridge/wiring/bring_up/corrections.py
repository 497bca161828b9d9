"""Which correction is offered, which is wanted, and which was declined."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from panelbridge.config.panel_file import PanelFile
from panelbridge.config.panel_wires import Place, WireKey
from panelbridge.wiring.bring_up.board_evidence import BoardEvidence, exchanged_kinds
from panelbridge.wiring.bring_up.exams.exam import ExamContext
from panelbridge.wiring.bring_up.outcomes import FileChange, PartOutcome
from panelbridge.wiring.bring_up.parts import PanelPart
from panelbridge.wiring.bring_up.pending import PendingChange, rewire_changes, rewiring
from panelbridge.wiring.bring_up.prompts import Prompt


class Corrections:
    """The corrections of one bring-up; what was declined is not offered again.

    Args:
        ports_in_file: the ports that are used stand in the panel file.
        proven: where wires proved to end in an earlier part of this bring-up.

    Attributes:
        proven: where wires proved to end.
        pending: what is offered; None = nothing.
        wanted: what shall be written now; None = nothing.
        diff: the change of the file as lines, for the question.
    """

    def __init__(self, ports_in_file: bool, proven: Mapping[WireKey, Place]) -> None:
        self.proven: dict[WireKey, Place] = dict(proven)
        self.pending: PendingChange | None = None
        self.wanted: PendingChange | None = None
        self.diff: tuple[str, ...] = ()
        self._ports_in_file = ports_in_file
        self._declined: set[str] = set()
        self._evidence = BoardEvidence()
        self._offers = 0
        self._held: dict[str, tuple[set[WireKey], tuple[FileChange, ...]]] = {}

    @property
    def is_idle(self) -> bool:
        """Nothing is offered, and nothing is being written."""
        return self.pending is None and self.wanted is None

    @property
    def prompt(self) -> Prompt:
        """The question whether what is offered shall be written."""
        assert self.pending is not None
        return self.pending.prompt(self._offers, self.diff)

    def note_wires(
        self, part: PanelPart, outcome: PartOutcome, context: ExamContext
    ) -> dict[WireKey, Place]:
        """Note where wires proved to end; returns them, without what speaks of boards."""
        wires = self._evidence.sort(part, outcome.wires, context)
        self.proven |= wires
        return wires

    def offer_for(
        self,
        part: PanelPart,
        outcome: PartOutcome,
        context: ExamContext,
        open_parts: Iterable[PanelPart],
    ) -> None:
        """Offer what follows from an examination and from the wires that are proven by now.

        What is written of a part whose wire is elsewhere waits until that can be written too: the
        counts of a lever are those of the board where it is.
        """
        boards = self._evidence.proven_exchange(open_parts)
        if boards and self._key(boards) not in self._declined:
            one, other = boards
            because = f"The same pins of {other} move where {one} was asked for, or the reverse."
            self._offer(self._port_change(context.panel, boards, because))
            return
        moves = rewiring(context.wires, self.proven)
        off = {key for key, place in outcome.wires.items() if context.wires[key] != place}
        self._held[part.key] = (off, outcome.changes)
        found = [*rewire_changes(moves, context.wires)]
        for key in [key for key, held in self._held.items() if held[0] <= moves.keys()]:
            found = [*self._held.pop(key)[1], *found]
        changes = tuple(one for one in found if one.line not in self._declined)
        if changes:
            self._offer(PendingChange(changes))

    def offer_exchanged_kinds(self, reasons: Mapping[str, str], panel: PanelFile) -> None:
        """Boards of two kinds at exchanged ports are refused, both of them."""
        kinds = {name: str(board.board) for name, board in panel.boards.items()}
        boards = exchanged_kinds(reasons, kinds)
        if boards and self._key(boards) not in self._declined:
            one, other = boards
            because = f"At the port of {one} is a {kinds[other]}, at that of {other} a "
            self._offer(self._port_change(panel, boards, f"{because}{kinds[one]}."))

    def answer(self, key: str) -> bool:
        """The user's answer: ``enter`` or ``n``; returns whether it was declined."""
        if key == "enter":
            self.wanted = self.pending
        elif key == "n" and self.pending is not None:
            self._decline(self.pending)
            return True
        return False

    def written(self) -> tuple[PendingChange, list[str]]:
        """What was wanted is done; returns it, and the parts that spoke for exchanged boards."""
        wanted = self.wanted
        assert wanted is not None
        self.pending = self.wanted = None
        return wanted, self._evidence.take() if wanted.exchanged_boards else []

    def refused(self) -> None:
        """What was wanted cannot be written."""
        assert self.wanted is not None
        self._decline(self.wanted)

    def _decline(self, change: PendingChange) -> None:
        self.pending = self.wanted = None
        self._declined |= {one.line for one in change.changes}
        if change.exchanged_boards:
            self._declined.add(self._key(change.exchanged_boards))

    def _offer(self, pending: PendingChange) -> None:
        self.pending = pending
        self.diff = ()
        self._offers += 1

    def _key(self, boards: Sequence[str]) -> str:
        return "boards " + " ".join(boards)

    def _port_change(
        self, panel: PanelFile, boards: tuple[str, ...], because: str
    ) -> PendingChange:
        """Two boards change ports: in the file, if that names them."""
        ports = {name: panel.boards[name].port for name in boards}
        in_file = self._ports_in_file and all(ports.values())
        one, other = boards
        why = "the two boards are exchanged"
        changes = (
            FileChange(("boards", one, "port"), ports[other] or "", why),
            FileChange(("boards", other, "port"), ports[one] or "", why),
        )
        return PendingChange(changes if in_file else (), boards, because, in_file)
