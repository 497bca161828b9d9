"""What moves the legs."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.logic.gear.parameters import GearPowerParameters
from panelbridge.logic.gear.power import POWER_WORDS, GearPower
from panelbridge.logic.gear.system import LandingGear
from tests.logic.gear_rig import DOWN, UP, Notes, Rig, flying, three_legs

ALL = ("hydraulic", "electric_pack", "none_needed")


class Power:
    """The power by itself, at rest with the gear down and all it needs, from due to due time."""

    def __init__(self, **parameters: Any) -> None:
        self.numbers = GearPowerParameters.model_validate(parameters)
        self.log = Notes()
        self.power = GearPower()
        self.now_s = 0.0
        self.inputs = {"demand": DOWN, "wanted": False, "supplied": True, "reset": False}
        self.inputs |= {"may_reset": True}
        self._look(0.0)

    def at(self, now_s: float, **changes: Any) -> Power:
        while (due_s := self.power.due_s) <= now_s:
            self.power = self.power.came_due(due_s, self.log)
            self._look(due_s)
        assert set(changes) <= set(self.inputs)
        self.inputs |= changes
        self.now_s = now_s
        self._look(now_s)
        return self

    def after(self, step_s: float, **changes: Any) -> Power:
        return self.at(self.now_s + step_s, **changes)

    def press_reset(self) -> None:
        self.after(0.01, reset=True).after(0.01, reset=False)

    def _look(self, now_s: float) -> None:
        inputs: dict[str, Any] = self.inputs
        self.power = self.power.look(now_s, self.numbers, self.log, **inputs)
        assert self.power.look(now_s, self.numbers, self.log, **inputs) == self.power

    @property
    def word(self) -> str:
        return self.power.word

    def holds_up(self) -> bool:
        return self.power.holds_up

    @property
    def drives(self) -> bool:
        return self.power.drives(self.numbers)

    @property
    def names(self) -> list[str]:
        return [name for _, name, _ in self.log.logged]


def amber(rig: Rig) -> bool:
    return "gear_power_amber" in rig.lit


@pytest.mark.parametrize("power", ALL)
def test_it_runs_while_something_is_not_at_its_end(power: str) -> None:
    bench = Power(power=power).at(0.0)
    assert (bench.word, bench.power.is_running) == ("idle", False)
    bench.at(1.0, demand=UP, wanted=True)
    assert (bench.word, bench.power.is_running, bench.drives) == ("running", True, True)
    bench.at(9.0, wanted=False)
    assert bench.word == "idle"
    assert bench.drives == (power == "none_needed")
    assert POWER_WORDS == ("idle", "running", "resting", "unsupplied", "cut_off")


@pytest.mark.parametrize(
    ("power", "inputs", "supplied"),
    [
        ("hydraulic", {"hydraulic": True, "bus": False}, True),
        ("hydraulic", {"hydraulic": False}, False),
        ("electric_pack", {"hydraulic": False}, True),
        ("electric_pack", {"bus": None}, True),
        ("electric_pack", {"bus": False}, False),
        ("none_needed", {"hydraulic": False, "bus": False}, True),
    ],
)
def test_what_it_needs(power: str, inputs: dict[str, Any], supplied: bool) -> None:
    """An unknown bus counts as powered."""
    rig = flying(DOWN, power={"power": power}).at(2.0, handle="up", **inputs)
    assert rig.doing == ("running" if supplied else "unsupplied")
    assert rig.facts.supplied == supplied
    assert amber(rig) is not supplied
    has_lamp = any(lamp.name == "gear_power_amber" for lamp in rig.gear.lamps)
    assert has_lamp is (power != "none_needed")


def test_an_emergency_extension_shuts_the_power_off() -> None:
    rig = flying(power={"power": "electric_pack"}).at(2.0, handle="down").at(3.0)
    assert rig.doing == "running"
    rig.at(3.0, emergency=True)
    assert rig.doing == "idle"


def test_without_power_and_nothing_wanted_it_is_idle_and_no_lamp_burns() -> None:
    rig = flying(DOWN, power={"power": "hydraulic"}).at(2.0, hydraulic=False)
    assert rig.doing == "idle"
    assert not amber(rig)
    rig.at(3.0, handle="up")
    assert rig.doing == "unsupplied"
    assert amber(rig)
    rig.at(4.0, handle="down")
    assert rig.doing == "idle"
    rig.at(5.0, handle="up").at(6.0, hydraulic=True)
    assert rig.doing == "running"


def test_the_limit_counts_from_the_begin_of_each_running() -> None:
    rig = flying(DOWN, power={"power": "hydraulic", "travel_limit_s": 5.0})
    rig.fault("nose", "hung").at(2.0, handle="up").at(5.0, hydraulic=False).at(
        21.0, hydraulic=True
    ).at(25.9)
    assert rig.doing == "running"
    rig.at(26.0)
    assert rig.doing == "cut_off"
    assert rig.gear.failures() == ("the gear's power was cut off by its travel limit",)
    reported = rig.gear.words(rig.loop.world(rig.now_s))
    assert reported["cut_off"][0].holds
    assert reported["cut_off"][0].detail == "travel limit 5 s"


def test_cut_off_it_stays_whatever_comes() -> None:
    bench = Power(power="hydraulic", travel_limit_s=5.0, reversal_delay_s=1.0)
    bench.at(1.0, demand=UP, wanted=True)
    bench.at(10.0)
    for changes in ({"supplied": False}, {"wanted": False}, {"demand": DOWN, "supplied": True}):
        bench.after(1.0, **changes)
        assert bench.word == "cut_off"
        assert bench.power.cut_off
        assert not bench.drives
    bench.press_reset()
    assert bench.word == "idle"
    assert not bench.power.cut_off
    assert bench.names == ["gear_power_cut_off", "gear_power_reset"]
    bench.press_reset()
    assert len(bench.names) == 2, "there is nothing to reset"


def test_no_limit_and_a_gear_that_needs_no_power_are_never_cut_off() -> None:
    for parameters in ({"power": "hydraulic"}, {"power": "none_needed", "travel_limit_s": 5.0}):
        rig = flying(DOWN, power=parameters).fault("nose", "hung")
        rig.at(2.0, handle="up").at(1000.0)
        assert rig.doing == "running"
        reported = rig.gear.words(rig.loop.world(rig.now_s))
        assert reported["cut_off"][0].detail == "no travel limit"


@pytest.mark.parametrize("power", ALL)
def test_turned_round_again_while_it_rests_the_rest_starts_again(power: str) -> None:
    bench = Power(power=power, reversal_delay_s=1.0)
    bench.at(1.0, demand=UP, wanted=True)
    bench.at(3.0, demand=DOWN)
    bench.at(3.5, demand=UP)
    bench.at(4.2)
    assert (bench.word, bench.drives) == ("resting", False)
    bench.at(4.4999)
    assert bench.word == "resting"
    bench.at(4.5)
    assert bench.word == "running"


def test_a_rest_ends_idle_when_nothing_is_left_to_do() -> None:
    bench = Power(power="hydraulic", reversal_delay_s=1.0)
    bench.at(1.0, demand=UP, wanted=True)
    bench.at(1.1, demand=DOWN, wanted=False)
    assert bench.word == "resting"
    bench.at(2.1)
    assert bench.word == "idle"


def test_power_that_goes_in_a_rest_ends_the_rest() -> None:
    bench = Power(power="hydraulic", reversal_delay_s=1.0)
    bench.at(1.0, demand=UP, wanted=True)
    bench.at(2.0, demand=DOWN)
    bench.at(2.1, supplied=False)
    assert bench.word == "unsupplied"
    bench.at(2.2, supplied=True)
    assert bench.word == "running", "it stood still; nothing is left to come to rest"


@given(
    st.sampled_from([0.0, 0.4, 1.0]),
    st.lists(st.tuples(st.floats(0.1, 12.0), st.booleans()), min_size=1, max_size=12),
)
def test_no_movement_is_cut_off_before_its_own_limit(
    delay_s: float, turns: list[tuple[float, bool]]
) -> None:
    """Every reversal begins another movement, with a rest before it or without."""
    bench = Power(power="hydraulic", travel_limit_s=5.0, reversal_delay_s=delay_s)
    bench.at(1.0, demand=UP, wanted=True)
    demand, since_s = UP, 1.0
    for wait_s, turn in turns:
        bench.after(wait_s)
        began_s = since_s + (delay_s if since_s > 1.0 else 0.0)
        assert bench.power.cut_off is (bench.now_s >= began_s + 5.0 - 1e-9)
        if bench.power.cut_off:
            assert bench.log.logged[-1][0] == pytest.approx(began_s + 5.0)
            return
        if turn:
            demand, since_s = DOWN if demand is UP else UP, bench.now_s
            bench.at(bench.now_s, demand=demand)


def test_the_reset_may_be_for_the_ground_only() -> None:
    bench = Power(power="hydraulic", travel_limit_s=5.0)
    bench.at(1.0, demand=UP, wanted=True, may_reset=False).at(10.0)
    bench.press_reset()
    assert bench.word == "cut_off"
    bench.after(1.0, may_reset=True)
    assert bench.word == "cut_off", "a press that was refused does not count later"
    bench.press_reset()
    assert bench.word == "running"
    assert bench.names == ["gear_power_cut_off", "gear_reset_refused", "gear_power_reset"]


def test_without_a_delay_it_turns_round_at_once() -> None:
    bench = Power(power="hydraulic")
    bench.at(1.0, demand=UP, wanted=True)
    bench.at(2.0, demand=DOWN)
    assert bench.word == "running"


def test_shut_in_pressure_holds_the_legs_for_a_time() -> None:
    bench = Power(power="electric_pack", uplocks="pressure", uplock_hold_s=20.0)
    bench.at(1.0, supplied=False)
    bench.at(20.9)
    assert bench.holds_up()
    bench.at(20.95, supplied=True)
    bench.at(30.0, supplied=False)
    bench.at(49.9)
    assert bench.holds_up(), "what came back was shut in again"
    bench.at(50.0)
    assert not bench.holds_up()
    assert bench.names == ["gear_up_pressure_lost"]
    bench.at(500.0)
    assert len(bench.names) == 1
    bench.at(501.0, supplied=True)
    assert bench.holds_up()


def test_cut_off_gives_no_pressure_either() -> None:
    bench = Power(power="hydraulic", uplocks="pressure", uplock_hold_s=20.0, travel_limit_s=5.0)
    bench.at(1.0, demand=UP, wanted=True)
    bench.at(25.9)
    assert bench.holds_up()
    bench.at(26.0)
    assert not bench.holds_up()


def test_hooks_hold_without_anything() -> None:
    bench = Power(power="hydraulic", uplock_hold_s=0.0)
    bench.at(1.0, supplied=False)
    bench.at(1000.0)
    assert bench.holds_up()


def test_it_breaks_and_is_mended() -> None:
    rig = flying(DOWN, power={"power": "electric_pack"}).at(2.0, handle="up")
    rig.fault("gear_power", "failed")
    assert rig.doing == "unsupplied"
    assert not rig.gear.words(rig.loop.world(rig.now_s))["supplied"][0].holds
    rig.fault("gear_power", None)
    assert rig.doing == "running"
    targets = {fault.name for fault in LandingGear(three_legs()).faults}
    assert "gear_power" not in targets, "a gear that needs no power"


@pytest.mark.parametrize(
    ("power", "inputs", "said"),
    [
        ("hydraulic", {"hydraulic": True}, "hydraulics"),
        ("hydraulic", {"hydraulic": False}, "no pressure"),
        ("electric_pack", {"bus": None}, "bus"),
        ("electric_pack", {"bus": False}, "no bus power"),
        ("none_needed", {}, "none needed"),
    ],
)
def test_its_reasons_say_what_it_has(power: str, inputs: dict[str, Any], said: str) -> None:
    rig = flying(DOWN, power={"power": power}).at(2.0, handle="up", **inputs)
    reported = rig.gear.words(rig.loop.world(rig.now_s))
    assert reported["supplied"][0].detail == said
    assert reported["wanted"][0].holds


def test_what_the_running_gear_takes_of_the_hydraulics() -> None:
    for power, flow in (("hydraulic", 0.4), ("electric_pack", 0.0), ("none_needed", 0.0)):
        rig = flying(power={"power": power, "flow_l_per_s": 0.4})
        assert rig.facts.flow_l_per_s == 0.0
        assert rig.at(2.0, handle="down").facts.flow_l_per_s == flow
        assert rig.at(60.0).facts.flow_l_per_s == 0.0


def test_what_a_file_that_says_nothing_gets() -> None:
    """A gear that always moves, with hooks, at once, without a limit."""
    numbers = GearPowerParameters()
    assert (numbers.power, numbers.travel_limit_s) == ("none_needed", None)
    assert (numbers.reversal_delay_s, numbers.uplocks) == (0.0, "mechanical")
    assert numbers.uplock_hold_s == 60.0


# -- every parameter counts -----------------------------------------------------------------------

SCRIPT: tuple[tuple[float, dict[str, Any]], ...] = (
    (10.0, {"handle": "down"}),
    (12.0, {"handle": "up"}),
    (13.0, {"handle": "down"}),
    (40.0, {"handle": "up"}),
    (60.0, {"bus": False}),
    (130.0, {"bus": True, "hydraulic": False}),
    (300.0, {"hydraulic": True}),
    (301.0, {"handle": "down"}),
    (304.0, {"hydraulic": False}),
    (310.0, {"hydraulic": True}),
    (400.0, {}),
)


def played(**changes: Any) -> list[tuple[float, str, str]]:
    usual = {
        "power": "hydraulic",
        "travel_limit_s": 14.0,
        "reversal_delay_s": 0.5,
        "uplocks": "pressure",
        "uplock_hold_s": 60.0,
    }
    rig = flying(power={**usual, **changes})
    for now_s, inputs in SCRIPT:
        rig.at(now_s, **inputs)
    rig.fault("nose", "hung").at(410.0, handle="up", gear_reset=False).at(430.0)
    rig.at(440.0, gear_reset=True).at(441.0)
    return rig.trace


@pytest.mark.parametrize(
    "change",
    [
        {"power": "electric_pack"},
        {"power": "none_needed"},
        {"travel_limit_s": 4.0},
        {"reversal_delay_s": 0.0},
        {"reset_in_flight": False},
        {"uplocks": "mechanical"},
        {"uplock_hold_s": 5.0},
    ],
)
def test_every_parameter_changes_something(change: dict[str, Any]) -> None:
    assert played(**change) != played()
    own = {
        "power",
        "travel_limit_s",
        "reset_in_flight",
        "reversal_delay_s",
        "uplocks",
        "uplock_hold_s",
    }
    # What the gear takes from the hydraulics is a matter of the two together.
    electric = {"breaker", "nominal_v", "stall_v"}  # tests/logic/test_electric_gear.py
    assert set(GearPowerParameters.model_fields) - {"flow_l_per_s"} == own | electric
