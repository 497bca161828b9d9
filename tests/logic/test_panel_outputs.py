"""Outputs are made once and remembered."""

from __future__ import annotations

from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from panelbridge.logic.lamps import LampParameters, Look
from panelbridge.logic.panel_outputs import GaugeSteps, PanelOutputs, gauge_steps
from panelbridge.signals import HornPattern
from tests.logic.build import changed, on_ground

LIT = {"nose_green": True, "nose_red": False}
DARK = {"nose_green": False, "nose_red": False}


def pressure(steps: int) -> GaugeSteps:
    return (("hydraulic_pressure", steps),)


def outputs() -> PanelOutputs:
    made = PanelOutputs(LampParameters(), HornPattern.INTERMITTENT)
    made.take(LIT, HornPattern.SILENT)
    return made


def test_the_same_switches_and_pressure_give_the_very_same_object() -> None:
    made = outputs()
    yes_no = (True, False)
    cases = [
        (Look(None, night, lamp, warning, True, flash), gauges)
        for night, lamp, warning, flash, gauges in product(
            yes_no, yes_no, yes_no, yes_no, (pressure(150), pressure(151), ())
        )
    ]
    cases += [(Look(dimmer_fraction=knob), ()) for knob in (0.0, 0.5)]
    first = [made.show(look, gauges) for look, gauges in cases]
    assert len({id(shown) for shown in first}) == len(cases)
    again = [made.show(look, gauges) for look, gauges in cases]
    assert all(one is other for one, other in zip(first, again, strict=True))


def test_other_lamps_or_another_horn_are_not_mistaken_for_what_was() -> None:
    made, panel = outputs(), Look()
    before = made.show(panel)
    made.take(DARK, HornPattern.SILENT)
    assert made.show(panel).lamps == DARK
    made.take(DARK, HornPattern.CONTINUOUS)
    assert made.show(panel).horn is HornPattern.CONTINUOUS
    made.take(LIT, HornPattern.SILENT)
    assert made.show(panel) == before


def test_a_test_leaves_a_sounding_horn_as_it_is() -> None:
    made = outputs()
    made.take(LIT, HornPattern.CONTINUOUS)
    for held in ({"lamp_test": True}, {"warning_test": True}):
        assert made.show(Look(**held)).horn is HornPattern.CONTINUOUS


def test_gauges_in_steps_of_ten_and_none_when_unknown() -> None:
    made = outputs()
    assert made.show(Look(), pressure(0)).gauges == {"hydraulic_pressure": 0.0}
    assert made.show(Look(), pressure(151)).gauges == {"hydraulic_pressure": 1510.0}
    assert made.show(Look()).gauges == {}
    assert gauge_steps({"a": 1514.9, "b": None, "c": float("nan"), "d": 1515.1}) == (
        ("a", 151),
        ("d", 152),
    )


def test_without_electrical_power_there_is_nothing() -> None:
    made = outputs()
    made.take(LIT, HornPattern.CONTINUOUS, {"handle_lock": True})
    powered = made.show(Look(), pressure(100))
    assert powered.solenoids == {"handle_lock": True}
    dead = made.show(Look(lamp_test=True, warning_test=True, powered=False), pressure(100))
    assert dead.lamps == dict.fromkeys(LIT, 0)
    assert dead.horn is HornPattern.SILENT
    assert dead.gauges == {}
    assert dead.solenoids == {"handle_lock": False}
    assert made.show(Look(), pressure(100)) is powered


def test_another_solenoid_is_not_mistaken_for_what_was() -> None:
    made = outputs()
    made.take(LIT, HornPattern.SILENT, {"handle_lock": True})
    assert made.show(Look()).solenoids["handle_lock"]
    made.take(LIT, HornPattern.SILENT, {"handle_lock": False})
    assert not made.show(Look()).solenoids["handle_lock"]


def test_what_is_remembered_does_not_grow_without_end() -> None:
    made = outputs()
    for number in range(1000):
        made.show(Look(dimmer_fraction=number / 1000), pressure(number))
        assert len(made._made) <= 64
    again = made.show(Look(dimmer_fraction=0.0), pressure(0))
    assert again == outputs().show(Look(dimmer_fraction=0.0), pressure(0))


@given(
    moves=st.lists(
        st.tuples(st.sampled_from([0.0, 0.3, 1.0, None]), st.booleans(), st.booleans()),
        max_size=20,
    )
)
def test_law_memory_changes_nothing(moves: list[tuple[float | None, bool, bool]]) -> None:
    """What is remembered equals what is made anew."""
    made = outputs()
    for number, (knob, test, lit) in enumerate(moves):
        lamps = LIT if lit else DARK
        look, gauges = Look(dimmer_fraction=knob, lamp_test=test), pressure(number % 3)
        made.take(lamps, HornPattern.SILENT)
        fresh = PanelOutputs(LampParameters(), HornPattern.INTERMITTENT)
        fresh.take(lamps, HornPattern.SILENT)
        assert made.show(look, gauges) == fresh.show(look, gauges)


def test_a_knob_that_goes_back_gives_the_object_of_before() -> None:
    bench = on_ground()
    first = bench.result.outputs
    bench.after(1.0, changed(bench.switches, dimmer_fraction=0.2))
    assert bench.result.outputs is not first
    bench.after(1.0, changed(bench.switches, dimmer_fraction=1.0))
    assert bench.result.outputs is first


def test_a_bus_that_loses_its_power_darkens_the_panel_and_gives_it_back() -> None:
    """Army operator's manuals TM 55-1510-222-10 and 1-1510-224-10: battery off, no lights."""
    bench = on_ground(hydraulic_pressure_psi=1500.0)
    before = bench.result.outputs
    assert before.gauges
    bench.after(1.0, None, changed(bench.aircraft, bus_powered=False))
    assert not any(bench.result.outputs.lamps.values())
    assert bench.result.outputs.gauges == {}
    assert [(one.condition, one.holds) for one in bench.logic.reasons("nose_green")] == [
        ("rule: electrical power", False)
    ]
    assert bench.logic.view().legs[0].locks.is_down, "a lamp is not the leg"
    bench.after(1.0, None, changed(bench.aircraft, bus_powered=True))
    assert bench.result.outputs == before
    bench.after(1.0, None, changed(bench.aircraft, bus_powered=None))
    assert bench.result.outputs == before, "unknown power takes no warning away"
    assert bench.logic.reasons("horn")[0].condition != "rule: electrical power"
