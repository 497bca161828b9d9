"""After an emergency extension nothing retracts; and what the selection says of itself.

US Army TM 1-1510-224-10: no gear control is moved or reset until the aircraft is looked after.
"""

from __future__ import annotations

import pytest

from panelbridge.logic.gear.handle import GearHandle
from panelbridge.logic.gear.locks import GearLocks
from panelbridge.logic.gear.selection import GearSelection
from panelbridge.signals import GearPosition, HandleContacts, LegLocks, Reason
from tests.logic.gear_rig import (
    BOTH_MADE,
    DOWN,
    FREE,
    LOCKED_DOWN,
    LOCKED_UP,
    UP,
    Notes,
    Rig,
    flying,
    panel,
)


class Selecting:
    """A selection with its handle; the gear follows at once."""

    def __init__(self, found: GearPosition) -> None:
        self.log = Notes()
        self.handle = GearHandle()
        self.selection = GearSelection(demand=found)
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
        self.handle = self.handle.take(self.now_s, HandleContacts(handle), 1.0, self.log)
        self.selection = self.selection.look(
            self.now_s,
            self.handle,
            self.log,
            in_air=in_air,
            has_weight=has_weight,
            all_up=self.selection.demand is UP if all_up is None else all_up,
            reference=self.selection.demand,
            locked_out=locked_out,
        )
        return self.log.take()

    @property
    def state(self) -> str:
        return self.selection.state_id.removeprefix("sel_")


@pytest.mark.parametrize("all_up", [True, False])
def test_locked_out_the_legs_are_asked_down_wherever_the_handle_stands(all_up: bool) -> None:
    bench = Selecting(UP)
    assert (bench.state, bench.selection.demand) == ("up", UP)
    assert bench.look("up", all_up=all_up, locked_out=True) == ["retract_locked_out"]
    assert (bench.state, bench.selection.demand) == ("refused", DOWN)
    assert bench.selection.is_refused
    assert bench.look("up", all_up=all_up, locked_out=True) == []
    assert "retract_locked_out" not in bench.look("down", locked_out=True)
    assert (bench.state, bench.selection.demand) == ("down", DOWN)
    assert "retract_locked_out" in bench.look("up", locked_out=True)
    assert bench.selection.demand is DOWN


def test_on_the_ground_the_attempt_is_reported_and_nothing_else() -> None:
    bench = Selecting(DOWN)
    reported = bench.look("up", in_air=False, has_weight=True, locked_out=True)
    assert reported == ["gear_handle_moved_up", "ground_retract_refused"]
    assert bench.look("up", locked_out=True) == []


def test_when_it_is_over_a_raised_handle_counts_as_it_did() -> None:
    bench = Selecting(DOWN)
    bench.look("up", locked_out=True)
    assert bench.look("up", in_air=False, has_weight=True) == ["ground_retract_refused"]
    assert bench.state == "refused"
    assert bench.look("up") == ["gear_up_commanded"], "C-4: the weight off, the gear retracts"
    assert bench.state == "up"


def test_it_counts_while_the_handle_is_between_or_lost() -> None:
    for contacts in ("between", "both", "unknown"):
        bench = Selecting(UP)
        bench.look(contacts, locked_out=True)
        assert bench.selection.demand is DOWN


def test_what_it_says_of_itself() -> None:
    rig = Rig()
    said = []
    for inputs in (
        {},
        {"handle": "unknown"},
        {"handle": "down"},
        {"handle": "up"},
        {"strut": False},
        {"emergency": True},
        {"handle": "down"},
        {"handle": "up"},
    ):
        said.append(rig.after(30.0, **inputs).value("gear_selection"))
    assert said == ["down", "agreeing", "down", "refused", "up", *["locked_out"] * 3]
    (info,) = (info for info in rig.gear.values if info.name == "gear_selection")
    assert info.form == "word"
    assert info.words == ("agreeing", "down", "up", "refused", "locked_out")


def test_found_locked_out_and_up_it_is_refused() -> None:
    bench = Selecting(DOWN)
    bench.look("unknown")
    bench.look("down", locked_out=True)
    bench.look("unknown", locked_out=True)
    bench.look("up", locked_out=True)
    assert bench.selection.demand is DOWN


def test_before_the_first_look_it_agrees_with_nothing_yet() -> None:
    assert panel().value("gear_selection") == "agreeing"


def test_a_disagreement_is_reported_once_however_often_it_looks() -> None:
    bench = Selecting(DOWN)
    bench.look("unknown")
    assert bench.look("up") == ["gear_handle_disagreed"]
    assert bench.look("up") == []
    assert bench.state == "agreeing"


# -- a sensed transit -----------------------------------------------------------------------------


def taken(locks: GearLocks, switches: LegLocks, in_transit: tuple[bool, ...]) -> GearLocks:
    every = (switches,) * len(in_transit)
    return locks.take(1.0, ("nose", "left")[: len(in_transit)], every, in_transit, Notes())


def test_sensed_in_transit_a_leg_counts_as_locked_nowhere() -> None:
    names = ("nose", "left")
    locks = taken(GearLocks.unknown(2), LOCKED_DOWN, (False, False))
    assert (locks.all_down, locks.all_up, locks.faults(names)) == (True, False, ())
    locks = taken(locks, LOCKED_DOWN, (True, False))
    assert (locks.all_down, locks.all_up) == (False, False)
    assert len(locks.faults(names)) == 1
    locks = taken(locks, LOCKED_UP, (True, False))
    assert not locks.all_up
    locks = taken(locks, LOCKED_UP, (False, False))
    assert locks.all_up


def test_the_reasons_say_which_leg_is_sensed_in_transit() -> None:
    rig = flying(DOWN).fault("nose", "down_switch_stuck").after(1.0, handle="up").after(6.8)
    assert rig.leg_states == ["up_locked", "retracting", "retracting"]
    rig.fault("nose", None).fault("left", "down_switch_stuck")
    assert [leg.locked_down for leg in rig.facts.legs] == [False, False, False]
    world = rig.loop.world(rig.now_s)
    reported: list[Reason] = []
    for name in ("nose", "left"):
        (decision,) = rig.gear.decisions(f"{name}_red", world)
        reported += decision.words["in_transit"]
    assert [(one.condition, one.holds) for one in reported] == [
        ("nose leg sensed in transit", False),
        ("left leg sensed in transit", True),
    ]
    rig.after(0.0, handle="down")
    reported = [*rig.gear.words(rig.loop.world(rig.now_s))["agrees"]]
    assert [(one.condition, one.holds, one.detail) for one in reported][2:] == [
        ("left leg locked down", False, "down-lock made, up-lock not made, sensed in transit"),
        ("right leg locked down", False, "down-lock not made, up-lock not made"),
    ]


def test_switches_that_cannot_be_so_are_reported_once() -> None:
    log = Notes()
    locks = GearLocks.unknown(1).take(0.0, ("nose",), (LOCKED_DOWN,), (False,), log)
    reported = []
    for switches, moves in (
        (FREE, True),
        (LOCKED_DOWN, True),
        (LOCKED_UP, True),
        (BOTH_MADE, True),
        (BOTH_MADE, False),
        (LOCKED_DOWN, False),
        (LOCKED_DOWN, True),
    ):
        locks = locks.take(1.0, ("nose",), (switches,), (moves,), log)
        reported.append([name for name in log.take() if "contradicted" in name])
    assert reported == [
        [],
        ["leg_switch_contradicted"],
        [],
        ["leg_locks_contradicted"],
        [],
        [],
        ["leg_switch_contradicted"],
    ]


def test_legs_that_the_feed_reports_are_never_sensed() -> None:
    """Feed authority: selection, lock and lamps work; there are no legs of our own to sense."""
    rig = panel(own_legs=False).at(0.0, locks=FREE)
    assert [leg.in_transit for leg in rig.facts.legs] == [False] * 3
    assert rig.facts.lock_faults == ()


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
