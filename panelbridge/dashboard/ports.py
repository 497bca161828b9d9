"""What the screen needs from outside: where it reads, and what it can move."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, Protocol, runtime_checkable

from panelbridge.engine.snapshot import Snapshot

SwitchForm = Literal["handle", "button", "toggle", "lever"]
LookColour = Literal["red", "amber", "green", "white", "blue"]


@dataclass(frozen=True, slots=True)
class SwitchControl:
    """A switch as the screen shows and moves it.

    Attributes:
        name: its name in the panel file.
        label: words for people.
        form: how it is moved; a button springs back, a toggle stays.
        positions: handle: its two ends, the upper or forward one first; button and toggle: at rest,
            then operated; lever: empty, its position is a number from 0 to 1.
        rest: of a lever that has a place of rest: that place, 0 to 1.
    """

    name: str
    label: str
    form: SwitchForm
    positions: tuple[str, ...] = ()
    rest: float | None = None


@dataclass(frozen=True, slots=True)
class LampLook:
    """How a lamp looks.

    Attributes:
        name: its name among the outputs.
        label: words for people; the name when empty.
        colour: its colour on the panel.
        board: name of the board that lights it; empty: not told, then its link is not looked at.
    """

    name: str
    label: str
    colour: LookColour
    board: str = ""


@dataclass(frozen=True, slots=True)
class HornLook:
    """What the screen knows of the horn.

    Attributes:
        board: name of the board that sounds it; empty: not told, then its link is not looked at.
        fitted: the panel has one.
    """

    board: str = ""
    fitted: bool = True


class SnapshotSource(Protocol):
    """Where the screen reads."""

    def snapshot(self) -> Snapshot:
        """The newest snapshot; callable from any thread, at once, without blocking."""
        ...


class Controls(Protocol):
    """The switches of a simulated board. Every method may be called from the screen's thread."""

    def switches(self) -> Sequence[SwitchControl]:
        """Every switch that can be moved, in the order to show; the same at every call."""
        ...

    def position(self, name: str) -> str | float:
        """Where the switch ``name`` was put last: one of its positions, or 0 to 1 of a lever."""
        ...

    def move(self, name: str, position: str | float) -> None:
        """Ask for the switch ``name`` to be moved; returns at once, the engine's thread does it."""
        ...


@runtime_checkable
class FliesAgain(Protocol):
    """Controls of a run that can begin anew once it has finished."""

    def again(self) -> None:
        """Begin anew; returns at once."""
        ...


REAL_PANEL_SWITCHES: tuple[SwitchControl, ...] = (
    SwitchControl("gear_handle", "Gear handle", "handle", ("up", "down")),
    SwitchControl("horn_silence", "Horn silence", "button", ("released", "pressed")),
    SwitchControl("lamp_test", "Lamp test", "button", ("released", "pressed")),
    SwitchControl("warning_test", "Warning test", "button", ("released", "pressed")),
    SwitchControl("steering_button", "Steering", "button", ("released", "pressed")),
    SwitchControl("dimmer", "Dimmer", "lever"),
)
"""Shown for a real panel when nobody says which switches it has: all that signals know."""
