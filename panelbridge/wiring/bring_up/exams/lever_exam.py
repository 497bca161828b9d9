"""A lever, pedal or knob: swept from end to end twice, for range, noise and direction."""

from __future__ import annotations

from panelbridge.config.panel_parts.switch_entries import LeverSwitch
from panelbridge.config.panel_wires import Place
from panelbridge.logic.kit.handles import Lever
from panelbridge.wiring.bring_up.exams.exam import Exam, ExamContext
from panelbridge.wiring.bring_up.exams.lever_figures import (
    BAD_NOISE,
    BAD_STEP_BACK,
    Readings,
    advise_lever,
    mover,
)
from panelbridge.wiring.bring_up.exams.switch_words import label_of
from panelbridge.wiring.bring_up.outcomes import FileChange, PartOutcome
from panelbridge.wiring.bring_up.prompts import Ask, Choice, PartState, Prompt

SETTLE_S = 0.2
"""After Enter so much passes before readings are taken: the last report may be an old one."""
HOLD_S = 0.6
"""For this time readings are taken at each end, s."""
VISITS = 4
"""The low end, the high end, and both again."""
_CHECKS = (
    "Does a meter show the voltage of the wiper change while it is moved?",
    "The two ends of the track go to the supply and to ground, the wiper to the pin.",
    "N notes that nothing moves and goes on.",
)


class LeverExam(Exam):
    """Asks for the ends in turn.

    Args:
        context: what it may look at.
        name: the lever's name in the panel file.
    """

    set_up = "inputs"

    def __init__(self, context: ExamContext, name: str) -> None:
        super().__init__(context, name)
        entry = context.panel.wired_switches[name]
        assert isinstance(entry, LeverSwitch)
        self._entry: LeverSwitch = entry
        self._key = next(key for key in context.wires if key.name == name and key.is_switch)
        self._label = label_of(name, context.declared)
        self._readings: dict[Place, Readings] = {}
        self._contacts_moved: set[Place] = set()
        self._visit = 0
        self._holds_until_s: float | None = None

    @property
    def prompt(self) -> Prompt:
        """The end that is asked for."""
        at_high = self._visit % 2
        end = self._end_words()[at_high]
        again = " again" if self._visit >= 2 else ""
        lines: tuple[str, ...] = ("Press Enter when it is there, and hold it still.",)
        if self._visit:
            lines = ("Slowly, in one movement. Then press Enter and hold it still.",)
        if self._holds_until_s is not None:
            lines = ("Hold it still: the board reads it.",)
        filed = self.context.wires[self._key]
        lines = (*lines, f"{filed} reads {self.context.pins.counts.get(filed)} counts.")
        return Prompt(
            Ask("lever", self.name, float(at_high), self._visit),
            f"Move the {self._label} to its {end} end{again}",
            lines,
            checks=_CHECKS,
            choices=(Choice("enter", "it is there"), Choice("n", "nothing moves: note it")),
        )

    def _end_words(self) -> tuple[str, str]:
        declared = self.context.declared.get(self.name)
        if not isinstance(declared, Lever):
            return "lowest (0)", "highest (1)"
        if declared.rest == 0.5:
            return "left (0)", "right (1)"
        if declared.rest == 0.0:
            return "free (0: released)", "far (1: fully pulled or pressed)"
        return "lowest (0)", "highest (1)"

    def begin(self, now_s: float) -> None:
        """Note the readings of all analogue pins from now on."""
        self._readings = {place: Readings() for place in self.context.pins.counts}

    def changed(self, now_s: float, place: Place, closed: bool) -> None:
        """A contact pin that moves with the lever may be where its wiper is."""
        self._contacts_moved.add(place)

    def answer(self, now_s: float, key: str) -> None:
        """``enter``: it is there; ``n``: nothing moves."""
        if key == "n":
            filed = self.context.wires[self._key]
            text = f"nothing moves: {filed} reads {self.context.pins.counts.get(filed)} counts"
            self.find_fault(text, *_CHECKS[:2])
        elif key == "enter" and self._holds_until_s is None:
            self._holds_until_s = now_s + SETTLE_S + HOLD_S
            for found in self._readings.values():
                found.ends.append([])

    def tick(self, now_s: float) -> None:
        """Take the readings."""
        for place, found in self._readings.items():
            counts = self.context.pins.counts.get(place)
            if counts is None:
                continue
            if self._holds_until_s is not None:
                if now_s >= self._holds_until_s - HOLD_S:
                    found.ends[-1].append(counts)
            elif found.sweeps:
                found.sweeps[-1].append(counts)
        if self._holds_until_s is None or now_s < self._holds_until_s:
            return
        self._holds_until_s = None
        self._visit += 1
        if self._visit == VISITS:
            self._finish()
            return
        for found in self._readings.values():
            found.sweeps.append([])

    def _finish(self) -> None:
        read = {place: one for place, one in self._readings.items() if all(one.ends)}
        filed = self.context.wires[self._key]
        full = self.context.full_counts
        place = mover(read, full)
        own = read.get(filed)
        if own is not None and abs(own.span) / full[filed.board] >= 0.05:
            place = filed  # another may have been moved with it
        if place is None:
            self._finish_unmoved(filed)
            return
        found = read[place]
        advice = advise_lever(self._entry, found)
        entry = self._key.entry
        findings, changes = [], []
        state = PartState.PROVEN
        if place != filed:
            findings.append(
                f"its wiper is at {self.context.words_of(place)}, the file says {filed.pin}"
            )
        if advice.is_reversed:
            findings.append("it runs the other way: its ends are exchanged")
        if advice.counts is not None:
            why = f"read at its ends: {advice.counts[0]} and {advice.counts[1]} counts"
            if not advice.is_reversed:
                findings.append(f"its ends are not those of the file; {why}")
            for key, counts in zip(("counts_at_0", "counts_at_1"), advice.counts, strict=True):
                changes.append(FileChange((*entry, key), counts, why))
        if advice.gate is not None:
            why = f"its readings jump by {found.noise} counts while it stands still"
            findings.append(f"it is noisy: {why}")
            changes.append(FileChange((*entry, "noise_gate_counts"), advice.gate, why))
        if found.noise > BAD_NOISE * full[place.board]:
            state = PartState.FAULT
            findings.append("so much noise is a bad track or a loose wire: exchange or mend it")
        elif found.step_back > max(BAD_STEP_BACK * abs(found.span), 3 * found.noise):
            state = PartState.FAULT
            findings.append(
                f"its readings ran back by {found.step_back} counts in one movement: a bad track"
            )
        measured = (
            f"from {found.low:.0f} to {found.high:.0f} counts, noise {found.noise} counts, "
            f"returns to its ends within {found.returns_within:.0f} counts",
        )
        self.outcome = PartOutcome(
            state, tuple(findings), measured, tuple(changes), {self._key: place}
        )

    def _finish_unmoved(self, filed: Place) -> None:
        boards = self.context.panel.boards
        analogue = [
            place
            for place in self._contacts_moved
            if (pin := boards[place.board].hardware.pins.get(place.pin)) and pin.analogue
        ]
        if len(analogue) == 1:
            text = f"its wiper seems to be at {self.context.words_of(analogue[0])}"
            self.outcome = PartOutcome(PartState.PROVEN, (text,), wires={self._key: analogue[0]})
            return
        counts = self.context.pins.counts.get(filed)
        text = f"it does not move: {filed} reads {counts} counts at both ends"
        self.find_fault(text, *_CHECKS[:2])
