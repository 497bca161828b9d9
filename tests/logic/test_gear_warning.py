"""The horn's rules and its silence."""

from __future__ import annotations

from itertools import product
from math import inf, nan

import pytest

from panelbridge.logic.gear_warning.levers import (
    ThrottleLevers,
    all_open,
    any_closed,
    closed_now,
)
from panelbridge.logic.gear_warning.parameters import GearWarningParameters
from panelbridge.logic.gear_warning.rules import (
    FLAPS,
    GROUND_HANDLE,
    THROTTLE,
    horn_rules,
)
from panelbridge.logic.kit.aircraft_cells import throttle
from panelbridge.logic.kit.declarations import loudest
from panelbridge.logic.kit.readings import Reading
from panelbridge.logic.kit.world import World
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


class Levers:
    """The levers by themselves, at a limit of 0.25 and open again above 0.28."""

    def __init__(self, settle_s: float = 0.1, engines: int = 2) -> None:
        self.levers = ThrottleLevers(engines, LIMIT, REOPEN - LIMIT, settle_s)
        self.state = self.before = self.levers.unknown
        self._cells: dict[Reading[bool], bool | None] = {}

    def take(self, now_s: float, *fractions: float | None) -> Levers:
        """What is not given is unknown."""
        for reading in self.levers.readings:
            place = reading.of.place  # type: ignore[attr-defined]
            number = fractions[place] if place < len(fractions) else None
            self._cells[reading] = reading.take(number, self._cells.get(reading))
        assert throttle(0) in {reading.of for reading in self.levers.readings}
        self.before = self.state
        self.state = self.levers.take(now_s, self.state, World(self._cells, now_s))
        return self

    @property
    def shown(self) -> tuple[bool, bool, bool]:
        """One is closed; one has closed; one has opened."""
        changes = (self.before, self.state)
        return any_closed(self.state), closed_now(*changes), closed_now(*reversed(changes))


STILL_CLOSED, STILL_OPEN = (True, False, False), (False, False, False)


def test_a_lever_at_its_limit_is_closed_and_above_it_is_not() -> None:
    for fraction, closed in ((0.0, True), (LIMIT, True), (LIMIT + 1e-9, False), (1.0, False)):
        assert Levers().take(0.0, fraction, OPEN).shown == (closed, closed, False)


def test_a_lever_is_open_again_only_above_the_hysteresis() -> None:
    system = Levers(settle_s=0.0)
    system.take(0.0, LIMIT, OPEN)
    for number, fraction in enumerate((LIMIT + 0.02, LIMIT - 0.01, LIMIT + 0.0299)):
        assert system.take(1.0 + number, fraction, OPEN).shown == STILL_CLOSED
    assert system.take(9.0, REOPEN + 1e-6, OPEN).shown == (False, False, True)
    shown = system.take(10.0, REOPEN - 1e-6, OPEN).shown
    assert shown == STILL_OPEN, "now the lower limit holds"


def test_levers_found_closed_count_at_once_and_later_ones_after_settling() -> None:
    system = Levers()
    system.take(0.0, OPEN, OPEN)
    assert system.take(1.0, CLOSED, OPEN).shown == STILL_OPEN
    assert [lever.due_s for lever in system.state] == [pytest.approx(1.1), inf]
    assert system.take(1.1, CLOSED, OPEN).shown == (True, True, False)
    assert system.take(1.2, CLOSED, OPEN).shown == STILL_CLOSED


def test_an_unknown_lever_keeps_what_was_known_of_it() -> None:
    system = Levers(settle_s=0.0)
    system.take(0.0, CLOSED, OPEN)
    assert system.take(1.0, None, None).shown == STILL_CLOSED
    assert system.take(2.0).shown == STILL_CLOSED
    assert system.take(3.0, CLOSED, OPEN).shown == STILL_CLOSED, "back where it was: nothing new"


def test_all_open_only_when_every_lever_is_known_to_be() -> None:
    system = Levers(settle_s=0.0)
    assert not all_open(system.take(0.0, OPEN, None).state)
    assert not all_open(system.take(1.0, OPEN, CLOSED).state)
    assert not system.shown[2], "found closed"
    assert all_open(system.take(2.0, OPEN, OPEN).state)
    assert system.shown[2]


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
    rules = horn_rules(parameters)
    assert [one.rule.name for one in rules] == list(own)
    for here in product((True, False), repeat=3):
        causes = [cause for cause, on in zip(own, here, strict=True) if on]
        sounds = {own[cause] for cause in causes}
        wanted = "continuous" if "continuous" in sounds else "intermittent" if sounds else "silent"
        shown = loudest(one.pattern for one in rules if one.rule.name in causes)
        assert shown is HornPattern(wanted)


def test_the_horn_s_events() -> None:
    bench = flying_gear_up()
    bench.at(2.0, aircraft=changed(bench.aircraft, throttle_fraction=(CLOSED, OPEN)))
    bench.at(3.0)
    bench.at(4.0, switches("up", horn_silence=True))
    bench.at(5.0, switches("up"))
    bench.at(6.0, aircraft=changed(bench.aircraft, flap_deg=30.0))
    bench.at(7.0, aircraft=changed(bench.aircraft, flap_deg=0.0))
    assert bench.logged == [
        (2.1, "horn_sounded", ""),
        (4.0, "horn_silenced", ""),
        (6.0, "horn_sounded", ""),
        (7.0, "horn_stopped", ""),
    ]
    assert bench.events[0].text == f"the horn sounds: {THROTTLE}"
    assert bench.events[2].text == f"the horn sounds: {FLAPS}"


def test_a_silenced_rule_that_ends_reports_no_stop() -> None:
    bench = flying_gear_up()
    bench.throttles(CLOSED, OPEN)
    bench.press("horn_silence")
    bench.take_names()
    bench.throttles(OPEN, OPEN)
    assert bench.names == []


def test_a_second_cause_is_reported_beside_the_first() -> None:
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


def test_the_handle_up_on_the_ground_sounds_and_cannot_be_silenced() -> None:
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


def test_an_aircraft_may_let_it_be_silenced_until_the_handle_is_raised_again() -> None:
    """Our own decision: a squat switch that sticks in flight would sound it for ever."""
    bench = on_ground(twin(gear_warning={"ground_handle_silence": True}))
    bench.after(1.0, switches("up"))
    bench.after(0.1, switches("up", horn_silence=True))
    assert bench.horn == "silent"
    bench.after(60.0, switches("up"))
    assert bench.horn == "silent"
    assert bench.names.count("horn_silenced") == 1
    assert "horn_stopped" not in bench.names
    assert "handle_red" in bench.lit
    reasons = {reason.condition: reason.holds for reason in bench.logic.reasons("horn")}
    assert reasons["ground handle warning silenced"]
    bench.after(1.0, switches("down"))
    bench.after(1.0, switches("up"))
    assert bench.horn == "intermittent"


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
