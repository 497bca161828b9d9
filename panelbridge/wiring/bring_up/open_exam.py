"""The examination that is open: whether it can be worked on, what was typed, which pins moved."""

from __future__ import annotations

from panelbridge.config.panel_wires import Place
from panelbridge.link.wire import Captured
from panelbridge.wiring.bring_up.exams.exam import Exam
from panelbridge.wiring.bring_up.exams.note_exam import NoteExam


class OpenExam:
    """One examination after the other. Times are s of the injected clock.

    Attributes:
        exam: the present one; None when nothing is left to ask.
        is_ready: the boards that it needs are ready; never without an examination.
        active_s: when anything last came of it.
        moved: pins that have moved since the question was put.
        typed: digits of a number that is being typed.
    """

    def __init__(self) -> None:
        self.exam: Exam | None = None
        self.is_ready = False
        self.active_s = 0.0
        self.moved: set[Place] = set()
        self.typed = ""

    @property
    def is_note(self) -> bool:
        """Nothing is examined: it says what comes next."""
        return isinstance(self.exam, NoteExam)

    def open(self, now_s: float, exam: Exam) -> None:
        """Begin with another one."""
        self.exam = exam
        self.is_ready = False
        self.active_s = now_s
        self.moved.clear()
        self.typed = ""

    def close(self) -> None:
        """Nothing is left to ask."""
        self.exam = None
        self.is_ready = False
        self.typed = ""

    def set_ready(self, now_s: float, is_ready: bool) -> None:
        """The boards that it needs are ready, or not."""
        if is_ready and not self.is_ready and self.exam is not None:
            self.active_s = now_s
            self.exam.begin(now_s)
        self.is_ready = is_ready

    def changed(self, now_s: float, place: Place, closed: bool) -> None:
        """A contact pin has changed."""
        if self.exam is not None:
            self.active_s = now_s
            self.moved.add(place)
            self.exam.changed(now_s, place, closed)

    def captured(self, now_s: float, place: Place, changes: Captured) -> None:
        """The raw changes of a contact."""
        if self.exam is not None:
            self.active_s = now_s
            self.exam.captured(now_s, place, changes)

    def tick(self, now_s: float) -> None:
        """Time has passed."""
        if self.exam is not None:
            before = self.exam.prompt.ask
            self.exam.tick(now_s)
            if self.exam.prompt.ask != before:
                self.active_s = now_s
                self.moved.clear()

    def key(self, now_s: float, key: str) -> None:
        """An answer, or a key of a number that is typed: a digit, ``backspace``, ``enter``."""
        if self.exam is None:
            return
        numbered = self.exam.prompt.numbered
        if not key.isdigit() or not numbered:
            if key == "backspace":
                self.typed = self.typed[:-1]
            else:
                self.answer(now_s, self.typed if key == "enter" and self.typed else key)
        elif key == "0" and not self.typed:
            if any(choice.key == "0" for choice in self.exam.prompt.choices):
                self.answer(now_s, "0")
        else:
            self.typed += key
            if int(self.typed) > len(numbered):
                self.typed = ""
            elif int(self.typed) * 10 > len(numbered):  # no longer number begins so
                self.answer(now_s, self.typed)

    def answer(self, now_s: float, key: str) -> None:
        """The user answers: ``enter``, a letter, or the digits of a number."""
        self.typed = ""
        if self.exam is not None:
            self.exam.answer(now_s, key)
