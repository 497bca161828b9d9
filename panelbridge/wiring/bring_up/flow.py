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
from panelbridge.wiring.bring_up.board_states import BoardStates
from panelbridge.wiring.bring_up.corrections import Corrections
from panelbridge.wiring.bring_up.exams.exam import ALL_DARK, Exam, ExamContext
from panelbridge.wiring.bring_up.exams.note_exam import NoteExam
from panelbridge.wiring.bring_up.flow_view import end_prompt, live_places, part_lines
from panelbridge.wiring.bring_up.outcomes import PartOutcome
from panelbridge.wiring.bring_up.part_list import PartList, is_moved
from panelbridge.wiring.bring_up.parts import EXAMS, PanelPart, PartRecord, lamp_labels
from panelbridge.wiring.bring_up.pin_states import PinStates
from panelbridge.wiring.bring_up.prompts import (
    BringUpView,
    Prompt,
)

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
        self.set_up = "inputs"
        self.remark = ""
        self.notes: list[str] = []
        self._typed = ""
        self._ready = False
        self._boards = BoardStates()
        self._active_s = 0.0
        self._moved: set[Place] = set()
        self._notes_read: set[str] = set()
        self._exam: Exam | None = None
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

    @property
    def records(self) -> Mapping[str, PartRecord]:
        """What is known of each part, by its key."""
        return self.part_list.records

    # What the boards shall do

    @property
    def outputs(self) -> Outputs:
        """What lamps, horn, gauges and solenoids shall do."""
        if self._exam is None or not self._ready or not self.corrections.is_idle:
            return ALL_DARK
        return self._exam.outputs

    @property
    def capture(self) -> Place | None:
        """The contact whose raw changes shall be captured."""
        if self._exam is None or not self._ready or not self.corrections.is_idle:
            return None
        return self._exam.capture

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
        return self._ready or not self.corrections.is_idle or self._exam is None

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
        if self._boards.lose(board, reason) and self._ready and not self._is_note:
            self._open(now_s, self._at)  # half an examination proves nothing
        self._check_ready(now_s)

    def contact_changed(self, now_s: float, place: Place, closed: bool) -> None:
        """A contact pin has changed."""
        counts = self.pins.change(now_s, place, closed)
        if counts and self._ready and self._exam is not None and self.corrections.is_idle:
            self._active_s = now_s
            self._moved.add(place)
            self._exam.changed(now_s, place, closed)

    def counts_read(self, now_s: float, counts: Mapping[Place, int]) -> None:
        """Analogue pins have changed."""
        self.pins.counts.update(counts)

    def captured(self, now_s: float, place: Place, changes: Captured) -> None:
        """The raw changes of a contact."""
        if self._ready and self._exam is not None:
            self._active_s = now_s
            self._exam.captured(now_s, place, changes)
            self._after_exam(now_s)

    def tick(self, now_s: float) -> None:
        """Time has passed."""
        self._check_ready(now_s)
        if not self._ready and self.corrections.is_idle:
            self.corrections.offer_exchanged_kinds(self._boards.lost, self.loaded.panel)
        if self._ready and self._exam is not None and self.corrections.is_idle:
            before = self._exam.prompt.ask
            self._exam.tick(now_s)
            if self._exam.prompt.ask != before:
                self._active_s = now_s
                self._moved.clear()
            self._after_exam(now_s)

    # What the user answers

    def key(self, now_s: float, key: str) -> None:
        """A key: ``enter``, ``backspace``, a letter or a digit."""
        self._active_s = now_s
        if self.corrections.wanted is not None:
            return  # it is being written
        if self.corrections.pending is not None:
            if self.corrections.answer(key):
                self._go_to_open(now_s)
        elif key == "b":
            self._go_back(now_s)
        elif self._exam is not None:
            self._exam_key(now_s, key, self._exam)

    def _exam_key(self, now_s: float, key: str, exam: Exam) -> None:
        if key == "r" and not self._is_note:
            self._open(now_s, self._at)
        elif key == "s" and not self._is_note:
            self._skip(now_s)
        elif not self._ready:
            if key == "o":
                self._boards.do_without(self._missing())
                self._check_ready(now_s)
        elif key.isdigit() and exam.prompt.numbered:
            self._type(now_s, key, exam)
        elif key == "backspace":
            self._typed = self._typed[:-1]
        else:
            self._answer(now_s, self._typed if key == "enter" and self._typed else key)

    def choose_number(self, now_s: float, number: int) -> None:
        """The user picks a numbered thing with the mouse."""
        if self._exam is not None and self._ready and self.corrections.is_idle:
            self._answer(now_s, str(number))

    def choose_part(self, now_s: float, key: str) -> None:
        """The user picks a part, to prove it now."""
        for at, part in enumerate(self.parts):
            if part.key == key and self.corrections.is_idle:
                self._open(now_s, at)

    def _type(self, now_s: float, digit: str, exam: Exam) -> None:
        prompt = exam.prompt
        has_zero = any(choice.key == "0" for choice in prompt.choices)
        if digit == "0" and not self._typed:
            if has_zero:
                self._answer(now_s, "0")
            return
        self._typed += digit
        if int(self._typed) > len(prompt.numbered):
            self._typed = ""
        elif int(self._typed) * 10 > len(prompt.numbered):  # no longer number begins so
            self._answer(now_s, self._typed)

    def _answer(self, now_s: float, key: str) -> None:
        assert self._exam is not None
        self._typed = ""
        self._exam.answer(now_s, key)
        self._after_exam(now_s)

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

    @property
    def _is_note(self) -> bool:
        return isinstance(self._exam, NoteExam)

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
        if at is not None:
            self._open(now_s, at)
            return
        self._exam = None
        self._ready = False
        self._typed = ""

    def _open(self, now_s: float, at: int) -> None:
        self._at = at
        part = self.parts[at]
        self._exam = EXAMS[part.kind](self._context, part.name)
        needs = self._exam.set_up
        if needs not in self._notes_read:
            self._exam = NoteExam(self._context, needs)
        self._typed = ""
        self._moved.clear()
        self._ready = False
        self._active_s = now_s
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
        ready = needs == "any" or not self._missing()
        if ready and not self._ready:
            self._active_s = now_s
            self._exam.begin(now_s)
        self._ready = ready

    # The view

    def view(self, now_s: float) -> BringUpView:
        """What the screen shows."""
        waits = ""
        if self._exam is not None and not self._ready and self.corrections.is_idle:
            name = next(iter(self._missing()), "")
            waits = (
                f"{named_board(name)}: {self._boards.lost.get(name, '') or 'it is being set up'}"
            )
        return BringUpView(
            panel=self.loaded.panel.name,
            prompt=self.prompt,
            remark=self.remark,
            waits_for=waits,
            typed=self._typed,
            slow=now_s > self._active_s + SLOW_S,
            parts=part_lines(self.part_list, self.part),
            places=live_places(self.pins, self._context.wires, self._moved),
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
