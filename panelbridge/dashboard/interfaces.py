"""The screen's interfaces: its source of snapshots, switches that it moves, lamps, equipment."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Literal, Protocol, runtime_checkable

from msgspec import Struct, field

from panelbridge.engine.snapshot import Snapshot

SwitchForm = Literal["handle", "button", "toggle", "lever"]
ValueForm = Literal["number", "word", "yes_no"]
LampColour = Literal["red", "amber", "green", "white", "blue"]


class SwitchControl(Struct, frozen=True):
    """A switch as the screen shows and moves it.

    Attributes:
        name: its name in the panel file.
        label: text for people.
        form: how it moves; a button springs back, a toggle stays.
        positions: handle: its two ends, the upper or forward one first; button and toggle: at rest,
            then operated; lever: empty, its position is a number from 0 to 1.
        rest: position to which a lever springs back, 0 to 1; None if it stays where it is put.
    """

    name: str
    label: str
    form: SwitchForm
    positions: tuple[str, ...] = ()
    rest: float | None = None


class LampLook(Struct, frozen=True):
    """How a lamp looks.

    Attributes:
        name: its name among the outputs.
        label: its legend; the name when empty.
        colour: its colour on the panel.
        board: name of its board; empty: unknown, then the link is not considered.
    """

    name: str
    label: str
    colour: LampColour
    board: str = ""


class ValueLook(Struct, frozen=True):
    """A value that a system publishes, a gauge, or a solenoid.

    Attributes:
        name: its name among the values, or among the outputs.
        label: text for people, without the unit.
        form: a number, a word, or yes/no.
        unit: of a number; empty for a count.
        nothing: text for a published None; empty: unknown. A value that is not published is always
            unknown.
        full_scale: of a gauge, at the top of its scale; 0: it has none.
    """

    name: str
    label: str
    form: ValueForm = "number"
    unit: str = ""
    nothing: str = ""
    full_scale: float = 0.0


class ValueLimit(Struct, frozen=True):
    """A limit of a number, or a mark on its scale, from the aircraft file.

    Attributes:
        word: a short word for people: ``low``, ``VLE``.
        bound: ``least`` and ``most``: beyond it the number is not as it should be; ``mark``: no
            limit, a value to compare with.
        value: in the number's unit; None for one that changes.
        published: name of the published value that is the limit now, for one that changes; while
            that is unknown there is none.
    """

    word: str
    bound: Literal["least", "most", "mark"] = "mark"
    value: float | None = None
    published: str = ""


class Equipment(Struct, frozen=True):
    """The equipment to show: nothing is reserved for systems that the aircraft does not have.

    By default: legs, steering and a pressure.

    Attributes:
        systems: titles of sections, each with the values that it shows, in display order.
        gauges: of the aircraft.
        solenoids: of the aircraft.
        boards: board of each gauge and solenoid that the panel has; empty: unknown, then the link
            is not considered.
        engines: number of engines.
        wheels: names of the braked wheels, in the order of ``Commands.brake_fraction``.
        steering: it has nose-wheel steering.
        wheel_lock: it has a lock of a wheel.
        pressure: it has hydraulics, or a gauge of their pressure.
        consumers: its hydraulics have consumers.
        aux_pump: it has an auxiliary pump.
        emergency_extend: it has an emergency extension.
        parking_brake: it has a parking brake.
        antiskid: it has anti-skid.
        own_switches: the switches of the builder's own, by name.
        limits: of numbers, by name: a system's value, a gauge, or a value of the aircraft.
        trends: what each section can draw besides its own numbers, by its title.
        alert_lamps: red and amber lamps of each section, by its title.
        gear_section: title of the section that the state of the legs belongs to.
    """

    systems: Mapping[str, Sequence[ValueLook]] = field(default_factory=dict)
    gauges: Sequence[ValueLook] = ()
    solenoids: Sequence[ValueLook] = ()
    boards: Mapping[str, str] = field(default_factory=dict)
    engines: int = 0
    wheels: tuple[str, ...] = ()
    steering: bool = True
    wheel_lock: bool = False
    pressure: bool = True
    consumers: bool = False
    aux_pump: bool = False
    emergency_extend: bool = False
    parking_brake: bool = False
    antiskid: bool = False
    own_switches: Sequence[str] = ()
    limits: Mapping[str, Sequence[ValueLimit]] = field(default_factory=dict)
    trends: Mapping[str, Sequence[ValueLook]] = field(default_factory=dict)
    alert_lamps: Mapping[str, Sequence[str]] = field(default_factory=dict)
    gear_section: str = ""

    def __hash__(self) -> int:
        """By identity: a screen has one, and finds kept drawings by it."""
        return id(self)


class SnapshotSource(Protocol):
    """The source of the screen's snapshots."""

    def snapshot(self) -> Snapshot:
        """The newest snapshot; callable from any thread, without blocking."""


@runtime_checkable
class AnsweringSource(SnapshotSource, Protocol):
    """A source that explains: the answer comes in its next snapshots."""

    def explain(self, subject: str) -> None:
        """Ask why a subject is as it is, for some seconds; returns at once."""


class Controls(Protocol):
    """The switches of a simulated panel; every method is called from the screen's thread."""

    @property
    def fly_again(self) -> Callable[[], None] | None:
        """Starts a finished flight again; None for a run that has no such end."""

    def position(self, name: str) -> str | float:
        """The last position of the switch ``name``: one of its positions, or a lever's 0 to 1."""

    def move(self, name: str, position: str | float) -> None:
        """Ask the engine's thread to move the switch ``name``; returns at once."""
