"""Every value of a sample as a named wave: what a waveform file holds, and how each is read."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, fields
from enum import StrEnum

from panelbridge.bench.language.plan import ScenarioPlan
from panelbridge.bench.verdict.trace import Sample
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
    for field in fields(SwitchState):
        name, read = field.name, _attribute("switches", field.name)
        if name.endswith("_fraction"):
            yield Wave("switches", name.removesuffix("_fraction"), WaveForm.NUMBER, read)
        elif name != "gear_handle":
            yield Wave("switches", name, WaveForm.YES_NO, read)


def _aircraft_waves(engines: int, legs: list[str]) -> Iterable[Wave]:
    for field in fields(AircraftState):
        name, read = field.name, _attribute("aircraft", field.name)
        if field.default is None and name not in ("gear_handle", "bus_powered"):
            yield Wave("aircraft", name, WaveForm.NUMBER, read)
    yield Wave("aircraft", "bus_powered", WaveForm.YES_NO, lambda s: s.aircraft.bus_powered)
    for number in range(engines):
        throttle, running = (
            _one_of(name, number) for name in ("throttle_fraction", "engine_running")
        )
        yield Wave("aircraft", f"throttle_{number + 1}", WaveForm.NUMBER, throttle)
        yield Wave("aircraft", f"engine_{number + 1}_running", WaveForm.YES_NO, running)
    for number, leg in enumerate(legs):
        strut = _one_of("strut_compressed", number)
        yield Wave("aircraft", f"strut_{leg}", WaveForm.YES_NO, strut)
    for number, side in enumerate(("left", "right")):
        pedal = _one_of("brake_pedal_fraction", number)
        yield Wave("aircraft", f"{side}_brake_pedal", WaveForm.NUMBER, pedal)
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


def _one_of(name: str, number: int) -> Callable[[Sample], Value]:
    def read(sample: Sample) -> Value:
        values: tuple[Value, ...] = getattr(sample.aircraft, name)
        return values[number] if number < len(values) else None

    return read
