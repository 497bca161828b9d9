"""Horn, gauges and solenoids: each is made to do something, and the user says whether it did."""

from __future__ import annotations

from panelbridge.config.panel_parts.output_entries import NeedleEntry
from panelbridge.config.panel_wires import WireKey
from panelbridge.signals import HornPattern, Outputs
from panelbridge.wiring.bring_up.exams.exam import Exam, ExamContext
from panelbridge.wiring.bring_up.outcomes import FileChange
from panelbridge.wiring.bring_up.prompts import Ask, Choice, Prompt

LONGEST_PULL_S = 5.0
"""A solenoid is let go after this time by itself, s: coils that are held get hot."""

LONGEST_SOUND_S = 10.0
"""The horn is silent by itself after this time, s."""

_YES_NO = (Choice("enter", "yes"), Choice("n", "no"))


class HornExam(Exam):
    """Continuous, then intermittent."""

    set_up = "outputs"

    def __init__(self, context: ExamContext, name: str) -> None:
        super().__init__(context, name)
        self._stage = 0
        self._since_s: float | None = None

    @property
    def prompt(self) -> Prompt:
        """The caution first, then what should be heard."""
        ask = Ask("horn", self.name, turn=self._stage)
        if self._stage == 0:
            return Prompt(
                ask,
                "The horn is next",
                (f"Enter starts it. It sounds until you answer, {LONGEST_SOUND_S:g} s at most.",),
                caution="It can be LOUD: take off headphones, keep your ear away from it, turn"
                " an amplifier down, and warn others in the room.",
                choices=(Choice("enter", "sound it"),),
            )
        how = "steadily" if self._stage == 1 else "on and off, in a steady beat"
        lines = () if self._since_s is not None else ("It is silent again. R begins again.",)
        return Prompt(ask, f"Does the horn sound {how}?", lines, choices=_YES_NO)

    @property
    def outputs(self) -> Outputs:
        """The pattern that is asked about."""
        if self._since_s is None:
            return Outputs()
        patterns = (HornPattern.SILENT, HornPattern.CONTINUOUS, HornPattern.INTERMITTENT)
        return Outputs(horn=patterns[self._stage])

    def tick(self, now_s: float) -> None:
        """Silence it in time."""
        if self._since_s is not None and now_s > self._since_s + LONGEST_SOUND_S:
            self._since_s = None

    def answer(self, now_s: float, key: str) -> None:
        """``enter``: yes; ``n``: no."""
        if key == "n" and self._stage:
            horn = self.context.panel.horn
            assert horn is not None
            what = "continuous" if self._stage == 1 else "intermittent"
            self.find_fault(
                f"the {what} horn at {horn.pin} of {horn.board} was not heard as it should",
                "A horn that needs more than 20 mA needs a driver and a supply of its own.",
                "A buzzer with electronics of its own plays one pitch, whatever is sent.",
            )
        elif key == "enter":
            self._stage += 1
            self._since_s = now_s
            if self._stage == 3:
                self._stage = 0
                self.prove(wires=[WireKey("horn", "horn")])


class GaugeExam(Exam):
    """The needle to both ends of its scale, by the pulses of the file."""

    set_up = "outputs"
    _ENDS = ("bottom", "top")

    def __init__(self, context: ExamContext, name: str) -> None:
        super().__init__(context, name)
        self._gauge: NeedleEntry = getattr(context.panel.gauges, name)
        self._seen: list[str] = []

    @property
    def prompt(self) -> Prompt:
        """Where the needle stands."""
        at = len(self._seen)
        end = self._ENDS[min(at, 1)]
        words = self.name.replace("_", " ")
        return Prompt(
            Ask("gauge", self.name, float(at), at),
            f"Gauge {words}: is the needle at the {end} of its scale?",
            ("It is on its way there now.",),
            caution="Feed the servo from a supply of its own, with the grounds joined. A servo that"
            " hums at a stop gets hot: unplug it, and answer E."
            if at == 0
            else "",
            choices=(
                Choice("enter", f"yes, at the {end}"),
                Choice("o", "at the other end"),
                Choice("e", "elsewhere, or it hums at a stop"),
                Choice("n", "it does not move"),
            ),
        )

    @property
    def outputs(self) -> Outputs:
        """The end that is asked about."""
        at = min(len(self._seen), 1)
        return Outputs(gauges={self.name: self._gauge.full_scale * at})

    def answer(self, now_s: float, key: str) -> None:
        """Where it stands."""
        if key not in ("enter", "o", "e", "n"):
            return
        self._seen.append(key)
        if len(self._seen) < 2 and key != "n":
            return
        place = f"{self._gauge.pin} of {self._gauge.board}"
        key_of = WireKey("gauges", self.name)
        if self._seen == ["enter", "enter"]:
            self.prove(wires=[key_of])
        elif self._seen == ["o", "o"]:
            gauge, path = self._gauge, key_of.entry
            why = "the needle runs the other way"
            changes = (
                FileChange((*path, "pulse_at_0_us"), gauge.pulse_at_1_us, why),
                FileChange((*path, "pulse_at_1_us"), gauge.pulse_at_0_us, why),
            )
            self.prove(why, changes=changes)
        elif "n" in self._seen:
            text = f"the needle does not move: is its signal wire at {place}, has it its supply?"
            self.find_fault(text)
        else:
            self.find_fault(
                "the needle does not reach both ends: set pulse_at_0_us and pulse_at_1_us "
                f"(now {self._gauge.pulse_at_0_us} and {self._gauge.pulse_at_1_us}), "
                "or the servo's horn on its shaft"
            )


class SolenoidExam(Exam):
    """Pulled, then let go."""

    set_up = "outputs"

    def __init__(self, context: ExamContext, name: str) -> None:
        super().__init__(context, name)
        self._stage = 0
        self._pulled_s: float | None = None

    @property
    def prompt(self) -> Prompt:
        """The caution first, then what should be seen."""
        ask = Ask("solenoid", self.name, turn=self._stage)
        words = self.name.replace("_", " ")
        if self._stage == 0:
            return Prompt(
                ask,
                f"The solenoid {words} is next",
                (f"Enter energises it for {LONGEST_PULL_S:g} s at most.",),
                caution="It moves by itself: keep fingers and wires away. It needs a driver, a"
                " diode across its coil and a supply of its own; never a pin of the board.",
                choices=(Choice("enter", "energise it"),),
            )
        what = "pull in" if self._stage == 1 else "let go again"
        return Prompt(ask, f"Did the solenoid {what}?", choices=_YES_NO)

    @property
    def outputs(self) -> Outputs:
        """Energised while that is asked about."""
        return Outputs(solenoids={self.name: self._pulled_s is not None})

    def tick(self, now_s: float) -> None:
        """Let it go in time."""
        if self._pulled_s is not None and now_s > self._pulled_s + LONGEST_PULL_S:
            self._pulled_s = None

    def answer(self, now_s: float, key: str) -> None:
        """``enter``: yes; ``n``: no."""
        key_of = WireKey("solenoids", self.name)
        if key == "n" and self._stage:
            self._pulled_s = None
            place = self.context.wires[key_of]
            text = f"it did not {'pull in' if self._stage == 1 else 'let go'}; its driver is at"
            hint = "Is its supply on, is the diode the right way round, is active_low right?"
            self.find_fault(f"{text} {place}", hint)
        elif key == "enter":
            self._stage += 1
            self._pulled_s = now_s if self._stage == 1 else None
            if self._stage == 3:
                self.prove(wires=[key_of])
