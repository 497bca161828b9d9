"""From the handle to what is asked of the legs."""

from __future__ import annotations

import pytest

from panelbridge.signals import LegLocks
from tests.logic.gear_rig import (
    DOWN,
    FREE,
    LOCKED_DOWN,
    LOCKED_UP,
    UP,
    found_flying,
    found_on_ground,
    panel,
)


def test_start_up_disagreement_moves_nothing() -> None:
    """Gear down in the simulator, handle found up: for an hour nothing moves."""
    rig = panel()
    rig.at(0.0, handle="up", strut=False, simulator=DOWN)
    rig.at(3600.0)
    assert rig.all_down
    assert rig.command == "nothing"
    assert rig.view["gear_demand"] is None
    assert rig.view["gear_disagrees"]
    assert rig.handle_red
    assert rig.logged == [(0.0, "gear_handle_disagreed", "")]
    assert "stands up" in rig.events[0].text


def test_start_up_disagreement_the_other_way_moves_nothing() -> None:
    rig = panel()
    rig.at(0.0, handle="down", strut=False, simulator=UP)
    rig.at(3600.0)
    assert rig.all_up
    assert rig.command == "nothing"
    assert rig.names == ["gear_handle_disagreed"]
    assert "stands down" in rig.events[0].text


def test_moving_the_handle_to_where_the_gear_is_agrees_without_a_movement() -> None:
    rig = panel()
    rig.at(0.0, handle="down", strut=False, simulator=UP)
    rig.at(5.0, handle="up")
    assert rig.command == "up"
    rig.at(60.0)
    assert rig.all_up
    assert rig.names == ["gear_handle_disagreed", "gear_handle_moved_up", "gear_handle_agreed"]


def test_the_simulator_coming_to_the_handle_agrees_without_a_movement() -> None:
    rig = panel(own_legs=False)
    rig.at(0.0, handle="down", strut=False, simulator=UP, locks=(LOCKED_UP,) * 3)
    assert rig.command == "nothing"
    rig.at(5.0, strut=False, simulator=DOWN, locks=(FREE,) * 3)
    assert rig.command == "down"
    assert "gear_handle_agreed" in rig.names
    assert "gear_down_commanded" not in rig.names


def test_a_handle_moved_away_from_an_agreement_that_was_not_there_is_a_command() -> None:
    """Found up over a gear that is down; moved down and up again: the pilot means it."""
    rig = panel()
    rig.at(0.0, handle="up", strut=False, simulator=DOWN)
    rig.at(5.0, handle="down")
    assert rig.command == "down"
    rig.at(6.0, handle="up")
    assert rig.command == "up"
    rig.at(30.0)
    assert rig.all_up


@pytest.mark.parametrize(("found", "moved"), [("up", "down"), ("down", "up")])
def test_moved_while_the_simulator_s_handle_moved_too_is_a_command(found: str, moved: str) -> None:
    """They have swapped places: the pilot's hand counts, and nothing waits for an agreement."""
    rig = panel()
    own, other = (UP, DOWN) if found == "up" else (DOWN, UP)
    rig.at(0.0, handle=found, strut=False, simulator=other)
    assert rig.command == "nothing"
    rig.at(5.0, handle="between")
    rig.at(5.2, strut=False, simulator=own)
    rig.at(5.4, handle=moved)
    assert rig.command == moved
    rig.at(60.0)
    assert rig.all_down if moved == "down" else rig.all_up


def test_a_handle_that_is_moved_while_nothing_is_known_commands_once_it_is() -> None:
    """The board knows the handle, the feed is not there yet: moved, then the feed comes."""
    rig = panel()
    rig.at(0.0, handle="down")
    rig.at(1.0, handle="up")
    rig.at(2.0, handle="down")
    assert rig.command == "nothing"
    rig.at(3.0, strut=False, simulator=UP)
    rig.at(60.0)
    assert rig.all_up, "nobody saw the gear when the handle was moved"
    rig.at(61.0, handle="up")
    rig.at(62.0, handle="down")
    rig.at(90.0)
    assert rig.all_down


def test_agreement_at_the_start_says_nothing_and_moves_nothing() -> None:
    rig = found_flying(DOWN)
    assert rig.command == "down"
    rig.after(100.0)
    assert rig.names == []
    assert rig.all_down


def test_up_and_down_in_the_air() -> None:
    rig = found_flying(DOWN)
    rig.at(2.0, handle="up")
    assert rig.command == "up"
    rig.at(30.0)
    assert rig.all_up
    rig.at(40.0, handle="down")
    rig.at(60.0)
    assert rig.all_down
    commands = [reported for reported in rig.logged if "command" in reported[1]]
    assert commands == [(2.0, "gear_up_commanded", ""), (40.0, "gear_down_commanded", "")]


def test_the_board_lost_commands_nothing_and_a_movement_goes_on() -> None:
    rig = found_flying(DOWN)
    rig.at(2.0, handle="up")
    rig.at(4.0, handle="unknown")
    assert rig.command == "nothing"
    assert rig.view["gear_demand"] is None
    rig.at(30.0)
    assert rig.all_up


def test_the_board_lost_and_back_with_the_handle_where_it_was_agrees() -> None:
    rig = found_flying(UP)
    rig.at(2.0, handle="unknown")
    rig.at(3.0, handle="up")
    assert rig.command == "up"
    rig.at(60.0)
    assert rig.all_up
    assert rig.names == []


def test_the_board_lost_and_back_with_the_handle_moved_meanwhile_moves_nothing() -> None:
    rig = found_flying(UP)
    rig.at(2.0, handle="unknown")
    rig.at(3.0, handle="down")
    assert rig.command == "nothing"
    rig.at(60.0)
    assert rig.all_up
    assert rig.names == ["gear_handle_disagreed"]
    rig.at(61.0, handle="between")
    rig.at(61.3, handle="up")
    rig.at(62.0, handle="down")
    rig.at(90.0)
    assert rig.all_down


def test_the_board_lost_twice_reports_the_disagreement_twice() -> None:
    rig = found_flying(UP)
    for start_s in (2.0, 4.0):
        rig.at(start_s, handle="unknown")
        rig.at(start_s + 1.0, handle="down")
    assert rig.names == ["gear_handle_disagreed", "gear_handle_disagreed"]


def test_the_feed_lost_and_back_with_the_same_handle_goes_on() -> None:
    rig = found_flying(UP)
    rig.at(2.0, strut=None, simulator=None)
    assert rig.command == "up", "no doubt about what the pilot wants"
    rig.at(3.0, strut=False, simulator=UP)
    rig.at(60.0)
    assert rig.command == "up"
    assert rig.all_up
    assert rig.names == []


def test_the_feed_lost_and_back_with_another_handle_moves_nothing() -> None:
    """The handle was moved in the simulator: it has to agree again."""
    rig = found_flying(UP)
    rig.at(2.0, strut=None, simulator=None)
    rig.at(3.0, strut=False, simulator=DOWN)
    assert rig.command == "nothing"
    rig.at(60.0)
    assert rig.all_up
    assert rig.names == ["gear_handle_disagreed"]
    rig.at(61.0, handle="down")
    assert rig.command == "down"
    rig.at(90.0)
    assert rig.all_down


def test_the_simulator_s_handle_moving_by_itself_takes_nothing_from_ours() -> None:
    """The panel's handle is the one that counts while the feed is there."""
    rig = found_flying(UP)
    rig.at(2.0, strut=False, simulator=DOWN)
    rig.at(60.0)
    assert rig.command == "up"
    assert rig.all_up


def test_unknown_struts_hold_a_raised_handle() -> None:
    rig = found_flying(DOWN)
    rig.at(2.0, strut=None)
    rig.at(3.0, handle="up")
    rig.at(60.0)
    assert rig.all_down
    assert rig.command == "down"
    assert rig.names == ["gear_handle_moved_up", "gear_up_held"]
    assert not rig.warns, "not on the ground as far as is known"
    rig.at(61.0, strut=False, simulator=DOWN)
    assert rig.command == "up"
    rig.at(90.0)
    assert rig.all_up


def test_weight_found_after_a_hold_is_reported_as_an_attempt_once() -> None:
    rig = found_flying(DOWN)
    rig.at(2.0, strut=None)
    rig.at(3.0, handle="up")
    rig.at(4.0, strut=True, simulator=DOWN)
    rig.at(5.0, strut=None)
    rig.at(6.0, strut=True, simulator=DOWN)
    rig.at(60.0)
    assert rig.names.count("gear_up_held") == 1
    assert rig.names.count("ground_retract_refused") == 1


def test_struts_lost_in_a_retraction_let_it_go_on() -> None:
    rig = found_flying(DOWN)
    rig.at(2.0, handle="up")
    rig.at(4.0, strut=(None, None, None))
    rig.at(30.0)
    assert rig.all_up
    assert "gear_up_held" not in rig.names


def test_weight_in_a_retraction_turns_the_legs_round() -> None:
    rig = found_flying(DOWN)
    rig.at(2.0, handle="up")
    rig.at(4.0, strut=(False, True, False))
    rig.at(4.1)
    assert "retracting" in rig.leg_states
    rig.at(4.3)
    assert rig.command == "down"
    assert "retracting" not in rig.leg_states
    rig.at(30.0)
    assert rig.all_down
    assert "ground_retract_refused" in rig.names
    assert rig.warns


@pytest.mark.parametrize("contacts", ["between", "both", "unknown"])
def test_weight_turns_the_legs_round_whatever_became_of_the_handle(contacts: str) -> None:
    """A wire off or a board lost in a retraction: the struts still keep the gear down."""
    rig = found_flying(DOWN)
    rig.at(2.0, handle="up")
    rig.at(2.3, handle=contacts)
    rig.at(2.31, strut=True, simulator=UP)
    rig.at(2.55)
    assert rig.command != "up"
    rig.at(60.0)
    assert rig.all_down
    assert [leg for _, name, leg in rig.logged if name == "leg_unlocked"] == ["nose"]
    rig.at(61.0, handle="up")
    rig.at(90.0)
    assert rig.all_down
    assert "ground_retract_refused" in rig.names
    rig.at(91.0, strut=False, simulator=UP)
    rig.at(120.0)
    assert rig.all_up


def test_weight_under_a_gear_that_is_up_changes_nothing() -> None:
    """A belly landing, or a stuck squat switch: the legs stay up."""
    rig = found_flying(UP)
    rig.at(2.0, strut=True, simulator=UP)
    rig.at(60.0)
    assert rig.all_up
    assert rig.command == "up"
    assert "ground_retract_refused" not in rig.names


def test_a_board_found_with_the_handle_up_over_a_gear_that_is_up_on_the_ground() -> None:
    """Nothing to move: that is no attempt to retract."""
    rig = found_flying(UP)
    rig.at(2.0, strut=True, simulator=UP)
    rig.at(3.0, handle="unknown")
    rig.at(4.0, handle="up")
    rig.at(60.0)
    assert rig.command == "up"
    assert rig.all_up
    assert rig.names == ["touched_down"]


def test_found_on_the_ground_with_both_handles_up_is_refused() -> None:
    rig = panel()
    rig.at(0.0, handle="up", strut=True, simulator=UP)
    rig.at(60.0)
    assert rig.all_down
    assert rig.command == "down"
    assert rig.names == ["ground_retract_refused"]
    assert rig.warns


def test_a_refused_handle_put_back_down_reports_no_command() -> None:
    rig = found_on_ground()
    rig.at(2.0, handle="up")
    rig.at(3.0, handle="down")
    rig.at(4.0, handle="up")
    rig.at(5.0, handle="down")
    assert "gear_down_commanded" not in rig.names
    assert rig.names.count("ground_retract_refused") == 2
    assert rig.all_down


def test_without_any_feed_nothing_is_commanded() -> None:
    rig = panel()
    rig.at(0.0, handle="down")
    rig.at(5.0, handle="up")
    rig.at(60.0)
    assert rig.command == "nothing"
    assert rig.all_down
    assert "gear_handle_disagreed" not in rig.names


@pytest.mark.parametrize(("locks", "handle"), [(LOCKED_UP, "up"), (LOCKED_DOWN, "down")])
def test_a_feed_without_a_handle_is_agreed_with_by_its_legs(locks: LegLocks, handle: str) -> None:
    rig = panel(own_legs=False)
    rig.at(0.0, handle=handle, strut=False, locks=(locks,) * 3)
    assert rig.command == handle
    assert rig.names == []


def test_a_feed_without_a_handle_and_with_legs_in_transit_agrees_with_nobody() -> None:
    rig = panel(own_legs=False)
    rig.at(0.0, handle="down", strut=False, locks=(FREE,) * 3)
    rig.at(60.0)
    assert rig.command == "nothing"
    rig.at(61.0, strut=False, locks=(LOCKED_DOWN,) * 3)
    assert rig.command == "down"


def test_a_feed_without_a_handle_whose_legs_are_elsewhere_is_a_disagreement() -> None:
    rig = panel(own_legs=False)
    rig.at(0.0, handle="down", strut=False, locks=(LOCKED_UP,) * 3)
    assert rig.command == "nothing"
    assert rig.names == ["gear_handle_disagreed"]
