"""Hydraulics: supplies, who is served, the auxiliary pump, fluid, lamps."""

from __future__ import annotations

import pytest

from panelbridge.errors import LogicError
from panelbridge.logic.hydraulic_parameters import CONSUMERS, AccumulatorParameters
from tests.logic.scenes.hydraulics import BUT_SPOILERS, Scene, a_twin

LOW = "hydraulic_pressure_low_amber"
FLUID_LOW = "hydraulic_fluid_low_amber"
LEFT_ON = "aux_pump_left_on_amber"
ACCUMULATOR = a_twin().accumulator


def changed_twin(**values: object) -> Scene:
    return Scene(type(a_twin()).model_validate({**a_twin().model_dump(), **values}))


def test_an_engine_found_running_gives_pressure_at_once() -> None:
    scene = Scene(engine_running=(True, False))
    assert scene.psi == pytest.approx(3000.0, abs=1e-9)
    assert scene.system.consumers == CONSUMERS
    assert scene.lit == set()
    assert scene.names == ["hydraulic_pressure_rose"]


def test_a_dead_aircraft_has_no_pressure_and_says_so() -> None:
    scene = Scene()
    assert scene.psi == 0.0
    assert scene.system.consumers == ()
    assert scene.lit == {LOW}
    assert scene.names == []


@pytest.mark.parametrize(("engines", "delay_s"), [((True, False), 4.0), ((False, True), 0.0)])
def test_bleed_air_spools_up_and_an_engine_pump_does_not(
    engines: tuple[bool, bool], delay_s: float
) -> None:
    scene = Scene()
    scene.at(10.0, engine_running=engines)
    # At 0.198 l/s net the precharge is passed at once and low_clear is reached soon.
    fill_s = ACCUMULATOR.volume_l(1800.0) / (0.2 - 0.002)
    scene.at(10.0 + delay_s + fill_s - 0.001)
    assert scene.lit == {LOW}
    scene.at(10.0 + delay_s + fill_s + 0.001)
    assert scene.lit == set()
    (rose,) = scene.events
    assert rose.time_s == pytest.approx(10.0 + delay_s + fill_s, abs=1e-9)


def test_an_engine_lost_and_found_spools_up_anew() -> None:
    scene = Scene(engine_running=(True, None))
    assert "spoilers" in scene.system.consumers
    scene.at(1.0, engine_running=(None, None))
    assert set(scene.system.consumers) == set(ACCUMULATOR.serves)
    scene.at(2.0, engine_running=(True, None))
    assert set(scene.system.consumers) == set(ACCUMULATOR.serves)
    scene.at(5.9)
    assert "spoilers" not in scene.system.consumers
    scene.at(6.1)
    assert "spoilers" in scene.system.consumers


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
    assert scene.psi == pytest.approx(ACCUMULATOR.pressure_psi(0.5 * 0.198))


@pytest.mark.parametrize("engines", [(True, False), (False, True), (True, True)])
def test_any_one_engine_suffices(engines: tuple[bool, bool]) -> None:
    scene = Scene(engine_running=engines)
    scene.at(600.0)
    assert scene.psi == pytest.approx(3000.0)
    assert scene.system.consumers == CONSUMERS


def test_each_supply_serves_its_own_list() -> None:
    twin = a_twin().model_dump()
    twin["supplies"][0]["serves"] = ["gear"]
    twin["supplies"][1]["serves"] = ["spoilers"]
    scene = Scene(type(a_twin()).model_validate(twin), engine_running=(True, False))
    stored = ["wheel_brakes", "parking_brake"]
    assert scene.system.consumers == ("gear", *stored)
    scene.at(1.0, engine_running=(False, True))
    assert scene.system.consumers == (*stored, "spoilers")
    scene.at(2.0, engine_running=(True, True))
    scene.after(8.0)
    assert scene.system.consumers == ("gear", *stored, "spoilers")
    assert scene.system.serves("gear")
    assert not scene.system.serves("flaps")


def test_the_auxiliary_pump_serves_all_but_the_spoilers() -> None:
    scene = Scene(aux_switch=True)
    scene.at(60.0)
    assert set(scene.system.consumers) == set(BUT_SPOILERS)
    assert scene.values["aux_pump_state"] == "resting"
    assert not scene.system.aux_running


def test_consumers_are_served_from_usable_again_down_to_usable() -> None:
    scene = Scene(aux_switch=True)
    net = 0.05 - 0.002
    again_s = ACCUMULATOR.volume_l(1300.0) / net
    scene.at(again_s - 0.001)
    assert scene.system.consumers == ()
    scene.at(again_s + 0.001)
    assert set(scene.system.consumers) == set(BUT_SPOILERS)
    volume = ACCUMULATOR.volume_l(1300.0) + 0.001 * net
    scene.spend("gear", volume - ACCUMULATOR.volume_l(1100.0) - 1e-6)
    assert scene.system.serves("gear")
    scene.spend("gear", 2e-6)
    assert not scene.system.serves("gear")
    scene.after(0.01)
    assert not scene.system.serves("gear")


def test_a_stroke_takes_what_is_there_and_only_from_those_served() -> None:
    scene = Scene(engine_running=(True, True))
    full_l = ACCUMULATOR.volume_l(3000.0)
    assert scene.spend("gear", 0.3) == pytest.approx(0.3)
    assert scene.values["hydraulic_accumulator_l"] == pytest.approx(full_l - 0.3)
    assert scene.values["hydraulic_reservoir_l"] == pytest.approx(7.2 - full_l + 0.3)
    assert scene.spend("gear", 5.0) == pytest.approx(full_l - 0.3)
    assert scene.psi == 0.0
    assert scene.spend("gear", 0.1) == 0.0
    assert scene.lit == {LOW}


def test_a_draw_beyond_the_flow_lowers_the_pressure_until_it_is_lost() -> None:
    scene = Scene(engine_running=(False, True))
    scene.draw(gear=0.3)
    net = 0.2 - 0.3 - 0.002
    lost_s = (ACCUMULATOR.volume_l(1100.0) - ACCUMULATOR.volume_l(3000.0)) / net
    low_s = (ACCUMULATOR.volume_l(1500.0) - ACCUMULATOR.volume_l(3000.0)) / net
    scene.at(low_s - 0.001)
    assert scene.lit == set()
    scene.at(low_s + 0.001)
    assert scene.lit == {LOW}
    scene.at(lost_s - 0.001)
    assert scene.system.serves("gear")
    assert scene.psi == pytest.approx(1100.0, abs=1.0)
    scene.at(lost_s + 0.001)
    assert not scene.system.serves("gear")
    # It takes nothing now, so the pressure comes back, and then it takes again.
    scene.after(0.57)
    assert scene.system.serves("gear")
    scene.draw()
    scene.after(30.0)
    assert scene.psi == pytest.approx(3000.0)
    assert scene.lit == set()


def test_a_draw_within_the_flow_lowers_nothing() -> None:
    scene = Scene(engine_running=(True, False))
    scene.draw(gear=0.19)
    scene.at(100.0)
    assert scene.psi == pytest.approx(3000.0, abs=1e-9)


def test_who_is_not_served_draws_nothing() -> None:
    scene = Scene(aux_switch=True)
    scene.at(60.0)
    before = scene.values
    scene.draw(spoilers=1.0)
    scene.after(1.0)
    rate = 0.05 if before["aux_pump_state"] == "pumping" else 0.0
    level = before["hydraulic_accumulator_l"]
    assert isinstance(level, float)
    assert scene.values["hydraulic_accumulator_l"] == pytest.approx(level + rate - 0.002)


@pytest.mark.parametrize("consumer", ["gears", ""])
def test_a_consumer_that_is_none_is_a_mistake(consumer: str) -> None:
    scene = Scene()
    with pytest.raises(LogicError, match="no hydraulic consumer"):
        scene.spend(consumer, 0.1)
    with pytest.raises(LogicError, match="no hydraulic consumer"):
        scene.draw(**{consumer: 0.1})


@pytest.mark.parametrize("amount", [-0.1, float("inf"), float("nan")])
def test_a_flow_that_can_not_be_is_a_mistake(amount: float) -> None:
    scene = Scene()
    with pytest.raises(LogicError, match="cannot take"):
        scene.spend("gear", amount)
    with pytest.raises(LogicError, match="cannot take"):
        scene.draw(gear=amount)


def test_the_auxiliary_pump_needs_its_switch_and_the_bus() -> None:
    for switch, bus, runs in (
        (True, True, True),
        (True, None, True),
        (True, False, False),
        (False, True, False),
        (None, True, False),
    ):
        scene = Scene(aux_switch=switch, bus_powered=bus)
        assert scene.system.aux_running is runs, (switch, bus)
        assert scene.names == ["aux_pump_started"] * runs


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
    assert scene.names[-3:] == [
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
    assert isinstance(cycles, int)
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
    assert rest_s == pytest.approx(ACCUMULATOR.volume_l(3300.0) / 0.048)
    scene.at(17.0, engine_running=(False, True))
    psi = scene.psi
    assert psi is not None
    assert 3200.0 < psi < 3300.0
    scene.at(60.0)
    assert scene.psi == pytest.approx(3000.0, abs=1e-9)
    scene.at(61.0)
    assert scene.psi == pytest.approx(3000.0, abs=1e-9)


@pytest.mark.parametrize("number", [1, 2])
def test_a_failed_supply_gives_nothing_and_is_told_while_its_engine_runs(number: int) -> None:
    scene = Scene()
    scene.fault(f"engine_{number}_supply", "failed")
    assert scene.system.faults() == ()
    running = (number == 1, number == 2)
    scene.at(1.0, engine_running=running)
    scene.at(10.0)
    assert scene.psi == 0.0
    words = {1: "hydraulic bleed-air supply of engine 1", 2: "hydraulic pump of engine 2"}
    assert scene.system.faults() == (f"the {words[number]} has failed",)
    (failed,) = scene.events
    assert (failed.name, failed.subject) == ("hydraulic_supply_failed", words[number])
    scene.fault(f"engine_{number}_supply", None)
    assert scene.system.faults() == ()
    scene.at(20.0)
    assert scene.psi == pytest.approx(3000.0)


def test_a_failed_auxiliary_pump_does_not_run() -> None:
    scene = Scene()
    scene.fault("aux_pump", "failed")
    assert scene.system.faults() == ()
    scene.at(1.0, aux_switch=True)
    assert not scene.system.aux_running
    assert scene.system.faults() == ("the auxiliary hydraulic pump has failed",)
    assert scene.names == ["hydraulic_supply_failed"]
    scene.at(2.0, bus_powered=False)
    assert scene.system.faults() == ()
    scene.at(3.0, bus_powered=True)
    scene.fault("aux_pump", None)
    assert scene.values["aux_pump_state"] == "pumping"
    assert scene.names == ["hydraulic_supply_failed", "aux_pump_started"]


def test_what_is_not_there_can_not_be_broken() -> None:
    scene = Scene(type(a_twin()).model_validate({**a_twin().model_dump(), "aux_pump": None}))
    assert LEFT_ON not in scene.system.lamp_rules
    assert "aux_pump_state" not in scene.values
    for target, kind in (("aux_pump", "failed"), ("engine_3_supply", "failed")):
        with pytest.raises(LogicError):
            scene.fault(target, kind)
    scene.at(1.0, aux_switch=True)
    assert scene.names == []
    assert scene.system.faults() == ()
    assert {info.name for info in scene.system.published} == set(scene.values)


def test_a_leak_empties_the_reservoir_and_then_the_pressure_is_gone() -> None:
    scene = Scene(engine_running=(True, True))
    scene.fault("hydraulics", "leaking")
    kept_l = ACCUMULATOR.volume_l(3000.0)
    low_s = (7.2 - kept_l - 2.0) / 0.02
    scene.at(low_s - 0.01)
    assert scene.lit == set()
    scene.at(low_s + 0.01)
    assert scene.lit == {FLUID_LOW}
    empty_s = (7.2 - kept_l) / 0.02
    scene.at(empty_s - 0.01)
    assert scene.psi == pytest.approx(3000.0)
    assert scene.system.serves("spoilers")
    scene.at(empty_s + 0.01)
    assert scene.system.faults() == ("the hydraulic reservoir is empty",)
    # What is stored still serves the brakes.
    assert set(scene.system.consumers) == set(ACCUMULATOR.serves)
    scene.at(empty_s + 60.0)
    assert scene.psi == 0.0
    assert scene.lit == {LOW, FLUID_LOW}
    lost = scene.values["hydraulic_lost_l"]
    left = scene.values["hydraulic_reservoir_l"]
    assert isinstance(lost, float)
    assert isinstance(left, float)
    assert lost + left == pytest.approx(7.2)
    assert scene.names == [
        "hydraulic_pressure_rose",
        "hydraulic_fluid_fell_low",
        "hydraulic_reservoir_emptied",
        "hydraulic_pressure_fell",
    ]
    scene.fault("hydraulics", None)
    assert scene.values["hydraulic_lost_l"] == 0.0
    assert scene.values["hydraulic_reservoir_l"] == pytest.approx(7.2)
    assert scene.names == ["hydraulic_fluid_filled"]
    scene.after(30.0)
    assert scene.psi == pytest.approx(3000.0)


def test_nothing_leaks_without_pressure() -> None:
    scene = Scene()
    scene.fault("hydraulics", "leaking")
    scene.at(1000.0)
    assert scene.values["hydraulic_reservoir_l"] == 7.2


def test_a_leak_greater_than_the_pump_takes_all_it_gives() -> None:
    scene = changed_twin(leak_l_per_s=0.2)
    scene.fault("hydraulics", "leaking")
    scene.at(1.0, aux_switch=True)
    scene.at(11.0)
    assert scene.psi == 0.0
    # Of 0.05 l/s that come in, the valves' own leak returns its share.
    assert scene.values["hydraulic_lost_l"] == pytest.approx(0.5 * 0.2 / 0.202)


def test_the_accumulator_bleeds_down_by_the_valves_own_leak() -> None:
    scene = Scene(engine_running=(True, True))
    scene.at(0.0, engine_running=(False, False))
    empty_s = ACCUMULATOR.volume_l(3000.0) / 0.002
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


def test_reasons_tell_values_and_limits() -> None:
    scene = Scene(engine_running=(True, True))
    scene.spend("gear", 0.6)
    told = scene.system.told()
    (low,) = told["pressure_low"]
    assert (low.holds, low.detail) == (True, "923 psi; low at 1500 psi, no more at 1800 psi")
    (fluid,) = told["fluid_low"]
    assert (fluid.holds, fluid.detail) == (False, "7.07 l; low at 2 l, no more at 2.4 l")
    (left,) = told["aux_left_on"]
    assert (left.holds, left.detail) == (False, "off; limit 300 s")
    (unknown,) = told["pressure_unknown"]
    assert (unknown.holds, unknown.detail) == (False, "923 psi")
    (test,) = told["fluid_test"]
    assert not test.holds
    for lamp in scene.system.lamp_rules:
        assert scene.system.decisions(lamp)


def test_the_needle_moves_in_steps_by_its_own_timers() -> None:
    scene = Scene()
    assert scene.system.gauge_psi == 0.0
    seen: list[float | None] = []
    scene.at(1.0, engine_running=(False, True))
    while scene.timers.next_due_s < 20.0:
        scene.at(scene.timers.next_due_s)
        if not seen or seen[-1] != scene.system.gauge_psi:
            seen.append(scene.system.gauge_psi)
    # The step to the precharge is made at once with the first fluid.
    assert seen == [800.0 + 50.0 * step for step in range(1, 45)]


def test_without_an_accumulators_list_nothing_is_served_by_what_is_stored() -> None:
    twin = a_twin().model_dump()
    twin["accumulator"]["serves"] = []
    scene = Scene(type(a_twin()).model_validate(twin), engine_running=(True, True))
    scene.at(1.0, engine_running=(False, False))
    assert scene.psi == pytest.approx(3000.0, abs=50.0)
    assert scene.system.consumers == ()


@pytest.mark.parametrize("psi", [0.0, 400.0, 800.0, 801.0, 3000.0])
def test_volume_and_pressure_are_each_others_inverse(psi: float) -> None:
    accumulator = AccumulatorParameters(
        precharge_psi=800.0, precharge_least_psi=700.0, gas_volume_l=2.0
    )
    volume = accumulator.volume_l(psi)
    wanted = psi if psi > 800.0 else 0.0
    assert accumulator.pressure_psi(volume) == pytest.approx(wanted)


def test_a_pump_that_runs_on_stops_at_the_relief_valve_only() -> None:
    scene = Scene()
    scene.fault("aux_pump", "runs_on")
    assert scene.system.faults() == ()
    scene.at(0.0, aux_switch=True)
    scene.at(100.0)
    assert scene.psi == pytest.approx(3400.0, abs=1e-9)
    assert scene.system.faults() == (
        "the auxiliary hydraulic pump runs on above its cut-out pressure",
    )
    assert scene.values["aux_pump_cycles"] == 1
    ran_on = [each for each in scene.events if each.name == "aux_pump_ran_on"]
    assert [each.time_s for each in ran_on] == [pytest.approx(ACCUMULATOR.volume_l(2775.0) / 0.048)]
    scene.fault("aux_pump", None)
    assert scene.values["aux_pump_state"] == "resting"
    assert scene.system.faults() == ()
    scene.after(1.0)
    assert scene.psi == pytest.approx(
        ACCUMULATOR.pressure_psi(ACCUMULATOR.volume_l(3400.0) - 0.002)
    )


@pytest.mark.parametrize("way", ["update", "draw", "spend", "break"])
def test_whatever_comes_before_its_timers_first_goes_over_every_crossing(way: str) -> None:
    """Another system's timer of the same instant may be acted on first."""
    early, wanted = Scene(aux_switch=True), Scene(aux_switch=True)
    wanted.at(100.0)
    system = early.system
    if way == "update":
        system.update(
            100.0,
            engine_running=(False, False),
            aux_switch=True,
            bus_powered=True,
            fluid_test=False,
        )
    elif way == "draw":
        system.draw(100.0, {"gear": 0.0})
    elif way == "spend":
        system.spend(100.0, "gear", 0.0)
    else:
        system.set_fault(100.0, "engine_1_supply", None)
    early.events.extend(early.log.take())
    assert early.events == wanted.events
    assert system.pressure_psi(100.0) == wanted.psi
    assert system.gauge_psi == wanted.system.gauge_psi
