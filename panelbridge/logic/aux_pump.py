"""The electric auxiliary pump: its switch, its pressure switch, and how long it was left on.

The pressure switch has a band: it opens at cut-out and closes at cut-in, and between the two it
stays as it is. So noise that is smaller than the band never makes the pump chatter.
"""

from __future__ import annotations

from collections.abc import Hashable

from statemachine import State

from panelbridge.clock import TimerHeap
from panelbridge.logic.chart import Chart
from panelbridge.logic.events import EventLog


class AuxPumpChart(Chart):
    """The auxiliary pump."""

    aux_off = State(initial=True)
    aux_pumping = State()
    aux_resting = State()

    start = aux_off.to(aux_pumping) | aux_resting.to(aux_pumping)
    rest = aux_off.to(aux_resting) | aux_pumping.to(aux_resting)
    stop = aux_pumping.to(aux_off) | aux_resting.to(aux_off)


LEFT_ON = ("hydraulics", "aux_left_on")
_EVENTS = {"aux_off": "stop", "aux_pumping": "start", "aux_resting": "rest"}


class AuxPump:
    """The pump.

    Args:
        on_limit_s: it may be left switched on for so long, s; None for no limit.
        timers: for the limit.
        log: takes its events.
    """

    def __init__(self, on_limit_s: float | None, timers: TimerHeap, log: EventLog) -> None:
        self._on_limit_s = on_limit_s
        self._timers = timers
        self._log = log
        self._chart = AuxPumpChart()
        self.cycles = 0
        """How often it started."""
        self.left_on = False
        """It was left switched on longer than its limit."""
        self.runs_on = False
        """Its pressure switch is stuck: it runs though there is pressure enough."""

    @property
    def state(self) -> str:
        """``off``, ``pumping`` or ``resting`` (on, and the pressure is up)."""
        return self._chart.state_id.removeprefix("aux_")

    @property
    def is_running(self) -> bool:
        """Its motor turns."""
        return self.state == "pumping"

    @property
    def is_on(self) -> bool:
        """It is switched on and able to run."""
        return self.state != "off"

    def update(self, now_s: float, *, able: bool, wanted: bool, stuck: bool) -> None:
        """Decide anew.

        Args:
            now_s: seconds.
            able: switched on, with power, and not failed.
            wanted: the pressure asks for it.
            stuck: its pressure switch does not open, whatever the pressure.
        """
        runs_on = able and stuck and not wanted
        if runs_on and not self.runs_on:
            self._log.note(now_s, "aux_pump_ran_on")
        self.runs_on = runs_on
        target = ("aux_pumping" if wanted or stuck else "aux_resting") if able else "aux_off"
        before = self._chart.state_id
        if target == before:
            return
        self._chart.send_trigger(_EVENTS[target])
        if target == "aux_pumping":
            self.cycles += 1
            self._log.note(now_s, "aux_pump_started")
        elif before == "aux_pumping":
            self._log.note(now_s, "aux_pump_stopped")
        if before == "aux_off" and self._on_limit_s is not None:
            self._timers.start(LEFT_ON, now_s + self._on_limit_s)
        elif target == "aux_off":
            self._timers.cancel(LEFT_ON)
            self.left_on = False

    def timer_due(self, now_s: float, name: Hashable) -> None:
        """Its limit has passed."""
        if name == LEFT_ON:
            self.left_on = True
            self._log.note(now_s, "aux_pump_left_on")
