"""The silence of the throttle rule, and what ends it: the three published ways to re-arm."""

from __future__ import annotations

from msgspec import Struct
from statemachine import State

from panelbridge.logic.gear_warning.levers import Levers, closed_now
from panelbridge.logic.gear_warning.parameters import GearWarningParameters
from panelbridge.logic.kit.chart import Chart


class SilenceChart(Chart):
    """The throttle rule and its silence."""

    warn_armed = State(initial=True)
    warn_sounding = State()
    warn_silenced = State()

    rule_began = warn_armed.to(warn_sounding)
    rule_ended = warn_sounding.to(warn_armed) | warn_silenced.to(warn_armed)
    silence_pressed = warn_sounding.to(warn_silenced)
    rearmed = warn_silenced.to(warn_sounding)


def latches(parameters: GearWarningParameters) -> bool:
    """Only all levers above the second setting, or the gear locked down, end the silence."""
    return parameters.rearm == "all_levers_advanced"


class Silence(Struct, frozen=True):
    """Whether the throttle rule is silenced.

    Attributes:
        state: of the chart.
        since_s: when it was silenced last, s.
    """

    state: str = "warn_armed"
    since_s: float = 0.0

    @property
    def holds(self) -> bool:
        """It is silenced."""
        return self.state == "warn_silenced"

    def press(self, now_s: float) -> Silence:
        """A silence button was pressed; itself while the rule does not sound."""
        state = SilenceChart.after(self.state, "silence_pressed")
        return self if state == self.state else Silence(state, now_s)

    def follow(
        self,
        parameters: GearWarningParameters,
        *,
        rule: bool,
        before: Levers,
        now: Levers,
        all_advanced: bool,
        all_down: bool,
    ) -> Silence:
        """The silence, now that the throttle rule stands so.

        Args:
            parameters: how a silenced horn comes back.
            rule: it holds: a lever is closed, the gear is not locked down, nothing inhibits.
            before: the levers at the last update.
            now: the levers.
            all_advanced: every lever is above the second setting.
            all_down: every leg is known to be locked down.
        """
        begins = "rule_began"
        if self.holds:
            begins = "rearmed"
            if latches(parameters):
                # Levers that are open, an airspeed, an altitude: none of them re-arms it.
                ends = all_down or all_advanced
            else:
                advanced = parameters.rearm == "lever_advanced" and closed_now(now, before)
                ends = advanced or closed_now(before, now) or not rule
            if not ends:
                return self
        return Silence(
            SilenceChart.after(self.state, begins if rule else "rule_ended"), self.since_s
        )

    def words(self, parameters: GearWarningParameters) -> str:
        """Since when it is silenced, and until when; empty when it is not."""
        if not parameters.silence_allowed:
            return "this aircraft does not allow it"
        if not self.holds:
            return ""
        until = {
            "any_retard": "",
            "lever_advanced": ", until a lever is opened",
            "all_levers_advanced": f", until all levers > {parameters.rearm_fraction:.2f}",
        }
        return f"since {self.since_s:.3f} s{until[parameters.rearm]}"
