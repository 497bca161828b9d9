"""The base of every examination: it is fed with what is seen and answered, and shows a question."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import ClassVar, Literal

from msgspec import Struct

from panelbridge.config.panel_file import PanelFile
from panelbridge.config.panel_wires import Place, WireKey
from panelbridge.link.wire import Captured
from panelbridge.logic.switches import Declared
from panelbridge.signals import Outputs
from panelbridge.wiring.bring_up.board_states import PinStates
from panelbridge.wiring.bring_up.outcomes import FileChange, PartOutcome
from panelbridge.wiring.bring_up.prompts import PartState, Prompt

SetUpUse = Literal["inputs", "outputs", "any"]
"""Which set-up the boards need meanwhile: the one of ``input_plan``, the panel's own, or either."""
ALL_DARK = Outputs()


class ExamContext(Struct, frozen=True):
    """What an examination may look at.

    Attributes:
        panel: the panel file as it is now.
        wires: where the file says that each wire ends.
        pins: what the pins read.
        declared: the aircraft's switches, for words.
        full_counts: largest value of each board's analogue inputs.
        lamp_labels: words on each lamp, in the order of the file.
    """

    panel: PanelFile
    wires: Mapping[WireKey, Place]
    pins: PinStates
    declared: Declared
    full_counts: Mapping[str, int]
    lamp_labels: Mapping[str, str]

    def user_of(self, place: Place) -> str:
        """Name of the part that the file has at a place; empty when it has none there."""
        return next((key.name for key, at in self.wires.items() if at == place), "")

    def is_lamp(self, place: Place) -> bool:
        """Whether the file has a lamp at a place."""
        return any(key.group == "lamps" for key, at in self.wires.items() if at == place)

    def words_of(self, place: Place) -> str:
        """A place with what the file has there."""
        user = self.user_of(place).replace("_", " ")
        return f"{place} ({user})" if user else f"{place} (not in the file)"


class Exam:
    """One examination. Times are s of the injected clock.

    Attributes:
        set_up: which set-up of the boards it needs.
        outcome: what was found; None while it goes on.
    """

    set_up: ClassVar[SetUpUse] = "any"

    def __init__(self, context: ExamContext, name: str) -> None:
        self.context = context
        self.name = name
        self.outcome: PartOutcome | None = None

    @property
    def prompt(self) -> Prompt:
        """The question."""
        raise NotImplementedError

    @property
    def outputs(self) -> Outputs:
        """What lamps, horn, gauges and solenoids shall do meanwhile."""
        return ALL_DARK

    @property
    def capture(self) -> Place | None:
        """The contact whose raw changes shall be captured; None = none."""
        return None

    def begin(self, now_s: float) -> None:
        """The question is on the screen, and the boards are ready."""

    def changed(self, now_s: float, place: Place, closed: bool) -> None:
        """A contact pin has changed."""

    def captured(self, now_s: float, place: Place, changes: Captured) -> None:
        """The raw changes of a contact."""

    def answer(self, now_s: float, key: str) -> None:
        """The user answers: ``enter``, a letter, or the digits of a number."""

    def tick(self, now_s: float) -> None:
        """Time has passed."""

    def prove(
        self, *findings: str, changes: Iterable[FileChange] = (), wires: Iterable[WireKey] = ()
    ) -> None:
        """End it: nothing is wrong, or the file can mend it; these wires end where it says."""
        there = {key: self.context.wires[key] for key in wires}
        self.outcome = PartOutcome(PartState.PROVEN, findings, (), tuple(changes), there)

    def find_fault(self, *findings: str, wires: Mapping[WireKey, Place] | None = None) -> None:
        """End it: no file can mend it; ``wires``: where wires proved to end all the same."""
        self.outcome = PartOutcome(PartState.FAULT, findings, wires=dict(wires or {}))
