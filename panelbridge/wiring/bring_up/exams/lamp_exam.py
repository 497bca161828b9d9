"""Lamps: all dark, then each alone; the user says what is lit."""

from __future__ import annotations

from panelbridge.config.panel_wires import WireKey
from panelbridge.signals import Outputs
from panelbridge.wiring.bring_up.exams.exam import Exam, ExamContext
from panelbridge.wiring.bring_up.outcomes import FileChange
from panelbridge.wiring.bring_up.prompts import Ask, Choice, Prompt

FULL = 255
_DEAD = (
    "Is the LED the right way round (long leg towards the resistor and the pin)?",
    "Is its resistor there, and its wire at both ends? Try the LED at another pin.",
)


class DarkExam(Exam):
    """Nothing is lit: a lamp that is lit all the same is wired to the supply, not to ground."""

    set_up = "outputs"

    def __init__(self, context: ExamContext, name: str) -> None:
        super().__init__(context, name)
        self._lit: list[str] = []

    @property
    def prompt(self) -> Prompt:
        """Which lamps are lit."""
        lit = ", ".join(self.context.lamp_labels[name] for name in self._lit)
        lines = ["Every lamp is commanded dark now."]
        if lit:
            lines.append(f"Noted as lit: {lit}. Enter when these are all.")
        return Prompt(
            Ask("dark", self.name, turn=len(self._lit)),
            "Are all lamps dark?",
            tuple(lines),
            choices=(
                Choice("enter", "these are all" if self._lit else "yes, all dark"),
                Choice("a", "all of them are lit"),
                Choice("number", "a lamp that is lit"),
            ),
            numbered=tuple(self.context.lamp_labels.values()),
        )

    def answer(self, now_s: float, key: str) -> None:
        """A number for a lamp that is lit, ``a`` for all, ``enter`` for no more."""
        names = [*self.context.lamp_labels]
        if key == "a":
            self._lit = names
        elif key.isdigit() and 1 <= int(key) <= len(names):
            name = names[int(key) - 1]
            if name not in self._lit:
                self._lit.append(name)
            return
        if key in ("a", "enter"):
            self._finish()

    def _finish(self) -> None:
        changes, findings = [], []
        for name in self._lit:
            low = not self.context.panel.lamps[name].active_low
            level = "low" if low else "high"
            why = f"it is lit while its pin is {level}"
            label = self.context.lamp_labels[name]
            findings.append(f"{label} is lit while it is commanded dark: {why}")
            changes.append(FileChange(("lamps", name, "active_low"), low, why))
        self.prove(*findings, changes=changes)


class LampExam(Exam):
    """Lights one lamp.

    Args:
        context: what it may look at.
        name: the lamp's name in the panel file.
    """

    set_up = "outputs"

    def __init__(self, context: ExamContext, name: str) -> None:
        super().__init__(context, name)
        self._key = WireKey("lamps", name)
        self._label = context.lamp_labels[name]
        self._colour = context.panel.lamps[name].colour

    @property
    def prompt(self) -> Prompt:
        """Which lamp is lit."""
        lamp = self.context.panel.lamps[self.name]
        number = [*self.context.lamp_labels].index(self.name) + 1
        return Prompt(
            Ask("lamp", self.name, number),
            f"Is {self._label} lit, and no other?",
            (f"It is number {number} in the list; {lamp.pin} of {lamp.board} is on.",),
            choices=(
                Choice("enter", "yes, this one alone"),
                Choice("0", "no lamp is lit"),
                Choice("number", "another lamp"),
                Choice("c", "it is lit in another colour"),
                Choice("m", "several are lit"),
            ),
            numbered=tuple(self.context.lamp_labels.values()),
        )

    @property
    def outputs(self) -> Outputs:
        """This lamp alone."""
        return Outputs(lamps={self.name: FULL})

    def answer(self, now_s: float, key: str) -> None:
        """What is lit."""
        place = self.context.wires[self._key]
        names = [*self.context.lamp_labels]
        if key == "enter" or (key.isdigit() and key == str(names.index(self.name) + 1)):
            self.prove(wires=[self._key])
        elif key == "0":
            self.find_fault(f"{place} lights no lamp", *_DEAD)
        elif key == "c":
            text = f"it is not {self._colour}: put an LED of that colour in its place"
            self.find_fault(text, wires={self._key: place})
        elif key == "m":
            text = f"{place} lights several lamps: do their wires touch, or is a ground missing?"
            self.find_fault(text)
        elif key.isdigit() and 1 <= int(key) <= len(names):
            other = names[int(key) - 1]
            text = f"{place} lights {self.context.lamp_labels[other]}"
            self.find_fault(text, wires={WireKey("lamps", other): place})
