"""Speed limits of the gear."""

from __future__ import annotations

from collections.abc import Mapping
from math import nan
from typing import Any

import pytest
from pydantic import ValidationError

from panelbridge.logic.gear.facts import GearFacts
from panelbridge.logic.kit.aircraft_cells import AIRSPEED_KIAS
from panelbridge.logic.speed_limits.parameters import SpeedLimitsParameters
from panelbridge.logic.speed_limits.system import SpeedLimits
from panelbridge.signals import GearPosition, Level
from tests.logic.laws import look_again
from tests.logic.stage import Input, Stage

UP, DOWN = GearPosition.UP, GearPosition.DOWN
LIMITS: dict[str, Any] = {
    "vlo_extend_kias": 180.0,
    "vlo_retract_kias": 150.0,
    "vle_kias": 210.0,
    "hysteresis_kias": 3.0,
}
NAMES: dict[str, Input] = {
    "kias": AIRSPEED_KIAS,
    "demand": (GearFacts, "demand"),
    "is_agreeing": (GearFacts, "is_agreeing"),
    "all_up": (GearFacts, "all_up"),
    "all_down": (GearFacts, "all_down"),
}


class Gear(Stage[SpeedLimits]):
    """The limits by themselves; where the gear is asked to go is None while nothing asks."""

    def _set(self, changes: Mapping[str, Any]) -> None:
        plain = dict(changes)
        if "demand" in plain:
            plain["is_agreeing"] = plain["demand"] is None
            plain["demand"] = plain["demand"] or DOWN
        super()._set(plain)


def stage(**numbers: Any) -> Gear:
    system = SpeedLimits(SpeedLimitsParameters(**(numbers or LIMITS)))
    return Gear(system, NAMES, kias=100.0, demand=DOWN, all_up=False, all_down=True)


def down(speed: Gear, **more: Any) -> None:
    """Locked down."""
    speed.after(1.0, **{"demand": DOWN, "all_up": False, "all_down": True, **more})


def moving(speed: Gear, demand: GearPosition | None, **more: Any) -> None:
    speed.after(1.0, **{"demand": demand, "all_up": False, "all_down": False, **more})


def up(speed: Gear, **more: Any) -> None:
    """Locked up."""
    speed.after(1.0, **{"demand": UP, "all_up": True, "all_down": False, **more})


def on(speed: Gear) -> bool:
    speed.hold()
    return speed.lit == {"speed_amber"}


@pytest.mark.parametrize(("kias", "lit"), [(180.0, False), (180.1, True), (209.0, True)])
def test_extending_above_its_vlo(kias: float, lit: bool) -> None:
    speed = stage()
    up(speed, kias=kias)
    assert not on(speed)
    moving(speed, DOWN)
    assert on(speed) is lit
    down(speed)
    assert not on(speed)


@pytest.mark.parametrize(("kias", "lit"), [(150.0, False), (150.1, True), (179.0, True)])
def test_retracting_above_its_vlo(kias: float, lit: bool) -> None:
    speed = stage()
    down(speed, kias=kias)
    assert not on(speed)
    down(speed, demand=UP)
    assert on(speed) is lit, "as soon as it is asked for"
    moving(speed, UP)
    assert on(speed) is lit
    up(speed)
    assert not on(speed)


@pytest.mark.parametrize(("kias", "lit"), [(210.0, False), (210.1, True)])
def test_out_above_vle(kias: float, lit: bool) -> None:
    speed = stage()
    down(speed, kias=kias)
    assert on(speed) is lit
    up(speed)
    assert not on(speed)


def test_an_unknown_direction_counts_as_both() -> None:
    for kias, lit in ((150.0, False), (160.0, True)):
        speed = stage()
        moving(speed, None, kias=kias)
        assert on(speed) is lit
    speed = stage(vlo_extend_kias=150.0)
    moving(speed, None, kias=160.0)
    assert on(speed)
    down(speed, demand=None)
    assert not on(speed)
    up(speed, demand=None)
    assert not on(speed)


def test_one_vlo_sets_both() -> None:
    for demand in (UP, DOWN):
        speed = stage(vlo_kias=160.0)
        moving(speed, demand, kias=160.0)
        assert not on(speed)
        moving(speed, demand, kias=161.0)
        assert on(speed)
        assert speed.events[-1].text.endswith(", 160 knots")
    for other in ("vlo_extend_kias", "vlo_retract_kias"):
        with pytest.raises(ValidationError, match="sets both ways"):
            SpeedLimitsParameters.model_validate({"vlo_kias": 160.0, other: 150.0})


def test_without_limits_nothing_is_watched() -> None:
    parameters = SpeedLimitsParameters()
    assert set(parameters.limits().values()) == {None}
    speed = stage(hysteresis_kias=1.0)
    moving(speed, DOWN, kias=599.0)
    assert not on(speed)
    assert speed.value("gear_speed_limit_kias") is None
    assert speed.system.lamps == ()


def test_any_order_of_the_limits_is_taken() -> None:
    """14 CFR 25.1515 asks for none."""
    speed = stage(vlo_kias=200.0, vle_kias=150.0)
    moving(speed, DOWN, kias=170.0)
    assert [h.subject for h in speed.events] == ["vle"]


def test_it_ends_below_the_hysteresis_and_begins_at_the_limit_itself() -> None:
    speed = stage()
    down(speed, kias=211.0)
    down(speed, kias=207.1)
    assert on(speed)
    down(speed, kias=207.0)
    assert not on(speed)
    down(speed, kias=209.9)
    assert not on(speed), "it has ended: the limit counts again"
    down(speed, kias=210.1)
    assert on(speed)
    assert speed.names == [
        "speed_limit_exceeded",
        "speed_limit_exceedance_ended",
        "speed_limit_exceeded",
    ]


def test_the_hysteresis_makes_no_caution_for_gear_that_comes_later() -> None:
    speed = stage()
    up(speed, kias=230.0)
    up(speed, kias=208.5)
    moving(speed, UP)
    moving(speed, DOWN, kias=179.0)
    down(speed)
    assert speed.names == ["speed_limit_exceeded", "speed_limit_exceedance_ended"] * 1
    assert speed.events[0].subject == "vlo_retract"
    speed = stage()
    up(speed, kias=230.0)
    up(speed, kias=208.5, demand=UP)
    speed.after(1.0, all_up=False, all_down=True, demand=DOWN)
    assert not on(speed)


def test_the_highest_value_is_reported_when_it_ends() -> None:
    speed = stage()
    up(speed, kias=170.0)
    up(speed, kias=195.0)
    moving(speed, DOWN)
    for kias in (199.0, 203.0, None, nan, 201.0):
        moving(speed, DOWN, kias=kias)
        assert on(speed)
    assert speed.value("gear_speed_highest_kias") == 203.0
    down(speed)
    assert speed.logged == [
        (3.0, "speed_limit_exceeded", "vlo_extend"),
        (9.0, "speed_limit_exceedance_ended", "vlo_extend"),
    ]
    first, last = speed.events
    assert (first.level, first.text) == (
        Level.CAUTION,
        "the airspeed is above VLO to extend, 180 knots",
    )
    assert (last.level, last.text) == (
        Level.INFO,
        "the exceedance of VLO to extend is over: the highest was 203 knots",
    )
    assert speed.value("gear_speed_highest_kias") == 203.0
    down(speed, kias=230.0)
    assert speed.value("gear_speed_highest_kias") == 230.0
    down(speed, kias=100.0)
    down(speed, kias=215.0)
    assert speed.value("gear_speed_highest_kias") == 215.0, "of this exceedance"


def test_every_limit_has_its_own_highest() -> None:
    speed = stage()
    moving(speed, DOWN, kias=250.0)
    moving(speed, DOWN, kias=190.0)
    moving(speed, DOWN, kias=240.0)
    moving(speed, DOWN, kias=100.0)
    assert [(h.name[12:20], h.subject, h.text[-9:]) for h in speed.events] == [
        ("exceeded", "vlo_extend", "180 knots"),
        ("exceeded", "vle", "210 knots"),
        ("exceedan", "vle", "250 knots"),
        ("exceeded", "vle", "210 knots"),
        ("exceedan", "vlo_extend", "250 knots"),
        ("exceedan", "vle", "240 knots"),
    ]


@pytest.mark.parametrize("unknown", [None, nan])
def test_an_unknown_airspeed_begins_and_ends_nothing(unknown: float | None) -> None:
    speed = stage()
    down(speed, kias=unknown)
    moving(speed, UP)
    assert not on(speed)
    down(speed, kias=220.0)
    down(speed, kias=unknown)
    assert on(speed)
    down(speed, demand=UP)
    assert on(speed)
    up(speed)
    assert not on(speed), "the gear no longer matters"
    moving(speed, UP)
    assert not on(speed)


def test_unknown_legs_count_as_out() -> None:
    speed = stage()
    up(speed, kias=220.0)
    speed.after(1.0, all_up=False)
    assert on(speed)


def test_the_limit_that_holds_is_reported() -> None:
    speed = stage()
    for demand, all_up, all_down, limit in (
        (DOWN, False, True, 210.0),
        (DOWN, False, False, 180.0),
        (UP, False, False, 150.0),
        (UP, True, False, None),
    ):
        speed.after(1.0, demand=demand, all_up=all_up, all_down=all_down)
        assert speed.value("gear_speed_limit_kias") == limit
        speed.hold()


def words(speed: Gear, name: str) -> str:
    (reason,) = speed.system.words(speed.loop.world(speed.now_s))[name]
    return reason.detail


def test_reasons_tell_airspeed_and_limit() -> None:
    speed = stage()
    down(speed, kias=200.0)
    assert words(speed, "above_vle") == "200.0 knots, limit 210"
    down(speed, kias=220.0)
    assert words(speed, "above_vle") == "220.0 knots, limit 210, ends at 207"
    assert words(speed, "above_vlo_extend") == "220.0 knots, limit 180"
    down(speed, kias=None)
    assert words(speed, "above_vle") == "unknown: kept, limit 210 knots"
    assert words(stage(vlo_kias=100.0), "above_vle") == "not watched"


@pytest.mark.parametrize(
    ("numbers", "demand", "lit"),
    [
        ({"vlo_kias": 190.0}, DOWN, False),
        ({"vlo_kias": 170.0}, DOWN, True),
        ({"vlo_extend_kias": 190.0}, DOWN, False),
        ({"vlo_extend_kias": 170.0}, DOWN, True),
        ({"vlo_retract_kias": 190.0}, UP, False),
        ({"vlo_retract_kias": 170.0}, UP, True),
        ({"vle_kias": 190.0}, DOWN, False),
        ({"vle_kias": 170.0}, DOWN, True),
    ],
)
def test_each_limit_changes_the_lamp(
    numbers: dict[str, float], demand: GearPosition, lit: bool
) -> None:
    speed = stage(**numbers)
    moving(speed, demand, kias=180.0)
    assert on(speed) is lit


@pytest.mark.parametrize(("hysteresis", "lit"), [(0.0, False), (10.0, True)])
def test_the_hysteresis_changes_the_lamp(hysteresis: float, lit: bool) -> None:
    speed = stage(vle_kias=200.0, hysteresis_kias=hysteresis)
    down(speed, kias=205.0)
    down(speed, kias=195.0)
    assert on(speed) is lit


def test_the_airspeed_wakes_it_only_at_a_limit_and_while_one_is_exceeded() -> None:
    speed = stage()
    down(speed, kias=100.0)
    cell, loop = AIRSPEED_KIAS, speed.loop
    assert not any(loop.set(cell, 100.0 + step) for step in range(40))
    down(speed, kias=220.0)
    assert on(speed)
    assert all(loop.set(cell, 215.0 + step) for step in range(4))
    down(speed, kias=200.0)
    down(speed, kias=199.0)
    assert not any(loop.set(cell, 199.0 - step) for step in range(15))


def test_the_airspeed_of_the_last_step_counts_for_the_highest() -> None:
    """It ends because the legs are up, and was never faster than in that very step."""
    speed = stage()
    down(speed, kias=215.0)
    up(speed, kias=220.0)
    assert speed.events[-1].text.endswith("the highest was 220 knots")
    assert speed.value("gear_speed_highest_kias") == 220.0


def test_above_is_above_the_limit_itself_once_nothing_is_exceeded() -> None:
    speed = stage()
    down(speed, kias=220.0)
    down(speed, kias=208.5)
    assert speed.facts.above_vle, "within the hysteresis of a caution that is on"
    up(speed)
    assert not speed.facts.above_vle
    look_again(speed)
