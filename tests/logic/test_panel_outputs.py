"""Outputs are made once and remembered."""

from __future__ import annotations

from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from panelbridge.logic.lamps import LampParameters
from panelbridge.logic.panel_outputs import PanelOutputs
from panelbridge.signals import HornPattern, SwitchState
from tests.logic.build import changed, on_ground, switches

LIT = {"nose_green": True, "nose_red": False}
DARK = {"nose_green": False, "nose_red": False}


def outputs(**numbers: bool) -> PanelOutputs:
    made = PanelOutputs(LampParameters(**numbers), HornPattern.INTERMITTENT)
    made.take(LIT, HornPattern.SILENT)
    return made


def test_the_same_switches_and_pressure_give_the_very_same_object() -> None:
    made = outputs()
    cases = [
        (switches("down", dimmer_fraction=knob, lamp_test=lamp, warning_test=warning), steps)
        for knob, lamp, warning, steps in product(
            (0.0, 0.5, None), (True, False), (True, False), (150, 151, None)
        )
    ]
    first = [made.show(panel, steps) for panel, steps in cases]
    assert len({id(shown) for shown in first}) == len(cases)
    again = [made.show(panel, steps) for panel, steps in cases]
    assert all(one is other for one, other in zip(first, again, strict=True))


def test_an_unknown_test_button_is_one_that_is_not_held() -> None:
    made = outputs()
    unknown = SwitchState(dimmer_fraction=1.0)
    assert made.show(unknown, None) is made.show(switches("down"), None)


def test_other_lamps_or_another_horn_are_not_mistaken_for_what_was() -> None:
    made, panel = outputs(), switches("down")
    before = made.show(panel, None)
    made.take(DARK, HornPattern.SILENT)
    assert made.show(panel, None).lamps == DARK
    made.take(DARK, HornPattern.CONTINUOUS)
    assert made.show(panel, None).horn is HornPattern.CONTINUOUS
    made.take(LIT, HornPattern.SILENT)
    assert made.show(panel, None) == before


def test_a_test_leaves_a_sounding_horn_as_it_is() -> None:
    made = outputs()
    made.take(LIT, HornPattern.CONTINUOUS)
    for held in ({"lamp_test": True}, {"warning_test": True}):
        assert made.show(switches("down", **held), None).horn is HornPattern.CONTINUOUS


def test_gauges_in_steps_of_ten_and_none_when_unknown() -> None:
    made, panel = outputs(), switches("down")
    assert made.show(panel, 0).gauges == {"hydraulic_pressure": 0.0}
    assert made.show(panel, 151).gauges == {"hydraulic_pressure": 1510.0}
    assert made.show(panel, None).gauges == {}


def test_what_is_remembered_does_not_grow_without_end() -> None:
    made = outputs()
    for number in range(1000):
        made.show(switches("down", dimmer_fraction=number / 1000), number)
        assert len(made._made) <= 64
    again = made.show(switches("down", dimmer_fraction=0.0), 0)
    assert again == outputs().show(switches("down", dimmer_fraction=0.0), 0)


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
        panel = switches("down", dimmer_fraction=knob, lamp_test=test)
        made.take(lamps, HornPattern.SILENT)
        fresh = PanelOutputs(LampParameters(), HornPattern.INTERMITTENT)
        fresh.take(lamps, HornPattern.SILENT)
        assert made.show(panel, number % 3) == fresh.show(panel, number % 3)


def test_a_knob_that_goes_back_gives_the_object_of_before() -> None:
    bench = on_ground()
    first = bench.result.outputs
    bench.after(1.0, changed(bench.switches, dimmer_fraction=0.2))
    assert bench.result.outputs is not first
    bench.after(1.0, changed(bench.switches, dimmer_fraction=1.0))
    assert bench.result.outputs is first
