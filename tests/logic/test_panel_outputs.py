"""From what the systems light and sound to the outputs: tests, flash, gauges, power."""

from __future__ import annotations

from math import inf, nextafter
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.logic.kit.curves import Line
from panelbridge.logic.kit.declarations import Gauge, HornRule, Lamp, Solenoid
from panelbridge.logic.kit.rule import Rule
from panelbridge.logic.kit.system import System
from panelbridge.logic.kit.world import Facts, World
from panelbridge.logic.lamps.facts import LampFacts
from panelbridge.logic.lamps.outputs import PanelOutputs
from panelbridge.logic.lamps.parameters import LampParameters
from panelbridge.logic.lamps.system import Lamps
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.signals import HornPattern, Outputs
from tests.logic.build import FREE, air, changed, fed_twin, on_ground, switches

LAMPS = ("nose_green", "nose_red")


class PartFacts(Facts, frozen=True):
    """A system of this test: two lamps, a horn rule, a solenoid and a gauge."""

    green: bool = True
    red: bool = False
    sounds: bool = False
    holds: bool = False
    psi: Line | None = None


def is_true(field: str) -> Rule:
    return Rule(field, ((field, True),))


class Part(System[PartFacts]):
    """It lights, sounds, holds and shows what its facts say."""

    lamps = (
        Lamp("nose_green", "green", (is_true("green"),)),
        Lamp("nose_red", "red", (is_true("red"),)),
    )
    horn = (HornRule(is_true("sounds"), HornPattern.CONTINUOUS),)
    solenoids = (Solenoid("handle_lock", "lock", (is_true("holds"),)),)
    gauges = (
        Gauge(
            *("hydraulic_pressure", "pressure", "psi", 10.0),
            lambda world: None if (psi := world[PartFacts].psi) is None else psi.at(world.now_s),
            lambda world: world[PartFacts].psi,
        ),
    )


class Panel:
    """The outputs of one system and the switches over the lamps."""

    def __init__(self, **numbers: Any) -> None:
        self.part, self.over = Part(), Lamps(LampParameters(**numbers), frozenset(LAMPS))
        self.made = PanelOutputs((self.part, self.over), LAMPS)
        self.last = Outputs()
        self.now_s = 0.0
        self.take()

    def take(self, now_s: float | None = None, **facts: Any) -> None:
        """The system has changed."""
        self.now_s = self.now_s if now_s is None else now_s
        self.part.facts = PartFacts(**facts)
        self.made.take(self.now_s)

    def show(self, now_s: float | None = None, **over: Any) -> Outputs:
        """What the panel shows with this over its lamps."""
        self.now_s = self.now_s if now_s is None else now_s
        cells = {PartFacts: self.part.facts, LampFacts: LampFacts(**over)}
        self.last = self.made.show(World(cells, self.now_s), self.last)
        return self.last


def standing(psi: float) -> Line:
    return Line(0.0, psi)


def test_what_has_not_changed_is_the_very_same_object() -> None:
    panel = Panel()
    for over in ({}, {"night": True}, {"lamp_test": True}, {"dimmer_fraction": 0.5}):
        first = panel.show(**over)
        assert panel.show(**over) is first
    panel.take()
    assert panel.show(dimmer_fraction=0.5) is first


def test_other_lamps_or_another_horn_are_not_mistaken_for_what_was() -> None:
    panel = Panel()
    before = panel.show()
    assert before.lamps == {"nose_green": 255, "nose_red": 0}
    panel.take(green=False)
    assert not any(panel.show().lamps.values())
    panel.take(green=False, sounds=True)
    assert panel.show().horn is HornPattern.CONTINUOUS
    panel.take()
    assert panel.show() == before


def test_a_test_sounds_the_horn_and_leaves_a_sounding_one_as_it_is() -> None:
    panel = Panel()
    for held in ({"lamp_test": True}, {"warning_test": True}):
        assert panel.show(**held).horn is HornPattern.INTERMITTENT
    assert panel.show(lamp_test=True, lamp_test_sounds=False).horn is HornPattern.SILENT
    panel.take(sounds=True)
    for held in ({"lamp_test": True}, {"warning_test": True}):
        assert panel.show(**held).horn is HornPattern.CONTINUOUS


def test_gauges_in_steps_of_ten_and_none_when_unknown() -> None:
    panel = Panel()
    shown = {}
    for psi in (0.0, 1510.0, 1514.9, 1515.1):
        panel.take(psi=standing(psi))
        shown[psi] = panel.show().gauges
    assert [one["hydraulic_pressure"] for one in shown.values()] == [0.0, 1510.0, 1510.0, 1520.0]
    panel.take()
    assert panel.show().gauges == {}
    assert panel.made.due_s == inf


def test_without_electrical_power_there_is_nothing() -> None:
    panel = Panel()
    panel.take(sounds=True, holds=True, psi=Line(0.0, 1000.0, -1.0))
    powered = panel.show()
    assert powered.solenoids == {"handle_lock": True}
    dead = panel.show(lamp_test=True, warning_test=True, powered=False)
    assert dead.lamps == dict.fromkeys(LAMPS, 0)
    assert dead.horn is HornPattern.SILENT
    assert dead.gauges == {}
    assert dead.solenoids == {"handle_lock": False}
    assert panel.made.due_s == inf
    assert panel.show() == powered


def test_another_solenoid_is_not_mistaken_for_what_was() -> None:
    panel = Panel()
    for holds in (True, False):
        panel.take(holds=holds)
        assert panel.show().solenoids == {"handle_lock": holds}


# -- by themselves: gauges and flashes ------------------------------------------------------------


def test_a_gauge_that_falls_by_itself_moves_at_every_half_step() -> None:
    """1021 psi, 2 psi a second less: below 1015 after 3 s, below 1005 after 8 s; ends at 1000."""
    panel = Panel()
    panel.take(psi=Line(0.0, 1021.0, -2.0, low=1000.0))
    seen = [(0.0, panel.show(0.0).gauges["hydraulic_pressure"])]
    while (due_s := panel.made.due_s) < inf:
        assert panel.show(due_s - 1e-5).gauges["hydraulic_pressure"] == seen[-1][1]
        seen.append((due_s, panel.show(due_s).gauges["hydraulic_pressure"]))
    assert seen == [
        (0.0, 1020.0),
        (pytest.approx(3.0, abs=1e-6), 1010.0),
        (pytest.approx(8.0, abs=1e-6), 1000.0),
    ]


@given(
    start=st.integers(0, 3000).map(float),
    rate=st.sampled_from([-20.0, -2.5, -1.0, 0.5, 5.0]),
    looks=st.lists(st.integers(0, 400).map(lambda tenths: tenths / 10), max_size=10),
)
def test_law_a_gauge_does_not_depend_on_looks(
    start: float, rate: float, looks: list[float]
) -> None:
    """Every due time is found again, also by who looks at the very crossing of a half step."""

    def run(times: list[float]) -> list[tuple[float, float]]:
        panel = Panel()
        panel.take(psi=Line(0.0, start, rate, 0.0, 3100.0))
        seen = [(0.0, panel.show(0.0).gauges["hydraulic_pressure"])]
        waiting = sorted(times)
        while (now_s := min([*waiting[:1], panel.made.due_s])) < 50.0:
            waiting = [one for one in waiting if one > now_s]
            shown = panel.show(now_s).gauges["hydraulic_pressure"]
            if shown != seen[-1][1]:
                seen.append((round(now_s, 5), shown))
        return seen

    assert run(looks) == run([])


def test_flashing_lamps_begin_lit_and_stop_with_what_flashed() -> None:
    panel = Panel(flashing=["nose_red"], flash_hz=2.0)
    panel.take(10.0, red=True)
    seen = []
    for now_s in (10.0, 10.2, 10.25, 10.49, 10.5, 10.75, 1e6):
        lamps = panel.show(now_s).lamps
        assert lamps["nose_green"] == 255
        assert panel.made.due_s > now_s
        seen.append(lamps["nose_red"] > 0)
    assert seen == [True, True, False, False, True, False, True]
    panel.take(1e6 + 0.3)
    assert panel.show(1e6 + 0.3).lamps["nose_red"] == 0
    assert panel.made.due_s == inf


@given(hz=st.floats(1.0, 5.0), began_s=st.floats(0.0, 1e5), count=st.integers(1, 60))
def test_law_a_flash_turns_at_its_due_time_and_not_before(
    hz: float, began_s: float, count: int
) -> None:
    panel = Panel(flashing=["nose_red"], flash_hz=hz)
    panel.take(began_s, red=True)
    lit = panel.show(began_s).lamps["nose_red"] > 0
    assert lit
    for number in range(1, count):
        due_s = panel.made.due_s
        assert due_s == began_s + number * (0.5 / hz)
        assert (panel.show(nextafter(due_s, 0.0)).lamps["nose_red"] > 0) is lit
        lit = panel.show(due_s).lamps["nose_red"] > 0
        assert lit is (number % 2 == 0)


# -- through the whole logic ----------------------------------------------------------------------


def test_a_knob_that_goes_back_gives_the_outputs_of_before() -> None:
    bench = on_ground()
    first = bench.result.outputs
    bench.after(1.0, changed(bench.switches, dimmer=0.2))
    assert bench.result.outputs != first
    bench.after(1.0, changed(bench.switches, dimmer=1.0))
    assert bench.result.outputs == first


def test_a_flash_turns_in_a_step_at_its_due_time() -> None:
    logic = PanelLogic(fed_twin(lamps={"flashing": ["nose_red"], "flash_hz": 2.0}))
    in_transit = air(leg_locks=(FREE, FREE, FREE))
    seen = []
    for now_s in (1.0, 1.25, 1.5, 1.75):
        lamps = logic.step(now_s, switches("down"), in_transit).outputs.lamps
        seen.append((lamps["nose_red"] > 0, logic.next_due_s))
    assert seen == [(True, 1.25), (False, 1.5), (True, 1.75), (False, 2.0)]


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
