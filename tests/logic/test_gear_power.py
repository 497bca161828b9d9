"""What moves the legs."""

from __future__ import annotations

from typing import Any

import pytest

from panelbridge.clock import TimerHeap
from panelbridge.errors import LogicError
from panelbridge.logic.events import EventLog
from panelbridge.logic.gear_power import GearPower, GearPowerParameters
from tests.logic.gear_rig import DOWN, UP, flying
from tests.logic.stage import Stage

ALL = ("hydraulic", "electric_pack", "none_needed")


def stage(**parameters: Any) -> Stage[GearPower]:
    """The power by itself, at rest with the gear down and all it needs."""

    def make(timers: TimerHeap, log: EventLog) -> GearPower:
        return GearPower(GearPowerParameters.model_validate(parameters), timers, log)

    def update(power: GearPower, now_s: float, inputs: dict[str, Any]) -> None:
        power.update(now_s, **inputs)

    return Stage(
        make,
        update,
        demand=DOWN,
        at_end=True,
        hydraulic=True,
        bus_powered=True,
        gear_reset=False,
        emergency=False,
    )


def word(bench: Stage[GearPower]) -> str:
    return str(bench.system.values(bench.now_s)["gear_power"])


def held(bench: Stage[GearPower]) -> bool:
    return bench.system.holds_up


@pytest.mark.parametrize("power", ALL)
def test_it_runs_while_something_is_not_at_its_end(power: str) -> None:
    bench = stage(power=power)
    bench.at(0.0)
    assert (word(bench), bench.system.is_running) == ("idle", False)
    bench.at(1.0, demand=UP, at_end=False)
    assert (word(bench), bench.system.is_running, bench.system.drives) == ("running", True, True)
    bench.at(9.0, at_end=True)
    assert word(bench) == "idle"
    assert bench.system.drives == (power == "none_needed")
    assert bench.system.published[0].words == (
        *("idle", "running", "resting", "unsupplied", "cut_off"),
    )


@pytest.mark.parametrize(
    ("power", "inputs", "supplied"),
    [
        ("hydraulic", {"hydraulic": True, "bus_powered": False}, True),
        ("hydraulic", {"hydraulic": False}, False),
        ("hydraulic", {"hydraulic": None}, False),
        ("electric_pack", {"hydraulic": False}, True),
        ("electric_pack", {"bus_powered": None}, True),
        ("electric_pack", {"bus_powered": False}, False),
        ("none_needed", {"hydraulic": None, "bus_powered": False}, True),
    ],
)
def test_what_it_needs(power: str, inputs: dict[str, Any], supplied: bool) -> None:
    """Unknown pressure moves nothing; an unknown bus counts as powered."""
    bench = stage(power=power)
    bench.at(1.0, demand=UP, at_end=False, **inputs)
    assert word(bench) == ("running" if supplied else "unsupplied")
    assert bench.system.conditions.supplied == supplied
    if power == "none_needed":
        assert bench.system.lit() == {}
    else:
        assert bench.system.lit() == {"gear_power_amber": not supplied}


@pytest.mark.parametrize(
    "inputs", [{"at_end": None}, {"demand": None, "at_end": False}, {"emergency": True}]
)
def test_what_is_unknown_or_not_commanded_moves_nothing(inputs: dict[str, Any]) -> None:
    bench = stage(power="electric_pack")
    bench.at(1.0, demand=UP, at_end=False)
    bench.at(2.0, **inputs)
    assert word(bench) == "idle"
    assert not bench.system.drives


def test_without_power_and_nothing_wanted_it_is_idle_and_no_lamp_burns() -> None:
    bench = stage(power="hydraulic")
    bench.at(1.0, hydraulic=False)
    assert word(bench) == "idle"
    assert bench.system.lit() == {"gear_power_amber": False}
    bench.at(2.0, demand=UP, at_end=False)
    assert word(bench) == "unsupplied"
    bench.at(3.0, demand=DOWN, at_end=True)
    assert word(bench) == "idle"
    bench.at(4.0, demand=UP, at_end=False)
    bench.at(5.0, hydraulic=True)
    assert word(bench) == "running"


def test_the_limit_counts_from_the_begin_of_each_running() -> None:
    bench = stage(power="hydraulic", travel_limit_s=5.0)
    bench.at(1.0, demand=UP, at_end=False)
    bench.at(4.0, hydraulic=False)
    bench.at(20.0, hydraulic=True)
    bench.at(24.9)
    assert word(bench) == "running"
    bench.at(25.0)
    assert word(bench) == "cut_off"
    assert bench.system.faults() == ("the gear's power was cut off by its travel limit",)
    told = bench.system.told()
    assert told["cut_off"][0].holds
    assert told["cut_off"][0].detail == "travel limit 5 s"


def test_cut_off_it_stays_whatever_comes() -> None:
    bench = stage(power="hydraulic", travel_limit_s=5.0, reversal_delay_s=1.0)
    bench.at(1.0, demand=UP, at_end=False)
    bench.at(10.0)
    for changes in ({"hydraulic": False}, {"at_end": True}, {"demand": DOWN, "hydraulic": True}):
        bench.after(1.0, **changes)
        assert word(bench) == "cut_off"
        assert bench.system.lit() == {"gear_power_amber": True}
        assert not bench.system.drives
    bench.press("gear_reset")
    assert word(bench) == "idle"
    assert bench.system.faults() == ()
    assert bench.system.lit() == {"gear_power_amber": False}
    assert [h.name for h in bench.events] == ["gear_power_cut_off", "gear_power_reset"]
    bench.press("gear_reset")
    assert len(bench.events) == 2, "there is nothing to reset"


def test_no_limit_and_a_gear_that_needs_no_power_are_never_cut_off() -> None:
    for parameters in ({"power": "hydraulic"}, {"power": "none_needed", "travel_limit_s": 5.0}):
        bench = stage(**parameters)
        bench.at(1.0, demand=UP, at_end=False)
        bench.at(1000.0)
        assert word(bench) == "running"
        assert bench.system.told()["cut_off"][0].detail == "no travel limit"


@pytest.mark.parametrize("power", ALL)
def test_turned_round_again_while_it_rests_the_rest_begins_anew(power: str) -> None:
    bench = stage(power=power, reversal_delay_s=1.0)
    bench.at(1.0, demand=UP, at_end=False)
    bench.at(3.0, demand=DOWN)
    bench.at(3.5, demand=UP)
    bench.at(4.2)
    assert (word(bench), bench.system.drives) == ("resting", False)
    bench.at(4.4999)
    assert word(bench) == "resting"
    bench.at(4.5)
    assert word(bench) == "running"


def test_a_rest_ends_idle_when_nothing_is_left_to_do() -> None:
    bench = stage(power="hydraulic", reversal_delay_s=1.0)
    bench.at(1.0, demand=UP, at_end=False)
    bench.at(1.1, demand=DOWN, at_end=True)
    assert word(bench) == "resting"
    bench.at(2.1)
    assert word(bench) == "idle"


def test_power_that_goes_in_a_rest_ends_the_rest() -> None:
    bench = stage(power="hydraulic", reversal_delay_s=1.0)
    bench.at(1.0, demand=UP, at_end=False)
    bench.at(2.0, demand=DOWN)
    bench.at(2.1, hydraulic=False)
    assert word(bench) == "unsupplied"
    bench.at(2.2, hydraulic=True)
    assert word(bench) == "running", "it stood still; nothing is left to come to rest"


def test_without_a_delay_it_turns_round_at_once() -> None:
    bench = stage(power="hydraulic")
    bench.at(1.0, demand=UP, at_end=False)
    bench.at(2.0, demand=DOWN)
    assert word(bench) == "running"


def test_shut_in_pressure_holds_the_legs_for_a_time() -> None:
    bench = stage(power="electric_pack", uplocks="pressure", uplock_hold_s=20.0)
    bench.at(1.0, bus_powered=False)
    bench.at(20.9)
    assert held(bench)
    bench.at(20.95, bus_powered=True)
    bench.at(30.0, bus_powered=False)
    bench.at(49.9)
    assert held(bench), "what came back was shut in again"
    bench.at(50.0)
    assert not held(bench)
    assert [h.name for h in bench.events] == ["gear_up_pressure_lost"]
    bench.at(500.0)
    assert len(bench.events) == 1
    bench.at(501.0, bus_powered=True)
    assert held(bench)


def test_cut_off_gives_no_pressure_either() -> None:
    bench = stage(power="hydraulic", uplocks="pressure", uplock_hold_s=20.0, travel_limit_s=5.0)
    bench.at(1.0, demand=UP, at_end=False)
    bench.at(25.9)
    assert held(bench)
    bench.at(26.0)
    assert not held(bench)


def test_hooks_hold_without_anything() -> None:
    bench = stage(power="hydraulic", uplock_hold_s=0.0)
    bench.at(1.0, hydraulic=False)
    bench.at(1000.0)
    assert bench.system.holds_up


def test_it_breaks_and_is_mended() -> None:
    bench = stage(power="electric_pack")
    bench.at(1.0, demand=UP, at_end=False)
    bench.fault("gear_power", "failed")
    assert word(bench) == "unsupplied"
    assert not bench.system.told()["supplied"][0].holds
    bench.fault("gear_power", None)
    assert word(bench) == "running"
    with pytest.raises(LogicError):
        stage(power="none_needed").system.set_fault(0.0, "gear_power", "failed")


@pytest.mark.parametrize(
    ("power", "inputs", "said"),
    [
        ("hydraulic", {"hydraulic": True}, "hydraulics"),
        ("hydraulic", {"hydraulic": False}, "no pressure"),
        ("hydraulic", {"hydraulic": None}, "unknown"),
        ("electric_pack", {"bus_powered": None}, "bus"),
        ("electric_pack", {"bus_powered": False}, "no bus power"),
        ("none_needed", {}, "none needed"),
    ],
)
def test_its_reasons_say_what_it_has(power: str, inputs: dict[str, Any], said: str) -> None:
    bench = stage(power=power)
    bench.at(1.0, demand=UP, at_end=False, **inputs)
    assert bench.system.told()["supplied"][0].detail == said
    assert bench.system.told()["wanted"][0].holds


def test_before_the_first_look_it_knows_nothing_of_its_source() -> None:
    assert stage(power="hydraulic").system.told()["supplied"][0].detail == "unknown"


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
    return rig.trace


@pytest.mark.parametrize(
    "change",
    [
        {"power": "electric_pack"},
        {"power": "none_needed"},
        {"travel_limit_s": 4.0},
        {"reversal_delay_s": 0.0},
        {"uplocks": "mechanical"},
        {"uplock_hold_s": 5.0},
    ],
)
def test_every_parameter_changes_something(change: dict[str, Any]) -> None:
    assert played(**change) != played()
    own = {"power", "travel_limit_s", "reversal_delay_s", "uplocks", "uplock_hold_s"}
    # What the gear takes from the hydraulics is a matter of the two together.
    assert set(GearPowerParameters.model_fields) - {"flow_l_per_s"} == own
