"""What the landing gear publishes, and its switches that other systems read too."""

from __future__ import annotations

from msgspec import Struct

from panelbridge.logic.kit.curves import Line
from panelbridge.logic.kit.handles import Button, HandleSwitch
from panelbridge.logic.kit.world import Facts
from panelbridge.signals import GearPosition, HandleContacts, LegLocks, LegState, Reason

GEAR_HANDLE = HandleSwitch("gear_handle", "gear handle", "The landing gear handle.", required=True)
GEAR_RESET = Button(
    "gear_reset",
    "gear reset",
    "Button that resets the gear after a trip of its power or an emergency extension.",
)


class LegFacts(Struct, frozen=True):
    """One leg.

    Attributes:
        state: where it is in its travel.
        travel: 0 (up) to 1 (down) as a function of time; None when unknown.
        locks: what its lock switches say.
        in_transit: sensed to be locked at neither end, apart from its lock switches.
    """

    state: LegState = LegState.UNKNOWN
    travel: Line | None = None
    locks: LegLocks = LegLocks()
    in_transit: bool = False

    @property
    def is_down(self) -> bool:
        """Its lock switches say locked down, without a doubt."""
        return self.locks.is_down

    @property
    def is_up(self) -> bool:
        """Its lock switches say locked up, without a doubt."""
        return self.locks.is_up

    @property
    def locked_down(self) -> bool:
        """Known to be locked down, and nothing says otherwise."""
        return self.is_down and not self.in_transit


class GearFacts(Facts, frozen=True):
    """Handle, selection, power, legs and doors.

    Attributes:
        contacts: what the contacts of the handle say.
        handle: where the handle stands now; None on its way, broken, or unknown.
        last_handle: its last valid position; None before there was one.
        handle_fault: what is wrong with its contacts, a sentence; empty when nothing is.
        selection: id of the selection chart's state.
        demand: where the legs are asked to go; while agreeing, what was asked last.
        is_agreeing: nothing is commanded: the handle is unknown, or found elsewhere than the gear.
        is_refused: the handle is up and the gear stays down.
        locked_out: an emergency extension keeps the gear down.
        legs: each leg, in the order of the aircraft file.
        all_down: every leg is known to be locked down.
        all_up: every leg is known to be locked up.
        doors: state of the door of each leg that has one: (leg, word).
        doors_latched: no door stands anywhere else than it should at rest.
        agrees: the gear is locked where the handle stands; nothing agrees with no position.
        power: what the power of the gear does: idle, running, resting, unsupplied or cut_off.
        wanted: a leg or door is not where it was commanded.
        supplied: there is pressure or bus power for the gear, and it is not broken.
        cut_off: the travel limit has passed and was not reset.
        flow_l_per_s: what the moving gear takes from the hydraulics now, litres a second.
        lock_faults: what cannot be true of the lock switches, a sentence each.
    """

    contacts: HandleContacts = HandleContacts.UNKNOWN
    handle: GearPosition | None = None
    last_handle: GearPosition | None = None
    handle_fault: str = ""
    selection: str = "sel_agreeing"
    demand: GearPosition = GearPosition.DOWN
    is_agreeing: bool = True
    is_refused: bool = False
    locked_out: bool = False
    legs: tuple[LegFacts, ...] = ()
    all_down: bool = False
    all_up: bool = False
    doors: tuple[tuple[str, str], ...] = ()
    doors_latched: bool = True
    agrees: bool = False
    power: str = "idle"
    wanted: bool = False
    supplied: bool = True
    cut_off: bool = False
    flow_l_per_s: float = 0.0
    lock_faults: tuple[str, ...] = ()


_MADE = {True: "made", False: "not made", None: "unknown"}


def lock_reason(
    name: str, locks: LegLocks, end: GearPosition, *, in_transit: bool = False
) -> Reason:
    """Whether the leg ``name`` is locked at ``end``, and what its lock switches say.

    Args:
        name: of the leg.
        locks: its lock switches.
        end: where.
        in_transit: something else senses it in transit: then no lock switch counts.
    """
    made = locks.is_down if end is GearPosition.DOWN else locks.is_up
    detail = f"down-lock {_MADE[locks.down_locked]}, up-lock {_MADE[locks.up_locked]}"
    if made and in_transit:
        detail += ", sensed in transit"
    return Reason(f"{name.replace('_', ' ')} leg locked {end}", made and not in_transit, detail)
