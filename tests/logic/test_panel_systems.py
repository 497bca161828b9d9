"""What a panel with optional systems shows and commands, and what it says before it has run."""

from __future__ import annotations

from typing import Any

from msgspec.structs import replace

from panelbridge.logic.inventory import lamps_of
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.logic.panel_numbers import PanelNumbers
from panelbridge.logic.steering.shaping import PedalShaping
from panelbridge.signals import LegState
from tests.logic.build import DOWN, LOCKED_DOWN, UP, Bench, air, changed, fed_twin, switches, twin
from tests.logic.test_systems import AT_REST, STANDING, jet

WHEELS = [{"name": "left", "side": "left"}, {"name": "right", "side": "right"}]
SIMPLE_BRAKES: dict[str, Any] = {
    "wheels": WHEELS,
    "needs_hydraulics": False,
    "emergency_brake": False,
}


def test_asked_before_it_has_run_it_knows_nothing_and_says_so() -> None:
    logic = PanelLogic(jet())
    assert logic.changes == 0
    for name in (*lamps_of(jet()), "horn"):
        assert logic.reasons(name), name
    assert logic.view().gear_demand is None
    assert logic.view().warning_causes == ()


def test_the_panels_own_pedals_shape_the_steering() -> None:
    angles = []
    for shaping in (PedalShaping(), PedalShaping(dead_zone_fraction=0.0, scale=0.5)):
        logic = PanelLogic(jet(), PanelNumbers(shaping=shaping))
        turned = AT_REST.having(tiller=1.0)
        logic.step(0.0, turned, STANDING)
        while logic.next_due_s < 60.0:  # until there is pressure
            logic.step(logic.next_due_s, turned, STANDING)
        pressed = turned.having(steering_button=True)
        angles.append(logic.step(60.0, pressed, STANDING).commands.steering_deg)
        centred = pressed.having(tiller=0.5)
        angles.append(logic.step(61.0, centred, STANDING).commands.steering_deg)
    assert angles == [52.0, 0.0, 26.0, 0.0]


def test_brakes_without_anti_skid_brake() -> None:
    bench = Bench(twin(brakes=SIMPLE_BRAKES))
    state = air(strut_compressed=(True, True, True), brake_pedal_fraction=(1.0, 0.0))
    bench.at(0.0, switches("down", parking_brake=0.0), state)
    bench.after(1.0)
    assert bench.result.commands.brake_fraction == (1.0, 0.0)
    assert not bench.result.commands.antiskid
    assert not bench.result.commands.parking_brake


def test_gauges_have_steps_of_their_own() -> None:
    logic = PanelLogic(jet(authority={"hydraulics": "feed"}))
    logic.step(0.0, AT_REST, STANDING)
    stored = replace(STANDING, hydraulic_pressure_psi=0.0)
    seen = set()
    for number in range(40):
        pressed = AT_REST.having(left_brake=number % 2 * 0.75)
        gauges = logic.step(61.0 + number, pressed, stored).outputs.gauges
        seen.add(gauges["brake_accumulator"])
    assert len(seen) > 5
    assert all(value % 10 == 0 for value in seen), "in steps of 10 psi"
    assert any(value % 50 for value in seen), "the needle of the hydraulics goes in 50 psi"
    assert gauges["emergency_air"] % 10 == 0


def test_strokes_of_the_hand_pump_bring_the_legs_down() -> None:
    bench = Bench(twin(emergency={"means": "hand_pump"}, gear_power={"power": "electric_pack"}))
    off = air(gear_handle=UP, bus_powered=False)
    bench.at(0.0, switches("up", emergency_extend=False, hand_pump=False), off)
    bench.after(1.0, changed(bench.switches, emergency_extend=True))
    bench.after(20.0)
    assert LegState.DOWN_LOCKED not in bench.leg_states
    for _ in range(40):
        bench.after(0.5, changed(bench.switches, hand_pump=True))
        bench.after(1.0, changed(bench.switches, hand_pump=False))
    assert bench.all_locked_down


def test_an_emergency_extension_goes_on_with_the_handle_up_and_locks_retraction_out() -> None:
    bench = Bench(twin(emergency={"means": "air"}, gear_power={"power": "electric_pack"}))
    off = air(gear_handle=UP, bus_powered=False)
    bench.at(0.0, switches("up", emergency_extend=False), off)
    bench.after(1.0, changed(bench.switches, emergency_extend=True))
    bench.after(30.0)
    assert bench.all_locked_down
    bench.after(1.0, aircraft=changed(off, bus_powered=True))
    bench.after(30.0)
    assert bench.all_locked_down
    assert bench.logic.view().values["gear_selection"] == "locked_out"


def test_a_leg_of_the_feed_breaks_when_it_is_broken() -> None:
    bench = Bench(fed_twin())
    bench.at(0.0, switches("down"), air(gear_handle=UP, leg_locks=(LOCKED_DOWN,) * 3))
    bench.at(5.0)
    bench.events.clear()
    bench.logic.set_fault(7.25, "left", "contradictory")
    bench.at(8.0)
    assert bench.events
    assert {event.time_s for event in bench.events} == {7.25}


def test_what_is_due_at_an_instant_comes_before_what_changes_then() -> None:
    """The left leg leaves its lock at the very instant at which the handle goes down again.

    So a step at that instant before the handle moves changes nothing.
    """
    bench = Bench(twin(gear_power={"power": "none_needed"}))
    bench.at(0.0, switches("down"), air(gear_handle=DOWN))
    bench.at(1.0, switches("up"))
    bench.events.clear()
    bench.at(1.0 + 0.6, switches("down"))
    at_once = [(one.name, one.subject) for one in bench.events if one.time_s == 1.6]
    assert at_once == [
        ("leg_unlocked", "left"),
        ("gear_handle_moved_down", ""),
        ("gear_down_commanded", ""),
        ("leg_locked_down", "left"),
    ]
