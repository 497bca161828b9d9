"""The composition: which systems an aircraft has, what each is told, and when they have to look.

What the systems do with it is tested with them; here stands that it reaches the right one.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace
from typing import Any

import pytest

from panelbridge.clock import TimerHeap
from panelbridge.errors import LogicError
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.events import EventLog
from panelbridge.logic.systems import Systems
from panelbridge.signals import (
    AircraftState,
    GearPosition,
    HandleContacts,
    LegLocks,
    SwitchState,
)
from tests.logic.build import DOWN, FREE, LOCKED_DOWN, UP, twin
from tests.logic.whole_aircraft import JET

FAST_JET = {**JET, "air_ground": {"settle_s": 0.0, "disagree_limit_s": 60.0}}
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
    dimmer_fraction=1.0,
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
    parking_brake_fraction=0.0,
    emergency_brake_fraction=0.0,
    left_brake_fraction=0.0,
    right_brake_fraction=0.0,
    tiller_fraction=0.5,
)


def jet(**changes: Any) -> AircraftParameters:
    """The jet with everything, with some of its groups changed; None takes one away."""
    return AircraftParameters.model_validate({**FAST_JET, **changes})


class Rig:
    """The systems, stepped by hand.

    Args:
        aircraft: its numbers.
        state: how the aircraft is found.
    """

    def __init__(
        self, aircraft: AircraftParameters | None = None, state: AircraftState = STANDING
    ) -> None:
        self.timers, self.log = TimerHeap(), EventLog()
        self.systems = Systems(aircraft or jet(), self.timers, self.log)
        self.now_s = 0.0
        self.switches, self.aircraft = SwitchState(), AircraftState()
        self.looked = False
        self.step(AT_REST, state)
        self.systems.gear.place(0.0, state)
        self.step()
        self.wait(30.0)

    def step(
        self, switches: SwitchState | None = None, aircraft: AircraftState | None = None
    ) -> bool:
        """Give switches and aircraft; True when the systems asked to look because of it."""
        look = False
        if switches is not None:
            self.switches = switches
            look = self.systems.take_switches(self.now_s, switches)
        if aircraft is not None:
            self.aircraft = aircraft
            look = self.systems.take_aircraft(self.now_s, aircraft) or look
        self.systems.update(self.now_s)
        return look

    def switch(self, **changes: Any) -> bool:
        return self.step(switches=replace(self.switches, **changes))

    def fly(self, **changes: Any) -> bool:
        return self.step(aircraft=replace(self.aircraft, **changes))

    def wait(self, step_s: float) -> None:
        """Let the time pass, with all timers."""
        until_s = self.now_s + step_s
        while (due := self.timers.pop_due(until_s)) is not None:
            self.now_s = due[0]
            self.systems.timer_due(*due)
            self.systems.update(self.now_s)
        self.now_s = until_s
        self.systems.update(self.now_s)

    def told(self, system: str, monkeypatch: pytest.MonkeyPatch) -> Callable[[str], Any]:
        """What a system is told from now on, by keyword; the last look counts."""
        part, last = getattr(self.systems, system), {}
        really = part.update

        def update(now_s: float, *others: Any, **words: Any) -> None:
            assert now_s == self.now_s
            last.update(words)
            really(now_s, *others, **words)

        monkeypatch.setattr(part, "update", update)
        self.systems.update(self.now_s)
        return lambda word: last[word]


# -- which systems there are ----------------------------------------------------------------------

OPTIONAL = {
    "hydraulics": "hydraulics",
    "emergency": "emergency",
    "brakes": "brakes",
    "antiskid": "antiskid",
    "speed_limits": "speeds",
    "cold_weather": "cold",
}


def test_a_plain_aircraft_has_no_system_that_its_file_does_not_name() -> None:
    systems = Systems(twin(steering={"steering_leg": None}), TimerHeap(), EventLog())
    for name in ("handle_lock", "steering", *OPTIONAL.values()):
        assert getattr(systems, name) is None, name
    assert systems.parts == (systems.gear.selection, systems.gear.legs, systems.gear.power)


def test_the_parts_stand_in_one_order() -> None:
    systems = Rig().systems
    gear = (systems.gear.selection, systems.gear.legs, systems.gear.power)
    names = ("hydraulics", "emergency", "handle_lock", "steering", "brakes", "antiskid", "speeds")
    assert systems.parts == (*gear, *(getattr(systems, name) for name in (*names, "cold")))


@pytest.mark.parametrize("group", ["antiskid", "speed_limits", "cold_weather"])
def test_a_group_that_is_taken_away_takes_its_system_along(group: str) -> None:
    rig = Rig(jet(**{group: None}))
    assert getattr(rig.systems, OPTIONAL[group]) is None
    assert len(rig.systems.parts) == len(Rig().systems.parts) - 1


# -- what each system is told ---------------------------------------------------------------------

SWITCH_WIRES = [
    ("hydraulics", "aux_switch", "aux_pump", True),
    ("hydraulics", "fluid_test", "fluid_test", True),
    ("emergency", "handle", "emergency_extend", True),
    ("emergency", "hand_pump", "hand_pump", True),
    ("emergency", "gear_reset", "gear_reset", True),
    ("gear", "gear_reset", "gear_reset", True),
    ("handle_lock", "release", "downlock_release", True),
    ("steering", "button", "steering_button", True),
    ("steering", "second_button", "second_steering_button", True),
    ("brakes", "parking_lever", "parking_brake_fraction", 0.75),
    ("brakes", "emergency_lever", "emergency_brake_fraction", 0.75),
    ("antiskid", "switch", "antiskid", False),
    ("cold", "cold_weather", "cold_weather", True),
    ("cold", "antiskid_on", "antiskid", False),
]


@pytest.mark.parametrize(("system", "word", "switch", "value"), SWITCH_WIRES)
def test_a_switch_reaches_its_system(
    system: str, word: str, switch: str, value: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    rig = Rig()
    told = rig.told(system, monkeypatch)
    assert told(word) == getattr(AT_REST, switch)
    assert rig.switch(**{switch: value}), "the systems have to look"
    assert told(word) == value
    rig.switch(**{switch: None})
    assert told(word) is None


AIRCRAFT_WIRES = [
    ("hydraulics", "engine_running", "engine_running", (True, False)),
    ("hydraulics", "bus_powered", "bus_powered", False),
    ("handle_lock", "bus_powered", "bus_powered", False),
    ("steering", "bus_powered", "bus_powered", False),
    ("antiskid", "bus_powered", "bus_powered", False),
]


@pytest.mark.parametrize(("system", "word", "name", "value"), AIRCRAFT_WIRES)
def test_a_value_of_the_aircraft_reaches_its_system(
    system: str, word: str, name: str, value: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    rig = Rig()
    told = rig.told(system, monkeypatch)
    assert told(word) == getattr(STANDING, name)
    assert rig.fly(**{name: value}), "the systems have to look"
    assert told(word) == value


def test_a_told_pressure_reaches_the_hydraulics(monkeypatch: pytest.MonkeyPatch) -> None:
    rig = Rig(jet(authority={"hydraulics": "feed"}))
    told = rig.told("hydraulics", monkeypatch)
    assert rig.fly(hydraulic_pressure_psi=100.0)
    assert told("told_pressure_psi") == 100.0
    assert rig.systems.hydraulics is not None
    assert not rig.systems.hydraulics.serves("gear")


STRUT_WIRES = [
    ("handle_lock", "compressed", 2),
    ("steering", "compressed", 0),
    ("antiskid", "left_on_ground", 1),
    ("antiskid", "right_on_ground", 2),
]


@pytest.mark.parametrize(("system", "word", "leg"), STRUT_WIRES)
def test_each_system_looks_at_the_strut_of_its_leg(
    system: str, word: str, leg: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    rig = Rig()
    told = rig.told(system, monkeypatch)
    for other in range(3):
        struts = [True, True, True]
        struts[other] = False
        assert rig.fly(strut_compressed=tuple(struts))
        assert told(word) is (other != leg)
    rig.fly(strut_compressed=(None, None, None))
    assert told(word) is None


def test_ground_and_air_reach_those_who_ask(monkeypatch: pytest.MonkeyPatch) -> None:
    rig = Rig()
    brakes, cold, emergency, antiskid = (
        rig.told(name, monkeypatch) for name in ("brakes", "cold", "emergency", "antiskid")
    )

    def seen() -> tuple[Any, ...]:
        return (
            brakes("on_ground"),
            cold("on_ground"),
            emergency("on_ground"),
            antiskid("in_air"),
        )

    assert seen() == (True, True, True, False)
    rig.fly(strut_compressed=(False, False, False))
    rig.wait(1.0)
    assert seen() == (False, False, False, True)
    # While nobody knows, no rule of the air ends and none of the ground begins.
    rig.fly(strut_compressed=(None, None, None))
    rig.wait(1.0)
    assert seen() == (None, None, False, True)


def test_where_the_handle_stands_reaches_those_who_ask(monkeypatch: pytest.MonkeyPatch) -> None:
    rig = Rig()
    lock, cold = rig.told("handle_lock", monkeypatch), rig.told("cold", monkeypatch)
    assert (lock("handle"), cold("handle")) == (DOWN, DOWN)
    rig.switch(gear_handle=HandleContacts.BETWEEN)
    rig.wait(0.2)
    rig.switch(gear_handle=HandleContacts.UP)
    rig.wait(0.2)
    assert (lock("handle"), cold("handle")) == (UP, UP)
    rig.switch(gear_handle=HandleContacts.UNKNOWN)
    rig.wait(5.0)
    assert (lock("handle"), cold("handle")) == (None, None)


def test_where_the_gear_is_reaches_those_who_ask(monkeypatch: pytest.MonkeyPatch) -> None:
    rig = Rig(state=FLYING)
    words = ("emergency", "antiskid", "warning", "speeds", "cold")
    emergency, antiskid, warning, speeds, cold = (rig.told(one, monkeypatch) for one in words)

    def seen() -> tuple[Any, ...]:
        down = (emergency("gear_down"), antiskid("gear_down"), cold("all_down"))
        assert speeds("all_down") is warning("all_down")
        return (*down, warning("all_down"), speeds("all_up"), speeds("demand"))

    assert seen() == (True, True, True, True, False, DOWN)
    rig.switch(gear_handle=HandleContacts.UP)
    rig.wait(3.0)
    assert seen() == (False, False, False, False, False, UP)
    rig.wait(40.0)
    assert seen() == (False, False, False, False, True, UP)


def test_a_gear_that_has_not_agreed_is_asked_to_go_nowhere(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    rig = Rig(state=replace(FLYING, gear_handle=UP))
    assert rig.told("speeds", monkeypatch)("demand") is None


def test_a_refused_retraction_warns_on_the_ground_only(monkeypatch: pytest.MonkeyPatch) -> None:
    rig = Rig()
    told = rig.told("warning", monkeypatch)
    assert told("handle_up_on_ground") is False
    rig.switch(gear_handle=HandleContacts.UP)
    rig.wait(1.0)
    assert told("handle_up_on_ground") is True
    rig.fly(strut_compressed=(None, None, None))
    rig.wait(1.0)
    assert told("handle_up_on_ground") is False


def test_pressure_reaches_its_consumers_and_only_they(monkeypatch: pytest.MonkeyPatch) -> None:
    served: set[str] = set()
    rig = Rig()
    assert rig.systems.hydraulics is not None
    monkeypatch.setattr(rig.systems.hydraulics, "serves", lambda consumer: consumer in served)
    gear, steering, brakes = (
        rig.told(name, monkeypatch) for name in ("gear", "steering", "brakes")
    )

    def seen() -> tuple[Any, ...]:
        rig.systems.update(rig.now_s)
        return (
            gear("hydraulic"),
            steering("has_pressure"),
            brakes("has_pressure"),
            brakes("has_parking_pressure"),
        )

    assert seen() == (False, False, False, False)
    served.add("gear")
    assert seen() == (True, True, False, False)
    served.add("wheel_brakes")
    assert seen() == (True, True, True, False)
    served.clear()
    served.add("parking_brake")
    assert seen() == (False, False, False, True)


def test_the_emergency_bottle_drives_legs_and_brakes_and_takes_the_steering(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    rig = Rig()
    gear, steering, brakes = (
        rig.told(name, monkeypatch) for name in ("gear", "steering", "brakes")
    )
    assert (gear("emergency"), gear("stroke")) == (None, False)
    assert (steering("available"), brakes("has_air")) == (True, True)
    rig.switch(emergency_extend=True)
    rig.wait(1.0)
    assert gear("emergency") == "air"
    assert steering("available") is False


def test_strokes_of_the_hand_pump_reach_the_gear(monkeypatch: pytest.MonkeyPatch) -> None:
    rig = Rig(jet(emergency={"means": "hand_pump"}, brakes=None, antiskid=None))
    told = rig.told("gear", monkeypatch)
    rig.switch(emergency_extend=True)
    rig.wait(1.0)
    assert (told("emergency"), told("stroke")) == ("hand_pump", False)
    rig.switch(hand_pump=True)
    assert told("stroke") is True


def test_what_the_brakes_do_reaches_the_anti_skid(monkeypatch: pytest.MonkeyPatch) -> None:
    rig = Rig()
    told = rig.told("antiskid", monkeypatch)
    assert (told("parked"), told("emergency_braking"), told("braked")) == (False, False, (0, 0))
    rig.switch(left_brake_fraction=1.0)
    rig.wait(5.0)
    assert told("braked") == (1.0, 0.0)
    rig.switch(left_brake_fraction=0.0, parking_brake_fraction=1.0)
    rig.wait(5.0)
    assert told("parked") is True
    rig.switch(parking_brake_fraction=0.0, emergency_brake_fraction=1.0)
    rig.wait(5.0)
    assert (told("parked"), told("emergency_braking")) == (False, True)


def test_the_emergency_brake_takes_air_of_the_bottle() -> None:
    rig = Rig()
    assert rig.systems.emergency is not None

    def air_psi() -> float:
        assert rig.systems.emergency is not None
        value = rig.systems.emergency.values(rig.now_s)["emergency_air_psi"]
        assert isinstance(value, float)
        return value

    full_psi = air_psi()
    for _ in range(3):
        rig.switch(emergency_brake_fraction=1.0)
        rig.wait(2.0)
        rig.switch(emergency_brake_fraction=0.0)
        rig.wait(2.0)
    assert air_psi() < full_psi
    for _ in range(40):
        rig.switch(emergency_brake_fraction=1.0)
        rig.wait(2.0)
        rig.switch(emergency_brake_fraction=0.0)
        rig.wait(2.0)
    assert rig.systems.brakes is not None
    rig.switch(emergency_brake_fraction=1.0)
    assert not rig.systems.emergency.has_brake_air
    assert rig.systems.brakes.wheel_fractions(()) == (0.0, 0.0, 0.0, 0.0)


def test_a_moving_gear_takes_fluid(monkeypatch: pytest.MonkeyPatch) -> None:
    rig = Rig(state=FLYING)
    drawn: list[tuple[float, dict[str, float]]] = []
    hydraulics = rig.systems.hydraulics
    assert hydraulics is not None
    really = hydraulics.draw

    def draw(now_s: float, flows: dict[str, float]) -> None:
        drawn.append((now_s, flows))
        really(now_s, flows)

    monkeypatch.setattr(hydraulics, "draw", draw)
    rig.switch(gear_handle=HandleContacts.UP)
    rig.wait(3.0)
    assert drawn[-1] == (rig.now_s, {"gear": 0.12})
    rig.wait(60.0)
    assert drawn[-1] == (rig.now_s, {"gear": 0.0})


def test_pedals_of_the_panel_and_of_the_feed_both_count(monkeypatch: pytest.MonkeyPatch) -> None:
    rig = Rig()
    seen: dict[str, Any] = {}
    for name in ("brakes", "cold", "steering"):
        part = getattr(rig.systems, name)

        def take(*given: Any, name: str = name, really: Any = part.take_pedals) -> bool:
            seen[name] = given
            return bool(really(*given))

        monkeypatch.setattr(part, "take_pedals", take)
    rig.switch(left_brake_fraction=0.5, right_brake_fraction=None, tiller_fraction=0.25)
    rig.fly(brake_pedal_fraction=(0.75, 0.25), steering_pedal_fraction=-0.5)
    assert seen["brakes"] == ((0.5, None), (0.75, 0.25))
    assert seen["cold"] == (rig.now_s, 0.75, 0.25)
    assert seen["steering"] == (-0.5, 0.25)
    rig.fly(brake_pedal_fraction=(0.25,))
    assert seen["cold"] == (rig.now_s, 0.5, None)
    rig.fly(brake_pedal_fraction=())
    assert seen["cold"] == (rig.now_s, 0.5, None)


def test_brakes_that_the_feed_tells_are_shown_as_told() -> None:
    rig = Rig(jet(authority={"brakes": "feed", "antiskid": "feed"}))
    assert rig.systems.brakes is not None
    assert rig.fly(brake_pressure_psi=(1000.0, 900.0))
    values = rig.systems.brakes.values(rig.now_s)
    assert 1000.0 in values.values()
    assert rig.fly(antiskid_working=(True, False, True, True))
    assert rig.systems.antiskid is not None
    lit = [lamp for lamp, on in rig.systems.antiskid.lit().items() if on]
    assert [lamp.rpartition("_")[0] for lamp in lit] == ["left_inner_antiskid"]


# -- when they have to look -----------------------------------------------------------------------

UNSEEN = ("lamp_test", "warning_test", "dimmer_fraction", "night")
WHILE_STEERING = "tiller_fraction"


@pytest.mark.parametrize("switch", [field.name for field in fields(SwitchState)])
def test_a_switch_is_looked_at_unless_only_the_lamps_read_it(switch: str) -> None:
    rig = Rig(state=STANDING if switch == WHILE_STEERING else FLYING)
    rig.switch(steering_button=switch == WHILE_STEERING)
    rig.fly(throttle_fraction=(0.0, 0.0), flap_deg=0.0)
    rig.wait(2.0)
    found = getattr(AT_REST, switch)
    value: Any = HandleContacts.UP if switch == "gear_handle" else not found
    if isinstance(found, float):
        value = 0.125
    if switch in ("lever_horn_silence", "horn_silence"):
        rig.switch(gear_handle=HandleContacts.UP)  # then there is a horn to silence
        rig.wait(60.0)
    assert rig.switch(**{switch: value}) is (switch not in UNSEEN)
    assert not rig.step(switches=replace(rig.switches)), "the same again is nothing new"


@pytest.mark.parametrize(
    ("authority", "changes", "seen"),
    [
        ({}, {"leg_locks": (FREE, LOCKED_DOWN, LOCKED_DOWN)}, False),
        ({"legs": "feed"}, {"leg_locks": (FREE, LOCKED_DOWN, LOCKED_DOWN)}, True),
        ({"brakes": "feed"}, {"brake_pressure_psi": (500.0, 500.0)}, True),
        ({}, {"antiskid_working": (False, True, True, True)}, False),
        ({"antiskid": "feed"}, {"antiskid_working": (False, True, True, True)}, True),
        ({}, {"engine_running": (False, True)}, True),
        ({}, {"steering_pedal_fraction": 0.7}, True),
        ({}, {"brake_pedal_fraction": (0.7, 0.7)}, True),
        ({}, {"wheel_speed_rpm": (900.0, 900.0, 900.0, 900.0)}, True),
        ({}, {"bus_powered": False}, True),
        ({}, {"gear_handle": UP}, True),
        ({}, {"strut_compressed": (True, True, False)}, True),
        ({}, {"airspeed_kias": 1.0}, False),
        ({}, {"altitude_ft": 501.0}, False),
        ({}, {"altitude_ft": 12_500.0}, True),
        ({}, {"throttle_fraction": (0.9, 0.9)}, True),
        ({}, {"flap_deg": 40.0}, True),
        ({}, {"ground_speed_kt": 20.0}, False),
    ],
)
def test_only_what_a_system_reads_is_looked_at(
    authority: dict[str, str], changes: dict[str, Any], seen: bool
) -> None:
    # A builder's lamps may read anything.
    rig = Rig(jet(authority=authority, own_lamps={}, lamps={}))
    assert rig.fly(**changes) is seen
    assert not rig.step(aircraft=replace(rig.aircraft)), "the same again is nothing new"


def test_a_lock_switch_of_the_feed_moves_the_leg() -> None:
    rig = Rig(jet(authority={"legs": "feed"}), state=FLYING)
    rig.fly(leg_locks=(LOCKED_DOWN, LOCKED_DOWN, LOCKED_DOWN))
    assert rig.systems.gear.locks.all_down
    rig.fly(leg_locks=(LOCKED_DOWN, LegLocks(), LOCKED_DOWN))
    assert not rig.systems.gear.locks.all_down


def test_a_timer_that_nobody_knows_wakes_nobody() -> None:
    rig = Rig()
    rig.systems.timer_due(rig.now_s, ("nobody", 1))
    rig.systems.timer_due(rig.now_s, "nothing")


def test_only_parts_that_there_are_break() -> None:
    rig = Rig()
    with pytest.raises(LogicError, match="the aircraft has no part 'propeller' that could break"):
        rig.systems.set_fault(rig.now_s, "propeller", "failed")
    rig.systems.set_fault(rig.now_s, "nose", "hung")
    rig.systems.update(rig.now_s)
    rig.systems.set_fault(rig.now_s, "nose", None)


def test_the_demand_of_a_gear_that_was_never_asked_is_where_it_is() -> None:
    assert Rig().systems.gear.selection.demand is GearPosition.DOWN
