"""Landing with the parking brake set: common practice, no source; TM 55-1510-215-10."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.brakes.facts import BrakesFacts
from panelbridge.logic.gear.facts import GearFacts
from panelbridge.logic.landing_brake.parameters import LandingBrakeParameters
from panelbridge.logic.landing_brake.system import LandingBrake
from panelbridge.logic.systems import make_systems
from tests.logic.build import twin
from tests.logic.laws import Move, extra_looks_change_nothing, restored_goes_on_the_same
from tests.logic.spread_stage import SpreadStage

LAMP = "landing_brake_amber"


def stage(**numbers: Any) -> SpreadStage[LandingBrake]:
    """In the air with the gear down and the parking brake released."""
    made = SpreadStage(
        LandingBrake(LandingBrakeParameters(**numbers)),
        {
            "commands": (AirGroundFacts, "ground_for_commands"),
            "warnings": (AirGroundFacts, "air_for_warnings"),
            "gear_down": (GearFacts, "all_down"),
            "parked": (BrakesFacts, "is_parked"),
        },
        {
            "on_ground": lambda on_ground: {
                "commands": on_ground is not False,
                "warnings": on_ground is not True,
            }
        },
        on_ground=False,
        gear_down=True,
        parked=False,
    )
    made.at(0.0)
    return made


@pytest.mark.parametrize("on_ground", [False, True])
@pytest.mark.parametrize("gear_down", [False, True])
@pytest.mark.parametrize("parked", [False, True])
def test_all_three_are_needed(on_ground: bool, gear_down: bool, parked: bool) -> None:
    one = stage(horn_pattern="continuous")
    one.after(1.0, on_ground=on_ground, gear_down=gear_down, parked=parked)
    warns = not on_ground and gear_down and parked
    assert one.lit == ({LAMP} if warns else set())
    assert one.system.sounds().value == ("continuous" if warns else "silent")
    assert one.names == ["landing_brake_warned"] * warns
    one.hold()


def test_the_horn_is_silent_unless_the_file_says_otherwise() -> None:
    one = stage()
    one.after(1.0, parked=True)
    assert one.lit == {LAMP}
    assert one.system.sounds().value == "silent"


def test_what_is_unknown_leaves_it_as_it_is() -> None:
    """A stand without data is not warned of; a flight that loses them still is."""
    one = stage()
    one.after(1.0, on_ground=None, parked=True)
    assert one.lit == {LAMP}
    one.after(1.0, on_ground=True)
    one.after(1.0, on_ground=None)
    assert one.lit == set()


@pytest.mark.parametrize(
    ("changes", "has"),
    [
        ({"brakes": {"emergency_brake": False, "needs_hydraulics": False}}, True),
        ({}, False),
        (
            {
                "brakes": {
                    "emergency_brake": False,
                    "needs_hydraulics": False,
                    "parking_brake": False,
                }
            },
            False,
        ),
        (
            {
                "brakes": {"emergency_brake": False, "needs_hydraulics": False},
                "landing_brake": {"caution": False},
            },
            False,
        ),
    ],
)
def test_which_aircraft_has_it(changes: dict[str, Any], has: bool) -> None:
    assert any(isinstance(one, LandingBrake) for one in make_systems(twin(**changes))) is has


CHANGES = st.one_of(
    st.fixed_dictionaries({"on_ground": st.sampled_from([True, False, None])}),
    st.fixed_dictionaries({"gear_down": st.booleans()}),
    st.fixed_dictionaries({"parked": st.booleans()}),
)


@given(
    moves=st.lists(st.tuples(st.sampled_from([0.0, 1.0]), CHANGES), max_size=12),
    fine=st.integers(2, 4),
    after=st.integers(0, 12),
)
def test_extra_looks_and_a_restored_copy_change_nothing(
    moves: list[Move], fine: int, after: int
) -> None:
    def make() -> SpreadStage[LandingBrake]:
        return stage(horn_pattern="intermittent")

    extra_looks_change_nothing(make, moves, fine)
    restored_goes_on_the_same(make, moves, after)
