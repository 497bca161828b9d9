"""Take-off configuration warning: the system by itself.

Conserved: nothing; it is a function of thrust, ground, rotation and four items, and of one silence.
Limits: it never sounds in the air, at idle, rotated, or in a safe configuration; a silence never
outlives a take-off.
By hand, set at 0.70 with 0.05 of band: a lever at 0.70 is quiet, 0.71 sounds, 0.66 sounds on, 0.65
is quiet; flaps 5 to 20: 4.9 and 20.1 sound, 5 and 20 do not; of 256 states of M-T 15 sound.
"""

from __future__ import annotations

from itertools import product
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelbridge.logic.systems import make_systems
from panelbridge.logic.takeoff_warning.system import TakeoffWarning
from panelbridge.signals import Level
from tests.logic.build import twin
from tests.logic.laws import extra_looks_change_nothing, restored_goes_on_the_same
from tests.logic.takeoff_stage import LAMP, UNKNOWN, UNSAFE, ground, horn, stage


@pytest.mark.parametrize(
    ("change", "sounds"),
    [
        ({"flap_deg": 4.9}, True),
        ({"flap_deg": 5.0}, False),
        ({"flap_deg": 20.0}, False),
        ({"flap_deg": 20.1}, True),
        ({"speed_brake": 0.1}, False),
        ({"speed_brake": 0.11}, True),
        ({"trim": -2.1}, True),
        ({"trim": -2.0}, False),
        ({"trim": 4.0}, False),
        ({"trim": 4.1}, True),
        ({"released": False}, True),
        ({"trapped": True}, True),
        ({"trapped": True, "released": False}, True),
        ({"released": False, **ground(None)}, True),
        ({"released": False, **ground(False)}, False),
        ({"released": False, "nose": False}, False),
        ({"released": False, "nose": None}, True),
        ({"lever": 0.1, "released": False}, False),
        ({"lever": 0.1, "lever_2": 0.8, "released": False}, True),
        ({"lever": None, "lever_2": 0.8, "released": False}, True),
    ],
)
def test_limits(change: dict[str, Any], sounds: bool) -> None:
    made = stage()
    made.after(1.0, **{"lever": 0.8, **change})
    assert horn(made) == ("continuous" if sounds else "silent")
    assert (LAMP in made.lit) is sounds


def test_the_thrust_has_a_band() -> None:
    made = stage()
    seen = []
    for lever in (0.69, 0.7, 0.71, 0.69, 0.66, 0.65, 0.7, 0.71, None, 0.66):
        made.after(1.0, released=False, lever=lever, lever_2=None)
        seen.append(horn(made) != "silent")
    assert seen == [False, False, True, True, True, False, False, True, True, True]
    assert made.names.count("takeoff_config_warned") == 2


def test_what_is_unknown_is_safe_and_a_lamp_says_so() -> None:
    for name in ("flap_deg", "speed_brake", "trim"):
        made = stage()
        made.after(1.0, lever=0.8)
        assert UNKNOWN not in made.lit
        assert made.value("takeoff_config") == "safe"
        made.after(1.0, **{name: None})
        assert (horn(made), made.lit) == ("silent", {UNKNOWN})
        assert made.value("takeoff_config") is None
        made.after(1.0, released=False)
        assert (horn(made), made.lit) == ("continuous", {UNKNOWN, LAMP})
        assert made.value("takeoff_config") == "unsafe"
        made.after(1.0, **ground(False))
        assert made.lit == set()
    made = stage()
    made.after(1.0, lever=None)
    assert made.facts.unknown == ("throttles",)
    assert made.lit == {UNKNOWN}


def test_a_new_item_is_a_new_warning_and_clearing_one_keeps_it_on() -> None:
    made = stage()
    made.after(1.0, lever=0.8, speed_brake=0.5)
    made.after(1.0, trim=6.0)
    made.after(1.0, speed_brake=0.0)
    assert horn(made) == "continuous"
    made.after(1.0, trim=1.0)
    assert horn(made) == "silent"
    warned, other, ended = made.events
    assert (warned.level, warned.text) == (
        Level.WARNING,
        "take-off thrust with the speed brakes not stowed",
    )
    assert other.text == "take-off thrust with the trim not set for it"
    assert (ended.name, ended.time_s) == ("takeoff_config_ended", 4.0)


def test_a_speed_holds_back_a_new_warning_and_ends_none() -> None:
    made = stage(hold_back_from_kias=80.0)
    made.after(1.0, lever=0.8, airspeed=81.0, flap_deg=0.0)
    assert (horn(made), made.lit, made.names) == ("silent", set(), [])
    made.after(1.0, airspeed=80.0)
    assert horn(made) == "continuous"
    made.after(1.0, airspeed=120.0)
    assert horn(made) == "continuous"
    made.after(1.0, flap_deg=10.0)
    made.after(1.0, flap_deg=0.0)
    assert horn(made) == "silent", "a new one is held back"
    made.after(1.0, airspeed=None)
    assert horn(made) == "continuous", "unknown holds back nothing"


def test_the_guarded_silence() -> None:
    made = stage()
    made.press("takeoff_silence")
    made.after(1.0, lever=0.8, flap_deg=0.0)
    assert horn(made) == "continuous", "pressed before, it does nothing"
    made.press("takeoff_silence")
    made.press("takeoff_silence")
    assert (horn(made), made.lit) == ("silent", {LAMP})
    assert made.names.count("takeoff_warning_silenced") == 1
    made.after(1.0, trim=6.0)
    assert horn(made) == "silent", "until the thrust is taken back"
    made.after(1.0, lever=0.1)
    made.after(1.0, lever=0.8)
    assert horn(made) == "continuous"
    made.press("takeoff_silence")
    made.after(1.0, **ground(False))
    made.after(1.0, **ground(True))
    assert horn(made) == "continuous", "and a bounce is a new take-off"


def test_no_silence_where_the_file_or_the_rule_has_none() -> None:
    assert stage(silence_allowed=False).system.switches == ()
    assert stage(profile="14_cfr_23").system.switches == ()


PROFILES = {
    "cs_25": {"parking_brake", "flaps", "speed_brake", "trim"},
    "14_cfr_25": {"flaps", "speed_brake", "trim"},
    "14_cfr_23": {"flaps", "trim"},
}


@pytest.mark.parametrize("profile", PROFILES)
def test_each_profile_watches_its_items(profile: str) -> None:
    for name, change in UNSAFE.items():
        made = stage(profile=profile)
        made.after(1.0, lever=0.8, **change)
        assert (horn(made) != "silent") is (name in PROFILES[profile]), name
        made.after(1.0, nose=False)
        ends = profile != "14_cfr_23"
        assert (horn(made) != "silent") is (name in PROFILES[profile] and not ends), name


def test_nothing_to_watch_is_no_system() -> None:
    assert stage(has_parking_brake=False).system.readings
    made = twin()
    names = {type(one).__name__ for one in _systems(made)}
    assert "TakeoffWarning" not in names
    brakes = {"needs_hydraulics": False, "emergency_brake": False}
    assert "TakeoffWarning" in {type(one).__name__ for one in _systems(twin(brakes=brakes))}
    none = twin(brakes=brakes, takeoff_warning={"parking_brake": False})
    assert "TakeoffWarning" not in {type(one).__name__ for one in _systems(none)}


def _systems(aircraft: Any) -> Any:
    return make_systems(aircraft)


def test_misfits() -> None:
    found = TakeoffWarning.misfits(
        twin(
            takeoff_warning={
                "rotation_leg": "tail",
                "flap_least_deg": 9,
                "flap_most_deg": 8,
                "trim_least": 2,
                "trim_most": 2,
            }
        )
    )
    assert [(one.path[-1], one.what) for one in found] == [
        ("rotation_leg", "no leg is named 'tail'"),
        ("flap_least_deg", "flap_least_deg is 9 and must not be above flap_most_deg, 8"),
    ]
    assert not [*TakeoffWarning.misfits(twin())]


def test_the_reasons_hold_values_against_limits() -> None:
    made = stage(hold_back_from_kias=80.0)
    made.after(1.0, lever=0.8, flap_deg=25.0, trim=None)
    words = made.system.words(made.loop.world(made.now_s))
    assert {name: (one[0].holds, one[0].detail) for name, one in words.items()} == {
        "on_ground": (True, ""),
        "thrust_high": (True, "0.80 > 0.70"),
        "rotated": (False, "by the nose strut"),
        "held_back": (False, "limit 80 knots"),
        "silenced": (False, ""),
        "has_unknown": (True, "trim"),
        "parking_brake": (False, "lever unknown"),
        "flaps": (True, "25.00 degrees; must be at least 5 and at most 20"),
        "speed_brake": (False, "0.00; must be at most 0.1"),
        "trim": (False, "unknown; must be at least -2 and at most 4"),
    }


MOVES = st.lists(
    st.tuples(
        st.sampled_from([0.0, 0.5, 3.0]),
        st.one_of(
            st.sampled_from([*UNSAFE.values(), ground(True), ground(False), ground(None)]),
            st.fixed_dictionaries({"lever": st.sampled_from([None, 0.1, 0.66, 0.8])}),
            st.fixed_dictionaries({"flap_deg": st.sampled_from([None, 0.0, 10.0])}),
            st.fixed_dictionaries({"speed_brake": st.sampled_from([None, 0.0])}),
            st.fixed_dictionaries({"released": st.booleans(), "nose": st.booleans()}),
            st.fixed_dictionaries({"airspeed": st.sampled_from([None, 0.0, 90.0])}),
            st.fixed_dictionaries({"takeoff_silence": st.sampled_from([True, False, None])}),
        ),
    ),
    max_size=25,
)


@settings(deadline=None)
@given(moves=MOVES, held=st.sampled_from([None, 80.0]))
def test_laws(moves: list[Any], held: float | None) -> None:
    """It sounds only in a known unsafe configuration on the ground at thrust, and says why."""
    made = stage(hold_back_from_kias=held)
    for wait_s, changes in moves:
        before = made.facts.warns
        made.after(wait_s, **changes)
        sounds, facts = horn(made) != "silent", made.facts
        assert not sounds or (facts.is_unsafe and facts.on_ground and facts.thrust_high)
        assert not sounds or LAMP in made.lit
        if LAMP in made.lit and not before:
            assert made.names[-1] == "takeoff_config_warned"
        assert not facts.silenced or (facts.on_ground and facts.thrust_high)


@settings(deadline=None)
@given(moves=MOVES, fine=st.integers(1, 3))
def test_more_steps_change_nothing(moves: list[Any], fine: int) -> None:
    extra_looks_change_nothing(lambda: stage(hold_back_from_kias=80.0), moves, fine)


@settings(deadline=None)
@given(moves=MOVES, cut=st.integers(0, 25))
def test_restored_it_goes_on_the_same(moves: list[Any], cut: int) -> None:
    restored_goes_on_the_same(lambda: stage(hold_back_from_kias=80.0), moves, cut)


def test_before_anything_was_looked_at() -> None:
    made = stage(first=False)
    assert (made.lit, made.system.sounds().value) == (set(), "silent")
    for several in product((False, True), repeat=2):
        assert made.facts.silenced is False, several


def test_the_reasons_name_trapped_pressure_and_that_nothing_holds_the_warning_back() -> None:
    made = stage()

    def details() -> set[str]:
        words = made.system.words(made.loop.world(made.now_s))
        return {reason.detail for reasons in words.values() for reason in reasons}

    assert "this aircraft has no such limit" in details()
    assert "pressure trapped" not in details()
    made.after(1.0, trapped=True)
    assert "pressure trapped" in details()
