"""Switches that stay where they are put keep their effect while their board is lost.

Our own decision. What is conserved: the commands and everything that a system decides. Limits: at
start-up unknown has no effect; a switch at rest has none to keep; a lever within 0.05 of its rest
is at rest; buttons are let go at once.

By hand: emergency brake at 0.6, lost: 0.6 on every wheel, for ever; back at 0.8: 0.8. Anti-skid
off, lost, back on: found on, no self-test.
"""

from __future__ import annotations

import pickle
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.inventory import switches_of, vocabulary_of
from panelbridge.logic.kit.handles import Lever
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.logic.systems import SWITCHES
from panelbridge.signals import AircraftState, GearPosition, HandleContacts, SwitchState
from tests.examples import examples
from tests.logic.whole_aircraft import KINDS, PLAIN

STAYS = {name: switch for name, switch in SWITCHES.items() if switch.stays}
# Lamps of the builder's own follow signals, which are unknown meanwhile.
JET = AircraftParameters.model_validate({**PLAIN["jet"], "own_lamps": {}})
ROLLING = AircraftState(
    strut_compressed=(True,) * 3,
    throttle_fraction=(0.2, 0.2),
    engine_running=(True, True),
    wheel_speed_rpm=(600.0,) * 4,
    brake_pedal_fraction=(0.5, 0.5),
    ground_speed_kt=60.0,
    airspeed_kias=60.0,
    flap_deg=0.0,
)


def positions(**changes: Any) -> SwitchState:
    """Every switch that stays, at rest; and others."""
    rest = {n: one.rest if isinstance(one, Lever) else False for n, one in STAYS.items()}
    return SwitchState(**{**rest, "parking_brake": 0.0, **changes})


def lost() -> SwitchState:
    """Every board is lost."""
    return SwitchState()


def test_which_switches_stay() -> None:
    assert set(STAYS) == {
        "antiskid",
        "aux_pump",
        "cold_weather",
        "dimmer",
        "emergency_brake",
        "emergency_extend",
        "gear_breaker",
        "night",
    }


@st.composite
def operated(draw: st.DrawFn) -> dict[str, Any]:
    """Switches that stay, operated."""
    of_jet = sorted({*STAYS} & {*switches_of(JET)})
    names = draw(st.sets(st.sampled_from(of_jet), min_size=1))
    return {
        name: draw(st.sampled_from([0.3, 0.6, 1.0])) if isinstance(SWITCHES[name], Lever) else True
        for name in sorted(names)
    }


@settings(max_examples=examples(60), deadline=None)
@given(put=operated(), wait_s=st.sampled_from([0.0, 0.3, 40.0]))
def test_law_what_stays_keeps_its_effect_while_it_is_unknown(
    put: dict[str, Any], wait_s: float
) -> None:
    kept, gone = PanelLogic(JET), PanelLogic(JET)
    for logic in (kept, gone):
        logic.step(0.0, positions(), ROLLING)
        logic.step(1.0, positions(**put), ROLLING)
        logic.step(1.0 + wait_s, positions(**put), ROLLING)
    at_s = 1.5 + wait_s
    for now_s in (at_s, at_s + 2.0, at_s + 300.0):
        # Only the parking brake's lever is looked at by its signal: lost, it lights its lamp.
        expected = kept.step(now_s, positions(**put), ROLLING)
        found = gone.step(now_s, lost().having(parking_brake=0.0), ROLLING)
        assert found == expected
    signals, world = vocabulary_of(JET), gone.world()
    for name in put:
        assert signals[name].read(world) is None, "its signal is unknown"
    assert gone.view().faults[:-1] == kept.view().faults
    assert gone.view().faults[-1].startswith("no signal: the last position counts for ")
    back = positions(**put)
    assert gone.step(at_s + 301.0, back, ROLLING) == kept.step(at_s + 301.0, back, ROLLING)
    assert gone.view() == kept.view()


def test_a_circuit_breaker_that_was_pulled_stays_pulled() -> None:
    """Pulled at 1 s and lost at 2 s: the gear goes nowhere until it is found pushed in."""
    logic = PanelLogic(KINDS["piston"])
    flying = AircraftState(strut_compressed=(False,) * 3, gear_handle=GearPosition.UP)
    handle = HandleContacts.UP
    logic.step(0.0, positions(gear_handle=handle), flying)
    logic.step(1.0, positions(gear_handle=handle, gear_breaker=True), flying)
    logic.step(2.0, lost().having(gear_handle=HandleContacts.DOWN), flying)
    power = vocabulary_of(KINDS["piston"])["gear_power"]
    for now_s in (3.0, 20.0):
        logic.step(now_s, lost().having(gear_handle=HandleContacts.DOWN), flying)
        assert power.read(logic.world()) == "unsupplied"
    logic.step(21.0, positions(gear_handle=HandleContacts.DOWN), flying)
    assert power.read(logic.world()) == "running"


def test_the_wheels_stay_braked_and_anti_skid_on() -> None:
    """The figures of the head."""
    logic = PanelLogic(JET)
    logic.step(0.0, positions(antiskid=True), ROLLING)
    logic.step(1.0, positions(antiskid=True, emergency_brake=0.6), ROLLING)
    assert logic.step(5.0, lost(), ROLLING).commands.brake_fraction == (0.6,) * 4
    assert logic.step(9e4, lost(), ROLLING).commands.brake_fraction == (0.6,) * 4
    found = logic.step(9.1e4, positions(antiskid=True, emergency_brake=0.8), ROLLING)
    assert found.commands.brake_fraction == (0.8,) * 4
    found = logic.step(9.2e4, positions(antiskid=True), ROLLING)
    assert found.commands.brake_fraction == (0.5,) * 4
    assert logic.step(9.3e4, lost(), ROLLING).commands.antiskid is True


def test_at_start_up_unknown_has_no_effect() -> None:
    logic = PanelLogic(JET)
    for now_s in (0.0, 5.0):
        commands = logic.step(now_s, lost(), ROLLING).commands
        assert (commands.brake_fraction, commands.antiskid) == ((0.5,) * 4, False)
        assert not commands.aux_pump
    assert not any("no signal" in one for one in logic.view().faults)


@pytest.mark.parametrize("rest", [0.0, 0.05])
def test_what_was_at_rest_is_found_and_not_moved_when_it_is_back(rest: float) -> None:
    """A reconnect is no command: neither brakes nor an emergency extension nor a self-test."""
    logic = PanelLogic(JET)
    logic.step(0.0, positions(), ROLLING)
    logic.step(1.0, positions(emergency_brake=rest), ROLLING)
    logic.step(2.0, lost(), ROLLING)
    back = positions(emergency_brake=1.0, emergency_extend=True, antiskid=True)
    result = logic.step(3.0, back, ROLLING)
    assert result.commands.brake_fraction == (0.5,) * 4
    assert result.commands.emergency_extend is False
    assert not {one.name for one in result.events} & {"emergency_brake_pulled"}
    assert logic.step(9.0, back, ROLLING).events == (), "no self-test"


def test_a_kept_effect_is_saved_and_restored() -> None:
    first, second = PanelLogic(JET), PanelLogic(JET)
    first.step(0.0, positions(), ROLLING)
    first.step(1.0, positions(emergency_brake=0.6, aux_pump=True), ROLLING)
    first.step(2.0, lost(), ROLLING)
    second.restore(pickle.loads(pickle.dumps(first.save())))
    for now_s in (3.0, 50.0):
        assert second.step(now_s, lost(), ROLLING) == first.step(now_s, lost(), ROLLING)
    assert second.view() == first.view()
    assert second.save() == first.save()
