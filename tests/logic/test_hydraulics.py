"""Hydraulics: supplies, who is served, the auxiliary pump, fluid, lamps."""

from __future__ import annotations

from math import inf, nextafter

import pytest

from panelbridge.logic.hydraulics.parameters import CONSUMERS
from tests.logic.scenes.hydraulics import BUT_SPOILERS, Scene, a_twin, changed_twin

LOW = "hydraulic_pressure_low_amber"
FLUID_LOW = "hydraulic_fluid_low_amber"
LEFT_ON = "aux_pump_left_on_amber"
GAS = a_twin().gas()
STORED = a_twin().accumulator.serves


def test_an_engine_found_running_gives_pressure_at_once() -> None:
    scene = Scene(engine_running=(True, False))
    assert scene.psi == pytest.approx(3000.0, abs=1e-9)
    assert scene.consumers == CONSUMERS
    assert scene.lit == set()
    assert scene.taken() == ["hydraulic_pressure_rose"]


def test_a_dead_aircraft_has_no_pressure_and_says_so() -> None:
    scene = Scene()
    assert scene.psi == 0.0
    assert scene.consumers == ()
    assert scene.lit == {LOW}
    assert scene.taken() == []


@pytest.mark.parametrize(("engines", "delay_s"), [((True, False), 4.0), ((False, True), 0.0)])
def test_bleed_air_spools_up_and_an_engine_pump_does_not(
    engines: tuple[bool, bool], delay_s: float
) -> None:
    scene = Scene()
    scene.at(10.0, engine_running=engines)
    # At 0.198 l/s net the precharge is passed at once and low_clear is reached soon.
    fill_s = GAS.volume_l(1800.0) / (0.2 - 0.002)
    scene.at(10.0 + delay_s + fill_s - 0.001)
    assert scene.lit == {LOW}
    scene.at(10.0 + delay_s + fill_s + 0.001)
    assert scene.lit == set()
    (rose,) = scene.events
    assert rose.time_s == pytest.approx(10.0 + delay_s + fill_s, abs=1e-9)


def test_an_engine_lost_and_found_spools_up_again() -> None:
    scene = Scene(engine_running=(True, None))
    assert "spoilers" in scene.consumers
    scene.at(1.0, engine_running=(None, None))
    assert set(scene.consumers) == set(STORED)
    scene.at(2.0, engine_running=(True, None))
    assert set(scene.consumers) == set(STORED)
    scene.at(5.9)
    assert "spoilers" not in scene.consumers
    scene.at(6.1)
    assert "spoilers" in scene.consumers


def test_an_engine_that_stops_while_it_spools_up_gives_nothing() -> None:
    scene = Scene()
    scene.at(1.0, engine_running=(True, False))
    scene.at(3.0, engine_running=(False, False))
    scene.at(20.0)
    assert scene.psi == 0.0
    assert scene.events == []


def test_an_engine_first_known_after_the_start_was_found_running_too() -> None:
    scene = Scene(engine_running=())
    assert scene.psi == 0.0
    scene.at(1.0, engine_running=(None, None))
    assert scene.psi == 0.0
    scene.at(2.0, engine_running=(True, False))
    assert scene.psi == pytest.approx(3000.0)


def test_a_second_engine_found_later_fills_by_its_flow_only() -> None:
    scene = Scene(engine_running=(False, None))
    scene.at(1.0, engine_running=(False, True))
    assert scene.psi == 0.0
    scene.at(1.5)
    assert scene.psi == pytest.approx(GAS.of(0.5 * 0.198))


@pytest.mark.parametrize("engines", [(True, False), (False, True), (True, True)])
def test_any_one_engine_suffices(engines: tuple[bool, bool]) -> None:
    scene = Scene(engine_running=engines)
    scene.at(600.0)
    assert scene.psi == pytest.approx(3000.0)
    assert scene.consumers == CONSUMERS


def test_each_supply_serves_its_own_list() -> None:
    twin = a_twin().model_dump()
    twin["supplies"][0]["serves"] = ["gear"]
    twin["supplies"][1]["serves"] = ["spoilers"]
    scene = Scene(type(a_twin()).model_validate(twin), engine_running=(True, False))
    stored = ["wheel_brakes", "parking_brake"]
    assert scene.consumers == ("gear", *stored)
    scene.at(1.0, engine_running=(False, True))
    assert scene.consumers == (*stored, "spoilers")
    scene.at(2.0, engine_running=(True, True))
    scene.after(8.0)
    assert scene.consumers == ("gear", *stored, "spoilers")
    assert scene.facts.serves("gear")
    assert not scene.facts.serves("flaps")


def test_the_auxiliary_pump_serves_all_but_the_spoilers() -> None:
    scene = Scene(aux_switch=True)
    scene.at(60.0)
    assert set(scene.consumers) == set(BUT_SPOILERS)
    assert scene.values["aux_pump_state"] == "resting"
    assert not scene.aux_running


def test_consumers_are_served_from_usable_again_down_to_usable() -> None:
    scene = Scene(aux_switch=True)
    net = 0.05 - 0.002
    again_s = GAS.volume_l(1300.0) / net
    scene.at(again_s - 0.001)
    assert scene.consumers == ()
    scene.at(again_s + 0.001)
    assert set(scene.consumers) == set(BUT_SPOILERS)
    scene.draw(gear=10.0)
    volume_l = GAS.volume_l(1300.0) + 0.001 * net
    lost_s = (volume_l - GAS.volume_l(1100.0)) / (10.0 - net)
    scene.after(lost_s - 1e-6)
    assert scene.facts.serves("gear")
    scene.after(2e-6)
    assert not scene.facts.serves("gear")
    scene.after(0.01)
    assert not scene.facts.serves("gear")


def test_what_the_gear_takes_goes_back_to_the_reservoir() -> None:
    scene = Scene(engine_running=(True, True))
    full_l = GAS.volume_l(3000.0)
    scene.draw(gear=1.0)
    scene.after(0.3)
    taken_l = 0.3 * (1.0 + 0.002 - 2 * 0.2)
    assert scene.values["hydraulic_accumulator_l"] == pytest.approx(full_l - taken_l)
    assert scene.values["hydraulic_reservoir_l"] == pytest.approx(7.2 - full_l + taken_l)
    assert scene.values["hydraulic_lost_l"] == 0.0


def test_a_draw_beyond_the_flow_lowers_the_pressure_until_it_is_lost() -> None:
    scene = Scene(engine_running=(False, True))
    scene.draw(gear=0.3)
    net = 0.2 - 0.3 - 0.002
    lost_s = (GAS.volume_l(1100.0) - GAS.volume_l(3000.0)) / net
    low_s = (GAS.volume_l(1500.0) - GAS.volume_l(3000.0)) / net
    scene.at(low_s - 0.001)
    assert scene.lit == set()
    scene.at(low_s + 0.001)
    assert scene.lit == {LOW}
    scene.at(lost_s - 0.001)
    assert scene.facts.serves("gear")
    assert scene.psi == pytest.approx(1100.0, abs=1.0)
    scene.at(lost_s + 0.001)
    assert not scene.facts.serves("gear")
    # It takes nothing now, so the pressure comes back, and then it takes again.
    scene.after(0.57)
    assert scene.facts.serves("gear")
    scene.draw(gear=0.0)
    scene.after(30.0)
    assert scene.psi == pytest.approx(3000.0)
    assert scene.lit == set()


def test_a_draw_within_the_flow_lowers_nothing() -> None:
    scene = Scene(engine_running=(True, False))
    scene.draw(gear=0.19)
    scene.at(100.0)
    assert scene.psi == pytest.approx(3000.0, abs=1e-9)


def test_who_is_not_served_draws_nothing() -> None:
    twin = a_twin().model_dump()
    twin["aux_pump"]["serves"] = ["flaps"]
    scene = Scene(changed_twin(aux_pump=twin["aux_pump"]), aux_switch=True)
    scene.at(60.0)
    before = scene.values
    scene.draw(gear=1.0)
    scene.after(1.0)
    rate = 0.05 if before["aux_pump_state"] == "pumping" else 0.0
    level = before["hydraulic_accumulator_l"]
    assert isinstance(level, float)
    assert scene.values["hydraulic_accumulator_l"] == pytest.approx(level + rate - 0.002)


def test_the_auxiliary_pump_needs_its_switch_and_the_bus() -> None:
    for switch, bus, runs in (
        (True, True, True),
        (True, None, True),
        (True, False, False),
        (False, True, False),
        (None, True, False),
    ):
        scene = Scene(aux_switch=switch, bus_powered=bus)
        assert scene.aux_running is runs, (switch, bus)
        assert scene.taken() == ["aux_pump_started"] * runs


def test_the_pump_stops_with_its_switch_and_keeps_the_band_in_mind() -> None:
    scene = Scene(aux_switch=True)
    scene.at(20.0)
    assert scene.values["aux_pump_state"] == "resting"
    scene.at(21.0, aux_switch=False)
    assert scene.values["aux_pump_state"] == "off"
    scene.at(22.0, aux_switch=True)
    # Within the band: the pressure switch is as it was.
    assert scene.values["aux_pump_state"] == "resting"
    assert scene.values["aux_pump_cycles"] == 1
    scene.at(22.0, aux_switch=False)
    scene.at(60.0)
    scene.at(60.0, aux_switch=True)
    assert scene.values["aux_pump_state"] == "pumping"
    assert scene.values["aux_pump_cycles"] == 2
    assert scene.taken()[-3:] == [
        "hydraulic_pressure_rose",
        "aux_pump_stopped",
        "aux_pump_started",
    ]


def test_left_on_beyond_its_limit_is_a_caution_until_it_is_off() -> None:
    scene = Scene()
    scene.at(10.0, aux_switch=True)
    scene.at(309.9)
    assert LEFT_ON not in scene.lit
    scene.at(310.1)
    assert LEFT_ON in scene.lit
    (left,) = [each for each in scene.events if each.name == "aux_pump_left_on"]
    assert left.time_s == 310.0
    cycles = scene.values["aux_pump_cycles"]
    assert isinstance(cycles, float)
    assert cycles > 10
    scene.at(320.0, aux_switch=False)
    assert LEFT_ON not in scene.lit
    scene.at(330.0, aux_switch=True)
    scene.at(629.0)
    assert LEFT_ON not in scene.lit


def test_switched_off_in_time_is_no_caution() -> None:
    scene = Scene(aux_switch=True)
    scene.at(299.0, aux_switch=False)
    scene.at(1000.0)
    assert LEFT_ON not in scene.lit
    scene = Scene(aux_switch=True)
    scene.at(299.0, bus_powered=False)
    scene.at(1000.0)
    assert LEFT_ON not in scene.lit


def test_engines_hold_the_pressure_and_the_pump_rests() -> None:
    scene = Scene(engine_running=(True, True), aux_switch=True)
    scene.at(100.0)
    assert scene.values["aux_pump_state"] == "resting"
    assert scene.values["aux_pump_cycles"] == 0
    scene.at(100.0, engine_running=(False, False))
    scene.at(200.0)
    assert scene.values["aux_pump_cycles"] != 0


def test_an_overfilled_accumulator_falls_to_nominal_and_is_held_there() -> None:
    twin = a_twin().model_dump()
    twin["aux_pump"]["cut_out_psi"] = 3300.0
    scene = Scene(type(a_twin()).model_validate(twin), aux_switch=True)
    scene.at(17.0)
    rest_s = next(e.time_s for e in scene.events if e.name == "aux_pump_stopped")
    assert rest_s == pytest.approx(GAS.volume_l(3300.0) / 0.048)
    scene.at(17.0, engine_running=(False, True))
    psi = scene.psi
    assert psi is not None
    assert 3200.0 < psi < 3300.0
    scene.at(60.0)
    assert scene.psi == pytest.approx(3000.0, abs=1e-9)
    scene.at(61.0)
    assert scene.psi == pytest.approx(3000.0, abs=1e-9)


@pytest.mark.parametrize("number", [1, 2])
def test_a_failed_supply_gives_nothing_and_is_reported_while_its_engine_runs(number: int) -> None:
    scene = Scene()
    scene.fault(f"engine_{number}_supply", "failed")
    assert scene.system.failures() == ()
    running = (number == 1, number == 2)
    scene.at(1.0, engine_running=running)
    scene.at(10.0)
    assert scene.psi == 0.0
    words = {1: "hydraulic bleed-air supply of engine 1", 2: "hydraulic pump of engine 2"}
    assert scene.system.failures() == (f"the {words[number]} has failed",)
    (failed,) = scene.events
    assert (failed.name, failed.subject) == ("hydraulic_supply_failed", words[number])
    scene.fault(f"engine_{number}_supply", None)
    assert scene.system.failures() == ()
    scene.at(20.0)
    assert scene.psi == pytest.approx(3000.0)


def test_a_failed_auxiliary_pump_does_not_run() -> None:
    scene = Scene()
    scene.fault("aux_pump", "failed")
    assert scene.system.failures() == ()
    scene.at(1.0, aux_switch=True)
    assert not scene.aux_running
    assert scene.system.failures() == ("the auxiliary hydraulic pump has failed",)
    assert scene.taken() == ["hydraulic_supply_failed"]
    scene.at(2.0, bus_powered=False)
    assert scene.system.failures() == ()
    scene.at(3.0, bus_powered=True)
    scene.fault("aux_pump", None)
    assert scene.values["aux_pump_state"] == "pumping"
    assert scene.taken() == ["hydraulic_supply_failed", "aux_pump_started"]


def test_what_is_not_there_is_not_declared() -> None:
    scene = Scene(changed_twin(aux_pump=None))
    assert LEFT_ON not in {lamp.name for lamp in scene.system.lamps}
    assert "aux_pump_state" not in scene.values
    assert {fault.name: fault.kinds for fault in scene.system.faults} == {
        "engine_1_supply": ("failed",),
        "engine_2_supply": ("failed",),
        "hydraulics": ("leaking",),
    }
    assert [switch.name for switch in scene.system.switches] == ["fluid_test"]
    scene.at(1.0, aux_switch=True)
    assert scene.taken() == []
    assert scene.system.failures() == ()


def test_a_leak_empties_the_reservoir_and_then_the_pressure_is_gone() -> None:
    scene = Scene(engine_running=(True, True))
    scene.fault("hydraulics", "leaking")
    kept_l = GAS.volume_l(3000.0)
    low_s = (7.2 - kept_l - 2.0) / 0.02
    scene.at(low_s - 0.01)
    assert scene.lit == set()
    scene.at(low_s + 0.01)
    assert scene.lit == {FLUID_LOW}
    empty_s = (7.2 - kept_l) / 0.02
    scene.at(empty_s - 0.01)
    assert scene.psi == pytest.approx(3000.0)
    assert scene.facts.serves("spoilers")
    scene.at(empty_s + 0.01)
    assert scene.system.failures() == ("the hydraulic reservoir is empty",)
    # What is stored still serves the brakes.
    assert set(scene.consumers) == set(STORED)
    scene.at(empty_s + 60.0)
    assert scene.psi == 0.0
    assert scene.lit == {LOW, FLUID_LOW}
    lost = scene.values["hydraulic_lost_l"]
    left = scene.values["hydraulic_reservoir_l"]
    assert isinstance(lost, float)
    assert isinstance(left, float)
    assert lost + left == pytest.approx(7.2)
    assert scene.taken() == [
        "hydraulic_pressure_rose",
        "hydraulic_fluid_fell_low",
        "hydraulic_reservoir_emptied",
        "hydraulic_pressure_fell",
    ]
    scene.fault("hydraulics", None)
    assert scene.values["hydraulic_lost_l"] == 0.0
    assert scene.values["hydraulic_reservoir_l"] == pytest.approx(7.2)
    assert scene.taken() == ["hydraulic_fluid_filled"]
    scene.after(30.0)
    assert scene.psi == pytest.approx(3000.0)


def test_nothing_leaks_without_pressure() -> None:
    scene = Scene()
    scene.fault("hydraulics", "leaking")
    scene.at(1000.0)
    assert scene.values["hydraulic_reservoir_l"] == 7.2


def test_a_leak_greater_than_the_pump_takes_all_it_gives() -> None:
    scene = Scene(changed_twin(leak_l_per_s=0.2))
    scene.fault("hydraulics", "leaking")
    scene.at(1.0, aux_switch=True)
    scene.at(11.0)
    assert scene.psi == 0.0
    # Of 0.05 l/s that come in, the valves' own leak returns its share.
    assert scene.values["hydraulic_lost_l"] == pytest.approx(0.5 * 0.2 / 0.202)


def test_the_accumulator_bleeds_down_by_the_valves_own_leak() -> None:
    scene = Scene(engine_running=(True, True))
    scene.at(0.0, engine_running=(False, False))
    empty_s = GAS.volume_l(3000.0) / 0.002
    scene.at(empty_s - 0.01)
    assert scene.psi == pytest.approx(800.0, abs=0.1)
    scene.at(empty_s + 0.01)
    assert scene.psi == 0.0
    assert scene.values["hydraulic_reservoir_l"] == pytest.approx(7.2)


def test_the_test_switch_lights_the_fluid_lamp_while_held() -> None:
    scene = Scene(engine_running=(True, True), fluid_test=True)
    assert scene.lit == {FLUID_LOW}
    scene.at(1.0, fluid_test=None)
    assert scene.lit == set()


def test_reasons_give_values_and_limits() -> None:
    """0.6 l of 0.7297 l have leaked in 300 s, and 814.7 psia * 1 l / 0.8703 l = 921 psi."""
    scene = Scene(engine_running=(True, True))
    scene.at(0.0, engine_running=(False, False))
    scene.at(300.0)
    words = scene.system.words(scene.loop.world(300.0))
    (low,) = words["pressure_low"]
    assert (low.holds, low.detail) == (True, "921 psi; low at 1500 psi, normal again at 1800 psi")
    (fluid,) = words["fluid_low"]
    assert (fluid.holds, fluid.detail) == (False, "7.07 l; low at 2 l, normal again at 2.4 l")
    (left,) = words["aux_left_on"]
    assert (left.holds, left.detail) == (False, "off; limit 300 s")
    (unknown,) = words["pressure_unknown"]
    assert (unknown.holds, unknown.detail) == (False, "921 psi")
    (test,) = words["fluid_test"]
    assert not test.holds
    for lamp in scene.system.lamps:
        assert scene.system.decisions(lamp.name, scene.loop.world(300.0))


def test_the_needle_moves_in_steps_at_its_own_due_times() -> None:
    scene = Scene()
    assert scene.gauge_psi == 0.0
    seen: list[float | None] = []
    scene.at(1.0, engine_running=(False, True))
    assert scene.gauge_psi == 800.0, "the precharge comes with the first drop"
    while scene.loop.next_due_s < 20.0:
        scene.at(scene.loop.next_due_s)
        if not seen or seen[-1] != scene.gauge_psi:
            seen.append(scene.gauge_psi)
    assert seen == [800.0 + 50.0 * step for step in range(1, 45)]


def test_a_bleed_down_publishes_only_when_something_can_be_seen_of_it() -> None:
    """Readers of the facts are woken at each step of the gauge and at each limit, no more."""
    scene = Scene(engine_running=(True, True))
    scene.at(1.0, engine_running=(False, False))
    line, before = scene.facts.accumulator_l, scene.loop.changes
    scene.at(364.0)
    assert scene.gauge_psi == 850.0
    assert scene.facts.accumulator_l is line
    limits = 2  # no consumer served, pressure low: both come with a step of the gauge
    steps = 3000 // 50 - 850 // 50
    assert steps <= scene.loop.changes - before <= steps + limits
    scene.at(368.0)
    assert scene.psi == scene.gauge_psi == 0.0


def test_a_mark_that_rounding_puts_at_this_instant_is_not_missed() -> None:
    scene = Scene(changed_twin(leak_l_per_s=0.5), engine_running=(True, True))
    scene.at(1e7, engine_running=(False, False))
    scene.at(nextafter(scene.loop.next_due_s, -inf))
    scene.fault("hydraulics", "leaking")
    assert scene.now_s < scene.loop.next_due_s < inf
    scene.after(2.0)
    assert scene.psi == scene.gauge_psi == 0.0
    assert scene.lit == {LOW}


def test_the_needle_falls_to_nothing_when_no_drop_comes() -> None:
    scene = Scene()
    scene.at(1.0, engine_running=(False, True))
    scene.at(1.0, engine_running=(False, False))
    assert (scene.psi, scene.gauge_psi) == (0.0, 0.0)


def test_without_an_accumulators_list_nothing_is_served_by_what_is_stored() -> None:
    twin = a_twin().model_dump()
    twin["accumulator"]["serves"] = []
    scene = Scene(type(a_twin()).model_validate(twin), engine_running=(True, True))
    scene.at(1.0, engine_running=(False, False))
    assert scene.psi == pytest.approx(3000.0, abs=50.0)
    assert scene.consumers == ()


@pytest.mark.parametrize("psi", [0.0, 400.0, 800.0, 801.0, 3000.0])
def test_volume_and_pressure_are_each_others_inverse(psi: float) -> None:
    gas = a_twin().gas()
    wanted = psi if psi > 800.0 else 0.0
    assert gas.of(gas.volume_l(psi)) == pytest.approx(wanted)


def test_three_volumes_by_hand() -> None:
    """Boyle, 1 l of gas at 800 psi, by hand, absolute (L-1): at p psi it has 814.7/(p + 14.7) l.

    1003.675 psi: 1 - 0.8 = 0.2 l. 1614.7 psi: 1 - 0.5 = 0.5 l. 3244.1 psi: 1 - 0.25 = 0.75 l. The
    pump gives 0.05 - 0.002 = 0.048 l/s: 1614.7 psi are there 0.3 l / 0.048 l/s = 6.25 s after
    1003.675 psi.
    """
    for psi, fluid_l in ((1003.675, 0.2), (1614.7, 0.5), (3244.1, 0.75)):
        assert GAS.volume_l(psi) == pytest.approx(fluid_l, abs=1e-12)
        assert GAS.of(fluid_l) == pytest.approx(psi, abs=1e-9)
    scene = Scene(aux_switch=True)
    scene.at(0.2 / 0.048)
    assert scene.psi == pytest.approx(1003.675)
    scene.after(6.25)
    assert scene.psi == pytest.approx(1614.7)


def test_a_pump_that_runs_on_stops_at_the_relief_valve_only() -> None:
    scene = Scene()
    scene.fault("aux_pump", "runs_on")
    assert scene.system.failures() == ()
    scene.at(0.0, aux_switch=True)
    scene.at(100.0)
    assert scene.psi == pytest.approx(3400.0, abs=1e-9)
    assert scene.system.failures() == (
        "the auxiliary hydraulic pump runs on above its cut-out pressure",
    )
    assert scene.values["aux_pump_cycles"] == 1
    ran_on = [each for each in scene.events if each.name == "aux_pump_ran_on"]
    assert [each.time_s for each in ran_on] == [pytest.approx(GAS.volume_l(2775.0) / 0.048)]
    scene.fault("aux_pump", None)
    assert scene.values["aux_pump_state"] == "resting"
    assert scene.system.failures() == ()
    scene.after(1.0)
    assert scene.psi == pytest.approx(GAS.of(GAS.volume_l(3400.0) - 0.002))


def test_an_update_that_comes_late_goes_over_every_crossing_at_its_time() -> None:
    early, wanted = Scene(aux_switch=True), Scene(aux_switch=True)
    wanted.at(100.0)
    early.events += early.loop.look(100.0)
    early.now_s = 100.0
    assert len(wanted.events) > 3
    assert early.events == wanted.events
    assert early.psi == wanted.psi
    assert early.facts == wanted.facts
