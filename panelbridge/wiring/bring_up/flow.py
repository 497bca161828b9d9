"""The bring-up as state: which part is examined, what was found, what shall be written.

It is fed by the boards' sessions and by the user's answers, with the time of the injected clock,
and does nothing by itself: it says which set-up the boards need, what they shall drive, which
contact shall be captured, and which lines shall be written. The owner of ports and files does that.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from panelbridge.config.load import LoadedPanel
from panelbridge.config.panel_wires import Place, WireKey, wires_of
from panelbridge.config.words import named_board
from panelbridge.link.wire import Captured
from panelbridge.logic.inventory import switches_of
from panelbridge.signals import Outputs
from panelbridge.wiring.bring_up.board_states import BoardStates, PinStates
from panelbridge.wiring.bring_up.corrections import Corrections
from panelbridge.wiring.bring_up.exams.exam import ALL_DARK, Exam, ExamContext
from panelbridge.wiring.bring_up.exams.note_exam import NoteExam
from panelbridge.wiring.bring_up.flow_view import end_prompt, live_places, part_lines
from panelbridge.wiring.bring_up.open_exam import OpenExam
from panelbridge.wiring.bring_up.outcomes import PartOutcome
from panelbridge.wiring.bring_up.part_list import PartList, is_moved
from panelbridge.wiring.bring_up.parts import EXAMS, PanelPart, PartRecord, lamp_labels
from panelbridge.wiring.bring_up.prompts import BringUpView, Prompt

SLOW_S = 8.0
"""When nothing has come for this time the screen says what to check, s."""


class BringUpFlow:
    """One bring-up of one panel.

    Args:
        loaded: the panel.
        ports_in_file: the ports that are used stand in the panel file.
        only: names of parts; empty: all.
        records: what an earlier part of this bring-up found, by part.
        proven: where wires proved to end then.

    Attributes:
        part_list: the parts, and what is known of each.
        records: what is known of each part, by its key.
        corrections: what is offered and wanted, and where wires proved to end.
        set_up: which set-up the boards shall have: ``inputs`` or ``outputs``.
        remark: what has just been found.
        notes: what was corrected of the panel as a whole.
    """

    def __init__(
        self,
        loaded: LoadedPanel,
        *,
        ports_in_file: bool = True,
        only: Collection[str] = (),
        records: Mapping[str, PartRecord] | None = None,
        proven: Mapping[WireKey, Place] | None = None,
    ) -> None:
        self.pins = PinStates()
        self.part_list = PartList(loaded, only, records or {})
        self.corrections = Corrections(ports_in_file, proven or {})
        self.records = self.part_list.records
        self.set_up = "inputs"
        self.remark = ""
        self.notes: list[str] = []
        self._open_exam = OpenExam()
        self._boards = BoardStates()
        self._notes_read: set[str] = set()
        self._at = 0
        self._use(loaded)
        self._go_to_open(0.0)

    def _use(self, loaded: LoadedPanel) -> None:
        self.loaded = loaded
        self.part_list.use(loaded)
        self._context = ExamContext(
            panel=loaded.panel,
            wires=wires_of(loaded.panel),
            pins=self.pins,
            declared=switches_of(loaded.aircraft),
            full_counts={name: one.hardware.counts for name, one in loaded.panel.boards.items()},
            lamp_labels=lamp_labels(loaded),
        )

    @property
    def parts(self) -> Sequence[PanelPart]:
        """The parts in their order."""
        return self.part_list.parts

    # What the boards shall do

    @property
    def _worked_on(self) -> Exam | None:
        """The examination, while it can be worked on."""
        return self._exam if self._open_exam.is_ready and self.corrections.is_idle else None

    @property
    def _exam(self) -> Exam | None:
        return self._open_exam.exam

    @property
    def outputs(self) -> Outputs:
        """What lamps, horn, gauges and solenoids shall do."""
        return ALL_DARK if self._worked_on is None else self._worked_on.outputs

    @property
    def capture(self) -> Place | None:
        """The contact whose raw changes shall be captured."""
        return None if self._worked_on is None else self._worked_on.capture

    @property
    def finished(self) -> bool:
        """Nothing is left to ask."""
        return self._exam is None and self.corrections.is_idle

    @property
    def part(self) -> PanelPart | None:
        """The part that is examined."""
        return self.parts[self._at] if self._exam is not None else None

    @property
    def is_ready(self) -> bool:
        """The question can be worked on: the boards that it needs are ready."""
        return self._open_exam.is_ready or not self.corrections.is_idle or self._exam is None

    # What the boards report

    def board_live(
        self,
        now_s: float,
        board: str,
        set_up: str,
        contacts: Mapping[Place, bool],
        counts: Mapping[Place, int],
    ) -> None:
        """A board is live with a set-up and reports its inputs."""
        self.pins.watch(contacts, counts)
        self._boards.live(board, set_up)
        self._check_ready(now_s)

    def board_waits(self, board: str, reason: str) -> None:
        """Why a board is not live now."""
        self._boards.wait(board, reason)

    def board_lost(self, now_s: float, board: str, reason: str) -> None:
        """A board is not live (any more); ``reason`` is one sentence, and may be empty."""
        self.pins.forget(board)
        was_live = self._boards.lose(board, reason)
        if was_live and self._open_exam.is_ready and not self._open_exam.is_note:
            self._open(now_s, self._at)  # half an examination proves nothing
        self._check_ready(now_s)

    def contact_changed(self, now_s: float, place: Place, closed: bool) -> None:
        """A contact pin has changed."""
        if self.pins.change(now_s, place, closed) and self._worked_on is not None:
            self._open_exam.changed(now_s, place, closed)

    def captured(self, now_s: float, place: Place, changes: Captured) -> None:
        """The raw changes of a contact."""
        if self._open_exam.is_ready:
            self._open_exam.captured(now_s, place, changes)
            self._after_exam(now_s)

    def tick(self, now_s: float) -> None:
        """Time has passed."""
        self._check_ready(now_s)
        if not self._open_exam.is_ready and self.corrections.is_idle:
            self.corrections.offer_exchanged_kinds(self._boards.lost, self.loaded.panel)
        if self._worked_on is not None:
            self._open_exam.tick(now_s)
            self._after_exam(now_s)

    # What the user answers

    def key(self, now_s: float, key: str) -> None:
        """A key: ``enter``, ``backspace``, a letter or a digit."""
        self._open_exam.active_s = now_s
        if self.corrections.wanted is not None:
            return  # it is being written
        if self.corrections.pending is not None:
            if self.corrections.answer(key):
                self._go_to_open(now_s)
        elif key == "b":
            self._go_back(now_s)
        elif self._exam is not None:
            self._exam_key(now_s, key)

    def _exam_key(self, now_s: float, key: str) -> None:
        if key == "r" and not self._open_exam.is_note:
            self._open(now_s, self._at)
        elif key == "s" and not self._open_exam.is_note:
            self._skip(now_s)
        elif self._open_exam.is_ready:
            self._open_exam.key(now_s, key)
            self._after_exam(now_s)
        elif key == "o":
            self._boards.do_without(self._missing())
            self._check_ready(now_s)

    def choose_number(self, now_s: float, number: int) -> None:
        """The user picks a numbered thing with the mouse."""
        if self._worked_on is not None:
            self._open_exam.answer(now_s, str(number))
            self._after_exam(now_s)

    def choose_part(self, now_s: float, key: str) -> None:
        """The user picks a part, to prove it now."""
        for at, part in enumerate(self.parts):
            if part.key == key and self.corrections.is_idle:
                self._open(now_s, at)

    # What became of a correction

    def written(self, now_s: float, loaded: LoadedPanel) -> None:
        """What was wanted has been written, or the ports were exchanged; this is the panel now."""
        wanted, names = self.corrections.written()
        self._use(loaded)
        self.part_list.corrected(wanted.changes)
        self.remark = "Written: " + "; ".join(change.line for change in wanted.changes)
        if wanted.exchanged_boards:
            one, other = wanted.exchanged_boards
            self.remark = f"The ports of {one} and {other} are exchanged."
            self.notes.append(f"{self.remark} {wanted.because}")
            self.part_list.prove_again(names, f"ports of {one} and {other}")
            self._boards.lost.clear()
        self._go_to_open(now_s)

    def refused(self, now_s: float, reason: str) -> None:
        """What was wanted could not be written."""
        self.corrections.refused()
        self.remark = f"Not written: {reason}"
        self._go_to_open(now_s)

    # From part to part

    def _after_exam(self, now_s: float) -> None:
        exam = self._exam
        if exam is None or exam.outcome is None:
            return
        if isinstance(exam, NoteExam):
            self._notes_read.add(exam.name)
            self._open(now_s, self._at)
            return
        self._take(now_s, self.parts[self._at], exam.outcome)

    def _take(self, now_s: float, part: PanelPart, outcome: PartOutcome) -> None:
        wires = self.corrections.note_wires(part, outcome, self._context)
        moved = is_moved(part, self.corrections.proven, self._context.wires)
        self.part_list.take(part, outcome, is_moved=moved)
        first = outcome.findings[0] if outcome.findings else ""
        self.remark = f"{part.label}: {first or 'right'}"
        users = {self._context.user_of(place) for place in wires.values()}
        self.part_list.add_owners(self._at, wires, users)
        self.corrections.offer_for(part, outcome, self._context, self.part_list.open_parts)
        if self.corrections.is_idle:
            self._go_to_open(now_s)

    def _skip(self, now_s: float) -> None:
        self.part_list.skip(self.parts[self._at])
        self.remark = f"{self.parts[self._at].label}: left out"
        self._go_to_open(now_s)

    def _go_back(self, now_s: float) -> None:
        if not self.parts:
            return
        at = len(self.parts) - 1 if self._exam is None else max(self._at - 1, 0)
        self._open(now_s, at)

    def _go_to_open(self, now_s: float) -> None:
        """The next part that is open, after the present one if there is any."""
        at = self.part_list.next_open(self._at)
        if at is None:
            self._open_exam.close()
        else:
            self._open(now_s, at)

    def _open(self, now_s: float, at: int) -> None:
        self._at = at
        part = self.parts[at]
        exam = EXAMS[part.kind](self._context, part.name)
        if exam.set_up not in self._notes_read:
            exam = NoteExam(self._context, exam.set_up)
        self._open_exam.open(now_s, exam)
        self._check_ready(now_s)

    # Boards

    def _missing(self) -> list[str]:
        return self._boards.missing(self.loaded.panel.boards, self.set_up)

    def _check_ready(self, now_s: float) -> None:
        if self._exam is None:
            return
        needs = self._exam.set_up
        if needs != "any":
            self.set_up = needs
        self._open_exam.set_ready(now_s, needs == "any" or not self._missing())

    # The view

    def view(self, now_s: float) -> BringUpView:
        """What the screen shows."""
        waits = ""
        if self._exam is not None and not self.is_ready:
            name = next(iter(self._missing()), "")
            waits = (
                f"{named_board(name)}: {self._boards.lost.get(name, '') or 'it is being set up'}"
            )
        return BringUpView(
            panel=self.loaded.panel.name,
            prompt=self.prompt,
            remark=self.remark,
            waits_for=waits,
            typed=self._open_exam.typed,
            slow=now_s > self._open_exam.active_s + SLOW_S,
            parts=part_lines(self.part_list, self.part),
            places=live_places(self.pins, self._context.wires, self._open_exam.moved),
            boards={
                name: "ready"
                if self._boards.is_ready(name, self.set_up)
                else self._boards.lost.get(name, "")
                for name in self.loaded.panel.boards
            },
            finished=self.finished,
        )

    @property
    def prompt(self) -> Prompt:
        """The question."""
        if self.corrections.pending is not None:
            return self.corrections.prompt
        if self._exam is not None:
            return self._exam.prompt
        return end_prompt(self.part_list)
