"""What the screen is told of an aircraft and its panel."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from panelbridge.cli.screen import equipment_of, fitted_switches
from panelbridge.config.aircraft_file import AircraftFile
from panelbridge.config.load import LoadedPanel, load_panel
from panelbridge.config.panel_parts.output_entries import Gauges, Solenoids
from panelbridge.config.panel_parts.switch_entries import ContactSwitch, LeverSwitch, Switches
from panelbridge.config.shipped import shipped_config
from panelbridge.dashboard.interfaces import Equipment, SwitchControl
from panelbridge.engine.assemble import assemble_demo
from panelbridge.logic.inventory import systems_of

BOARD = "gear_panel"
BARE = {
    "kind": "aircraft",
    "format": 2,
    "name": "made up",
    "engines": 1,
    "legs": [{"name": "nose"}, {"name": "left"}, {"name": "right"}],
    "steering": {"steering_leg": None},
}


@pytest.fixture
def loaded() -> LoadedPanel:
    return load_panel(shipped_config("panels/two_boards.yaml"))


def aircraft_with(**groups: object) -> AircraftFile:
    return AircraftFile.model_validate({**BARE, **groups})


def of(loaded: LoadedPanel, **groups: object) -> Equipment:
    return equipment_of(replace(loaded, aircraft=aircraft_with(**groups)))


def values(equipment: Equipment) -> list[str]:
    return [one.name for signals in equipment.systems.values() for one in signals]


BRAKES = {"needs_hydraulics": False, "emergency_brake": False}
GROUPS: dict[str, dict[str, object]] = {
    "Hydraulics": {"hydraulics": {"aux_pump": {}}},
    "Emergency extension": {"emergency": {}},
    "Handle lock": {"handle_lock": {"leg": "nose"}},
    "Brakes": {"brakes": BRAKES, "takeoff_warning": {"parking_brake": False}},
    "Take-off": {"takeoff_warning": {"flap_most_deg": 20}},
    "Alerts": {"alerts": {}},
    "Steering": {"steering": {"steering_leg": "nose"}},
    "Speed limits": {"speed_limits": {"vle_kias": 180}},
    "Cold weather": {"cold_weather": {}},
}


def test_a_bare_aircraft_has_its_gear_alone(loaded: LoadedPanel) -> None:
    panel = loaded.panel.model_copy(update={"gauges": Gauges(), "solenoids": Solenoids()})
    bare = of(replace(loaded, panel=panel))
    assert [*bare.systems] == ["Gear power and doors"]
    assert bare == Equipment(
        systems=bare.systems,
        engines=bare.engines,
        steering=False,
        pressure=False,
        gear_section="Gear power and doors",
        limits=bare.limits,
        trends=bare.trends,
        alert_lamps=bare.alert_lamps,
    )


@pytest.mark.parametrize("title", GROUPS)
def test_a_system_is_told_where_there_is_one(loaded: LoadedPanel, title: str) -> None:
    equipment = of(loaded, **GROUPS[title])
    assert sorted(equipment.systems) == sorted({"Gear power and doors", title})


def test_every_published_value_is_told_once(loaded: LoadedPanel) -> None:
    equipment = equipment_of(loaded)
    names = values(equipment)
    # Legs and the gear as a whole have places of their own on the screen.
    published = [
        one.name
        for system in systems_of(loaded.aircraft)
        for one in system.values
        if one.group == "system"
    ]
    assert sorted(names) == sorted(published)
    assert len(names) == len(set(names))


def test_gauges_and_solenoids_are_told_with_their_board_or_as_missing(loaded: LoadedPanel) -> None:
    fitted = equipment_of(loaded)
    for name, entry in loaded.panel.gauges:
        look = next((gauge for gauge in fitted.gauges if gauge.name == name), None)
        if look is not None:
            assert fitted.boards.get(name) == (entry.board if entry is not None else None)
    bare = loaded.panel.model_copy(update={"gauges": Gauges(), "solenoids": Solenoids()})
    missing = equipment_of(replace(loaded, panel=bare))
    assert missing.gauges
    assert missing.solenoids
    assert not missing.boards


LEVER = LeverSwitch(board=BOARD, form="lever", pin="A0")
CONTACT = ContactSwitch(board=BOARD, form="contact", pin="D2")


@pytest.mark.parametrize(
    ("name", "entry", "control"),
    [
        ("lamp_test", CONTACT, ("button", ("released", "pressed"), None)),
        ("night", CONTACT, ("toggle", ("off", "on"), None)),
        ("parking_brake", LEVER, ("lever", (), 0.0)),
        ("parking_brake", CONTACT, ("toggle", ("released", "pressed"), None)),
        ("left_brake", CONTACT, ("button", ("released", "pressed"), None)),
        ("dimmer", LEVER, ("lever", (), None)),
        ("tiller", LEVER, ("lever", (), 0.5)),
        ("emergency_extend", CONTACT, ("toggle", ("stowed", "pulled"), None)),
    ],
)
def test_a_switch_has_the_form_that_it_is_wired_in(
    loaded: LoadedPanel, name: str, entry: object, control: tuple[object, ...]
) -> None:
    aircraft = aircraft_with(emergency={}, brakes=BRAKES, steering={"steering_leg": "nose"})
    wired = Switches().model_copy(update={name: entry})
    panel = loaded.panel.model_copy(update={"switches": wired})
    made = fitted_switches(replace(loaded, panel=panel, aircraft=aircraft))
    assert [(c.name, c.form, c.positions, c.rest) for c in made] == [(name, *control)]


def test_a_switch_of_a_system_that_the_aircraft_lacks_is_not_shown(loaded: LoadedPanel) -> None:
    aircraft = aircraft_with()
    panel = loaded.panel.model_copy(update={"switches": Switches(antiskid=CONTACT, night=CONTACT)})
    made = fitted_switches(replace(loaded, panel=panel, aircraft=aircraft))
    assert made == (SwitchControl("night", "night lighting", "toggle", ("off", "on")),)


def test_every_position_of_the_demonstrations_switches_can_be_taken() -> None:
    loaded = load_panel(shipped_config("panels/demo_panel.yaml"))
    assembly = assemble_demo(loaded, speed=1.0, stop_when_finished=True, on_event=None)
    panel = assembly.sim_panel
    assert panel is not None
    try:
        controls = {control.name: control for control in fitted_switches(loaded)}
        assert set(controls) == set(panel.choices)
        for name, control in controls.items():
            for place in control.positions or (0.0, 1.0):
                panel.move(0.0, name, place)
                if control.form != "handle":
                    assert panel.positions(10.0)[name] == place
    finally:
        assembly.engine.close()
        panel.unregister()
