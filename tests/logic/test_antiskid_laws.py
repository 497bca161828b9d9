"""What holds of anti-skid whatever is switched, breaks or is lost."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from hypothesis import event, given, settings
from hypothesis import strategies as st

from panelbridge.logic.antiskid.facts import ANTISKID
from panelbridge.logic.kit.aircraft_cells import wheel_rpm
from tests.logic.laws import extra_looks_change_nothing, look_again, restored_goes_on_the_same
from tests.logic.spread_stage import SpreadStage, moves_of
from tests.logic.test_antiskid import NAMES, active, flying, rolling, shut, stage, works

MAYBE = st.sampled_from([None, True, False])
SPEED = st.one_of(
    st.none(), st.sampled_from([0.0, 100.0, 150.0, 151.0, 600.0, float("nan")]), st.floats(0, 900)
)
SPEEDS = st.one_of(
    st.tuples(SPEED, SPEED, SPEED, SPEED),
    st.just((600.0,) * 4),
    st.just((0.0, 600.0, 600.0, 600.0)),
)
INPUTS = st.one_of(
    st.fixed_dictionaries({"speeds": SPEEDS}),
    st.just({"left_on_ground": False, "right_on_ground": False, "in_air": True}),
    st.just({"left_on_ground": True, "right_on_ground": True, "in_air": False}),
    *(
        st.fixed_dictionaries({name: MAYBE})
        for name in ("switch", "bus_powered", "left_on_ground", "right_on_ground")
    ),
    *(
        st.fixed_dictionaries({name: st.booleans()})
        for name in ("parked", "emergency_braking", "gear_down", "in_air")
    ),
    st.fixed_dictionaries({"working": st.tuples(MAYBE, MAYBE, MAYBE, MAYBE)}),
    st.fixed_dictionaries({"braked": st.sampled_from([(0.0, 0.0), (1.0, 1.0), (0.0, 0.5)])}),
)
FAULTS = st.tuples(
    st.sampled_from([f"{name}_antiskid" for name in NAMES]), st.sampled_from(["failed", None])
)
WAITS = st.sampled_from([0.0, 0.3, 1.0, 2.5, 6.0])
MOMENTS = st.lists(st.tuples(WAITS, INPUTS, st.none() | FAULTS), max_size=30)


@settings(deadline=None)
@given(start=st.sampled_from([stage, rolling, flying]), moments=MOMENTS)
def test_laws(start: Callable[[], SpreadStage[Any]], moments: list[Any]) -> None:
    skid = start()
    broken: dict[str, str | None] = {}
    for wait_s, changes, fault in moments:
        skid.after(wait_s, **changes)
        if fault is not None:
            broken[fault[0]] = fault[1]
            skid.fault(*fault)
        skid.hold()
        hold(skid, [broken.get(f"{name}_antiskid") is not None for name in NAMES])


def hold(skid: SpreadStage[Any], failed: list[bool]) -> None:
    """What holds after every step."""
    now = skid.inputs
    grounds = [now["left_on_ground"]] * 2 + [now["right_on_ground"]] * 2
    # Its effect: lost while it was on, it stays on (test_lost_switches.py).
    on = skid.loop.world(skid.now_s)[ANTISKID]
    runs = on is True and now["bus_powered"] is not False
    for number, name in enumerate(NAMES):
        ground = grounds[number]
        off = not runs or now["emergency_braking"] or failed[number]
        if active(skid)[number]:
            event("active")
            assert not off
            assert ground is True
            assert not now["parked"]
        if shut(skid)[number]:
            event("shut off")
            assert not off, "what does not work leaves the brakes to the pilot"
            assert ground is not None
        if runs and ground is False and not off:
            assert shut(skid)[number], "no pedal brakes in the air"
        if skid.value(f"{name}_antiskid") == "let_go":
            event("let go")
            assert now["braked"][number // 2] > 0.0
            assert not now["parked"]
        if runs and failed[number]:
            assert f"{name}_antiskid_amber" in skid.lit
    assert works(skid) is (runs and not all(failed))
    if now["gear_down"] and now["in_air"] and not runs:
        assert "antiskid_off_amber" in skid.lit


@settings(deadline=None)
@given(moments=MOMENTS)
def test_coarse_and_fine_steps_give_the_same(moments: list[Any]) -> None:
    coarse, fine = stage(), stage()
    assert coarse.play(moments) == fine.play(moments, fine_s=0.17)


@settings(deadline=None)
@given(
    start=st.sampled_from([stage, rolling]),
    moments=st.lists(st.tuples(WAITS, INPUTS, st.none() | FAULTS), max_size=4),
    speeds=st.lists(SPEEDS, min_size=1, max_size=10),
)
def test_a_speed_that_changes_nothing_says_so(
    start: Callable[[], SpreadStage[Any]], moments: list[Any], speeds: list[Any]
) -> None:
    """Speeds that wake nothing change nothing."""
    skid = start()
    skid.play(moments)
    for rpm in speeds:
        woken = [skid.loop.set(wheel_rpm(number), speed) for number, speed in enumerate(rpm)]
        if not any(woken):
            look_again(skid)
        skid.after(0.0)


@settings(deadline=None)
@given(start=st.sampled_from([stage, rolling, flying]), moments=MOMENTS, fed=st.booleans())
def test_extra_looks_change_nothing(
    start: Callable[..., SpreadStage[Any]], moments: list[Any], fed: bool
) -> None:
    extra_looks_change_nothing(lambda: start(fed_working=fed), moves_of(moments), fine=3)


@settings(deadline=None)
@given(
    start=st.sampled_from([stage, rolling, flying]),
    moments=MOMENTS,
    fed=st.booleans(),
    after=st.integers(0, 30),
)
def test_saved_and_restored_it_goes_on_the_same(
    start: Callable[..., SpreadStage[Any]], moments: list[Any], fed: bool, after: int
) -> None:
    restored_goes_on_the_same(lambda: start(fed_working=fed), moves_of(moments), after)
