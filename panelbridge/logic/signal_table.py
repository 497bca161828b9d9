"""Every signal by name, in the trade's words, and how it is read from the panel as it stands.

Scenarios, timelines and a builder's own lamps name the same signals. What is read is anything that
holds switches, aircraft, outputs and the inside of the logic at one instant (``Shown``).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields, replace
from math import inf
from typing import Protocol

from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.aircraft_values import LOCK_WORDS, Form, ValueSpec, values_of
from panelbridge.logic.switch_words import LEVERS, operated_first
from panelbridge.logic.system import ValueInfo
from panelbridge.signals import (
    AircraftState,
    HandleContacts,
    HornPattern,
    LegState,
    LogicView,
    Outputs,
    SwitchState,
    Value,
)

HANDLE_WORDS = tuple(word.value for word in HandleContacts if word is not HandleContacts.UNKNOWN)
LAMP_WORDS = ("lit", "dark")
LEG_WORDS = tuple(word.value for word in LegState if word is not LegState.UNKNOWN)
HORN_WORDS = tuple(word.value for word in HornPattern)
GEAR_WORDS = ("locked_up", "locked_down", "not_locked")
_SWITCHES = frozenset(field.name.removesuffix("_fraction") for field in fields(SwitchState))


class Shown(Protocol):
    """The panel at one instant."""

    @property
    def switches(self) -> SwitchState:
        """The switches, debounced."""
        ...

    @property
    def aircraft(self) -> AircraftState:
        """The aircraft, as far as it is known."""
        ...

    @property
    def outputs(self) -> Outputs:
        """What the logic shows."""
        ...

    @property
    def shown_lamps(self) -> Mapping[str, int]:
        """Brightness as the lamps really shine."""
        ...

    @property
    def view(self) -> LogicView:
        """The inside of the logic."""
        ...

    @property
    def gear_command(self) -> str:
        """ "up", "down" or "none"."""
        ...


_ALWAYS_KNOWN = ("gear_command", "gear_agrees", "on_ground", "fault_shown", "steering")


@dataclass(frozen=True, slots=True)
class SignalSpec:
    """A signal.

    Attributes:
        name: as in a scenario.
        form: what it is.
        words: the words that it can be, of form "word"; unknown (None) is possible besides.
        unit: of a number; empty for a fraction, a word or yes/no.
        label: words for people.
        read: its value at an instant; None is unknown.
        low: least number that it can be.
        high: greatest number that it can be.
        group: "aircraft", "switch", "lamp", "horn", "leg", "gear" or "system".
        output: the lamp, or the horn, of the logic that it tells of; empty for others.
        explained: the signal under whose name reasons of that output are told; empty for others.
    """

    name: str
    form: Form
    words: tuple[str, ...]
    unit: str
    label: str
    read: Callable[[Shown], Value]
    low: float = -inf
    high: float = inf
    group: str = ""
    output: str = ""
    explained: str = ""

    @property
    def always_known(self) -> bool:
        """It is never unknown: the logic decides it."""
        return self.group in ("lamp", "horn") or self.name in _ALWAYS_KNOWN


def signals_of(
    aircraft: AircraftParameters,
    *,
    switches: Mapping[str, str],
    lamps: Mapping[str, str],
    published: Iterable[ValueInfo] = (),
) -> Mapping[str, SignalSpec]:
    """Every signal of ``aircraft``.

    Args:
        aircraft: its numbers.
        switches: label of each switch that there is.
        lamps: label of each lamp that there is.
        published: the values that its systems publish.
    """
    specs = [_of_value(spec) for spec in values_of(aircraft).values()]
    for name, label in switches.items():
        specs.append(_switch(name, label))
    for name, label in lamps.items():
        specs += _lamp(name, label)
    specs += _horn()
    for place, leg in enumerate(aircraft.legs):
        specs += _leg(place, leg.name)
    specs += _gear()
    if aircraft.steering.steering_leg is not None:
        specs.append(_steering())
    specs.append(_hydraulic_gauge())
    # A switch keeps its name: what its system says of itself has another (parking_brake_state).
    specs += [_published(i, i.name + "_state" * (i.name in _SWITCHES)) for i in published]
    # A lock switch that the feed tells is both a value and a signal of its leg: the leg's counts.
    return {spec.name: spec for spec in specs}


Read = Callable[[Shown], Value]


def _word(name: str, words: tuple[str, ...], label: str, read: Read, group: str) -> SignalSpec:
    return SignalSpec(name, "word", words, "", label, read, group=group)


def _yes_no(name: str, label: str, read: Read, group: str) -> SignalSpec:
    return SignalSpec(name, "yes_no", (), "", label, read, group=group)


def _number(
    name: str, label: str, read: Read, high: float, group: str, unit: str = ""
) -> SignalSpec:
    return SignalSpec(name, "number", (), unit, label, read, 0.0, high, group)


def _of_value(spec: ValueSpec) -> SignalSpec:
    read = spec.read
    return SignalSpec(
        name=spec.name,
        form=spec.form,
        words=spec.words,
        unit=spec.unit,
        label=spec.label,
        read=lambda shown: read(shown.aircraft),
        low=spec.low,
        high=spec.high,
        group="aircraft",
    )


def _switch(name: str, label: str) -> SignalSpec:
    if name == "gear_handle":
        return _word(name, HANDLE_WORDS, label, _handle, "switch")
    if name in LEVERS:
        field = f"{name}_fraction"
        ends = "0 lowest to 1 brightest" if name == "dimmer" else "0 to 1"
        words = f"{label}, {ends}"
        return _number(name, words, lambda s: getattr(s.switches, field), 1.0, "switch")
    operated, free = operated_first(name)

    def read(shown: Shown) -> Value:
        pressed = getattr(shown.switches, name)
        return None if pressed is None else operated if pressed else free

    return _word(name, (operated, free), label, read, "switch")


def _published(info: ValueInfo, name: str) -> SignalSpec:
    published = info.name
    return SignalSpec(
        name=name,
        form=info.form,
        words=info.words,
        unit=info.unit,
        label=info.label,
        read=lambda shown: shown.view.values.get(published),
        low=info.low,
        high=info.high,
        group="system",
    )


def _handle(shown: Shown) -> Value:
    contacts = shown.switches.gear_handle
    return None if contacts is HandleContacts.UNKNOWN else contacts.value


def _lamp(lamp: str, label: str) -> list[SignalSpec]:
    name, words = lamp, f"lamp: {label}"

    def lit(shown: Shown) -> Value:
        return LAMP_WORDS[not shown.shown_lamps.get(lamp, 0)]

    def brightness(shown: Shown) -> Value:
        return float(shown.shown_lamps.get(lamp, 0))

    bright = f"{words}, 0 dark to 255"
    specs = [
        _word(name, LAMP_WORDS, words, lit, "lamp"),
        _number(f"{name}_brightness", bright, brightness, 255.0, "lamp"),
    ]
    return [replace(spec, output=lamp, explained=name) for spec in specs]


def _horn() -> list[SignalSpec]:
    def sounding(shown: Shown) -> Value:
        return shown.outputs.horn is not HornPattern.SILENT

    specs = [
        _word("horn", HORN_WORDS, "gear warning horn", lambda s: s.outputs.horn.value, "horn"),
        _yes_no("horn_sounding", "the horn sounds", sounding, "horn"),
        _yes_no(
            "horn_silenced",
            "the throttle warning is silenced",
            lambda s: s.view.horn_silenced,
            "horn",
        ),
    ]
    return [replace(spec, output="horn", explained="horn") for spec in specs]


def _leg(place: int, leg: str) -> list[SignalSpec]:
    def state(shown: Shown) -> Value:
        found = shown.view.legs[place].state
        return None if found is LegState.UNKNOWN else found.value

    def travel(shown: Shown) -> Value:
        return shown.view.legs[place].travel_fraction

    def lock(end: str) -> SignalSpec:
        def read(shown: Shown) -> Value:
            made: bool | None = getattr(shown.view.legs[place].locks, f"{end}_locked")
            return None if made is None else LOCK_WORDS[not made]

        label = f"{end}-lock switch of the {leg} leg"
        return _word(f"{leg}_{end}_lock", LOCK_WORDS, label, read, "leg")

    return [
        _word(f"{leg}_leg", LEG_WORDS, f"{leg} leg", state, "leg"),
        _number(f"{leg}_travel", f"travel of the {leg} leg, 0 up to 1 down", travel, 1.0, "leg"),
        lock("up"),
        lock("down"),
    ]


def _gear() -> list[SignalSpec]:
    def gear(shown: Shown) -> Value:
        legs = shown.view.legs
        if any(leg.state is LegState.UNKNOWN for leg in legs):
            return None
        if all(leg.locks.is_up for leg in legs):
            return "locked_up"
        return "locked_down" if all(leg.locks.is_down for leg in legs) else "not_locked"

    command = "what is asked of the simulator's gear"
    agrees = "the gear is where the handle stands"
    ground = "on the ground, as the gear's commands see it"
    return [
        _word("gear", GEAR_WORDS, "all legs together", gear, "gear"),
        _word("gear_command", ("up", "down", "none"), command, lambda s: s.gear_command, "gear"),
        _yes_no("gear_agrees", agrees, lambda s: not s.view.gear_disagrees, "gear"),
        _yes_no("on_ground", ground, lambda s: s.view.on_ground, "gear"),
        _yes_no("fault_shown", "a fault is told", lambda s: bool(s.view.faults), "gear"),
    ]


def _steering() -> SignalSpec:
    def read(shown: Shown) -> Value:
        return "engaged" if shown.view.steering_engaged else "released"

    return _word("steering", ("engaged", "released"), "nose-wheel steering", read, "gear")


def _hydraulic_gauge() -> SignalSpec:
    def read(shown: Shown) -> Value:
        return shown.outputs.gauges.get("hydraulic_pressure")

    return _number("hydraulic_gauge_psi", "hydraulic pressure gauge", read, 10_000.0, "gear", "psi")
