"""Before a landing in cold weather: anti-skid off, brakes pumped, anti-skid on again.

Common practice, no source. The pumping is counted while the anti-skid is off; the reminder to
switch it on again stays, on the runway too, until that is done.
"""

from __future__ import annotations

from collections.abc import Callable

from msgspec import Struct
from msgspec.structs import replace
from statemachine import State

from panelbridge.logic.kit.chart import Chart

IDLE, PUMP, REMIND, DONE = "deice_idle", "deice_pump", "deice_remind", "deice_done"


class DeicingChart(Chart):
    """Before the landing."""

    deice_idle = State(initial=True)
    deice_pump = State()
    deice_remind = State()
    deice_done = State()

    approached = deice_idle.to(deice_pump)
    pumped = deice_pump.to(deice_remind)
    pumped_without = deice_pump.to(deice_done)
    landed_unpumped = deice_pump.to(deice_remind)
    antiskid_back = deice_remind.to(deice_done)
    approach_over = deice_pump.to(deice_idle) | deice_done.to(deice_idle)
    switched_off = (
        deice_pump.to(deice_idle) | deice_remind.to(deice_idle) | deice_done.to(deice_idle)
    )


class Deicing(Struct, frozen=True):
    """The pumping and the reminder.

    Attributes:
        state: state of the chart.
        done: how often the brakes were pumped.
    """

    state: str = IDLE
    done: int = 0

    def after(self, trigger: str) -> Deicing:
        """The same after a trigger of the chart."""
        return replace(self, state=DeicingChart.after(self.state, trigger))


class Approach(Struct, frozen=True):
    """What the routine follows.

    Attributes:
        on_ground: the aircraft is on the ground; None when that was never known.
        approaching: it is in the air with the gear locked down, and not right after take-off.
        handle_up: the gear handle is up.
        antiskid_on: anti-skid is switched on; None when that was never known.
        pumped: both pedals were pumped just now.
    """

    on_ground: bool | None
    approaching: bool
    handle_up: bool
    antiskid_on: bool | None
    pumped: bool


def follow_approach(
    deicing: Deicing,
    approach: Approach,
    *,
    pumps: int,
    has_antiskid: bool,
    note: Callable[..., None],
) -> Deicing:
    """Ask for the pumping, count it, and remind of the anti-skid.

    Args:
        deicing: as it was.
        approach: what it follows.
        pumps: how often both pedals have to be pumped.
        has_antiskid: the aircraft has anti-skid; without it only the pumping is asked for.
        note: takes the names and words of events.
    """
    if deicing.state == IDLE and approach.approaching:
        deicing = Deicing(DeicingChart.after(IDLE, "approached"))
        first = "anti-skid off, then " if has_antiskid else ""
        note("brake_pumping_asked", first=first, count=str(pumps))
    elif deicing.state == PUMP:
        counts = approach.antiskid_on is False or not has_antiskid
        if counts and approach.pumped:
            deicing = replace(deicing, done=deicing.done + 1)
        if deicing.done >= pumps:
            deicing = deicing.after("pumped" if has_antiskid else "pumped_without")
            then = ": switch anti-skid on again" if has_antiskid else ""
            note("brakes_pumped", then=then)
        elif approach.handle_up:
            deicing = deicing.after("approach_over")
        elif approach.on_ground:
            # It was switched off for the pumping: on the runway it is needed more than ever.
            no_reminder = approach.antiskid_on or not has_antiskid
            deicing = deicing.after("approach_over" if no_reminder else "landed_unpumped")
    if deicing.state == REMIND and approach.antiskid_on:
        deicing = deicing.after("antiskid_back")
        note("antiskid_switched_on_again")
    if deicing.state == DONE and (approach.handle_up or approach.on_ground):
        deicing = deicing.after("approach_over")
    return deicing
