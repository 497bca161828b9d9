"""Notes on safety: before the switches are examined, and before anything is driven."""

from __future__ import annotations

from collections.abc import Mapping

from panelbridge.wiring.bring_up.exams.exam import Exam
from panelbridge.wiring.bring_up.prompts import Ask, Choice, Prompt

_NOTES: Mapping[str, tuple[str, tuple[str, ...], str]] = {
    "inputs": (
        "First the switches and levers",
        (
            "The screen asks you to move one after the other, and sees which pin moves.",
            "Nothing is driven meanwhile, and nothing is commanded to a simulator.",
            "Touch only what is asked for.",
        ),
        "UNPLUG the board before you change a wire. Leave the supplies of bulbs, servos, horn and"
        " solenoids OFF until they are asked for. Never mains voltage in this panel. Local rules"
        " come first. For simulation only.",
    ),
    "outputs": (
        "Now what the boards drive",
        (
            "Lamps are lit one at a time, then horn, gauges and solenoids.",
            "Each needs its resistor or driver: the pins are driven from here on.",
        ),
        "Switch the supplies of bulbs, servos and solenoids on now; keep fingers away from what"
        " moves or gets hot. If something smells or gets hot, unplug everything at once.",
    ),
}


class NoteExam(Exam):
    """Shows a note until the user presses Enter.

    Args:
        context: as of every examination.
        name: ``inputs`` or ``outputs``: what comes next.
    """

    @property
    def prompt(self) -> Prompt:
        """The note."""
        title, lines, caution = _NOTES[self.name]
        return Prompt(
            Ask("note", self.name), title, lines, caution, choices=(Choice("enter", "go on"),)
        )

    def answer(self, now_s: float, key: str) -> None:
        """Enter ends it."""
        if key == "enter":
            self.prove()
