"""After an emergency extension nothing retracts; and what the selection says of itself.

US Army TM 1-1510-224-10: no gear control is moved or reset until the aircraft is looked after.
"""

from __future__ import annotations

import pytest

from panelbridge.clock import TimerHeap
from panelbridge.logic.events import EventLog
from panelbridge.logic.gear_handle import GearHandle
from panelbridge.logic.gear_locks import GearLocks
from panelbridge.logic.gear_selection import GearSelection
from panelbridge.signals import GearPosition, HandleContacts
from tests.logic.build import BOTH_MADE, FREE, LOCKED_DOWN, LOCKED_UP
from tests.logic.gear_rig import DOWN, UP, Rig, flying


class Selecting:
    """A selection with its handle; the gear follows at once."""

    def __init__(self, found: GearPosition) -> None:
        self.log = EventLog()
        self.handle = GearHandle(1.0, TimerHeap(), self.log)
        self.selection = GearSelection(self.log)
        self.selection.demand = found
        self.now_s = 0.0
        self.look(found.value)
        self.log.take()

    def look(
        self,
        handle: str,
        *,
        in_air: bool = True,
        has_weight: bool = False,
        all_up: bool | None = None,
        locked_out: bool = False,
    ) -> list[str]:
        self.now_s += 1.0
        self.handle.take(self.now_s, HandleContacts(handle))
        self.selection.update(
            self.now_s,
            self.handle,
            in_air=in_air,
            has_weight=has_weight,
            all_up=self.selection.demand is UP if all_up is None else all_up,
            reference=self.selection.demand,
            retract_locked_out=locked_out,
        )
        return [event.name for event in self.log.take()]

    def says(self) -> object:
        return self.selection.values(self.now_s)["gear_selection"]


@pytest.mark.parametrize("all_up", [True, False])
def test_locked_out_the_legs_are_asked_down_wherever_the_handle_stands(all_up: bool) -> None:
    bench = Selecting(UP)
    assert (bench.says(), bench.selection.demand) == ("up", UP)
    assert bench.look("up", all_up=all_up, locked_out=True) == ["retract_locked_out"]
    assert (bench.says(), bench.selection.demand) == ("locked_out", DOWN)
    assert bench.selection.is_refused
    assert bench.look("up", all_up=all_up, locked_out=True) == []
    assert "retract_locked_out" not in bench.look("down", locked_out=True)
    assert (bench.says(), bench.selection.state_id) == ("locked_out", "sel_down")
    assert "retract_locked_out" in bench.look("up", locked_out=True)
    assert bench.selection.demand is DOWN


def test_on_the_ground_the_attempt_is_told_and_nothing_else() -> None:
    bench = Selecting(DOWN)
    told = bench.look("up", in_air=False, has_weight=True, locked_out=True)
    assert told == ["gear_handle_moved_up", "ground_retract_refused"]
    assert bench.look("up", locked_out=True) == []


def test_when_it_is_over_a_raised_handle_counts_as_it_did() -> None:
    bench = Selecting(DOWN)
    bench.look("up", locked_out=True)
    assert bench.look("up", in_air=False, has_weight=True) == ["ground_retract_refused"]
    assert bench.says() == "refused"
    assert bench.look("up") == ["gear_up_commanded"], "C-4: the weight off, the gear retracts"
    assert bench.says() == "up"


def test_it_counts_while_the_handle_is_between_or_lost() -> None:
    for contacts in ("between", "both", "unknown"):
        bench = Selecting(UP)
        bench.look(contacts, locked_out=True)
        assert bench.selection.demand is DOWN


def test_what_it_says_of_itself() -> None:
    bench = Selecting(DOWN)
    assert bench.says() == "down"
    bench.look("unknown")
    assert bench.says() == "agreeing"
    (info,) = bench.selection.published
    assert (info.name, info.form) == ("gear_selection", "word")
    assert info.words == ("agreeing", "down", "up", "refused", "locked_out")


def test_found_locked_out_and_up_it_is_refused() -> None:
    bench = Selecting(DOWN)
    bench.look("unknown")
    bench.look("down", locked_out=True)
    bench.look("unknown", locked_out=True)
    bench.look("up", locked_out=True)
    assert bench.selection.demand is DOWN


def test_before_the_first_look_it_agrees_with_nothing_yet() -> None:
    assert GearSelection(EventLog()).values(0.0) == {"gear_selection": "agreeing"}


def test_a_disagreement_is_told_once_however_often_anybody_looks() -> None:
    bench = Selecting(DOWN)
    bench.look("unknown")
    assert bench.look("up") == ["gear_handle_disagreed"]
    assert bench.look("up") == []
    assert bench.says() == "agreeing"


# -- a sensed transit -----------------------------------------------------------------------------


def test_sensed_in_transit_a_leg_counts_as_locked_nowhere() -> None:
    locks = GearLocks(["nose", "left"], EventLog())
    locks.take(0.0, [LOCKED_DOWN, LOCKED_DOWN], [False, False])
    assert (locks.all_down, locks.all_up, locks.faults) == (True, False, ())
    assert [one.locked_down for one in locks.sensed] == [True, True]
    locks.take(1.0, [LOCKED_DOWN, LOCKED_DOWN], [True, False])
    assert (locks.all_down, locks.all_up) == (False, False)
    assert [one.locked_down for one in locks.sensed] == [False, True]
    assert len(locks.faults) == 1
    locks.take(2.0, [LOCKED_UP, LOCKED_UP], [True, False])
    assert not locks.all_up
    assert (locks.told_transit(0).holds, locks.told_transit(1).holds) == (True, False)
    assert locks.told_transit(1).condition == "left leg sensed in transit"
    locks.take(3.0, [LOCKED_UP, LOCKED_UP])
    assert locks.all_up


def test_switches_that_can_not_be_so_are_told_once() -> None:
    log = EventLog()
    locks = GearLocks(["nose"], log)
    locks.take(0.0, [LOCKED_DOWN])
    told = []
    for switches, moves in (
        (FREE, True),
        (LOCKED_DOWN, True),
        (LOCKED_UP, True),
        (BOTH_MADE, True),
        (BOTH_MADE, False),
        (LOCKED_DOWN, False),
        (LOCKED_DOWN, True),
    ):
        locks.take(1.0, [switches], [moves])
        told.append([h.name for h in log.take() if "contradicted" in h.name])
    assert told == [
        [],
        ["leg_switch_contradicted"],
        [],
        ["leg_locks_contradicted"],
        [],
        [],
        ["leg_switch_contradicted"],
    ]


def test_legs_that_the_feed_tells_are_never_sensed() -> None:
    """Feed authority: selection, lock and lamps work; there are no legs of our own to sense."""
    locks = GearLocks(["nose"], EventLog())
    locks.take(0.0, [FREE])
    assert locks.in_transit == (False,)
    assert locks.faults == ()


def test_the_rig_and_the_panel_agree_on_a_lift_off_with_the_handle_up() -> None:
    """C-4: Airplane Flying Handbook fig. 12-12, with a power pack."""
    rig = Rig(power={"power": "electric_pack"}).after(1.0, release=True).after(1.0, handle="up")
    rig.after(60.0)
    assert rig.doing == "idle"
    assert rig.all_down
    rig.after(1.0, strut=False)
    assert rig.doing == "running"
    assert rig.after(60.0).all_up
    assert flying(DOWN).after(1.0, handle="up").after(60.0).all_up
