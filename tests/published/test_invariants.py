"""What holds whatever the pilot, the cables and the simulator do.

Derived from 14 CFR 23.729(f)(1), (f)(2) (Amdt 23-49, 61 FR 5166), CAR 4b.334(e), 14 CFR
25.729(e)(1) and the FAA Airplane Flying Handbook ch. 12. The horn's oracle is written here from the
words of the rules; it shares no code with the logic. It takes the legs, the settled struts and the
refusal of a retraction from the logic's view, because they have tests of their own.

I1 flaps beyond and not all locked down: horn. I2 all locked down in the air: no horn. I3 a lever
that closes sounds the horn, whatever was before. I4 the silence button changes no lamp. I5 with
weight on all struts no leg leaves its down-lock by the handle. I6 a green is lit only by a
down-lock switch that is made and an up-lock switch that is not. I7 never green and up.
"""

from __future__ import annotations

from math import isnan, nan
from typing import Any

from hypothesis import event, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.signals import (
    AircraftState,
    GearPosition,
    HandleContacts,
    LegLocks,
    LegState,
    LogicView,
)
from tests.examples import examples
from tests.logic.build import DOWN, UP, Bench, air, ground, twin

# Settling times that no sum of the steps below meets: no two things at the very same instant.
LEVER_S, STRUT_S = 0.1003, 0.2007
LIMIT, REOPEN, FLAP_LIMIT = 0.25, 0.28, 20.0


def aircraft(legs: str) -> AircraftParameters:
    times = {"extend_s": 2.5011, "retract_s": 3.0013}
    return twin(
        legs=[
            {"name": name, "unlock_s": 0.3017 + number / 7, **times}
            for number, name in enumerate(("nose", "left", "right"))
        ],
        gear_warning={
            "throttle_approach_fraction": LIMIT,
            "throttle_hysteresis_fraction": REOPEN - LIMIT,
            "throttle_settle_s": LEVER_S,
            "flap_limit_deg": FLAP_LIMIT,
        },
        air_ground={"settle_s": STRUT_S},
        authority={"legs": legs},
    )


class Lever:
    """A lever as the rule's words have it, with settling."""

    def __init__(self) -> None:
        self.side: bool | None = None
        self.settled: bool | None = None
        self.since_s = 0.0

    def see(self, now_s: float, fraction: float | None) -> bool:
        """Look at it; True when it has closed by this look (found closed)."""
        if fraction is None or isnan(fraction):
            self.side = self.settled
            return False
        side = fraction <= (REOPEN if self.side else LIMIT)
        if self.settled is None:
            self.side = self.settled = side
            return side
        if side != self.side:
            self.side, self.since_s = side, now_s
        return False

    def pass_time(self, now_s: float) -> tuple[float, bool] | None:
        """When it settled and whether closed, if it has settled anew until now."""
        if self.side == self.settled or self.since_s + LEVER_S > now_s:
            return None
        self.settled = self.side
        return self.since_s + LEVER_S, self.settled is True


class HornOracle:
    """The horn by the rules' words, stepped beside the logic."""

    def __init__(self) -> None:
        self.levers = [Lever(), Lever()]
        self.flaps = False
        self.silenced = False
        self.closed_now = False
        self.was_silenced = False

    def pass_time(self, now_s: float, all_down: bool) -> None:
        """Time went on to ``now_s``."""
        self.closed_now = False
        before = [lever.settled is True for lever in self.levers]
        passed = [(lever.pass_time(now_s), number) for number, lever in enumerate(self.levers)]
        settled = sorted(
            (when, number, closed) for p, number in passed if p for when, closed in [p]
        )
        for _, number, closed in settled:
            before[number] = closed
            self._lever_changed(closed, any_closed=any(before))
        self._end(all_down)

    def take(self, state: AircraftState, now_s: float, all_down: bool) -> None:
        """The aircraft's values changed."""
        for lever, fraction in zip(self.levers, state.throttle_fraction, strict=False):
            if lever.see(now_s, fraction):
                self._lever_changed(True, any_closed=True)
        if state.flap_deg is not None and not isnan(state.flap_deg):
            self.flaps = state.flap_deg > FLAP_LIMIT
        self._end(all_down)

    def press(self, all_down: bool) -> None:
        """The silence button was pressed."""
        if self.any_closed and not all_down and not self.flaps:
            self.silenced = True

    @property
    def any_closed(self) -> bool:
        return any(lever.settled is True for lever in self.levers)

    def _lever_changed(self, closed: bool, *, any_closed: bool) -> None:
        self.closed_now = self.closed_now or closed
        if closed or not any_closed:
            self.silenced = False

    def _end(self, all_down: bool) -> None:
        if all_down or not self.any_closed:
            self.silenced = False

    def horn(self, all_down: bool) -> bool:
        return not all_down and (self.flaps or (self.any_closed and not self.silenced))


KNOWN = st.sampled_from([True, False, None])
BUTTON = st.sampled_from([True, False, True, False, None])
THROTTLE = st.sampled_from([None, nan, 0.0, 0.2, LIMIT, 0.26, REOPEN, 0.3, 0.9])
SWITCH_CHANGES = st.one_of(
    st.tuples(st.just("gear_handle"), st.sampled_from(list(HandleContacts))),
    st.tuples(st.just("gear_handle"), st.sampled_from([HandleContacts.UP, HandleContacts.DOWN])),
    st.tuples(st.just("horn_silence"), BUTTON),
    st.just(("silence pressed", None)),
    st.tuples(st.sampled_from(["lamp_test", "warning_test", "steering_button"]), BUTTON),
    st.tuples(st.just("dimmer"), st.sampled_from([None, 0.0, 0.5, 1.0])),
)
AIRCRAFT_CHANGES = st.one_of(
    st.tuples(st.just("throttle_fraction"), st.tuples(THROTTLE, THROTTLE)),
    st.tuples(st.just("throttle_fraction"), st.sampled_from([(0.1, 0.9), (0.1, 0.1), (0.9, 0.1)])),
    st.tuples(st.just("flap_deg"), st.sampled_from([None, nan, 0.0, FLAP_LIMIT, 20.1, 40.0])),
    st.tuples(
        st.just("strut_compressed"),
        st.one_of(st.sampled_from([(True,) * 3, (False,) * 3]), st.tuples(KNOWN, KNOWN, KNOWN)),
    ),
    st.tuples(st.just("gear_handle"), st.sampled_from([UP, DOWN, None])),
    st.tuples(
        st.just("leg_locks"),
        st.one_of(
            st.sampled_from([(LegLocks(False, True),) * 3, (LegLocks(True, False),) * 3]),
            st.tuples(*[st.builds(LegLocks, KNOWN, KNOWN)] * 3),
        ),
    ),
    st.just(("feed lost", None)),
)
STEPS = st.integers(1, 1600).map(lambda number: number * 0.005)
MOVES = st.lists(
    st.tuples(
        st.one_of(st.sampled_from([0.005, 0.05, 0.15, 0.5]), STEPS),
        st.one_of(
            st.tuples(st.just("switch"), SWITCH_CHANGES),
            st.tuples(st.just("aircraft"), AIRCRAFT_CHANGES),
        ),
    ),
    min_size=8,
    max_size=40,
)


class Check:
    """A bench beside its oracle; every step is held against all invariants."""

    def __init__(self, legs: str, found_up: bool) -> None:
        self.fed = legs == "feed"
        self.bench = Bench(aircraft(legs))
        self.oracle = HornOracle()
        self.view = self.bench.logic.view()
        self.seen: set[str] = set()
        locks = (LegLocks(up_locked=found_up, down_locked=not found_up),) * 3
        where = UP if found_up else DOWN
        first = (air if found_up else ground)((0.9, 0.9), gear_handle=where, leg_locks=locks)
        self.change_switches(gear_handle=HandleContacts(where.value), horn_silence=False)
        self.change_aircraft(first)

    @property
    def all_down(self) -> bool:
        return all(leg.locks == LegLocks(False, True) for leg in self.view.legs)

    def pass_time(self, step_s: float) -> None:
        before = self.view
        self.bench.after(step_s)
        self.view = self.bench.logic.view()
        self.oracle.pass_time(self.bench.now_s, self.all_down)
        self.hold(before)

    def change_switches(self, **changes: Any) -> None:
        before, lamps = self.view, self.bench.result.outputs.lamps
        was_free = self.bench.switches.get("horn_silence") is False
        pressed = bool(changes.get("horn_silence")) and was_free
        was_down = self.all_down
        self.bench.after(0.0, self.bench.switches.having(**changes))
        self.view = self.bench.logic.view()
        if pressed:
            self.oracle.press(was_down)
        if set(changes) == {"horn_silence"}:
            assert self.bench.result.outputs.lamps == lamps, "I4"
        self.oracle.pass_time(self.bench.now_s, self.all_down)
        self.hold(before)

    def change_aircraft(self, state: AircraftState) -> None:
        before = self.view
        self.bench.after(0.0, aircraft=state)
        self.view = self.bench.logic.view()
        self.oracle.closed_now = False
        self.oracle.take(state, self.bench.now_s, self.all_down)
        self.hold(before)

    def hold(self, before: LogicView) -> None:
        bench, view, oracle = self.bench, self.view, self.oracle
        sounds = bench.horn != "silent"
        panel = bench.switches
        test = True in (panel.get("lamp_test"), panel.get("warning_test"))
        weight = [leg.strut_compressed for leg in view.legs]
        handle = view.selection_state == "sel_refused" and True in weight
        wanted = oracle.horn(self.all_down)
        assert sounds == (wanted or handle or test), "the horn's oracle"
        assert view.horn_silenced == oracle.silenced
        if oracle.flaps and not self.all_down:
            assert sounds, "I1"
            assert bench.horn == "continuous", "I1"
        if self.all_down and not handle and not test:
            assert not sounds, "I2"
        if oracle.was_silenced and oracle.closed_now and not self.all_down:
            self.seen.add("a lever closed, silenced")
        oracle.was_silenced = oracle.silenced
        if oracle.closed_now and not self.all_down and oracle.any_closed:
            self.seen.add("a lever closed, gear not locked down")
            assert sounds, "I3"
        if weight == [True] * 3 and [leg.strut_compressed for leg in before.legs] == weight:
            self.hold_on_ground(before)
        self.hold_lamps()
        if oracle.silenced:
            self.seen.add("silenced")

    def hold_on_ground(self, before: LogicView) -> None:
        view = self.view
        if not self.fed:
            for old, new in zip(before.legs, view.legs, strict=True):
                if old.locks.down_locked:
                    assert new.locks.down_locked, "I5"
        all_up = all(leg.locks.is_up for leg in view.legs)
        assert self.bench.result.commands.gear is not GearPosition.UP or all_up, "I5"

    def hold_lamps(self) -> None:
        panel = self.bench.switches
        if True in (panel.get("lamp_test"), panel.get("warning_test")):
            return
        told = self.bench.aircraft.leg_locks
        for number, leg in enumerate(self.view.legs):
            locks = leg.locks
            if self.fed:
                assert locks == (told[number] if number < len(told) else LegLocks())
            green = leg.name in self.bench.greens
            assert green == (locks.down_locked is True and locks.up_locked is False), "I6"
            if leg.state is LegState.UP_LOCKED or locks.up_locked is not False:
                assert not green, "I7"


@settings(max_examples=examples(150))
@given(moves=MOVES, legs=st.sampled_from(["model", "feed"]), found_up=st.booleans())
def test_i1_to_i7_hold_for_any_sequence(
    moves: list[tuple[float, tuple[str, tuple[str, Any]]]], legs: str, found_up: bool
) -> None:
    """14 CFR 23.729(f)(1), (f)(2), Amdt 23-49; 25.729(e)(1); Airplane Flying Handbook ch. 12."""
    check = Check(legs, found_up)
    whole = check.bench.aircraft
    for step_s, (what, (name, value)) in moves:
        check.pass_time(step_s)
        if name == "silence pressed":
            check.change_switches(horn_silence=False)
            check.change_switches(horn_silence=True)
        elif what == "switch":
            check.change_switches(**{name: value})
        elif name == "feed lost":
            whole = check.bench.aircraft if check.bench.aircraft != AircraftState() else whole
            lost = check.bench.aircraft == AircraftState()
            check.change_aircraft(whole if lost else AircraftState())
        else:
            check.change_aircraft(replace(check.bench.aircraft, **{name: value}))
    check.pass_time(20.0)
    for scene in check.seen:
        event(scene)


def test_the_oracle_knows_the_rule_s_own_example() -> None:
    """14 CFR 23.729(f)(1): a silenced horn, and the retardation of another lever."""
    check = Check("model", True)
    state = check.bench.aircraft

    def levers(*fractions: float) -> None:
        check.change_aircraft(replace(state, throttle_fraction=fractions))
        check.pass_time(0.5)

    levers(0.1, 0.9)
    assert check.oracle.horn(False)
    check.change_switches(horn_silence=True)
    assert not check.oracle.horn(False)
    levers(0.1, 0.1)
    assert check.oracle.horn(False)
    assert check.seen == {
        "silenced",
        "a lever closed, gear not locked down",
        "a lever closed, silenced",
    }
