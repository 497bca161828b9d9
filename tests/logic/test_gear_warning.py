"""The horn's rules and its silence."""

from __future__ import annotations

from itertools import product
from math import nan

import pytest

from panelbridge.clock import TimerHeap
from panelbridge.logic.gear_warning import (
    FLAPS,
    GROUND_HANDLE,
    THROTTLE,
    GearWarningParameters,
    horn_pattern,
)
from panelbridge.logic.throttle_levers import ThrottleLevers
from panelbridge.signals import HornPattern
from tests.logic.build import (
    CLOSED,
    DOWN,
    OPEN,
    Bench,
    air,
    changed,
    flying_gear_down,
    flying_gear_up,
    on_ground,
    switches,
    twin,
)

LIMIT, REOPEN = 0.25, 0.28


def levers(settle_s: float = 0.1, engines: int = 2) -> ThrottleLevers:
    return ThrottleLevers(
        engines,
        limit_fraction=LIMIT,
        hysteresis_fraction=REOPEN - LIMIT,
        settle_s=settle_s,
        timers=TimerHeap(),
    )


def test_a_lever_at_its_limit_is_closed_and_above_it_is_not() -> None:
    for fraction, closed in ((0.0, True), (LIMIT, True), (LIMIT + 1e-9, False), (1.0, False)):
        system = levers()
        assert system.take(0.0, (fraction, OPEN))
        assert system.any_closed is closed
        assert system.newly_closed is closed


def test_a_lever_is_open_again_only_above_the_hysteresis() -> None:
    system = levers(settle_s=0.0)
    system.take(0.0, (LIMIT, OPEN))
    system.newly_closed = False
    for number, fraction in enumerate((LIMIT + 0.02, LIMIT - 0.01, LIMIT + 0.0299)):
        assert not system.take(1.0 + number, (fraction, OPEN))
        assert system.any_closed
        assert not system.newly_closed
    assert system.take(9.0, (REOPEN + 1e-6, OPEN))
    assert not system.any_closed
    assert not system.take(10.0, (REOPEN - 1e-6, OPEN)), "now the lower limit holds"
    assert not system.newly_closed


def test_levers_found_closed_count_at_once_and_later_ones_after_settling() -> None:
    timers = TimerHeap()
    system = ThrottleLevers(
        2, limit_fraction=LIMIT, hysteresis_fraction=0.03, settle_s=0.1, timers=timers
    )
    system.take(0.0, (OPEN, OPEN))
    moved = system.take(1.0, (CLOSED, OPEN))
    assert (moved, bool(system.any_closed)) == (False, False)
    assert timers.next_due_s == pytest.approx(1.1)
    due = timers.pop_due(2.0)
    assert due is not None
    assert system.timer_due(*due)
    assert system.any_closed
    assert system.newly_closed
    assert not system.timer_due(2.0, ("strut", 0))


def test_an_unknown_lever_keeps_what_was_known_of_it() -> None:
    for unknown in (None, nan):
        system = levers(settle_s=0.0)
        system.take(0.0, (CLOSED, OPEN))
        system.newly_closed = False
        assert not system.take(1.0, (unknown, unknown))
        assert not system.take(2.0, ())
        assert system.any_closed
        assert not system.take(3.0, (CLOSED, OPEN)), "back where it was: nothing new"
        assert not system.newly_closed


def test_a_lever_lost_while_settling_has_not_closed() -> None:
    bench = flying_gear_up()
    bench.after(1.0, aircraft=changed(bench.aircraft, throttle_fraction=(CLOSED, OPEN)))
    bench.after(0.05, aircraft=changed(bench.aircraft, throttle_fraction=(None, OPEN)))
    bench.after(10.0)
    assert bench.horn == "silent"
    bench.throttles(CLOSED, OPEN)
    assert bench.horn == "intermittent"


def test_a_lever_lost_while_opening_is_still_closed_and_keeps_its_hysteresis() -> None:
    bench = flying_gear_up()
    bench.throttles(CLOSED, OPEN)
    bench.after(1.0, aircraft=changed(bench.aircraft, throttle_fraction=(OPEN, OPEN)))
    bench.after(0.05, aircraft=changed(bench.aircraft, throttle_fraction=(None, OPEN)))
    bench.throttles(REOPEN - 0.01, OPEN)
    assert bench.horn == "intermittent"
    bench.throttles(REOPEN + 0.01, OPEN)
    assert bench.horn == "silent"


def test_surplus_levers_are_not_read() -> None:
    bench = flying_gear_up()
    bench.throttles(OPEN, OPEN, CLOSED)
    assert bench.horn == "silent"


def test_an_aircraft_without_engines_has_the_other_rules() -> None:
    bench = flying_gear_up(twin(engines=0))
    bench.throttles(CLOSED, CLOSED)
    assert bench.horn == "silent"
    bench.after(1.0, aircraft=changed(bench.aircraft, flap_deg=30.0))
    assert bench.horn == "continuous"


@pytest.mark.parametrize("patterns", list(product(("intermittent", "continuous"), repeat=3)))
def test_the_pattern_of_every_set_of_causes(patterns: tuple[str, str, str]) -> None:
    parameters = GearWarningParameters.model_validate(
        dict(
            zip(
                ("flap_pattern", "throttle_pattern", "ground_handle_pattern"), patterns, strict=True
            )
        )
    )
    own = dict(zip((FLAPS, THROTTLE, GROUND_HANDLE), patterns, strict=True))
    for here in product((True, False), repeat=3):
        causes = [cause for cause, on in zip(own, here, strict=True) if on]
        sounds = {own[cause] for cause in causes}
        wanted = "continuous" if "continuous" in sounds else "intermittent" if sounds else "silent"
        assert horn_pattern(causes, parameters) is HornPattern(wanted)


def test_the_horn_s_story_is_told() -> None:
    bench = flying_gear_up()
    bench.at(2.0, aircraft=changed(bench.aircraft, throttle_fraction=(CLOSED, OPEN)))
    bench.at(3.0)
    bench.at(4.0, switches("up", horn_silence=True))
    bench.at(5.0, switches("up"))
    bench.at(6.0, aircraft=changed(bench.aircraft, flap_deg=30.0))
    bench.at(7.0, aircraft=changed(bench.aircraft, flap_deg=0.0))
    assert bench.told == [
        (2.1, "horn_sounded", ""),
        (4.0, "horn_silenced", ""),
        (6.0, "horn_sounded", ""),
        (7.0, "horn_stopped", ""),
    ]
    assert bench.events[0].text == f"the horn sounds: {THROTTLE}"
    assert bench.events[2].text == f"the horn sounds: {FLAPS}"


def test_a_silenced_rule_that_ends_tells_no_stop() -> None:
    bench = flying_gear_up()
    bench.throttles(CLOSED, OPEN)
    bench.press("horn_silence")
    bench.take_names()
    bench.throttles(OPEN, OPEN)
    assert bench.names == []


def test_a_second_cause_is_told_beside_the_first() -> None:
    bench = flying_gear_up()
    bench.throttles(CLOSED, OPEN)
    bench.take_names()
    bench.after(1.0, aircraft=changed(bench.aircraft, flap_deg=30.0))
    assert [h.text for h in bench.events] == [f"the horn sounds: {FLAPS}"]
    bench.after(1.0, aircraft=changed(bench.aircraft, flap_deg=0.0))
    assert bench.horn == "intermittent"
    assert len(bench.events) == 1, "it still sounds: no stop, and no new cause"


def test_silence_does_nothing_while_the_flap_rule_sounds() -> None:
    """Not even for the throttle rule beneath it."""
    bench = flying_gear_up()
    bench.throttles(CLOSED, OPEN)
    bench.after(1.0, aircraft=changed(bench.aircraft, flap_deg=30.0))
    bench.press("horn_silence")
    assert bench.horn == "continuous"
    assert not bench.logic.view().horn_silenced
    bench.after(1.0, aircraft=changed(bench.aircraft, flap_deg=0.0))
    assert bench.horn == "intermittent"


def test_silence_works_with_flaps_beyond_once_the_gear_makes_that_no_matter() -> None:
    bench = flying_gear_down()
    bench.after(1.0, aircraft=air((CLOSED, CLOSED), 40.0, gear_handle=DOWN))
    bench.after(1.0)
    assert bench.horn == "silent"
    bench.press("horn_silence")
    assert bench.take_names() == []


def test_a_button_that_is_held_silences_once() -> None:
    bench = flying_gear_up()
    bench.throttles(CLOSED, OPEN)
    bench.after(0.1, switches("up", horn_silence=True))
    assert bench.horn == "silent"
    bench.throttles(CLOSED, CLOSED)
    assert bench.horn == "intermittent", "held all the time: no new press"
    bench.after(5.0)
    assert bench.horn == "intermittent"


@pytest.mark.parametrize("before", [None, True])
def test_only_a_press_that_was_seen_silences(before: bool | None) -> None:
    """Found pressed after its board came back: that is no press."""
    bench = flying_gear_up()
    bench.throttles(CLOSED, OPEN)
    bench.after(0.1, switches("up", horn_silence=None))
    bench.after(0.1, switches("up", horn_silence=True))
    if before is True:
        bench.after(0.1, switches("up", horn_silence=True, lamp_test=True))
        bench.after(0.1, switches("up", horn_silence=True))
    assert bench.horn == "intermittent"


def test_pressed_in_the_very_step_in_which_a_lever_closes_the_horn_sounds() -> None:
    bench = flying_gear_up(twin(gear_warning={"throttle_settle_s": 0.0}))
    bench.throttles(CLOSED, OPEN)
    both = changed(bench.aircraft, throttle_fraction=(CLOSED, CLOSED))
    bench.after(0.1, switches("up", horn_silence=True), both)
    assert bench.horn == "intermittent"


def test_the_gear_locked_down_ends_the_silence() -> None:
    bench = flying_gear_up()
    bench.throttles(CLOSED, CLOSED)
    bench.press("horn_silence")
    bench.after(0.1, switches("down"))
    bench.after(5.0)
    assert bench.horn == "silent"
    bench.after(10.0)
    assert bench.all_locked_down
    bench.after(0.1, switches("up"))
    bench.after(0.65)
    assert bench.horn == "intermittent"


def test_flaps_unknown_keep_what_was_known() -> None:
    for unknown in (None, nan):
        bench = flying_gear_up()
        bench.after(1.0, aircraft=changed(bench.aircraft, flap_deg=30.0))
        bench.after(1.0, aircraft=changed(bench.aircraft, flap_deg=unknown))
        assert bench.horn == "continuous"
        bench.after(1.0, aircraft=changed(bench.aircraft, flap_deg=10.0))
        assert bench.horn == "silent"
        bench.after(1.0, aircraft=changed(bench.aircraft, flap_deg=unknown))
        assert bench.horn == "silent"


def test_the_handle_up_on_the_ground_sounds_and_can_not_be_silenced() -> None:
    bench = on_ground()
    bench.after(1.0, switches("up"))
    assert bench.horn == "intermittent"
    assert bench.logic.view().warning_causes == (GROUND_HANDLE,)
    bench.after(0.1, switches("up", horn_silence=True))
    bench.after(0.1, switches("up"))
    assert bench.horn == "intermittent"
    assert "horn_silenced" not in bench.names
    bench.after(1.0, switches("down"))
    assert bench.horn == "silent"


def test_an_aircraft_may_do_without_the_warning_of_the_handle() -> None:
    bench = on_ground(twin(gear_warning={"ground_handle_warning": False}))
    bench.after(1.0, switches("up"))
    assert bench.horn == "silent"
    assert bench.logic.view().warning_causes == ()
    assert "ground_retract_refused" in bench.names
    assert "handle_red" in bench.lit, "the gear is not where the handle is"


def test_nothing_known_sounds_nothing() -> None:
    bench = Bench()
    bench.at(0.0)
    assert bench.horn == "silent"
