"""What the screen shows of a bring-up: the question, the parts with their marks, the live pins."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from typing import Literal

from msgspec import Struct, field

from panelbridge.config.panel_wires import Place

AskKind = Literal[
    "note",
    "switch",
    "strokes",
    "lever",
    "dark",
    "lamp",
    "horn",
    "gauge",
    "solenoid",
    "change",
    "finished",
]


class Ask(Struct, frozen=True):
    """What is asked at this moment, for a simulated user.

    Attributes:
        kind: what it is about.
        name: of the part.
        position: where a switch or lever shall go: a word, or 0 to 1.
        turn: which time this is; a new number is a new question.
    """

    kind: AskKind
    name: str = ""
    position: str | float = ""
    turn: int = 0


class Choice(Struct, frozen=True):
    """An answer that can be given.

    Attributes:
        key: ``enter``, a letter or a digit.
        text: what it means.
    """

    key: str
    text: str


class Prompt(Struct, frozen=True):
    """A question.

    Attributes:
        ask: what it is about.
        title: in large: what to do.
        lines: what else to know.
        caution: what could hurt or break; empty when nothing could.
        checks: what to check when nothing comes of it.
        choices: what can be answered.
        numbered: things that can be answered by their number, from 1.
    """

    ask: Ask
    title: str
    lines: tuple[str, ...] = ()
    caution: str = ""
    checks: tuple[str, ...] = ()
    choices: tuple[Choice, ...] = ()
    numbered: tuple[str, ...] = ()


class PartState(StrEnum):
    """How far a part is."""

    OPEN = "open"
    """Not examined."""
    PROVEN = "proven"
    """It does what the panel file says."""
    CORRECTED = "corrected"
    """It does what the panel file says now."""
    FAULT = "fault"
    """It does not, and the file cannot mend it, or was left as it is."""
    SKIPPED = "skipped"
    """Left out by the user."""


class PartStatus(Struct, frozen=True):
    """A part in the list.

    Attributes:
        name: its name in the panel file.
        label: words for people.
        kind: ``switch``, ``lever``, ``lamp``, ...
        state: how far it is.
        is_current: it is examined now.
    """

    name: str
    label: str
    kind: str
    state: PartState
    is_current: bool = False


class LivePlace(Struct, frozen=True):
    """A pin as it is now.

    Attributes:
        place: where.
        used_by: the part that the file has there; empty for a spare pin.
        closed: connected to ground; None = unknown, or no contact.
        counts: of an analogue pin; None = unknown, or no such pin.
        moved: it has moved since the question was put.
    """

    place: Place
    used_by: str
    closed: bool | None = None
    counts: int | None = None
    moved: bool = False


class BringUpView(Struct, frozen=True):
    """Everything that the screen shows.

    Attributes:
        panel: the panel's name.
        prompt: the question.
        remark: what has just been found; empty at first.
        waits_for: why the question cannot be worked on now (a board is not connected).
        typed: digits of a number that is being typed.
        slow: nothing has come of the question for a while.
        parts: every part.
        places: every pin that is watched.
        boards: state of each board's link, in words.
        finished: nothing is left to ask.
    """

    panel: str
    prompt: Prompt
    remark: str = ""
    waits_for: str = ""
    typed: str = ""
    slow: bool = False
    parts: tuple[PartStatus, ...] = ()
    places: tuple[LivePlace, ...] = ()
    boards: Mapping[str, str] = field(default_factory=dict)
    finished: bool = False
