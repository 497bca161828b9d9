"""The bring-up as state: which part is examined, what was found, what shall be written.

It is fed by the boards' sessions and by the user's answers, with the time of the injected clock,
and does nothing by itself: it says which set-up the boards need, what they shall drive, which
contact shall be captured, and which lines shall be written. The owner of ports and files does that.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from panelbridge.config.load import LoadedPanel
from panelbridge.config.panel_wires import Place, WireKey, wires_of
from panelbridge.link.wire import Captured
from panelbridge.logic.inventory import switches_of
from panelbridge.signals import Outputs
from panelbridge.wiring.bring_up.board_evidence import BoardEvidence
from panelbridge.wiring.bring_up.exams.exam import ALL_DARK, Exam, ExamContext
from panelbridge.wiring.bring_up.exams.note_exam import NoteExam
from panelbridge.wiring.bring_up.outcomes import FileChange, PartOutcome
from panelbridge.wiring.bring_up.parts import EXAMS, PanelPart, PartRecord, lamp_labels, parts_of
from panelbridge.wiring.bring_up.pending import PendingChange, rewire_changes
from panelbridge.wiring.bring_up.pin_states import PinStates
from panelbridge.wiring.bring_up.prompts import (
    Ask,
    BringUpView,
    Choice,
    LivePlace,
    PartLine,
    PartState,
    Prompt,
)
from panelbridge.wiring.bring_up.wire_proof import rewiring

SLOW_S = 8.0
"""When nothing has come for this time the screen says what to check, s."""
_DONE = (PartState.PROVEN, PartState.CORRECTED)


class BringUpFlow:
    """One bring-up of one panel.

    Args:
        loaded: the panel.
        ports_in_file: the ports that are used stand in the panel file.
        only: names of parts; empty: all.
        records: what an earlier part of this bring-up found, by part.
        proven: where wires proved to end then.

    Attributes:
        records: what is known of each part, by its key.
        proven: where wires proved to end.
        set_up: which set-up the boards shall have: ``inputs`` or ``outputs``.
        wanted: lines that shall be written now; None = none.
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
        self.records: dict[str, PartRecord] = dict(records or {})
        self.proven: dict[WireKey, Place] = dict(proven or {})
        self.set_up = "inputs"
        self.wanted: PendingChange | None = None
        self.remark = ""
        self._only = set(only)
        self._ports_in_file = ports_in_file
        self._declined: set[str] = set()
        self._hard: set[str] = set()
        self._evidence = BoardEvidence()
        self._pending: PendingChange | None = None
        self._diff: tuple[str, ...] = ()
        self._offers = 0
        self._typed = ""
        self._ready = False
        self._live: dict[str, str] = {}
        self._lost: dict[str, str] = {}
        self._without: set[str] = set()
        self._active_s = 0.0
        self._moved: set[Place] = set()
        self._notes_read: set[str] = set()
        self._exam: Exam | None = None
        self._at = 0
        self._use(loaded)
        self._go_to_open(0.0)

    def _use(self, loaded: LoadedPanel) -> None:
        self.loaded = loaded
        self._all_parts = parts_of(loaded)
        chosen = [part for part in self._all_parts if not self._only or part.name in self._only]
        self.parts: list[PanelPart] = chosen
        for part in self.parts:
            self.records.setdefault(part.key, PartRecord())
        self._context = ExamContext(
            panel=loaded.panel,
            wires=wires_of(loaded.panel),
            pins=self.pins,
            declared=switches_of(loaded.aircraft),
            full_counts={name: one.hardware.counts for name, one in loaded.panel.boards.items()},
            lamp_labels=lamp_labels(loaded),
        )

    # What the boards shall do

    @property
    def outputs(self) -> Outputs:
        """What lamps, horn, gauges and solenoids shall do."""
        if self._exam is None or not self._ready or self._pending is not None:
            return ALL_DARK
        return self._exam.outputs

    @property
    def capture(self) -> Place | None:
        """The contact whose raw changes shall be captured."""
        if self._exam is None or not self._ready or self._pending is not None:
            return None
        return self._exam.capture

    @property
    def finished(self) -> bool:
        """Nothing is left to ask."""
        return self._exam is None and self._pending is None

    @property
    def part(self) -> PanelPart | None:
        """The part that is examined."""
        return self.parts[self._at] if self._exam is not None else None

    @property
    def is_ready(self) -> bool:
        """The question can be worked on: the boards that it needs are ready."""
        return self._ready or self._pending is not None or self._exam is None

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
        self._live[board] = set_up
        self._lost.pop(board, None)
        self._check_ready(now_s)

    def board_waits(self, board: str, reason: str) -> None:
        """Why a board is not live now."""
        if board not in self._live:
            self._lost[board] = reason

    def board_lost(self, now_s: float, board: str, reason: str) -> None:
        """A board is not live (any more); ``reason`` is one sentence, and may be empty."""
        self.pins.forget(board)
        self._lost[board] = reason
        if self._live.pop(board, None) is not None and self._ready and not self._is_note:
            self._reopen(now_s)  # half an examination proves nothing
        self._check_ready(now_s)

    def contact_changed(self, now_s: float, place: Place, closed: bool) -> None:
        """A contact pin has changed."""
        counts = self.pins.change(now_s, place, closed)
        if counts and self._ready and self._exam is not None and self._pending is None:
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
        if self._ready and self._exam is not None and self._pending is None:
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
        if self.wanted is not None:
            return  # it is being written
        if self._pending is not None:
            self._answer_pending(now_s, key)
        elif self._exam is None:
            if key == "b":
                self._go_back(now_s)
        elif key == "b":
            self._go_back(now_s)
        elif key == "r" and not self._is_note:
            self._reopen(now_s)
        elif key == "s" and not self._is_note:
            self._skip(now_s)
        elif not self._ready:
            if key == "o":
                self._without |= set(self._missing())
                self._check_ready(now_s)
        elif key.isdigit() and self._exam.prompt.numbered:
            self._type(now_s, key)
        elif key == "backspace":
            self._typed = self._typed[:-1]
        else:
            self._answer(now_s, self._typed if key == "enter" and self._typed else key)

    def choose_number(self, now_s: float, number: int) -> None:
        """The user picks a numbered thing with the mouse."""
        if self._exam is not None and self._ready and self._pending is None:
            self._answer(now_s, str(number))

    def choose_part(self, now_s: float, key: str) -> None:
        """The user picks a part, to prove it now."""
        for at, part in enumerate(self.parts):
            if part.key == key and self._pending is None and self.wanted is None:
                self._open(now_s, at)

    def _type(self, now_s: float, digit: str) -> None:
        assert self._exam is not None
        prompt = self._exam.prompt
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

    def _answer_pending(self, now_s: float, key: str) -> None:
        pending = self._pending
        assert pending is not None
        if key == "enter":
            self.wanted = pending
        elif key == "n":
            self._declined |= {change.line for change in pending.changes}
            if pending.exchanged_boards:
                self._declined.add("boards " + " ".join(pending.exchanged_boards))
            self._pending = None
            self._go_to_open(now_s)

    # What became of a correction

    def offer_is_shown(self, diff: Sequence[str]) -> None:
        """The change of the file as text, for the question."""
        self._diff = tuple(diff)

    @property
    def pending(self) -> PendingChange | None:
        """The correction that is offered."""
        return self._pending

    def written(self, now_s: float, loaded: LoadedPanel) -> None:
        """What was wanted has been written, or the ports were exchanged; this is the panel now."""
        wanted = self.wanted
        assert wanted is not None
        self.wanted = self._pending = None
        touched = {change.path[:-1]: [change.line] for change in wanted.changes}
        for change in wanted.changes:
            lines = touched[change.path[:-1]]
            if change.line not in lines:
                lines.append(change.line)
        names = self._evidence.take() if wanted.exchanged_boards else []
        self._use(loaded)
        for part in self._all_parts:
            record = self.records.get(part.key)
            path = ("horn",) if part.group == "horn" else (part.group, part.name)
            lines = touched.get(path, [])
            if part.kind == "dark":
                lines = [c.line for c in wanted.changes if c.path[-1] == "active_low"]
            if part.name in names and part.kind in ("switch", "lever", "lamp"):
                lines = [*lines, "ports of " + " and ".join(wanted.exchanged_boards)]
            if record is None or not lines:
                continue
            record.corrected += [line for line in lines if line not in record.corrected]
            if record.state is PartState.FAULT and not self._is_hard(part):
                record.state = PartState.CORRECTED
        self.remark = "Written: " + "; ".join(change.line for change in wanted.changes)
        if wanted.exchanged_boards:
            one, other = wanted.exchanged_boards
            self.remark = f"The ports of {one} and {other} are exchanged."
        self._go_to_open(now_s)

    def refused(self, now_s: float, reason: str) -> None:
        """What was wanted could not be written."""
        wanted = self.wanted
        assert wanted is not None
        self.wanted = self._pending = None
        self._declined |= {change.line for change in wanted.changes}
        self.remark = f"Not written: {reason}"
        self._go_to_open(now_s)

    # From part to part

    @property
    def _is_note(self) -> bool:
        return isinstance(self._exam, NoteExam)

    def _is_hard(self, part: PanelPart) -> bool:
        """Whether its last examination found what no file can mend."""
        return part.key in self._hard

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
        record = self.records[part.key]
        record.findings = [*outcome.findings]
        record.measured = [*outcome.measured]
        changes = [one for one in outcome.changes if one.line not in self._declined]
        wires = self._evidence.sort(part, outcome.wires, self._context)
        self.proven |= wires
        own = {key: place for key, place in self.proven.items() if key.name == part.name}
        moved = any(self._context.wires.get(key) != place for key, place in own.items())
        self._hard.discard(part.key)
        if outcome.state is PartState.FAULT and not (part.kind == "lamp" and outcome.wires):
            self._hard.add(part.key)
        wrong = bool(outcome.findings) or outcome.state is PartState.FAULT or moved
        if wrong:
            record.state = PartState.FAULT
        else:
            record.state = PartState.CORRECTED if record.corrected else PartState.PROVEN
        first = outcome.findings[0] if outcome.findings else ""
        self.remark = f"{part.label}: {first or 'right'}"
        self._add_owners(wires)
        moves = rewiring(self._context.wires, self.proven)
        rewires = [
            one
            for one in rewire_changes(moves, self._context.wires)
            if one.line not in self._declined
        ]
        self._offer(now_s, (*changes, *rewires))

    def _offer(self, now_s: float, changes: tuple[FileChange, ...]) -> None:
        boards = self._evidence.proven_exchange(self._open_parts())
        if boards and "boards " + " ".join(boards) not in self._declined:
            ports = {name: self.loaded.panel.boards[name].port for name in boards}
            in_file = self._ports_in_file and all(ports.values())
            why = "the two boards are exchanged"
            changes = (
                FileChange(("boards", boards[0], "port"), ports[boards[1]] or "", why),
                FileChange(("boards", boards[1], "port"), ports[boards[0]] or "", why),
            )
            changes = changes if in_file else ()
            self._pending = PendingChange(changes, boards, in_file)
        elif changes:
            self._pending = PendingChange(changes)
        if self._pending is not None:
            self._offers += 1
            self._diff = ()
            return
        self._go_to_open(now_s)

    def _open_parts(self) -> list[PanelPart]:
        return [part for part in self.parts if self.records[part.key].state is PartState.OPEN]

    def _add_owners(self, wires: Mapping[WireKey, Place]) -> None:
        """Parts that were not asked for, at whose pins a wire was found, are proven too."""
        for place in wires.values():
            owner = self._context.user_of(place)
            for part in self._all_parts:
                if part.name == owner and part not in self.parts:
                    self._only.add(part.name)
                    self.parts.insert(self._at + 1, part)
                    self.records.setdefault(part.key, PartRecord())

    def _skip(self, now_s: float) -> None:
        self.records[self.parts[self._at].key] = PartRecord(PartState.SKIPPED)
        self.remark = f"{self.parts[self._at].label}: left out"
        self._go_to_open(now_s)

    def _go_back(self, now_s: float) -> None:
        if not self.parts:
            return
        at = len(self.parts) - 1 if self._exam is None else max(self._at - 1, 0)
        self._open(now_s, at)

    def _go_to_open(self, now_s: float) -> None:
        """The next part that is open, after the present one if there is any."""
        order = [*range(self._at, len(self.parts)), *range(self._at)]
        for at in order:
            if at < len(self.parts) and self.records[self.parts[at].key].state is PartState.OPEN:
                self._open(now_s, at)
                return
        self._exam = None
        self._ready = False
        self._typed = ""

    def _reopen(self, now_s: float) -> None:
        self._open(now_s, self._at)

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
        return [
            name
            for name in self.loaded.panel.boards
            if self._live.get(name) != self.set_up and name not in self._without
        ]

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
        if self._exam is not None and not self._ready and self._pending is None:
            name = next(iter(self._missing()), "")
            reason = self._lost.get(name, "") or "it is being set up"
            waits = f"board {name}: {reason}"
        part = self.part
        return BringUpView(
            panel=self.loaded.panel.name,
            prompt=self.prompt,
            remark=self.remark,
            waits_for=waits,
            typed=self._typed,
            slow=now_s > self._active_s + SLOW_S,
            parts=tuple(
                PartLine(
                    one.name,
                    one.label,
                    one.kind,
                    self.records[one.key].state,
                    part is not None and one.key == part.key,
                )
                for one in self.parts
            ),
            places=tuple(self._live_places()),
            boards={
                name: "ready" if self._live.get(name) == self.set_up else self._lost.get(name, "")
                for name in self.loaded.panel.boards
            },
            finished=self.finished,
        )

    @property
    def prompt(self) -> Prompt:
        """The question."""
        if self._pending is not None:
            return self._pending.prompt(self._offers, self._diff)
        if self._exam is not None:
            return self._exam.prompt
        states = [self.records[part.key].state for part in self.parts]
        good = sum(state in _DONE for state in states)
        rest = len(states) - good
        lines = [f"{good} of {len(states)} parts do what the panel file says."]
        if rest:
            lines.append(f"Left open: {rest}. The report lists them; B goes back to the last.")
        return Prompt(
            Ask("finished"),
            "The bring-up is complete" if not rest else "The bring-up is at its end",
            tuple(lines),
            choices=(Choice("enter", "write the report and end"),),
        )

    def _live_places(self) -> list[LivePlace]:
        users = {place: key.name for key, place in self._context.wires.items()}
        places = [
            LivePlace(place, users.get(place, ""), closed=closed, moved=place in self._moved)
            for place, closed in self.pins.closed.items()
        ]
        places += [
            LivePlace(place, users.get(place, ""), counts=counts)
            for place, counts in self.pins.counts.items()
        ]
        return places
