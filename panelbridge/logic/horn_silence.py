"""The silence of the throttle rule, and what ends it: the three published ways to re-arm."""

from __future__ import annotations

from statemachine import State

from panelbridge.logic.chart import Chart
from panelbridge.logic.gear_warning_parameters import GearWarningParameters


class SilenceChart(Chart):
    """The throttle rule and its silence."""

    warn_armed = State(initial=True)
    warn_sounding = State()
    warn_silenced = State()

    rule_began = warn_armed.to(warn_sounding)
    rule_ended = warn_sounding.to(warn_armed) | warn_silenced.to(warn_armed)
    silence_pressed = warn_sounding.to(warn_silenced)
    rearmed = warn_silenced.to(warn_sounding)


class HornSilence:
    """Whether the throttle rule sounds, or is silenced.

    Args:
        parameters: how a silenced horn comes back.
    """

    def __init__(self, parameters: GearWarningParameters) -> None:
        self._parameters = parameters
        self._chart = SilenceChart()
        self._since_s = 0.0

    @property
    def latches(self) -> bool:
        """Only all levers above the second setting, or the gear locked down, end the silence."""
        return self._parameters.rearm == "all_levers_advanced"

    @property
    def silenced(self) -> bool:
        """It is silenced."""
        return self._chart.state_id == "warn_silenced"

    def press(self, now_s: float) -> bool:
        """Silence the rule if it sounds; True when it did."""
        if self._chart.state_id != "warn_sounding":
            return False
        self._chart.send_trigger("silence_pressed")
        self._since_s = now_s
        return True

    def follow(
        self, *, rule: bool, closed: bool, opened: bool, all_advanced: bool, all_down: bool
    ) -> bool:
        """Take how the throttle rule stands; True when it is silenced.

        Args:
            rule: it holds: a lever is closed, the gear is not locked down, nothing inhibits.
            closed: a lever has closed just now.
            opened: a lever has opened just now.
            all_advanced: every lever is above the second setting.
            all_down: every leg is known to be locked down.
        """
        chart = self._chart
        state = chart.state_id
        if state == "warn_silenced":
            if self.latches:
                # Levers that are open, an airspeed, an altitude: none of them re-arms it.
                rearmed = all_down or all_advanced
            else:
                advanced = opened and self._parameters.rearm == "lever_advanced"
                rearmed = closed or advanced or not rule
            if rearmed:
                chart.send_trigger("rearmed" if rule else "rule_ended")
        elif rule and state == "warn_armed":
            chart.send_trigger("rule_began")
        elif not rule and state == "warn_sounding":
            chart.send_trigger("rule_ended")
        return self.silenced

    def words(self) -> str:
        """Since when, and until when; empty when it is not silenced."""
        parameters = self._parameters
        if not parameters.silence_allowed:
            return "this aircraft does not allow it"
        if not self.silenced:
            return ""
        until = {
            "any_retard": "",
            "lever_advanced": ", until a lever is opened",
            "all_levers_advanced": f", until all levers > {parameters.rearm_fraction:.2f}",
        }
        return f"since {self._since_s:.3f} s{until[parameters.rearm]}"
