"""A switch with contacts: which pin moves, which way, and how long it bounces."""

from __future__ import annotations

from panelbridge.config.panel_parts.switch_entries import LeverSwitch
from panelbridge.config.panel_wires import Place
from panelbridge.link.wire import Captured
from panelbridge.wiring.bring_up.exams.bounce import (
    LONGEST_MS,
    advise,
    bounce_text,
    burst_ms,
    needed_ms,
)
from panelbridge.wiring.bring_up.exams.contact_verdict import ContactVerdict, judge_contacts
from panelbridge.wiring.bring_up.exams.exam import Exam, ExamContext
from panelbridge.wiring.bring_up.exams.strokes import TwoPositions
from panelbridge.wiring.bring_up.exams.switch_words import (
    ContactEntry,
    checks_of,
    label_of,
    positions_of,
    springs_back,
)
from panelbridge.wiring.bring_up.outcomes import FileChange, PartOutcome
from panelbridge.wiring.bring_up.prompts import Ask, Choice, PartState, Prompt

STROKES = 4
"""Strokes to measure at each contact."""


class SwitchExam(Exam):
    """Asks for both positions of a switch, then measures its bounce.

    Args:
        context: what it may look at.
        name: the switch's name in the panel file.
    """

    set_up = "inputs"

    def __init__(self, context: ExamContext, name: str) -> None:
        super().__init__(context, name)
        entry = context.panel.wired_switches[name]
        assert not isinstance(entry, LeverSwitch)
        self._entry: ContactEntry = entry
        self._keys = [key for key in context.wires if key.name == name and key.is_switch]
        self._label = label_of(name, context.declared)
        self._positions = positions_of(name, self._entry, context.declared)
        self._springs_back = springs_back(name, context.declared)
        self._turn = 0
        self._remark = ""
        self._restart()

    def _restart(self) -> None:
        self._strokes = TwoPositions(springs_back=self._springs_back)
        self._verdict: ContactVerdict | None = None
        self._bursts: dict[Place, list[float]] = {}
        self._turn += 1

    @property
    def prompt(self) -> Prompt:
        """The position that is asked for, or the strokes that are to be made."""
        if self._verdict is not None:
            return self._strokes_prompt()
        at = min(self._strokes.stage, 1)
        words = self._positions[at]
        return Prompt(
            Ask("switch", self.name, words.position, self._turn * 10 + at),
            words.order,
            tuple(line for line in (words.more, self._remark, *self._now_lines()) if line),
            checks=checks_of(self.context.pins.closed.get(self._filed[0])),
            choices=(Choice("n", "nothing happens: note it and go on"),),
        )

    @property
    def _filed(self) -> list[Place]:
        return [self.context.wires[key] for key in self._keys]

    def _now_lines(self) -> list[str]:
        """What the pins of the file read now."""
        words = {True: "closed", False: "open", None: "unknown"}
        states = [words[self.context.pins.closed.get(place)] for place in self._filed]
        return [f"{place}: {state}" for place, state in zip(self._filed, states, strict=True)]

    def _strokes_prompt(self) -> Prompt:
        done = sum(len(bursts) for bursts in self._bursts.values())
        total = STROKES * len(self._bursts)
        how = "Press it again, a few times" if self._springs_back else "Move it to and fro"
        return Prompt(
            Ask("strokes", self.name, "", self._turn * 1000 + 100 + done),
            f"{how}: {self._label}",
            (
                f"The board measures how long the contact bounces: {done} of {total} strokes.",
                "At an ordinary pace; rest for half a second at each end.",
                self._remark,
            ),
            checks=("Rest longer at each end; N goes on without the measurement.",),
            choices=(Choice("n", "go on without it"),),
        )

    @property
    def capture(self) -> Place | None:
        """The contact that is measured."""
        if self._verdict is None or self.outcome is not None:
            return None
        return next((p for p, found in self._bursts.items() if len(found) < STROKES), None)

    def changed(self, now_s: float, place: Place, closed: bool) -> None:
        """Note which pin moves."""
        self._strokes.changed(now_s, place, closed)

    def tick(self, now_s: float) -> None:
        """Judge what has moved once both positions have been seen."""
        if not self._strokes.tick(now_s) or self._strokes.stage < 2:
            return
        moved = self._strokes.moved()
        if not moved:
            self._remark = "The pin was back before it could be read. Once more, please."
            self._restart()
            return
        self._remark = ""
        self._verdict = judge_contacts(self.context, self._keys, self._entry, moved)
        self._bursts = {place: [] for place in self._verdict.wires.values()}
        if not self._bursts:
            self._finish()

    def captured(self, now_s: float, place: Place, changes: Captured) -> None:
        """A stroke was measured."""
        if place != self.capture:
            return
        length_ms = burst_ms(changes)
        if length_ms is None:
            self._remark = "That was too short to be measured: rest longer at each end."
            return
        self._remark = ""
        self._bursts[place].append(length_ms)
        if all(len(bursts) >= STROKES for bursts in self._bursts.values()):
            self._finish()

    def answer(self, now_s: float, key: str) -> None:
        """``n``: nothing happens, or go on without measuring."""
        if key != "n":
            return
        if self._verdict is not None:
            self._finish()
            return
        state = self.context.pins.closed.get(self._filed[0])
        reads = "closed" if state else "open"
        found = f"no pin moved with the {self._label}; {self._filed[0]} reads {reads} all the time"
        self.find_fault(found, *checks_of(state))

    def _finish(self) -> None:
        assert self._verdict is not None
        verdict = self._verdict
        changes = [*verdict.changes]
        findings = [*verdict.findings]
        measured = []
        state = verdict.state
        bursts = [one for found in self._bursts.values() for one in found]
        if bursts:
            filed_ms, mode = self._entry.debounce_ms, self._entry.debounce_mode
            measured.append(bounce_text(bursts, filed_ms))
            if needed_ms(bursts) > LONGEST_MS:
                state = PartState.FAULT
                findings.append("it bounces for too long for any debounce time: exchange it")
            better = advise(filed_ms, mode, bursts)
            if better is not None:
                entry = self._keys[0].entry
                why = better.because
                changes.append(FileChange((*entry, "debounce_ms"), better.debounce_ms, why))
                if better.mode != mode:
                    changes.append(FileChange((*entry, "debounce_mode"), better.mode, why))
                findings.append(f"the debounce time does not fit: {why}")
        self.outcome = PartOutcome(
            state, tuple(findings), tuple(measured), tuple(changes), verdict.wires
        )
