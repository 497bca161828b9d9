"""What each signal reads, and how aircraft values are put."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from panelbridge.bench.language.signals_by_name import signals_of
from panelbridge.bench.verdict.trace import Sample
from panelbridge.config.load import load_aircraft, load_panel
from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.aircraft_values import put_values, values_of
from panelbridge.logic.gear.facts import GEAR_HANDLE, GearFacts, LegFacts
from panelbridge.logic.gear_warning.facts import HORN_SILENCE, WarningFacts
from panelbridge.logic.hydraulics.facts import FedPressureFacts
from panelbridge.logic.kit.curves import Line
from panelbridge.logic.kit.handles import Handle
from panelbridge.logic.kit.world import Facts, World
from panelbridge.logic.lamps.facts import DIMMER, LAMP_TEST, WARNING_TEST, ShownFacts
from panelbridge.logic.steering.facts import SteeringFacts
from panelbridge.logic.steering.system import STEERING_BUTTON
from panelbridge.signals import (
    AircraftState,
    GearPosition,
    HandleContacts,
    HornPattern,
    LegLocks,
    LegState,
    Outputs,
    Value,
)
from tests.bench.made import cells_in, having_legs
from tests.bench.plain import plain_config

AIRCRAFT = load_aircraft(plain_config("aircraft/twin_jet.yaml"))
SIGNALS = signals_of(AIRCRAFT)
UP = LegLocks(up_locked=True, down_locked=False)
DOWN = LegLocks(up_locked=False, down_locked=True)
LEGS = (
    LegFacts(LegState.UP_LOCKED, Line(), UP),
    LegFacts(LegState.EXTENDING, Line(since_s=0.0, start=0.2, rate=0.2), LegLocks(False, False)),
    LegFacts(),
)
SWITCHES: Mapping[Handle[Any], Any] = {
    GEAR_HANDLE: HandleContacts.BETWEEN,
    HORN_SILENCE: True,
    LAMP_TEST: False,
    WARNING_TEST: None,
    STEERING_BUTTON: True,
    DIMMER: 0.25,
}
STATE = AircraftState(
    airspeed_kias=120.0,
    altitude_ft=1500.0,
    ground_speed_kt=118.0,
    throttle_fraction=(0.1, None),
    flap_deg=20.0,
    strut_compressed=(True, False, None),
    gear_handle=GearPosition.UP,
    hydraulic_pressure_psi=2900.0,
)
FACTS: tuple[Facts, ...] = (
    GearFacts(legs=LEGS, agrees=False),
    AirGroundFacts(ground_for_commands=False),
    WarningFacts(silenced=True),
    SteeringFacts(is_engaged=True),
    FedPressureFacts(gauge_psi=2880.0),
    ShownFacts(
        Outputs(lamps={"nose_green": 255, "steering_green": 255}, horn=HornPattern.INTERMITTENT),
        failures=("a fault",),
        lamps={"nose_green": 0, "left_red": 90, "steering_green": 12},
    ),
)


def sample_of(
    state: AircraftState, switches: Mapping[Handle[Any], Any], facts: Iterable[Facts]
) -> Sample:
    reported = {getattr(one, "reported", one): at for one, at in switches.items()}
    cells: dict[Any, Any] = {**reported, **{type(one): one for one in facts}}
    return Sample(1.0, World(cells | cells_in(AIRCRAFT, state), 1.0))


SAMPLE = sample_of(STATE, SWITCHES, FACTS)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("airspeed_kias", 120.0),
        ("altitude_ft", 1500.0),
        ("ground_speed_kt", 118.0),
        ("flap_deg", 20.0),
        ("hydraulic_pressure_psi", 2900.0),
        ("throttle_1", 0.1),
        ("throttle_2", None),
        ("strut_nose", "compressed"),
        ("strut_left", "extended"),
        ("strut_right", None),
        ("simulator_handle", "up"),
        ("gear_handle", "between"),
        ("horn_silence", "pressed"),
        ("lamp_test", "released"),
        ("warning_test", None),
        ("steering_button", "pressed"),
        ("dimmer", 0.25),
        ("nose_green", "dark"),
        ("nose_green_brightness", 0.0),
        ("left_red", "lit"),
        ("left_red_brightness", 90.0),
        ("steering_green", "lit"),
        ("steering_green_brightness", 12.0),
        ("horn", "intermittent"),
        ("horn_sounding", True),
        ("horn_silenced", True),
        ("nose_leg", "up_locked"),
        ("left_leg", "extending"),
        ("right_leg", None),
        ("left_travel", 0.4),
        ("right_travel", None),
        ("nose_up_lock", "made"),
        ("nose_down_lock", "open"),
        ("right_up_lock", None),
        ("gear", None),
        ("gear_command", "none"),
        ("gear_agrees", False),
        ("on_ground", False),
        ("fault_shown", True),
        ("steering", "engaged"),
        ("hydraulic_gauge_psi", 2880.0),
    ],
)
def test_reads(name: str, value: Value) -> None:
    spec = SIGNALS[name]
    assert spec.name == name
    assert spec.read(SAMPLE) == value
    if isinstance(value, bool):
        assert spec.form == "yes_no"
    elif isinstance(value, str):
        assert spec.form == "word"
        assert value in spec.words
    elif value is not None:
        assert spec.form == "number"
        assert spec.low <= value <= spec.high
    else:
        assert not spec.never_unknown


@pytest.mark.parametrize(
    ("locks", "gear"),
    [
        ((UP, UP, UP), "locked_up"),
        ((DOWN, DOWN, DOWN), "locked_down"),
        ((DOWN, DOWN, UP), "not_locked"),
        ((DOWN, DOWN, LegLocks(False, False)), "not_locked"),
        ((DOWN, DOWN, LegLocks(True, True)), "not_locked"),
    ],
)
def test_the_gear_is_locked_when_every_leg_is(locks: tuple[LegLocks, ...], gear: str) -> None:
    legs = [
        replace(leg, locks=lock, state=LegState.RETRACTING)
        for leg, lock in zip(LEGS, locks, strict=True)
    ]
    assert SIGNALS["gear"].read(having_legs(SAMPLE, legs)) == gear


def test_an_unknown_handle_and_an_aircraft_of_which_nothing_is_known() -> None:
    sample = sample_of(AircraftState(), {GEAR_HANDLE: HandleContacts.UNKNOWN}, ())
    known = {n for n, s in SIGNALS.items() if s.group in ("aircraft", "switch") and s.read(sample)}
    assert known == set()
    assert SIGNALS["horn_sounding"].read(sample) is False
    assert SIGNALS["hydraulic_gauge_psi"].read(sample) is None


def test_a_panel_has_the_switches_and_lamps_that_are_wired() -> None:
    panel = load_panel(plain_config("panels/first_lamp.yaml")).panel
    names = signals_of(AIRCRAFT, panel)
    switches = {name for name, spec in names.items() if spec.group == "switch"}
    assert switches == {name for name, entry in panel.switches if entry is not None}
    lamps = {n for n, s in names.items() if s.group == "lamp" and not n.endswith("_brightness")}
    assert lamps == set(panel.lamps)
    assert {"horn", "gear", "nose_leg", "airspeed_kias"} <= set(names)


def test_an_aircraft_without_steering_has_no_such_signal() -> None:
    steering = AIRCRAFT.steering.model_copy(update={"steering_leg": None})
    names = signals_of(AIRCRAFT.model_copy(update={"steering": steering}))
    assert not [name for name in names if name.startswith("steering")]


def test_every_value_is_read_as_it_was_put(tmp_path: Path) -> None:
    path = tmp_path / "aircraft.yaml"
    text = plain_config("aircraft/twin_jet.yaml").read_text("utf-8")
    path.write_text(text.replace("legs: model", "legs: feed"), "utf-8")
    specs = values_of(load_aircraft(path))
    assert "nose_up_lock" in specs
    assert "nose_up_lock" not in values_of(AIRCRAFT)
    for name, spec in specs.items():
        for value in spec.words or (spec.low, spec.high, 1.0):
            state = put_values(specs, AircraftState(), {name: value})
            assert spec.read(state) == value
            others = {n: s.read(state) for n, s in specs.items() if n != name}
            assert set(others.values()) == {None}
            assert spec.read(put_values(specs, state, {name: None})) is None


def test_ranges_are_those_of_the_feed_file() -> None:
    specs = values_of(AIRCRAFT)
    assert (specs["altitude_ft"].low, specs["altitude_ft"].high) == (-2000.0, 60_000.0)
    assert (specs["throttle_1"].low, specs["throttle_1"].high) == (0.0, 1.0)
    with pytest.raises(KeyError):
        put_values(specs, AircraftState(), {"airspeed": 3.0})
