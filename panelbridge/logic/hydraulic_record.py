"""What the hydraulic system notes when it begins and ends, each once.

Whether pressure is low is a recorded parameter of flight recorders (14 CFR 135.152).
"""

from __future__ import annotations

from statemachine import State

from panelbridge.logic.chart import Chart
from panelbridge.logic.events import EventLog


class HydraulicPressureChart(Chart):
    """Whether the pressure is low."""

    hydraulic_pressure_low = State(initial=True)
    hydraulic_pressure_normal = State()

    rise = hydraulic_pressure_low.to(hydraulic_pressure_normal)
    fall = hydraulic_pressure_normal.to(hydraulic_pressure_low)


class HydraulicRecord:
    """Notes every change.

    Args:
        log: takes the events.
    """

    def __init__(self, log: EventLog) -> None:
        self._log = log
        self._chart = HydraulicPressureChart()
        self._fluid_low = self._empty = False
        self.failed: tuple[str, ...] = ()
        """Supplies that ought to give pressure and do not, in words."""

    def take(
        self,
        now_s: float,
        *,
        pressure_low: bool,
        fluid_low: bool,
        empty: bool,
        failed: tuple[str, ...],
    ) -> None:
        """Compare with what was known.

        Args:
            now_s: seconds.
            pressure_low: the pressure is low or unknown.
            fluid_low: little fluid is in the reservoir.
            empty: the reservoir ran dry.
            failed: supplies that ought to give pressure and do not, in words.
        """
        if pressure_low != (self._chart.state_id == "hydraulic_pressure_low"):
            self._chart.send_trigger("fall" if pressure_low else "rise")
            self._log.note(
                now_s, "hydraulic_pressure_fell" if pressure_low else "hydraulic_pressure_rose"
            )
        if fluid_low != self._fluid_low:
            self._log.note(
                now_s, "hydraulic_fluid_fell_low" if fluid_low else "hydraulic_fluid_filled"
            )
        if empty and not self._empty:
            self._log.note(now_s, "hydraulic_reservoir_emptied")
        for label in failed:
            if label not in self.failed:
                self._log.note(now_s, "hydraulic_supply_failed", label)
        self._fluid_low, self._empty, self.failed = fluid_low, empty, failed
