"""The composition: which systems an aircraft has, and that inputs and facts reach the right one.

What the systems do with it is tested with them; here stands that it reaches them.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest
from msgspec.structs import replace

from panelbridge.errors import LogicError
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.antiskid.facts import ANTISKID, AntiskidFacts
from panelbridge.logic.brakes.facts import BrakesFacts
from panelbridge.logic.cold_weather.facts import ColdWeatherFacts
from panelbridge.logic.emergency.facts import EmergencyFacts
from panelbridge.logic.gear.facts import GearFacts
from panelbridge.logic.gear_warning.facts import WarningFacts
from panelbridge.logic.handle_lock.facts import HandleLockFacts
from panelbridge.logic.hydraulics.facts import HydraulicsFacts
from panelbridge.logic.kit.aircraft_cells import (
    BUS_POWERED,
    antiskid_working,
    brake_pedal,
    brake_pressure_psi,
    engine_running,
    leg_locks,
    strut,
    wheel_rpm,
)
from panelbridge.logic.kit.handles import Handle
from panelbridge.logic.kit.system import System
from panelbridge.logic.kit.world import World
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.logic.speed_limits.facts import SpeedFacts
from panelbridge.logic.steering.facts import SteeringFacts
from panelbridge.logic.systems import ORDER, SWITCHES, fresh_systems, make_systems
from panelbridge.logic.takeoff_warning.facts import TakeoffFacts
from panelbridge.signals import AircraftState, HandleContacts, LegLocks, SwitchState
from tests.logic.build import DOWN, FREE, LOCKED_DOWN, UP, twin
from tests.logic.whole_aircraft import JET

FAST_JET = {
    **JET,
    "air_ground": {"settle_s": 0.0, "disagree_limit_s": 60.0, "retract_override": True},
}
"""The jet with everything, whose squat switches need no time to settle."""
STANDING = AircraftState(
    airspeed_kias=0.0,
    altitude_ft=500.0,
    ground_speed_kt=0.0,
    throttle_fraction=(0.1, 0.1),
    flap_deg=0.0,
    strut_compressed=(True, True, True),
    gear_handle=DOWN,
    hydraulic_pressure_psi=3000.0,
    engine_running=(True, True),
    bus_powered=True,
    wheel_speed_rpm=(0.0, 0.0, 0.0, 0.0),
    brake_pedal_fraction=(0.0, 0.0),
    steering_pedal_fraction=0.0,
    brake_pressure_psi=(0.0, 0.0),
    antiskid_working=(True, True, True, True),
)
FLYING = replace(STANDING, strut_compressed=(False, False, False), airspeed_kias=150.0)
AT_REST = SwitchState(
    gear_handle=HandleContacts.DOWN,
    horn_silence=False,
    lamp_test=False,
    warning_test=False,
    steering_button=False,
    dimmer=1.0,
    lever_horn_silence=False,
    second_steering_button=False,
    downlock_release=False,
    gear_reset=False,
    aux_pump=False,
    emergency_extend=False,
    hand_pump=False,
    antiskid=True,
    cold_weather=False,
    night=False,
    fluid_test=False,
    squat_override=False,
    parking_brake=0.0,
    emergency_brake=0.0,
    left_brake=0.0,
    right_brake=0.0,
    tiller=0.5,
)


def jet(**changes: Any) -> AircraftParameters:
    """The jet with everything, with some of its groups changed; None takes one away."""
    return AircraftParameters.model_validate({**FAST_JET, **changes})


class Rig:
    """A panel logic that has settled, stepped by hand.

    Args:
        aircraft: its numbers.
        state: how the aircraft is found.
    """

    def __init__(
        self, aircraft: AircraftParameters | None = None, state: AircraftState = STANDING
    ) -> None:
        self.logic = PanelLogic(aircraft or jet())
        self.now_s = 0.0
        self.switches, self.aircraft = AT_REST, state
        self.wait(30.0)

    def switch(self, **changes: Any) -> World:
        """Move switches."""
        self.switches = self.switches.having(**changes)
        return self.wait(0.0)

    def fly(self, **changes: Any) -> World:
        """Change values of the aircraft."""
        self.aircraft = replace(self.aircraft, **changes)
        return self.wait(0.0)

    def wait(self, step_s: float) -> World:
        """Let the time pass."""
        self.now_s += step_s
        self.logic.step(self.now_s, self.switches, self.aircraft)
        return self.world

    @property
    def world(self) -> World:
        """Everything as of the last step."""
        return self.logic.world()

    def readers(self, cell: Handle[Any]) -> set[str]:
        """The systems whose last update read a cell, or a threshold of it."""
        return {
            type(slot.system).__name__
            for slot in self.logic._step._slots
            if any(cell in (key, getattr(key, "of", None)) for key in slot.keys or ())
        }


# -- which systems there are ----------------------------------------------------------------------

OPTIONAL = {
    "antiskid": ("WheelSensors", "WheelLocks", "AntiskidMonitor", "AntiSkid", "AntiskidDrain"),
    "speed_limits": ("SpeedLimits",),
    "cold_weather": ("ColdWeather",),
    "alerts": ("MasterAlerts",),
    "brake_heat": ("BrakeHeat",),
}


def names_of(aircraft: AircraftParameters) -> list[str]:
    return [type(system).__name__ for system in make_systems(aircraft)]


def test_a_plain_aircraft_has_no_system_that_its_file_does_not_name() -> None:
    plain = twin(steering={"steering_leg": None})
    always = ["Simulation", "AirGround", "FedPressure", "LandingGear", "Agreement"]
    always += ["GearWarning", "MissingData", "Lamps"]
    assert names_of(plain) == always


def test_the_systems_stand_in_the_one_order() -> None:
    every = [kind.__name__ for kind in ORDER]
    assert names_of(jet()) == [name for name in every if name != "FedPressure"]


@pytest.mark.parametrize("group", OPTIONAL)
def test_a_group_that_is_taken_away_takes_its_systems_along(group: str) -> None:
    left = names_of(jet(**{group: None}))
    assert left == [name for name in names_of(jet()) if name not in OPTIONAL[group]]


# -- inputs ---------------------------------------------------------------------------------------


def test_every_switch_and_value_of_the_aircraft_is_in_the_cell_of_its_own() -> None:
    """Each is changed alone; the others stay, and unknown is None."""
    rig = Rig()
    cells: dict[Handle[Any], Any] = {}
    for name, switch in SWITCHES.items():
        cells[switch] = AT_REST.get(name)
    for place in range(4):
        cells[wheel_rpm(place)] = 0.0
    cells |= {strut(place): True for place in range(3)}
    cells |= {engine_running(0): True, engine_running(1): True, BUS_POWERED: True}
    fields_of = {"strut_compressed": strut(1), "engine_running": engine_running(1)}
    fitted = {one.name for system in make_systems(jet()) for one in system.switches}
    absent: dict[Handle[Any], Any] = {
        one: None for name, one in SWITCHES.items() if name not in fitted
    }
    for name in SWITCHES:
        before = AT_REST.get(name)
        other: Any = HandleContacts.BETWEEN if name == "gear_handle" else not before
        if isinstance(before, float):
            other = 0.75
        world = rig.switch(**{name: other})
        wanted = {**cells, SWITCHES[name]: other, **absent}
        assert {cell: world[cell] for cell in cells} == wanted
        rig.switch(**{name: before})
    for name, cell in fields_of.items():
        values = list(getattr(STANDING, name))
        world = rig.fly(**{name: (values[0], None, *values[2:])})
        assert {one: world[one] for one in cells} == {**cells, cell: None, **absent}
        world = rig.fly(**{name: values[:1]})
        assert world[cell] is None, "short tuples leave the rest unknown"
        rig.fly(**{name: tuple(values)})


FEED = {"legs": "feed", "hydraulics": "feed", "brakes": "feed", "antiskid": "feed"}


@pytest.mark.parametrize(
    ("cell", "model", "feed"),
    [
        (leg_locks(1), set(), {"LandingGear"}),
        (brake_pressure_psi(0), set(), {"Brakes", "WheelBrakes"}),
        (antiskid_working(2), set(), {"AntiSkid"}),
    ],
)
def test_what_the_feed_reports_is_read_where_it_is_the_authority(
    cell: Handle[Any], model: set[str], feed: set[str]
) -> None:
    assert Rig(jet(own_lamps={})).readers(cell) == model
    assert Rig(jet(own_lamps={}, authority=FEED)).readers(cell) == feed


@pytest.mark.parametrize(
    ("cell", "readers"),
    [
        (BUS_POWERED, {"HandleLock", "Brakes", "AntiSkid", "Steering", "Lamps"}),
        (ANTISKID, {"Brakes", "AntiskidMonitor", "AntiSkid", "ColdWeather"}),
        (SWITCHES["gear_reset"], {"Emergency", "LandingGear"}),
        (brake_pedal(0), {"BrakePedals", "ColdWeather"}),
        (SWITCHES["tiller"], set()),
        (SWITCHES["dimmer"], {"Lamps", "NightLight"}),
    ],
)
def test_who_reads_what_at_rest(cell: Handle[Any], readers: set[str]) -> None:
    assert Rig(jet(own_lamps={})).readers(cell) == readers


@pytest.mark.parametrize(
    ("values", "changes"),
    [
        ({"airspeed_kias": 1.0}, False),
        ({"altitude_ft": 501.0}, False),
        ({"altitude_ft": 12_500.0}, True),
        ({"throttle_fraction": (0.9, 0.9)}, True),
        ({"flap_deg": 40.0}, True),
        ({"ground_speed_kt": 20.0}, False),
        ({"wheel_speed_rpm": (900.0,) * 4}, True),
        ({"leg_locks": (FREE, LOCKED_DOWN, LOCKED_DOWN)}, False),
        ({"strut_compressed": (True, True, False)}, True),
        ({"gear_handle": UP}, False),
        ({"bus_powered": False}, True),
    ],
)
def test_only_what_crosses_a_threshold_changes_facts(values: dict[str, Any], changes: bool) -> None:
    rig = Rig(jet(own_lamps={}))
    before, updates = rig.logic.changes, updates_of(rig)
    rig.fly(**values)
    assert (rig.logic.changes > before) is changes
    crossed = changes or "gear_handle" in values  # the gear looks where the simulator's handle is
    assert (updates_of(rig) > updates) is crossed
    again = updates_of(rig)
    rig.fly()
    assert updates_of(rig) == again, "the same again is nothing new"


def updates_of(rig: Rig) -> int:
    """How many updates there have been; counting begins with the first call."""
    counted: Any = rig
    if not hasattr(counted, "updates"):
        counted.updates = 0
        step = rig.logic._step
        run = step._run

        def count(*given: Any) -> bool:
            counted.updates += 1
            return run(*given)

        step._run = count  # type: ignore[assignment, method-assign]
    return int(counted.updates)


# -- facts ----------------------------------------------------------------------------------------


def without_weight(leg: int) -> tuple[bool, ...]:
    return tuple(place != leg for place in range(3))


@pytest.mark.parametrize("lifted", range(3))
def test_each_system_looks_at_the_strut_of_its_leg(lifted: int) -> None:
    """The lock of the handle at the right one, the steering at the nose."""
    rig = Rig()
    world = rig.fly(strut_compressed=without_weight(lifted))
    assert world[HandleLockFacts].compressed is (lifted != 2)
    assert world[SteeringFacts].has_weight is (lifted != 0)
    world = rig.fly(strut_compressed=(None, None, None))
    assert world[HandleLockFacts].compressed is None
    assert world[SteeringFacts].has_weight is False


@pytest.mark.parametrize(("lifted", "shut_off"), [(1, "left"), (2, "right")])
def test_the_anti_skid_looks_at_the_struts_of_the_two_sides(lifted: int, shut_off: str) -> None:
    """Before the wheels of a side have spun up its pedal brakes nothing."""
    rig = Rig(state=replace(FLYING, brake_pedal_fraction=(1.0, 1.0)))
    world = rig.fly(strut_compressed=without_weight(lifted), wheel_speed_rpm=(0.0,) * 4)
    sides = ["left", "left", "right", "right"]
    wheels = world[AntiskidFacts].wheels
    rig.fly(wheel_speed_rpm=(900.0,) * 4)
    world = rig.wait(5.0)
    free = [side for side, wheel in zip(sides, world[AntiskidFacts].wheels, strict=True)
            if not wheel.shut_off]  # fmt: skip
    assert all(wheel.shut_off for wheel in wheels)
    assert free == [side for side in sides if side != shut_off]


def test_ground_and_air_reach_those_who_ask() -> None:
    rig = Rig()

    def seen() -> tuple[bool, ...]:
        world = rig.world
        return world[TakeoffFacts].on_ground, world[AntiskidFacts].in_air

    assert seen() == (True, False)
    rig.fly(strut_compressed=(False, False, False))
    rig.wait(1.0)
    assert seen() == (False, True)
    rig.fly(strut_compressed=(None, None, None))
    rig.wait(1.0)
    assert seen() == (True, True), "while it is unknown both count"


def test_where_the_gear_is_reaches_those_who_ask() -> None:
    rig = Rig(state=FLYING)

    def seen() -> tuple[bool, ...]:
        world, speeds = rig.world, rig.world[SpeedFacts]
        down = (world[AntiskidFacts].gear_down, world[WarningFacts].all_down)
        return (*down, speeds.gear_out, speeds.retracting)

    assert seen() == (True, True, True, False)
    rig.switch(gear_handle=HandleContacts.UP)
    rig.wait(3.0)
    assert seen() == (False, False, True, True)
    assert rig.world[ColdWeatherFacts].handle_up
    rig.wait(40.0)
    assert seen() == (False, False, False, False)


def test_a_gear_that_has_not_agreed_is_asked_to_go_nowhere() -> None:
    rig = Rig(state=replace(FLYING, gear_handle=UP))
    assert rig.world[GearFacts].is_agreeing
    assert not rig.world[SpeedFacts].extending
    assert not rig.world[SpeedFacts].retracting


def test_a_refused_retraction_warns_on_the_ground_only() -> None:
    rig = Rig()
    assert not rig.world[WarningFacts].handle_up_on_ground
    rig.switch(gear_handle=HandleContacts.UP)
    assert rig.wait(1.0)[WarningFacts].handle_up_on_ground
    rig.fly(strut_compressed=(None, None, None))
    assert not rig.wait(1.0)[WarningFacts].handle_up_on_ground


CONSUMERS = ("gear", "wheel_brakes", "parking_brake")


@pytest.mark.parametrize("served", [(), *[(one,) for one in CONSUMERS], CONSUMERS])
def test_pressure_reaches_its_consumers_and_only_they(served: Sequence[str]) -> None:
    """The engines' supplies serve some of them alone, without an accumulator."""
    supply = {"engine": 1, "kind": "engine_pump", "flow_l_per_s": 0.3, "serves": ["flaps", *served]}
    idle = {"engine": 2, "kind": "engine_pump", "flow_l_per_s": 0.3, "serves": list(CONSUMERS)}
    numbers = {
        "supplies": [supply, idle],
        "internal_leak_l_per_s": 0.0,
        "accumulator": {"serves": ["flaps"]},
    }
    state = replace(STANDING, engine_running=(True, False), brake_pedal_fraction=(1.0, 1.0))
    brakes = {**JET["brakes"], "accumulator": None}  # no energy is stored either
    rig = Rig(jet(hydraulics=numbers, brakes=brakes), state)
    world = rig.switch(parking_brake=1.0)
    assert set(world[HydraulicsFacts].served) == {"flaps", *served}
    assert world[GearFacts].supplied is ("gear" in served)
    assert world[SteeringFacts].powered is ("gear" in served)
    assert world[BrakesFacts].side_fractions == ((1.0, 1.0) if "wheel_brakes" in served else (0, 0))
    assert world[BrakesFacts].parking_holds is ("parking_brake" in served)


def test_a_fed_pressure_reaches_the_hydraulics() -> None:
    rig = Rig(jet(authority={"hydraulics": "feed"}))
    assert rig.world[HydraulicsFacts].serves("gear")
    assert not rig.fly(hydraulic_pressure_psi=100.0)[HydraulicsFacts].serves("gear")


def test_the_emergency_bottle_drives_legs_and_takes_the_steering() -> None:
    rig = Rig(state=FLYING)
    rig.switch(gear_handle=HandleContacts.UP)
    rig.wait(40.0)
    assert rig.world[GearFacts].all_up
    assert rig.world[SteeringFacts].available
    rig.fly(engine_running=(False, False))
    rig.wait(60.0)
    world = rig.switch(emergency_extend=True)
    assert world[EmergencyFacts].means == "air"
    assert not world[SteeringFacts].available
    assert rig.wait(40.0)[GearFacts].all_down


def test_what_the_brakes_do_reaches_the_anti_skid() -> None:
    rig = Rig()

    def working() -> tuple[bool, bool]:
        facts = rig.world[AntiskidFacts]
        return facts.parked, any(wheel.running for wheel in facts.wheels)

    rig.wait(5.0)
    assert working() == (False, True)
    rig.switch(parking_brake=1.0)
    rig.wait(5.0)
    assert working()[0]
    rig.switch(parking_brake=0.0, emergency_brake=1.0)
    rig.wait(5.0)
    assert rig.world[BrakesFacts].emergency_braking
    assert not rig.world[AntiskidFacts].parked


def test_the_emergency_brake_takes_air_of_the_bottle() -> None:
    rig = Rig()

    def air_psi() -> float:
        return rig.world[EmergencyFacts].air.at(rig.now_s)

    full_psi = air_psi()
    for number in range(43):
        rig.switch(emergency_brake=1.0)
        rig.wait(2.0)
        rig.switch(emergency_brake=0.0)
        rig.wait(2.0)
        assert air_psi() < full_psi or number
    world = rig.switch(emergency_brake=1.0)
    assert not world[EmergencyFacts].has_air
    result = rig.logic.step(rig.now_s, rig.switches, rig.aircraft)
    assert result.commands.brake_fraction == (0.0, 0.0, 0.0, 0.0)


def test_a_moving_gear_takes_fluid() -> None:
    """Hydraulics stand before the gear: in the same step they see what it draws."""
    pump = {"engine": 1, "kind": "engine_pump", "flow_l_per_s": 0.1}
    rig = Rig(jet(hydraulics={"supplies": [pump], "internal_leak_l_per_s": 0.0}), FLYING)
    assert rig.world[HydraulicsFacts].accumulator_l.rate == 0.0
    world = rig.switch(gear_handle=HandleContacts.UP)
    assert world[GearFacts].flow_l_per_s == 0.12
    assert world[HydraulicsFacts].accumulator_l.rate == pytest.approx(0.1 - 0.12)
    world = rig.wait(60.0)
    assert world[GearFacts].flow_l_per_s == 0.0
    assert world[HydraulicsFacts].accumulator_l.rate == 0.0


def test_pedals_of_the_panel_and_of_the_feed_both_count() -> None:
    rig = Rig()

    def braked() -> tuple[float, float]:
        return rig.world[BrakesFacts].side_fractions

    rig.switch(left_brake=0.5, right_brake=None)
    rig.fly(brake_pedal_fraction=(0.75, 1.0))
    assert braked() == (0.75, 1.0)
    rig.fly(brake_pedal_fraction=(0.25,))
    assert braked() == (0.55, 0.0), "a play of one step"
    rig.fly(brake_pedal_fraction=())
    assert braked() == (0.55, 0.0), "a play of one step"


def test_brakes_that_the_feed_reports_are_shown_as_reported() -> None:
    rig = Rig(jet(authority={"brakes": "feed", "antiskid": "feed"}))
    rig.fly(brake_pressure_psi=(1000.0, 900.0))
    assert rig.logic.view().values["left_brake_psi"] == 1000.0
    rig.fly(antiskid_working=(True, False, True, True))
    lamps = rig.logic.step(rig.now_s, rig.switches, rig.aircraft).outputs.lamps
    lit = [name for name, level in lamps.items() if level and name.endswith("antiskid_amber")]
    assert lit == ["left_inner_antiskid_amber"]


def test_a_lock_switch_of_the_feed_moves_the_leg() -> None:
    rig = Rig(jet(authority={"legs": "feed"}), state=FLYING)
    assert rig.fly(leg_locks=(LOCKED_DOWN, LOCKED_DOWN, LOCKED_DOWN))[GearFacts].all_down
    assert not rig.fly(leg_locks=(LOCKED_DOWN, LegLocks(), LOCKED_DOWN))[GearFacts].all_down


def test_only_parts_that_there_are_break() -> None:
    rig = Rig()
    with pytest.raises(LogicError, match="no fault target is named 'propeller'"):
        rig.logic.set_fault(rig.now_s, "propeller", "failed")
    with pytest.raises(LogicError, match="'nose' cannot be 'upside_down'") as caught:
        rig.logic.set_fault(rig.now_s, "nose", "upside_down")
    assert "hung" in caught.value.hint
    rig.logic.set_fault(rig.now_s, "nose", "hung")
    rig.logic.set_fault(rig.now_s, "nose", None)
    with pytest.raises(LogicError, match="cannot run backwards"):
        rig.logic.set_fault(rig.now_s - 1.0, "nose", None)


def test_the_demand_of_a_gear_that_was_never_asked_is_where_it_is() -> None:
    assert Rig().world[GearFacts].demand is DOWN


def test_systems_of_one_aircraft_share_no_state() -> None:
    aircraft = jet()
    ones, others = fresh_systems(aircraft), fresh_systems(aircraft)
    for one, other in zip(ones, others, strict=True):
        assert one is not other
        assert one.noted is not other.noted
        assert one.lamps is other.lamps


def test_no_part_of_a_system_holds_on_to_it() -> None:
    for system in fresh_systems(jet()):
        parts = [system, *[one for one in vars(system).values() if hasattr(one, "__dict__")]]
        held = [getattr(one, "__self__", one) for part in parts for one in vars(part).values()]
        assert not any(isinstance(one, System) for one in held), type(system)


def test_another_aircraft_has_systems_of_its_own() -> None:
    aircraft = jet()
    assert kinds_of(fresh_systems(aircraft)) == kinds_of(make_systems(aircraft))
    copy = aircraft.model_copy(update={"speed_limits": None})
    assert kinds_of(fresh_systems(copy)) == kinds_of(make_systems(copy))
    assert len(fresh_systems(copy)) < len(fresh_systems(aircraft))


def kinds_of(systems: Sequence[System[Any]]) -> list[type[System[Any]]]:
    return [type(one) for one in systems]
