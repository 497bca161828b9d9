"""Every aircraft with a folder of scenarios has a panel that can be built, and ways to begin.

Nothing here names a type: a new aircraft is some new files in configs, and is taken by itself.
"""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

import pytest

from panelbridge.clock import VirtualClock
from panelbridge.config.aircraft_file import AircraftFile
from panelbridge.config.load import load_aircraft, load_panel
from panelbridge.config.shipped import shipped_folder
from panelbridge.engine.assemble import assemble_demo
from panelbridge.engine.make_feed import feed_of
from panelbridge.engine.wiring_hints import WIRING_HINTS
from panelbridge.logic.inventory import gauges_of, lamps_of, solenoids_of, switches_of
from panelbridge.signals import Event

AIRCRAFT = sorted((shipped_folder() / "aircraft").glob("*.yaml"))
SCENARIOS = shipped_folder() / "scenarios"
FOLDERS = [path.name for path in SCENARIOS.iterdir() if path.is_dir() and path.name != "examples"]
OTHERS = [path for path in AIRCRAFT if path.stem in FOLDERS and path.stem != "twin_jet"]
TWIN_JET = shipped_folder() / "aircraft" / "twin_jet.yaml"
PANELS = [path.parent.parent / "panels" / f"{path.stem}_panel.yaml" for path in OTHERS]
STARTS = {"parked", "taxi", "take-off roll", "cruise clean", "final approach"}


def of_name(path: Path) -> str:
    return path.stem


def kind_of(aircraft: AircraftFile) -> tuple[object, ...]:
    """What a pilot would call another kind of gear, as the files tell it."""
    emergency, warning = aircraft.emergency, aircraft.gear_warning
    return (
        aircraft.engines,
        tuple(leg.name for leg in aircraft.legs),
        aircraft.gear_power.power,
        emergency.means if emergency else None,
        warning.rearm if warning.silence_allowed else None,
    )


def test_there_are_others() -> None:
    assert len(OTHERS) >= 2
    assert {path.stem for path in AIRCRAFT} >= set(FOLDERS)


def test_they_differ_in_kind_not_in_numbers() -> None:
    kinds = {path.stem: kind_of(load_aircraft(path)) for path in [*OTHERS, TWIN_JET]}
    for one, other in combinations(kinds, 2):
        same = sum(a == b for a, b in zip(kinds[one], kinds[other], strict=True))
        assert same <= 3, f"{one} and {other} differ in too little"


@pytest.mark.parametrize("path", OTHERS, ids=of_name)
def test_scenarios_can_begin_on_the_ground_and_in_the_air(path: Path) -> None:
    aircraft = load_aircraft(path)
    assert set(aircraft.starts) >= STARTS
    needed = {"simulator_handle", *(f"strut_{leg.name}" for leg in aircraft.legs)}
    needed |= {f"throttle_{number + 1}" for number in range(aircraft.engines)}
    for name in aircraft.starts:
        values = aircraft.start_values(name)
        assert needed <= {value for value in values if values[value] is not None}, name


@pytest.mark.parametrize("path", PANELS, ids=of_name)
def test_its_panel_shows_the_gear_and_has_every_switch_that_the_aircraft_needs(path: Path) -> None:
    loaded = load_panel(path)
    panel, aircraft = loaded.panel, loaded.aircraft
    assert f"{loaded.aircraft.name} panel" == panel.name
    for leg in aircraft.legs:
        assert panel.lamps[f"{leg.name}_green"].colour == "green"
        assert "handle_red" in panel.lamps or f"{leg.name}_red" in panel.lamps
    required = {name for name, need in switches_of(aircraft).items() if need.required}
    silenced = aircraft.gear_warning.silence_allowed and aircraft.gear_warning.silence_controls
    if not silenced:
        required.remove("horn_silence")
    assert [name for name in required if getattr(panel.switches, name) is None] == []
    assert panel.horn is not None


@pytest.mark.parametrize("path", PANELS, ids=of_name)
def test_each_lamp_of_its_panel_has_words_and_each_thing_left_out_a_reason(path: Path) -> None:
    loaded = load_panel(path)
    aircraft = loaded.aircraft
    assert [name for name, lamp in loaded.panel.lamps.items() if not lamp.legend] == []
    known = {*switches_of(aircraft), *lamps_of(aircraft), *gauges_of(aircraft)}
    assert set(loaded.panel.not_fitted) <= known | set(solenoids_of(aircraft))
    if loaded.panel.not_fitted:
        _, _, end = path.read_text("utf-8").rpartition("\n\n")
        assert end.startswith("# ")
        assert "\nnot_fitted:\n" in end


@pytest.mark.parametrize("path", PANELS, ids=of_name)
def test_its_feed_tells_everything_that_the_systems_ask_for(path: Path) -> None:
    loaded = load_panel(path)
    state = feed_of(loaded).read(0.0).aircraft
    aircraft = loaded.aircraft
    assert len(state.throttle_fraction) == len(state.engine_running) == aircraft.engines
    assert len(state.strut_compressed) == len(aircraft.strut_names)
    assert None not in (*state.throttle_fraction, *state.engine_running, *state.strut_compressed)
    assert None not in (state.airspeed_kias, state.altitude_ft, state.flap_deg, state.gear_handle)
    wheels = len(aircraft.brakes.wheels) if aircraft.antiskid and aircraft.brakes else 0
    assert len(state.wheel_speed_rpm) == wheels


@pytest.mark.parametrize("path", PANELS, ids=of_name)
def test_every_board_of_its_panel_comes_alive(path: Path) -> None:
    """As ``run --simulate`` does it, on a clock of our own."""
    loaded = load_panel(path)
    came: list[Event] = []
    assembly = assemble_demo(loaded, clock=VirtualClock(), on_event=came.append)
    try:
        while assembly.engine.snapshot().time_s < 3.0:
            assembly.engine.turn()
        alive = [h.subject for h in came if h.name == "board_connected"]
        assert sorted(alive) == sorted(loaded.panel.boards)
        assert not {"board_lost", "board_refused"} & {h.name for h in came}
    finally:
        assembly.engine.close()
        assembly.close()


@pytest.mark.parametrize("path", PANELS, ids=of_name)
@pytest.mark.thorough
def test_it_flies_the_demonstration_flight(path: Path) -> None:
    """Whatever moves its gear has what it needs there: up once, down once, nothing cut off, and no
    hint at a wire."""
    came: list[Event] = []
    assembly = assemble_demo(
        load_panel(path), clock=VirtualClock(), stop_when_finished=True, on_event=came.append
    )
    assembly.engine.run()
    assembly.close()
    names = [event.name for event in came]
    locked = [name for name in names if name in ("gear_locked_up", "gear_locked_down")]
    assert locked == ["gear_locked_up", "gear_locked_down"]
    assert not {"gear_power_cut_off", "hydraulic_pressure_fell", "gear_up_held"} & set(names)
    assert "feed_finished" in names
    assert not set(names) & set(WIRING_HINTS)
