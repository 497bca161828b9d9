"""Every signal that a scenario can name, in the trade's words, and how it is read from a sample."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from math import inf

from panelbridge.bench.aircraft_values import LOCK_WORDS, Form, ValueSpec, values_of
from panelbridge.bench.trace import Sample
from panelbridge.config.panel_file import PanelFile
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.inventory import lamps_of, switches_of
from panelbridge.signals import HandleContacts, HornPattern, LegState, Value

HANDLE_WORDS = tuple(word.value for word in HandleContacts if word is not HandleContacts.UNKNOWN)
BUTTON_WORDS = ("pressed", "released")
LAMP_WORDS = ("lit", "dark")
LEG_WORDS = tuple(word.value for word in LegState if word is not LegState.UNKNOWN)
HORN_WORDS = tuple(word.value for word in HornPattern)
GEAR_WORDS = ("locked_up", "locked_down", "not_locked")
STEERING_LAMP = "steering_lamp"
"""The lamp ``steering``: as a signal, ``steering`` is whether it is engaged."""


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
        read: its value in a sample; None is unknown.
        low: least number that it can be.
        high: greatest number that it can be.
        group: "aircraft", "switch", "lamp", "horn", "leg" or "gear".
        output: the lamp, or the horn, of the logic that it tells of; empty for others.
        explained: the signal under whose name reasons of that output are told; empty for others.
    """

    name: str
    form: Form
    words: tuple[str, ...]
    unit: str
    label: str
    read: Callable[[Sample], Value]
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
    aircraft: AircraftParameters, panel: PanelFile | None = None
) -> Mapping[str, SignalSpec]:
    """Every signal of ``aircraft``; with a panel only the switches and lamps that it has."""
    specs = [_of_value(spec) for spec in values_of(aircraft).values()]
    fitted = fitted_switches(aircraft, panel)
    specs += [_switch(name, label) for name, label in fitted.items()]
    for name, label in fitted_lamps(aircraft, panel).items():
        specs += _lamp(name, label)
    specs += _horn()
    for place, leg in enumerate(aircraft.legs):
        specs += _leg(place, leg.name)
    specs += _gear()
    if aircraft.steering.steering_leg is not None:
        specs.append(_steering())
    specs.append(_hydraulic_gauge())
    # A lock switch that the feed tells is both a value and a signal of its leg: the leg's counts.
    return {spec.name: spec for spec in specs}


def fitted_switches(aircraft: AircraftParameters, panel: PanelFile | None) -> dict[str, str]:
    """Names and labels of the switches that there are; of the aircraft alone all of them."""
    needs = switches_of(aircraft)
    wired = None if panel is None else {name for name, entry in panel.switches if entry is not None}
    return {name: need.label for name, need in needs.items() if wired is None or name in wired}


def fitted_lamps(aircraft: AircraftParameters, panel: PanelFile | None) -> dict[str, str]:
    """Names and labels of the lamps that there are; of the aircraft alone all of them."""
    needs = lamps_of(aircraft)
    return {n: need.label for n, need in needs.items() if panel is None or n in panel.lamps}


def lamp_signal(lamp: str) -> str:
    """The signal's name of a lamp."""
    return STEERING_LAMP if lamp == "steering" else lamp


Read = Callable[[Sample], Value]


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
        read=lambda sample: read(sample.aircraft),
        low=spec.low,
        high=spec.high,
        group="aircraft",
    )


def _switch(name: str, label: str) -> SignalSpec:
    if name == "gear_handle":
        return _word(name, HANDLE_WORDS, label, _handle, "switch")
    if name == "dimmer":
        words = f"{label}, 0 lowest to 1 brightest"
        return _number(name, words, lambda s: s.switches.dimmer_fraction, 1.0, "switch")

    def read(sample: Sample) -> Value:
        pressed = getattr(sample.switches, name)
        return None if pressed is None else BUTTON_WORDS[not pressed]

    return _word(name, BUTTON_WORDS, label, read, "switch")


def _handle(sample: Sample) -> Value:
    contacts = sample.switches.gear_handle
    return None if contacts is HandleContacts.UNKNOWN else contacts.value


def _lamp(lamp: str, label: str) -> list[SignalSpec]:
    name, words = lamp_signal(lamp), f"lamp: {label}"

    def lit(sample: Sample) -> Value:
        return LAMP_WORDS[not sample.shown_lamps.get(lamp, 0)]

    def brightness(sample: Sample) -> Value:
        return float(sample.shown_lamps.get(lamp, 0))

    bright = f"{words}, 0 dark to 255"
    specs = [
        _word(name, LAMP_WORDS, words, lit, "lamp"),
        _number(f"{name}_brightness", bright, brightness, 255.0, "lamp"),
    ]
    return [replace(spec, output=lamp, explained=name) for spec in specs]


def _horn() -> list[SignalSpec]:
    def sounding(sample: Sample) -> Value:
        return sample.outputs.horn is not HornPattern.SILENT

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
    def state(sample: Sample) -> Value:
        found = sample.view.legs[place].state
        return None if found is LegState.UNKNOWN else found.value

    def travel(sample: Sample) -> Value:
        return sample.view.legs[place].travel_fraction

    def lock(end: str) -> SignalSpec:
        def read(sample: Sample) -> Value:
            made: bool | None = getattr(sample.view.legs[place].locks, f"{end}_locked")
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
    def gear(sample: Sample) -> Value:
        legs = sample.view.legs
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
    def read(sample: Sample) -> Value:
        return "engaged" if sample.view.steering_engaged else "released"

    return _word("steering", ("engaged", "released"), "nose-wheel steering", read, "gear")


def _hydraulic_gauge() -> SignalSpec:
    def read(sample: Sample) -> Value:
        return sample.outputs.gauges.get("hydraulic_pressure")

    return _number("hydraulic_gauge_psi", "hydraulic pressure gauge", read, 10_000.0, "gear", "psi")
