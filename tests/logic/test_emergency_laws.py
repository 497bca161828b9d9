"""What holds of the emergency extension whatever is operated, breaks or is lost."""

from __future__ import annotations

from typing import Any, get_args

from hypothesis import event, given, settings
from hypothesis import strategies as st

from panelbridge.logic.emergency.facts import Means
from tests.logic.laws import extra_looks_change_nothing, restored_goes_on_the_same
from tests.logic.spread_stage import moves_of
from tests.logic.test_emergency import has_air, locked_out, means_of, psi, stage, stroke, use_air

MAYBE = st.sampled_from([None, True, False])
INPUTS = st.one_of(
    *(st.fixed_dictionaries({name: MAYBE}) for name in ("handle", "hand_pump", "gear_reset")),
    *(st.fixed_dictionaries({name: st.booleans()}) for name in ("on_ground", "gear_down")),
    st.just({"on_ground": True, "gear_down": True}),
)
WAITS = st.sampled_from([0.0, 0.5, 2.0, 7.0, 60.0])
BOTTLE = st.sampled_from(["empty", "leaking", None]).map(lambda kind: ("air_bottle", kind))
MEANS = st.sampled_from(get_args(Means))
MOMENTS = st.lists(st.tuples(WAITS, INPUTS, st.none() | BOTTLE), max_size=15)


@settings(deadline=None)
@given(
    means=MEANS,
    alone=st.booleans(),
    moments=st.lists(st.tuples(WAITS, INPUTS, st.none() | BOTTLE), max_size=25),
    used=st.lists(st.floats(0.0, 3.0), min_size=25, max_size=25),
)
def test_laws(means: str, alone: bool, moments: list[Any], used: list[float]) -> None:
    air = stage(means=means, pump_without_handle=alone)
    for (wait_s, changes, fault), applications in zip(moments, used, strict=False):
        before, was_out, was_full = dict(air.inputs), locked_out(air), has_air(air)
        pressed = psi(air) if means == "air" else None
        air.after(wait_s, **changes)
        if fault is not None and means == "air":
            air.fault(*fault)
        now = air.inputs
        if locked_out(air) and not was_out:
            event("begun")
            handled = now["handle"] is True and before["handle"] is False
            pumped = now["hand_pump"] is True and before["hand_pump"] is False
            assert handled or (pumped and means == "hand_pump" and alone)
            assert means != "air" or was_full
        if was_out and not locked_out(air):
            event("reset")
            assert now["gear_reset"] is True
            assert before["gear_reset"] is False
            assert now["on_ground"]
            assert now["gear_down"]
        assert (means_of(air) is not None) is locked_out(air)
        if stroke(air):
            event("stroke")
            assert means == "hand_pump"
            assert locked_out(air)
        if pressed is not None and fault is None and now["gear_reset"] is not True:
            assert psi(air) <= pressed, "it is filled by mechanics alone"
        use_air(air, air.now_s, applications)
        air.hold()


@settings(deadline=None)
@given(means=MEANS, moments=MOMENTS)
def test_coarse_and_fine_steps_give_the_same(means: str, moments: list[Any]) -> None:
    if means != "air":
        moments = [(wait_s, changes, None) for wait_s, changes, _ in moments]
    coarse, fine = stage(means=means), stage(means=means)
    assert coarse.play(moments) == fine.play(moments, fine_s=0.37)


def moves(means: str, moments: list[Any]) -> list[Any]:
    """The moments with their faults, when there is a bottle, and with air for the brakes."""
    found = [
        (wait_s, {**changes, "brake_steps": 7 * number})
        for number, (wait_s, changes) in enumerate(moves_of(moments))
    ]
    if means != "air":
        for _, changes in found:
            changes.pop("air_bottle", None)
    return found


@settings(deadline=None)
@given(means=MEANS, alone=st.booleans(), moments=MOMENTS)
def test_extra_looks_change_nothing(means: str, alone: bool, moments: list[Any]) -> None:
    def make() -> Any:
        return stage(means=means, pump_without_handle=alone)

    extra_looks_change_nothing(make, moves(means, moments), fine=3)


@settings(deadline=None)
@given(means=MEANS, moments=MOMENTS, after=st.integers(0, 15))
def test_saved_and_restored_it_goes_on_the_same(means: str, moments: list[Any], after: int) -> None:
    restored_goes_on_the_same(lambda: stage(means=means), moves(means, moments), after)


@settings(deadline=None)
@given(
    moments=st.lists(
        st.tuples(WAITS, st.fixed_dictionaries({"handle": st.sampled_from([None, True])}))
    )
)
def test_a_handle_that_was_never_seen_home_moves_nothing(moments: list[Any]) -> None:
    air = stage()
    air.at(0.0, handle=None)
    for wait_s, changes in moments:
        air.after(wait_s, **changes)
        assert not locked_out(air)
