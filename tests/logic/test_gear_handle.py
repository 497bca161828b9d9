"""The gear handle's contacts."""

from __future__ import annotations

from panelbridge.logic.gear.handle import GearHandle
from panelbridge.signals import HandleContacts
from tests.logic.gear_rig import DOWN, UP, Notes, Rig, flying


class Handle:
    """A handle, from due time to due time."""

    def __init__(self, travel_s: float = 1.0) -> None:
        self.travel_s = travel_s
        self.notes = Notes()
        self.system = GearHandle()

    def at(self, now_s: float, contacts: str | None = None) -> GearHandle:
        while (due_s := self.system.due_s) <= now_s:
            self.system = self.system.came_due(due_s, self.notes)
        if contacts is not None:
            said = HandleContacts(contacts)
            self.system = self.system.take(now_s, said, self.travel_s, self.notes)
        return self.system

    @property
    def logged(self) -> list[tuple[float, str]]:
        return [(when, name) for when, name, _ in self.notes.logged]


def test_at_first_nothing_is_known() -> None:
    handle = GearHandle()
    assert handle.position is None
    assert not handle.is_known
    assert handle.known_position is None
    assert handle.fault == ""


def test_the_first_position_is_found_not_moved() -> None:
    handle = Handle()
    assert handle.at(0.0, "up").position is UP
    assert handle.system.known_position is UP
    assert handle.logged == []


def test_a_move_through_the_middle_is_one_move() -> None:
    handle = Handle()
    handle.at(0.0, "down")
    handle.at(1.0, "between")
    assert handle.system.position is DOWN
    assert handle.system.known_position is None
    handle.at(1.4, "up")
    assert handle.system.position is UP
    handle.at(10.0)
    assert handle.logged == [(1.4, "gear_handle_moved_up")]


def test_a_move_back_from_the_middle_is_no_move() -> None:
    handle = Handle()
    handle.at(0.0, "down")
    handle.at(1.0, "between")
    handle.at(1.5, "down")
    handle.at(10.0)
    assert handle.logged == []


def test_a_handle_without_a_middle_is_reported_too() -> None:
    handle = Handle()
    handle.at(0.0, "up")
    handle.at(1.0, "down")
    assert handle.logged == [(1.0, "gear_handle_moved_down")]


def test_between_for_longer_than_the_travel_time_is_a_fault() -> None:
    handle = Handle(travel_s=1.5)
    handle.at(0.0, "down")
    handle.at(1.0, "between")
    assert handle.at(2.49).fault == ""
    assert handle.at(3.0).fault == "no contact of the gear handle closed"
    assert handle.system.position is DOWN
    assert handle.system.known_position is None
    assert handle.at(4.0, "up").fault == ""
    assert handle.logged == [
        (2.5, "gear_handle_stuck_between"),
        (4.0, "gear_handle_recovered"),
        (4.0, "gear_handle_moved_up"),
    ]


def test_both_contacts_are_a_fault_at_once() -> None:
    handle = Handle()
    handle.at(0.0, "down")
    assert handle.at(1.0, "both").fault == "both contacts of the gear handle closed"
    assert handle.system.position is DOWN
    assert handle.at(2.0, "down").fault == ""
    assert handle.logged == [(1.0, "gear_handle_contradicted"), (2.0, "gear_handle_recovered")]


def test_a_fault_is_reported_once_until_one_contact_alone_is_closed() -> None:
    handle = Handle()
    handle.at(0.0, "down")
    handle.at(1.0, "both")
    assert handle.at(2.0, "between").fault
    assert handle.at(9.0).fault
    handle.at(10.0, "both")
    assert handle.logged == [(1.0, "gear_handle_contradicted")]
    handle.at(11.0, "down")
    handle.at(12.0, "both")
    assert [name for _, name in handle.logged] == [
        "gear_handle_contradicted",
        "gear_handle_recovered",
        "gear_handle_contradicted",
    ]


def test_both_while_on_its_way_stops_the_travel_time() -> None:
    handle = Handle()
    handle.at(0.0, "down")
    handle.at(1.0, "between")
    handle.at(1.5, "both")
    handle.at(9.0)
    assert handle.logged == [(1.5, "gear_handle_contradicted")]


def test_a_lost_board_is_no_fault_of_the_contacts() -> None:
    handle = Handle()
    handle.at(0.0, "down")
    handle.at(1.0, "between")
    handle.at(1.5, "unknown")
    handle.at(9.0)
    assert not handle.system.is_known
    assert handle.system.fault == ""
    assert handle.system.position is DOWN
    assert handle.logged == []


def test_a_board_lost_in_a_fault_ends_the_fault() -> None:
    handle = Handle()
    handle.at(0.0, "both")
    assert handle.at(1.0, "unknown").fault == ""
    handle.at(2.0, "up")
    assert handle.logged == [(0.0, "gear_handle_contradicted")]


def test_a_handle_found_elsewhere_after_the_board_came_back_was_not_seen_moving() -> None:
    handle = Handle()
    handle.at(0.0, "down")
    handle.at(1.0, "unknown")
    assert handle.at(2.0, "up").position is UP
    assert handle.logged == []


def test_a_board_that_comes_back_with_the_handle_between_runs_the_travel_time() -> None:
    handle = Handle()
    handle.at(0.0, "between")
    handle.at(5.0)
    assert handle.logged == [(1.0, "gear_handle_stuck_between")]
    assert handle.system.position is None
    handle.at(6.0, "up")
    assert handle.logged[1:] == [(6.0, "gear_handle_recovered")]


# -- with the gear ------------------------------------------------------------------------------


def test_the_travel_time_is_the_panel_s_own() -> None:
    rig = Rig(handle_travel_s=2.5).at(1.0, handle="between").at(10.0)
    assert rig.logged == [(3.5, "gear_handle_stuck_between", "")]


def test_a_broken_handle_commands_nothing_and_the_gear_stays_where_it_is() -> None:
    for contacts in ("both", "between"):
        for rig in (flying(UP), flying(DOWN)):
            before = rig.leg_states
            demand = rig.command
            rig.after(1.0, handle=contacts)
            rig.after(10.0)
            assert rig.command == "nothing"
            assert rig.gear.failures() != ()
            assert rig.view["gear_disagrees"]
            assert rig.leg_states == before
            assert rig.handle_red
            rig.after(1.0, handle=demand)
            rig.after(20.0)
            assert rig.command == demand
            assert rig.leg_states == before
            assert rig.gear.failures() == ()
            assert not rig.handle_red


def test_a_movement_that_is_on_goes_on_when_the_handle_breaks() -> None:
    rig = flying(DOWN)
    rig.after(1.0, handle="up")
    rig.after(2.0, handle="both")
    rig.after(20.0)
    assert rig.all_up
    assert rig.command == "nothing"


def test_the_middle_alone_commands_what_was_commanded() -> None:
    rig = flying(UP)
    rig.after(1.0, handle="between")
    assert rig.command == "up"
    rig.after(0.5, handle="down")
    assert rig.command == "down"
