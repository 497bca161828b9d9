"""From the handle to what is asked of the legs."""

from __future__ import annotations

import pytest

from panelbridge.signals import AircraftState, LegState
from tests.logic.build import (
    DOWN,
    FREE,
    LOCKED_DOWN,
    LOCKED_UP,
    UP,
    Bench,
    air,
    changed,
    fed_twin,
    flying_gear_down,
    flying_gear_up,
    ground,
    on_ground,
    switches,
)


def test_start_up_disagreement_moves_nothing() -> None:
    """Gear down in the simulator, handle found up: for an hour nothing moves."""
    bench = Bench()
    bench.at(0.0, switches("up"), air(gear_handle=DOWN))
    bench.at(3600.0)
    assert bench.all_locked_down
    assert bench.command == "nothing"
    assert bench.logic.view().gear_demand is None
    assert bench.logic.view().gear_disagrees
    assert "handle_red" in bench.lit
    assert bench.told == [(0.0, "gear_handle_disagreed", "")]
    assert "stands up" in bench.events[0].text


def test_start_up_disagreement_the_other_way_moves_nothing() -> None:
    bench = Bench()
    bench.at(0.0, switches("down"), air(gear_handle=UP))
    bench.at(3600.0)
    assert bench.all_locked_up
    assert bench.command == "nothing"
    assert bench.names == ["gear_handle_disagreed"]
    assert "stands down" in bench.events[0].text


def test_moving_the_handle_to_where_the_gear_is_agrees_without_a_movement() -> None:
    bench = Bench()
    bench.at(0.0, switches("down"), air(gear_handle=UP))
    bench.at(5.0, switches("up"))
    assert bench.command == "up"
    bench.at(60.0)
    assert bench.all_locked_up
    assert bench.names == ["gear_handle_disagreed", "gear_handle_moved_up", "gear_handle_agreed"]


def test_the_simulator_coming_to_the_handle_agrees_without_a_movement() -> None:
    bench = Bench(fed_twin())
    bench.at(0.0, switches("down"), air(gear_handle=UP, leg_locks=(LOCKED_UP,) * 3))
    assert bench.command == "nothing"
    bench.at(5.0, aircraft=air(gear_handle=DOWN, leg_locks=(FREE,) * 3))
    assert bench.command == "down"
    assert "gear_handle_agreed" in bench.names
    assert "gear_down_commanded" not in bench.names


def test_a_handle_moved_away_from_an_agreement_that_was_not_there_is_a_command() -> None:
    """Found up over a gear that is down; moved down and up again: the pilot means it."""
    bench = Bench()
    bench.at(0.0, switches("up"), air(gear_handle=DOWN))
    bench.at(5.0, switches("down"))
    assert bench.command == "down"
    bench.at(6.0, switches("up"))
    assert bench.command == "up"
    bench.at(30.0)
    assert bench.all_locked_up


@pytest.mark.parametrize(("found", "moved"), [("up", "down"), ("down", "up")])
def test_moved_while_the_simulator_s_handle_moved_too_is_a_command(found: str, moved: str) -> None:
    """They have swapped places: the pilot's hand counts, and nothing waits for an agreement."""
    bench = Bench()
    own, other = (UP, DOWN) if found == "up" else (DOWN, UP)
    bench.at(0.0, switches(found), air(gear_handle=other))
    assert bench.command == "nothing"
    bench.at(5.0, switches("between"))
    bench.at(5.2, aircraft=air(gear_handle=own))
    bench.at(5.4, switches(moved))
    assert bench.command == moved
    bench.at(60.0)
    assert bench.all_locked_down if moved == "down" else bench.all_locked_up


def test_a_handle_that_is_moved_while_nothing_is_known_commands_once_it_is() -> None:
    """The board knows the handle, the feed is not there yet: moved, then the feed comes."""
    bench = Bench()
    bench.at(0.0, switches("down"))
    bench.at(1.0, switches("up"))
    bench.at(2.0, switches("down"))
    assert bench.command == "nothing"
    bench.at(3.0, aircraft=air(gear_handle=UP))
    bench.at(60.0)
    assert bench.all_locked_up, "nobody saw the gear when the handle was moved"
    bench.at(61.0, switches("up"))
    bench.at(62.0, switches("down"))
    bench.at(90.0)
    assert bench.all_locked_down


def test_agreement_at_the_start_says_nothing_and_moves_nothing() -> None:
    bench = flying_gear_down()
    assert bench.command == "down"
    bench.after(100.0)
    assert bench.names == []
    assert bench.all_locked_down


def test_up_and_down_in_the_air() -> None:
    bench = flying_gear_down()
    bench.at(2.0, switches("up"))
    assert bench.command == "up"
    bench.at(30.0)
    assert bench.all_locked_up
    bench.at(40.0, switches("down"))
    bench.at(60.0)
    assert bench.all_locked_down
    commands = [told for told in bench.told if "command" in told[1]]
    assert commands == [(2.0, "gear_up_commanded", ""), (40.0, "gear_down_commanded", "")]


def test_the_board_lost_commands_nothing_and_a_movement_goes_on() -> None:
    bench = flying_gear_down()
    bench.at(2.0, switches("up"))
    bench.at(4.0, switches("unknown"))
    assert bench.command == "nothing"
    assert bench.logic.view().gear_demand is None
    bench.at(30.0)
    assert bench.all_locked_up


def test_the_board_lost_and_back_with_the_handle_where_it_was_agrees() -> None:
    bench = flying_gear_up()
    bench.at(2.0, switches("unknown"))
    bench.at(3.0, switches("up"))
    assert bench.command == "up"
    bench.at(60.0)
    assert bench.all_locked_up
    assert bench.names == []


def test_the_board_lost_and_back_with_the_handle_moved_meanwhile_moves_nothing() -> None:
    bench = flying_gear_up()
    bench.at(2.0, switches("unknown"))
    bench.at(3.0, switches("down"))
    assert bench.command == "nothing"
    bench.at(60.0)
    assert bench.all_locked_up
    assert bench.names == ["gear_handle_disagreed"]
    bench.at(61.0, switches("between"))
    bench.at(61.3, switches("up"))
    bench.at(62.0, switches("down"))
    bench.at(90.0)
    assert bench.all_locked_down


def test_the_board_lost_twice_tells_the_disagreement_twice() -> None:
    bench = flying_gear_up()
    for start_s in (2.0, 4.0):
        bench.at(start_s, switches("unknown"))
        bench.at(start_s + 1.0, switches("down"))
    assert bench.names == ["gear_handle_disagreed", "gear_handle_disagreed"]


def test_the_feed_lost_and_back_with_the_same_handle_goes_on() -> None:
    bench = flying_gear_up()
    bench.at(2.0, aircraft=AircraftState())
    assert bench.command == "up", "no doubt about what the pilot wants"
    bench.at(3.0, aircraft=air(gear_handle=UP))
    bench.at(60.0)
    assert bench.command == "up"
    assert bench.all_locked_up
    assert bench.names == []


def test_the_feed_lost_and_back_with_another_handle_moves_nothing() -> None:
    """Somebody moved the handle inside of the simulator: agree anew."""
    bench = flying_gear_up()
    bench.at(2.0, aircraft=AircraftState())
    bench.at(3.0, aircraft=air(gear_handle=DOWN))
    assert bench.command == "nothing"
    bench.at(60.0)
    assert bench.all_locked_up
    assert bench.names == ["gear_handle_disagreed"]
    bench.at(61.0, switches("down"))
    assert bench.command == "down"
    bench.at(90.0)
    assert bench.all_locked_down


def test_the_simulator_s_handle_moving_by_itself_takes_nothing_from_ours() -> None:
    """The panel's handle is the one that counts while the feed is there."""
    bench = flying_gear_up()
    bench.at(2.0, aircraft=air(gear_handle=DOWN))
    bench.at(60.0)
    assert bench.command == "up"
    assert bench.all_locked_up


def test_unknown_struts_hold_a_raised_handle() -> None:
    bench = flying_gear_down()
    bench.at(2.0, aircraft=changed(bench.aircraft, strut_compressed=()))
    bench.at(3.0, switches("up"))
    bench.at(60.0)
    assert bench.all_locked_down
    assert bench.command == "down"
    assert bench.names == ["gear_handle_moved_up", "gear_up_held"]
    assert bench.horn == "silent", "not on the ground as far as is known"
    bench.at(61.0, aircraft=air(gear_handle=DOWN))
    assert bench.command == "up"
    bench.at(90.0)
    assert bench.all_locked_up


def test_weight_found_after_a_hold_is_told_as_an_attempt_once() -> None:
    bench = flying_gear_down()
    bench.at(2.0, aircraft=changed(bench.aircraft, strut_compressed=()))
    bench.at(3.0, switches("up"))
    bench.at(4.0, aircraft=ground(gear_handle=DOWN))
    bench.at(5.0, aircraft=changed(bench.aircraft, strut_compressed=()))
    bench.at(6.0, aircraft=ground(gear_handle=DOWN))
    bench.at(60.0)
    assert bench.names.count("gear_up_held") == 1
    assert bench.names.count("ground_retract_refused") == 1


def test_struts_lost_in_a_retraction_let_it_go_on() -> None:
    bench = flying_gear_down()
    bench.at(2.0, switches("up"))
    bench.at(4.0, aircraft=changed(bench.aircraft, strut_compressed=(None, None, None)))
    bench.at(30.0)
    assert bench.all_locked_up
    assert "gear_up_held" not in bench.names


def test_weight_in_a_retraction_turns_the_legs_round() -> None:
    bench = flying_gear_down()
    bench.at(2.0, switches("up"))
    bench.at(4.0, aircraft=changed(bench.aircraft, strut_compressed=(False, True, False)))
    bench.at(4.1)
    assert LegState.RETRACTING in bench.leg_states
    bench.at(4.3)
    assert bench.command == "down"
    assert LegState.RETRACTING not in bench.leg_states
    bench.at(30.0)
    assert bench.all_locked_down
    assert "ground_retract_refused" in bench.names
    assert bench.horn == "intermittent"


@pytest.mark.parametrize("contacts", ["between", "both", "unknown"])
def test_weight_turns_the_legs_round_whatever_became_of_the_handle(contacts: str) -> None:
    """A wire off or a board lost in a retraction: the struts still keep the gear down."""
    bench = flying_gear_down()
    bench.at(2.0, switches("up"))
    bench.at(2.3, switches(contacts))
    bench.at(2.31, aircraft=ground(gear_handle=UP))
    bench.at(2.55)
    assert bench.command != "up"
    bench.at(60.0)
    assert bench.all_locked_down
    assert [leg for _, name, leg in bench.told if name == "leg_unlocked"] == ["nose"]
    bench.at(61.0, switches("up"))
    bench.at(90.0)
    assert bench.all_locked_down
    assert "ground_retract_refused" in bench.names
    bench.at(91.0, aircraft=air(gear_handle=UP))
    bench.at(120.0)
    assert bench.all_locked_up


def test_weight_under_a_gear_that_is_up_changes_nothing() -> None:
    """A belly landing, or a stuck squat switch: the legs stay up."""
    bench = flying_gear_up()
    bench.at(2.0, aircraft=ground(gear_handle=UP))
    bench.at(60.0)
    assert bench.all_locked_up
    assert bench.command == "up"
    assert "ground_retract_refused" not in bench.names


def test_a_board_found_with_the_handle_up_over_a_gear_that_is_up_on_the_ground() -> None:
    """Nothing to move: that is no attempt to retract."""
    bench = flying_gear_up()
    bench.at(2.0, aircraft=ground(gear_handle=UP))
    bench.at(3.0, switches("unknown"))
    bench.at(4.0, switches("up"))
    bench.at(60.0)
    assert bench.command == "up"
    assert bench.all_locked_up
    assert bench.names == ["touched_down"]


def test_found_on_the_ground_with_both_handles_up_is_refused() -> None:
    bench = Bench()
    bench.at(0.0, switches("up"), ground(gear_handle=UP))
    bench.at(60.0)
    assert bench.all_locked_down
    assert bench.command == "down"
    assert bench.names == ["ground_retract_refused", "horn_sounded"]


def test_a_refused_handle_put_back_down_tells_no_command() -> None:
    bench = on_ground()
    bench.at(2.0, switches("up"))
    bench.at(3.0, switches("down"))
    bench.at(4.0, switches("up"))
    bench.at(5.0, switches("down"))
    assert "gear_down_commanded" not in bench.names
    assert bench.names.count("ground_retract_refused") == 2
    assert bench.all_locked_down


def test_without_any_feed_nothing_is_commanded() -> None:
    bench = Bench()
    bench.at(0.0, switches("down"))
    bench.at(5.0, switches("up"))
    bench.at(60.0)
    assert bench.command == "nothing"
    assert bench.all_locked_down
    assert "gear_handle_disagreed" not in bench.names


@pytest.mark.parametrize(("locks", "handle"), [(LOCKED_UP, "up"), (LOCKED_DOWN, "down")])
def test_a_feed_without_a_handle_is_agreed_with_by_its_legs(locks: object, handle: str) -> None:
    bench = Bench(fed_twin())
    bench.at(0.0, switches(handle), air(leg_locks=(locks,) * 3))
    assert bench.command == handle
    assert bench.names == []


def test_a_feed_without_a_handle_and_with_legs_in_transit_agrees_with_nobody() -> None:
    bench = Bench(fed_twin())
    bench.at(0.0, switches("down"), air(leg_locks=(FREE,) * 3))
    bench.at(60.0)
    assert bench.command == "nothing"
    bench.at(61.0, aircraft=air(leg_locks=(LOCKED_DOWN,) * 3))
    assert bench.command == "down"


def test_a_feed_without_a_handle_whose_legs_are_elsewhere_is_a_disagreement() -> None:
    bench = Bench(fed_twin())
    bench.at(0.0, switches("down"), air(leg_locks=(LOCKED_UP,) * 3))
    assert bench.command == "nothing"
    assert bench.names == ["gear_handle_disagreed"]
