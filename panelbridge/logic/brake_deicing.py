"""Before a landing in cold weather: anti-skid off, brakes pumped, anti-skid on again.

Common practice, no source. The pumping is counted while the anti-skid is off; the reminder to
switch it on again stays, on the runway too, until that is done.
"""

from __future__ import annotations

from statemachine import State

from panelbridge.logic.brake_pumping import BrakePumping
from panelbridge.logic.chart import Chart
from panelbridge.logic.events import EventLog


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


class BrakeDeicing:
    """The pumping of the brakes and the reminder.

    Args:
        pumps: how often both pedals are to be pumped.
        pumping: counts the strokes.
        log: takes its events.
        has_antiskid: the aircraft has anti-skid; without it only the pumping is asked for.
    """

    def __init__(
        self, pumps: int, pumping: BrakePumping, log: EventLog, *, has_antiskid: bool = True
    ) -> None:
        self._has_antiskid = has_antiskid
        self._pumps = pumps
        self._pumping = pumping
        self._log = log
        self._chart = DeicingChart()
        self._done = 0

    @property
    def state_id(self) -> str:
        """Id of its chart's state."""
        return self._chart.state_id

    @property
    def pumps_left(self) -> int:
        """How often the brakes are still to be pumped; 0 while that is not asked for."""
        return self._pumps - self._done if self.state_id == "deice_pump" else 0

    def take_pedals(self, left: float | None, right: float | None) -> bool:
        """Take the brake pedals, 0 to 1, None when unknown; True when both were pumped by this."""
        return self._pumping.take(left, right)

    def switch_off(self) -> None:
        """The routine is off: nothing is asked for."""
        if self.state_id != "deice_idle":
            self._chart.send_trigger("switched_off")

    def follow(
        self,
        now_s: float,
        *,
        on_ground: bool | None,
        approaching: bool,
        handle_up: bool,
        antiskid_on: bool | None,
    ) -> None:
        """Ask for the pumping, count it, and remind of the anti-skid.

        Args:
            now_s: seconds.
            on_ground: the aircraft is on the ground; None when that was never known.
            approaching: it is in the air with the gear locked down, and not right after take-off.
            handle_up: the gear handle is up.
            antiskid_on: anti-skid is switched on; None when that was never known.
        """
        chart, strokes = self._chart, self._pumping.take_strokes()
        if chart.state_id == "deice_idle" and approaching:
            self._done = 0
            chart.send_trigger("approached")
            first = "anti-skid off, then " if self._has_antiskid else ""
            self._log.note(now_s, "brake_pumping_asked", first=first, count=str(self._pumps))
        elif chart.state_id == "deice_pump":
            if antiskid_on is False or not self._has_antiskid:
                self._done += strokes
            if self._done >= self._pumps:
                chart.send_trigger("pumped" if self._has_antiskid else "pumped_without")
                then = ": anti-skid is to be switched on again" if self._has_antiskid else ""
                self._log.note(now_s, "brakes_pumped", then=then)
            elif handle_up:
                chart.send_trigger("approach_over")
            elif on_ground:
                # It was switched off for the pumping: on the runway it is needed more than ever.
                no_reminder = antiskid_on or not self._has_antiskid
                chart.send_trigger("approach_over" if no_reminder else "landed_unpumped")
        elif chart.state_id == "deice_done" and (handle_up or on_ground):
            chart.send_trigger("approach_over")
        if chart.state_id == "deice_remind" and antiskid_on:
            chart.send_trigger("antiskid_back")
            self._log.note(now_s, "antiskid_switched_on_again")
