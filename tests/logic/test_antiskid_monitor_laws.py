"""What holds of anti-skid that watches itself, whatever breaks or is lost."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from tests.logic.laws import extra_looks_change_nothing, restored_goes_on_the_same
from tests.logic.spread_stage import SpreadStage, moves_of
from tests.logic.test_antiskid import FAST, NAMES, flying, rolling, shut, stage
from tests.logic.test_antiskid_laws import FAULTS, INPUTS, WAITS

TIMES: dict[str, Any] = {
    "sensor_fault_s": 3.0,
    "dump_limit_s": 2.0,
    "spin_up_limit_s": 3.0,
    "touchdown_timeout_s": 2.5,
    "wheel_radius_m": 0.4,
}
LONGEST_S = 2.0 + 2.5
"""A wheel that waits for the touchdown, and then locks at once."""
MORE = st.fixed_dictionaries({"ground_speed_kt": st.sampled_from([None, 0.0, 20.0, 49.0, 100.0])})
MOMENTS = st.lists(st.tuples(WAITS, INPUTS | MORE, st.none() | FAULTS), max_size=30)
STARTS = st.sampled_from([stage, rolling, flying])


@settings(deadline=None)
@given(start=STARTS, moments=MOMENTS)
def test_no_brake_is_held_released_for_longer_than_its_limits(
    start: Callable[..., SpreadStage[Any]], moments: list[Any]
) -> None:
    """L-14, L-18: on the ground, whatever the sensors say."""
    skid, since_s = start(**TIMES), [0.0] * len(NAMES)
    for wait_s, changes, fault in moments:
        for _ in range(max(int(wait_s / 0.5), 1)):
            skid.after(wait_s / max(int(wait_s / 0.5), 1))
            _held(skid, since_s)
        skid.after(0.0, **changes)
        if fault is not None:
            skid.fault(*fault)
        skid.hold()
        _held(skid, since_s)


def _held(skid: SpreadStage[Any], since_s: list[float]) -> None:
    grounds = [skid.inputs["left_on_ground"]] * 2 + [skid.inputs["right_on_ground"]] * 2
    for number, off in enumerate(shut(skid)):
        wheel = skid.facts.wheels[number]
        if not off or grounds[number] is not True:
            since_s[number] = skid.now_s
        elif skid.now_s > since_s[number]:
            event("released on the ground")
        assert skid.now_s - since_s[number] <= LONGEST_S + 1e-9
        assert wheel.failed is bool(wheel.cause)
        assert wheel.failed or not wheel.shown
        assert not (wheel.locked and wheel.failed), "what failed lets nothing go"


@pytest.mark.parametrize("number", range(len(NAMES)))
@pytest.mark.parametrize("wrong", [None, 0.0, 1.0, 90.0, 9000.0, "valve", "strut", "switch"])
@pytest.mark.parametrize("ground_speed_kt", [None, 49.0])
@given(pedals=st.tuples(st.sampled_from([0.0, 0.5, 1.0]), st.sampled_from([0.5, 1.0])))
def test_a_single_fault_leaves_every_brake_to_its_pedal(
    number: int, wrong: Any, ground_speed_kt: float | None, pedals: tuple[float, float]
) -> None:
    """L-18, 23.735(d) before 2017: once the limits are over no wheel of either side is let go."""
    skid = rolling(**TIMES)
    skid.after(1.0, ground_speed_kt=ground_speed_kt, braked=pedals)
    if wrong == "valve":
        skid.fault(f"{NAMES[number]}_antiskid", "failed")
    elif wrong == "strut":
        skid.after(0.0, **{("left_on_ground", "right_on_ground")[number // 2]: None})
    elif wrong == "switch":
        skid.after(0.0, switch=None)
    else:
        speeds = tuple(wrong if place == number else rpm for place, rpm in enumerate(FAST))
        skid.after(0.0, speeds=speeds)
        released = [place for place, off in enumerate(shut(skid)) if off]
        if ground_speed_kt is not None or wrong != 9000.0:
            assert set(released) <= {number}, "never more than the wheel of that sensor"
    skid.after(LONGEST_S)
    assert not any(shut(skid))


@settings(deadline=None)
@given(start=STARTS, moments=MOMENTS, fed=st.booleans())
def test_extra_looks_change_nothing(
    start: Callable[..., SpreadStage[Any]], moments: list[Any], fed: bool
) -> None:
    def make() -> SpreadStage[Any]:
        return start(fed_working=fed, **TIMES)

    extra_looks_change_nothing(make, moves_of(moments), fine=3)


@settings(deadline=None)
@given(start=STARTS, moments=MOMENTS, after=st.integers(0, 30))
def test_saved_and_restored_it_goes_on_the_same(
    start: Callable[..., SpreadStage[Any]], moments: list[Any], after: int
) -> None:
    restored_goes_on_the_same(lambda: start(**TIMES), moves_of(moments), after)


@settings(deadline=None)
@given(moments=MOMENTS)
def test_coarse_and_fine_steps_give_the_same(moments: list[Any]) -> None:
    coarse, fine = stage(**TIMES), stage(**TIMES)
    assert coarse.play(moments) == fine.play(moments, fine_s=0.17)
