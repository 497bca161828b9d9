"""A-22: US Army TM 55-1510-221-10: red bulbs driven independently of the greens; levers only."""

from __future__ import annotations

import pytest

from panelbridge.logic.gear.facts import LegFacts
from panelbridge.logic.gear.legs import LegFault
from panelbridge.logic.gear.rules import LEG_LOCKED_DOWN, RED_RULES
from panelbridge.signals import LegLocks
from tests.logic.build import (
    CLOSED,
    DOWN,
    FREE,
    LOCKED_DOWN,
    OPEN,
    UP,
    Bench,
    air,
    changed,
    fed_twin,
    flying_gear_up,
    switches,
)
from tests.logic.gear_rig import NAMES, flying


@pytest.mark.parametrize("handle", ["up", "down"])
def test_a_stuck_green_switch_puts_no_red_out(handle: str) -> None:
    """TM 55-1510-221-10: one leg's down-lock switch is stuck, the gear is in transit: red.

    The stuck switch says locked down though the leg moves: the other legs' reds and the light in
    the handle come from their own switches.
    """
    bench = Bench(fed_twin())
    bench.at(0.0, switches("down"), air(gear_handle=DOWN, leg_locks=(LOCKED_DOWN,) * 3))
    bench.at(1.0, switches(handle), changed(bench.aircraft, leg_locks=(LOCKED_DOWN, FREE, FREE)))
    assert bench.reds == {"left", "right"}
    assert "handle_red" in bench.lit
    up = LegLocks(up_locked=True, down_locked=True)  # arrived, and the switch still stuck
    bench.at(2.0, aircraft=changed(bench.aircraft, leg_locks=(up, FREE, FREE)))
    assert bench.reds == {"nose", "left", "right"}
    assert bench.greens == set()


def test_red_and_green_each_have_a_rule_of_their_own() -> None:
    """TM 55-1510-221-10: red is not simply "no green": a leg that is locked up shows neither."""
    states = [
        LegLocks(up, down) for up in (True, False, None) for down in (True, False, None)
    ]  # fmt: skip
    shown = {
        (lock.up_locked, lock.down_locked): (
            LEG_LOCKED_DOWN.holds(LegFacts(locks=lock)),
            any(rule.holds(LegFacts(locks=lock)) for rule in RED_RULES),
        )
        for lock in states
    }
    assert shown[False, True] == (True, False)
    assert shown[True, False] == (False, False)
    rest = {key: lamps for key, lamps in shown.items() if key not in {(False, True), (True, False)}}
    assert set(rest.values()) == {(False, True)}


def test_red_burns_in_transit_with_the_handle_in_either_position() -> None:
    """TM 55-1510-221-10: the red bulbs are lit in transit whatever the handle says."""
    for handle in ("up", "down"):
        bench = Bench(fed_twin())
        bench.at(0.0, switches(handle), air(leg_locks=(FREE,) * 3))
        assert bench.reds == {"nose", "left", "right"}
        assert "handle_red" in bench.lit


def test_the_handle_s_light_burns_with_a_lever_closed_and_can_not_be_cancelled() -> None:
    """TM 1-1510-218-10, TM 55-1510-221-10: lever closed, gear not down: red, silenced too."""
    bench = flying_gear_up()
    assert bench.lit == set()
    bench.throttles(CLOSED, OPEN)
    assert bench.lit == {"handle_red"}
    bench.press("horn_silence")
    assert bench.horn == "silent"
    assert bench.lit == {"handle_red"}
    bench.throttles(OPEN, OPEN)
    assert bench.lit == set()


def test_a_dead_engine_s_lever_counts_like_any_other() -> None:
    """TM 55-1510-221-10: single-engine, the dead engine's lever must be advanced.

    The aircraft's state has no engine values at all: the lever's place is all that can count.
    """
    bench = flying_gear_up()
    bench.throttles(CLOSED, 1.0)
    assert bench.horn == "intermittent"
    bench.throttles(OPEN, 1.0)
    assert bench.horn == "silent"


@pytest.mark.parametrize("stuck", NAMES)
def test_red_lights_though_the_green_s_own_switch_is_stuck(stuck: str) -> None:
    """TM 55-1510-221-10: red has sensing of its own: a stuck down-lock switch puts none out.

    Our own legs are sensed in transit apart from their lock switches. With the feed as authority
    there are the two switches of the leg and nothing else.
    """
    for found, handle in ((DOWN, "up"), (UP, "down")):
        rig = flying(found).fault(stuck, "down_switch_stuck").after(1.0, handle=handle)
        rig.after(3.0)
        assert rig.reds == set(NAMES)
        assert rig.greens == set()
        assert rig.handle_red
        assert rig.facts.lock_faults == (
            f"a lock switch of the {stuck} leg is made though the leg is not locked",
        )
        assert "leg_switch_contradicted" in rig.names
        assert not rig.facts.all_down, "the horn is not quiet for it either"


def test_a_stuck_switch_through_the_whole_panel() -> None:
    """TM 55-1510-221-10, with the panel's horn, lamps and reasons."""
    bench = flying_gear_up()
    bench.at(2.0, switches("down"))
    bench.at(5.0)
    bench.logic.set_fault(5.0, "nose", LegFault.DOWN_SWITCH_STUCK)
    bench.throttles(CLOSED, OPEN)
    assert bench.reds == {"nose", "left", "right"}
    assert bench.greens == set()
    assert bench.horn == "intermittent"
    told = [(one.condition, one.holds) for one in bench.logic.reasons("nose_red")]
    assert ("rule: leg not locked", False) in told
    assert ("rule: leg sensed in transit", True) in told
    bench.at(60.0)
    assert bench.greens == {"nose", "left", "right"}
    assert bench.horn == "silent"
