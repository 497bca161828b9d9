"""Emergency extension: bottle, free fall, hand pump."""

from __future__ import annotations

from math import inf
from typing import Any, get_args

import pytest

from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.brakes.facts import BRAKE_STEPS, BrakesFacts
from panelbridge.logic.emergency.facts import Means
from panelbridge.logic.emergency.parameters import EmergencyParameters
from panelbridge.logic.emergency.system import (
    BOTTLE_FAULT,
    EMERGENCY_EXTEND,
    HAND_PUMP,
    Emergency,
)
from panelbridge.logic.gear.facts import GEAR_RESET, GearFacts
from panelbridge.logic.kit.edges import RisingEdge
from panelbridge.signals import Level
from tests.logic.spread_stage import SpreadStage
from tests.logic.stage import Input

NUMBERS: dict[str, Any] = {
    "bottle_full_psi": 2000.0,
    "extension_use_psi": 700.0,
    "brake_use_psi": 100.0,
    "bottle_low_psi": 1000.0,
    "bottle_least_psi": 300.0,
    "bottle_leak_psi_per_min": 600.0,
    "stroke_s": 2.0,
}


NAMES: dict[str, Input] = {
    "handle": EMERGENCY_EXTEND,
    "hand_pump": HAND_PUMP,
    "gear_reset": GEAR_RESET,
    "on_ground": (AirGroundFacts, "has_weight"),
    "not_in_air": (AirGroundFacts, "ground_for_commands"),
    "gear_down": (GearFacts, "all_down"),
    "brake_steps": (BrakesFacts, "air_steps"),
}


def unlooked(first: dict[str, Any] | None = None, **numbers: Any) -> SpreadStage[Emergency]:
    """Before its first step."""
    system = Emergency(EmergencyParameters(**{**NUMBERS, **numbers}))
    faults: dict[str, Input] = {"air_bottle": BOTTLE_FAULT} if system.faults else {}
    inputs: dict[str, Any] = {
        "handle": False,
        "hand_pump": False,
        "gear_reset": False,
        "not_in_air": True,
        "on_ground": False,
        "gear_down": False,
        "brake_steps": 0,
        **(first or {}),
    }
    return SpreadStage(system, NAMES | faults, **inputs)


def stage(**numbers: Any) -> SpreadStage[Emergency]:
    made = unlooked(**numbers)
    made.at(0.0)
    return made


def use_air(air: SpreadStage[Emergency], now_s: float, applications: float) -> None:
    """The emergency brake takes air, full applications."""
    air.at(now_s, brake_steps=air.inputs["brake_steps"] + round(applications * BRAKE_STEPS))


def has_air(air: SpreadStage[Emergency]) -> bool:
    """The bottle can work the emergency brake."""
    found = air.facts.has_air
    assert isinstance(found, bool)
    return found


def means_of(air: SpreadStage[Emergency]) -> str | None:
    """What drives the legs now."""
    means = air.facts.means
    assert means is None or means in get_args(Means)
    return str(means) if means else None


def locked_out(air: SpreadStage[Emergency]) -> bool:
    """The gear may not be retracted, and by the same token not steered."""
    assert air.facts.extended is (air.facts.means is not None)
    return air.facts.extended is True


def stroke(air: SpreadStage[Emergency]) -> bool:
    """A stroke drives the legs."""
    return air.facts.stroke is True


def psi(air: SpreadStage[Emergency]) -> Any:
    return air.value("emergency_air_psi")


# -- the handle -----------------------------------------------------------------------------------


@pytest.mark.parametrize("means", get_args(Means))
def test_pulled_it_extends_and_goes_on_when_the_handle_is_pushed_back(means: Means) -> None:
    air = stage(means=means)
    assert means_of(air) is None
    assert not locked_out(air)
    assert air.value("emergency_extension") == "stowed"
    for handle in (True, False, None):
        air.after(1.0, handle=handle)
        assert means_of(air) == means
        assert locked_out(air)
        assert "retract_locked_out_amber" in air.lit
        assert air.value("emergency_extension") == "extended"
    assert air.names == ["emergency_extension_begun"]
    assert air.events[0].level is Level.WARNING


def test_pulled_again_it_uses_no_more_air() -> None:
    air = stage()
    for _ in range(3):
        air.press("handle")
    assert psi(air) == 1300.0
    assert air.names == ["emergency_extension_begun"]


@pytest.mark.parametrize("before", [None, True])
def test_a_handle_that_is_found_pulled_moves_nothing(before: bool | None) -> None:
    air = unlooked({"handle": before, "hand_pump": None, "gear_reset": None})
    air.at(0.0)
    air.at(1.0, handle=True)
    assert means_of(air) is None
    air.at(2.0, handle=False)
    air.at(3.0, handle=True)
    assert means_of(air) == "air"


def test_a_handle_that_was_lost_and_is_found_pulled_moves_nothing() -> None:
    air = stage()
    air.after(1.0, handle=None)
    air.after(1.0, handle=True)
    assert means_of(air) is None


def test_an_edge_that_is_spent_counts_again_after_a_release() -> None:
    edge = RisingEdge().take(False).take(True)
    reported = [(edge.holds, edge.armed)]
    edge = edge.spent()
    reported.append((edge.holds, edge.armed))
    edge = edge.take(False).spent()
    reported.append((edge.holds, edge.armed))
    assert reported == [(True, True), (False, False), (False, True)], "what is off is not spent"


# -- the bottle -----------------------------------------------------------------------------------


def test_an_empty_bottle_extends_nothing_and_says_so() -> None:
    air = stage()
    air.fault("air_bottle", "empty")
    assert (psi(air), air.lit) == (0.0, {"air_low_amber"})
    assert air.system.failures() == ("the emergency air bottle is empty",)
    air.press("handle")
    assert means_of(air) is None
    assert not locked_out(air)
    assert air.names == ["emergency_air_low", "emergency_extension_failed"]
    air.fault("air_bottle", None)
    assert (psi(air), air.lit, air.system.failures()) == (2000.0, set(), ())
    air.press("handle")
    assert means_of(air) == "air"


@pytest.mark.parametrize(("full", "works"), [(300.0, False), (300.1, True)])
def test_the_least_pressure_itself_is_too_little(full: float, works: bool) -> None:
    air = stage(bottle_full_psi=full)
    assert has_air(air) is works
    air.press("handle")
    assert (means_of(air) == "air") is works
    assert psi(air) == (0.0 if works else full), "never below nothing"


@pytest.mark.parametrize(("full", "low"), [(1000.0, True), (1000.1, False)])
def test_low_at_the_limit(full: float, low: bool) -> None:
    air = stage(bottle_full_psi=full)
    assert ("air_low_amber" in air.lit) is low
    assert air.logged == ([(0.0, "emergency_air_low", "")] if low else [])


def test_the_brake_takes_air_by_its_applications() -> None:
    air = stage()
    use_air(air, 1.0, 2.5)
    assert psi(air) == 1750.0
    use_air(air, 1.0, 0.0)
    assert psi(air) == 1750.0
    use_air(air, 2.0, 7.5)
    assert air.lit == {"air_low_amber"}
    has = [has_air(air)]
    use_air(air, 3.0, 7.0)
    assert [*has, has_air(air)] == [True, False]
    air.at(4.0)
    assert air.names == ["emergency_air_low"]
    assert psi(air) == 300.0


def test_only_a_bottle_has_air_lamp_gauge_and_faults() -> None:
    air, fall, pump, crank = (stage(means=means) for means in get_args(Means))
    assert {lamp.name for lamp in air.system.lamps} == {"air_low_amber", "retract_locked_out_amber"}
    for other in (fall, pump, crank):
        assert {lamp.name for lamp in other.system.lamps} == {"retract_locked_out_amber"}
        assert not other.system.faults
        assert not has_air(other)
        assert other.system.failures() == ()
        use_air(other, 1.0, 100.0)
        assert other.names == []
    assert [info.name for info in pump.system.values] == [
        "emergency_extension",
        "hand_pump_strokes",
    ]
    assert [info.name for info in fall.system.values] == ["emergency_extension"]
    assert air.system.values[0].high == 2000.0
    assert [(one.name, one.kinds) for one in air.system.faults] == [
        ("air_bottle", ("empty", "leaking"))
    ]


@pytest.mark.parametrize("rate_hz", [0.013, 0.7, 7.3])
def test_a_leak_reaches_its_limits_at_their_times(rate_hz: float) -> None:
    """600 psi a minute: low (1000 psi) after 100 s, too little (300 psi) after 170 s."""
    air = stage()
    air.fault("air_bottle", "leaking")
    heard = []
    for number in range(1, int(300 * rate_hz) + 1):
        air.at(number / rate_hz)
        heard.append((air.now_s, has_air(air)))
        assert psi(air) == pytest.approx(max(2000.0 - 10.0 * air.now_s, 0.0))
    assert air.logged == [(100.0, "emergency_air_low", "")]
    assert [has for _, has in heard] == [now_s < 170.0 for now_s, _ in heard]
    assert air.system.failures() == ("the emergency air bottle is empty",)


def test_a_leak_waits_for_each_limit_in_turn() -> None:
    air = stage()
    air.fault("air_bottle", "leaking")
    waited = []
    for _ in range(2):
        waited.append(air.loop.next_due_s)
        air.at(waited[-1])
        assert psi(air) in (1000.0, 300.0), "exactly"
    assert waited == pytest.approx([100.0, 170.0])
    assert air.loop.next_due_s == inf


def test_without_a_bottle_its_pressure_does_not_matter() -> None:
    for means in ("free_fall", "hand_pump"):
        other = stage(means=means, bottle_full_psi=1.0)
        other.press("handle")
        assert means_of(other) == means


def test_a_full_bottle_is_there_before_anything_was_looked_at() -> None:
    air = unlooked()
    assert has_air(air)
    assert air.lit == set()


def test_a_leak_that_is_mended_fills_and_stops() -> None:
    air = stage()
    air.fault("air_bottle", "leaking")
    air.at(60.0)
    assert psi(air) == pytest.approx(1400.0)
    air.press("handle")
    assert psi(air) == pytest.approx(700.0, abs=1.0)
    air.fault("air_bottle", None)
    air.at(500.0)
    assert psi(air) == 2000.0
    assert air.loop.next_due_s == inf


# -- the reset ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("on_ground", "gear_down"), [(True, True), (True, False), (False, True), (False, False)]
)
def test_the_reset_works_on_the_ground_with_the_gear_locked_down(
    on_ground: bool, gear_down: bool
) -> None:
    air = stage()
    air.press("handle")
    air.after(1.0, on_ground=on_ground, gear_down=gear_down)
    air.press("gear_reset")
    done = on_ground and gear_down
    assert locked_out(air) is not done
    assert air.names[1:] == ["emergency_extension_reset" if done else "emergency_reset_refused"]
    assert psi(air) == (2000.0 if done else 1300.0)


def test_weight_on_a_strut_is_not_enough_when_the_others_say_in_the_air() -> None:
    air = stage()
    air.press("handle")
    air.after(1.0, on_ground=True, gear_down=True, not_in_air=False)
    air.press("gear_reset")
    assert air.names[1:] == ["emergency_reset_refused"]


def test_a_reset_button_that_is_found_pressed_resets_nothing() -> None:
    air = stage()
    air.press("handle")
    air.after(1.0, on_ground=True, gear_down=True, gear_reset=None)
    air.after(1.0, gear_reset=True)
    assert locked_out(air)
    air.after(1.0, gear_reset=False)
    air.press("gear_reset")
    assert not locked_out(air)


def test_the_reset_may_leave_the_bottle_as_it_is() -> None:
    air = stage(reset_fills_bottle=False)
    air.press("handle")
    air.after(1.0, on_ground=True, gear_down=True)
    air.press("gear_reset")
    assert (means_of(air), psi(air)) == (None, 1300.0)


def test_the_reset_without_an_extension_fills_the_bottle_and_says_nothing() -> None:
    air = stage()
    use_air(air, 0.5, 3.0)
    air.after(1.0, on_ground=True, gear_down=True)
    air.press("gear_reset")
    assert (psi(air), air.names) == (2000.0, [])


def test_after_the_reset_a_handle_still_pulled_does_nothing() -> None:
    air = stage()
    air.after(1.0, handle=True)
    air.after(1.0, on_ground=True, gear_down=True)
    air.press("gear_reset")
    air.after(1.0)
    assert means_of(air) is None
    assert air.names == ["emergency_extension_begun", "emergency_extension_reset"]


# -- the hand pump --------------------------------------------------------------------------------


def test_each_push_drives_for_a_stroke() -> None:
    pump = stage(means="hand_pump")
    assert pump.value("hand_pump_strokes") == 0.0
    pump.press("hand_pump")
    assert not stroke(pump), "the handle was not pulled"
    pump.at(1.0, handle=True)
    assert not stroke(pump)
    pump.at(10.0, hand_pump=True)
    driven = {now_s: pump.at(now_s).facts.stroke for now_s in (10.0, 11.9, 12.0, 15.0)}
    assert driven == {10.0: True, 11.9: True, 12.0: False, 15.0: False}, "held is one stroke"
    pump.at(16.0, hand_pump=False)
    pump.at(17.0, hand_pump=True)
    pump.at(17.5, hand_pump=False)
    pump.at(18.0, hand_pump=True)
    assert pump.at(19.9).facts.stroke
    assert not pump.at(20.0).facts.stroke
    assert pump.value("hand_pump_strokes") == 3.0


def test_a_pump_without_a_handle_begins_with_its_first_push() -> None:
    pump = stage(means="hand_pump", pump_without_handle=True)
    pump.press("hand_pump")
    assert means_of(pump) == "hand_pump"
    assert stroke(pump)
    assert pump.value("hand_pump_strokes") == 1.0


def test_a_pump_that_is_found_pushed_makes_no_stroke() -> None:
    pump = stage(means="hand_pump")
    pump.press("handle")
    pump.after(1.0, hand_pump=None)
    pump.after(1.0, hand_pump=True)
    assert not stroke(pump)


@pytest.mark.parametrize("means", ["air", "free_fall"])
def test_the_pump_of_another_means_does_nothing(means: str) -> None:
    other = stage(means=means)
    other.press("handle")
    other.press("hand_pump")
    assert not stroke(other)


def test_the_reset_ends_a_stroke_and_strokes_are_counted_again() -> None:
    pump = stage(means="hand_pump")
    pump.press("handle")
    pump.press("hand_pump")
    pump.after(0.1, on_ground=True, gear_down=True)
    pump.press("gear_reset")
    assert not stroke(pump)
    assert pump.loop.next_due_s == inf
    pump.press("handle")
    assert pump.value("hand_pump_strokes") == 0.0


# -- words and numbers ----------------------------------------------------------------------------


def test_the_lamps_say_why() -> None:
    air = stage()
    air.press("handle")
    use_air(air, 1.0, 4.0)
    reported = air.system.words(air.loop.world(air.now_s))
    assert [(r.condition, r.holds, r.detail) for r in reported["air_low"]] == [
        ("emergency air low", True, "at 900 psi, limit 1000 psi")
    ]
    assert reported["extended"][0].holds
    world = air.loop.world(air.now_s)
    assert [decision.rules for decision in air.system.decisions("air_low_amber", world)]
    air.hold()


def run(**numbers: Any) -> list[Any]:
    """What comes of one script that needs every number."""
    seen: list[Any] = []
    for means in (numbers.pop("means", None),) if "means" in numbers else ("air", "hand_pump"):
        air = stage(**{**numbers, "means": means})

        def look(air: SpreadStage[Emergency] = air) -> None:
            seen.append((means_of(air), stroke(air), has_air(air), air.lit))
            seen.append([air.value(info.name) for info in air.system.values])

        air.press("hand_pump")
        look()
        air.press("handle")
        air.press("hand_pump")
        look()
        air.at(1.5)
        look()
        use_air(air, 2.0, 1.0)
        look()
        if means == "air":
            air.fault("air_bottle", "leaking")
        for second in range(3, 120, 2):
            air.at(float(second))
            look()
        air.after(1.0, on_ground=True, gear_down=True)
        air.press("gear_reset")
        look()
        seen.append(air.logged)
    return seen


CHANGES: dict[str, Any] = {
    "means": "free_fall",
    "bottle_full_psi": 2100.0,
    "extension_use_psi": 800.0,
    "brake_use_psi": 110.0,
    "bottle_low_psi": 1100.0,
    "bottle_least_psi": 350.0,
    "bottle_leak_psi_per_min": 500.0,
    "reset_fills_bottle": False,
    "stroke_s": 1.0,
    "pump_without_handle": True,
}
ELSEWHERE = {"crank_turns"}
"""``test_hand_crank.py``: it asks for legs."""


def test_every_number_changes_something() -> None:
    assert set(CHANGES) == set(EmergencyParameters.model_fields) - ELSEWHERE
    plain = run()
    for name, value in CHANGES.items():
        assert run(**{name: value}) != plain, name
