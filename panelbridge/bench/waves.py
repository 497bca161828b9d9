"""Every value of a sample as a named wave: what a waveform file holds, and how each is read."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, fields
from enum import StrEnum

from panelbridge.bench.plan import ScenarioPlan
from panelbridge.bench.trace import Sample
from panelbridge.logic.inventory import gauges_of, lamps_of
from panelbridge.signals import (
    AircraftState,
    GearPosition,
    HandleContacts,
    HornPattern,
    LegState,
    SwitchState,
    Value,
)


class WaveForm(StrEnum):
    """What a wave is made of."""

    YES_NO = "yes_no"
    COUNT = "count"
    """A whole number, 0 to 255."""
    NUMBER = "number"
    WORD = "word"
    """One of ``words``."""
    TEXT = "text"


@dataclass(frozen=True, slots=True)
class Wave:
    """A value of the samples.

    Attributes:
        scope: the group it stands in.
        name: its name there.
        form: what it is made of.
        read: takes it out of a sample; None = unknown.
        words: of WORD: all that it can be, in the order of their codes.
    """

    scope: str
    name: str
    form: WaveForm
    read: Callable[[Sample], Value]
    words: tuple[str, ...] = ()


_HANDLE = tuple(HandleContacts)
_WHERE = (*GearPosition, "none")


def waves_of(plan: ScenarioPlan) -> tuple[Wave, ...]:
    """All waves of a scenario's runs, in a fixed order."""
    aircraft = plan.aircraft
    legs = [leg.name for leg in aircraft.legs]
    waves = [*_switch_waves(), *_aircraft_waves(aircraft.engines, legs)]
    for lamp in lamps_of(aircraft):
        waves += _lamp_waves(lamp)
    waves.append(Wave("horn", "horn", WaveForm.WORD, lambda s: s.outputs.horn, tuple(HornPattern)))
    for gauge in gauges_of(aircraft):
        waves.append(_gauge_wave(gauge))
    for number, leg in enumerate(legs):
        waves += _leg_waves(number, leg)
    return (*waves, *_logic_waves())


def _switch_waves() -> Iterable[Wave]:
    yield Wave("switches", "gear_handle", WaveForm.WORD, lambda s: s.switches.gear_handle, _HANDLE)
    buttons = [field.name for field in fields(SwitchState)]
    buttons.remove("gear_handle")
    buttons.remove("dimmer_fraction")
    for name in buttons:
        yield Wave("switches", name, WaveForm.YES_NO, _attribute("switches", name))
    yield Wave("switches", "dimmer", WaveForm.NUMBER, lambda s: s.switches.dimmer_fraction)


def _aircraft_waves(engines: int, legs: list[str]) -> Iterable[Wave]:
    of_its_own = {"throttle_fraction", "strut_compressed", "leg_locks", "gear_handle"}
    for field in fields(AircraftState):
        if field.name not in of_its_own:
            yield Wave("aircraft", field.name, WaveForm.NUMBER, _attribute("aircraft", field.name))
    for number in range(engines):
        yield Wave("aircraft", f"throttle_{number + 1}", WaveForm.NUMBER, _throttle(number))
    for number, leg in enumerate(legs):
        yield Wave("aircraft", f"strut_{leg}", WaveForm.YES_NO, _strut(number))
    yield Wave(
        "aircraft",
        "gear_handle",
        WaveForm.WORD,
        lambda s: s.aircraft.gear_handle or "none",
        _WHERE,
    )


def _lamp_waves(lamp: str) -> Iterable[Wave]:
    yield Wave("lamps", lamp, WaveForm.YES_NO, lambda s: s.outputs.lamps.get(lamp, 0) > 0)
    yield Wave(
        "lamps", f"{lamp}_brightness", WaveForm.COUNT, lambda s: s.outputs.lamps.get(lamp, 0)
    )
    yield Wave("lamps", f"{lamp}_shown", WaveForm.COUNT, lambda s: s.shown_lamps.get(lamp, 0))


def _gauge_wave(gauge: str) -> Wave:
    return Wave("gauges", gauge, WaveForm.NUMBER, lambda s: s.outputs.gauges.get(gauge))


def _leg_waves(number: int, leg: str) -> Iterable[Wave]:
    yield Wave(
        "legs",
        f"{leg}_leg",
        WaveForm.WORD,
        lambda s: s.view.legs[number].state if number < len(s.view.legs) else LegState.UNKNOWN,
        tuple(LegState),
    )
    yield Wave(
        "legs",
        f"{leg}_travel_fraction",
        WaveForm.NUMBER,
        lambda s: s.view.legs[number].travel_fraction if number < len(s.view.legs) else None,
    )


def _logic_waves() -> Iterable[Wave]:
    yield Wave("logic", "gear_command", WaveForm.WORD, lambda s: s.gear_command, _WHERE)
    for name in ("on_ground", "gear_disagrees", "horn_silenced", "steering_engaged"):
        yield Wave("logic", name, WaveForm.YES_NO, _attribute("view", name))
    yield Wave("logic", "selection_state", WaveForm.TEXT, lambda s: s.view.selection_state)
    yield Wave("logic", "warning_causes", WaveForm.TEXT, lambda s: "; ".join(s.view.warning_causes))
    yield Wave("logic", "faults", WaveForm.TEXT, lambda s: "; ".join(s.view.faults))


def _attribute(part: str, name: str) -> Callable[[Sample], Value]:
    def read(sample: Sample) -> Value:
        value: Value = getattr(getattr(sample, part), name)
        return value

    return read


def _throttle(number: int) -> Callable[[Sample], Value]:
    def read(sample: Sample) -> Value:
        levers = sample.aircraft.throttle_fraction
        return levers[number] if number < len(levers) else None

    return read


def _strut(number: int) -> Callable[[Sample], Value]:
    def read(sample: Sample) -> Value:
        struts = sample.aircraft.strut_compressed
        return struts[number] if number < len(struts) else None

    return read
