"""Gear warning: when the horn sounds.

Three rules. *Throttle*: a lever closed beyond the approach setting with the gear not locked down;
it can be silenced, and any lever that is closed afterwards sounds it again (14 CFR 23.729(f)(1),
Amdt 23-49); opening the levers resets it (CAR 4b.334(e)). *Flaps*: beyond the approach position
with the gear not locked down; nothing silences it (23.729(f)(2), 125.187). *Handle*: raised on the
ground (FAA Airplane Flying Handbook ch. 12).

What is unknown inhibits nothing: an unknown leg is not locked down. An unknown lever or flap keeps
what was known of it, so that a warning which sounds goes on, and none starts or re-arms.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isnan
from typing import Annotated, Literal

from pydantic import Field
from statemachine import State

from panelbridge.clock import TimerHeap
from panelbridge.logic.chart import Chart
from panelbridge.logic.happenings import HappeningLog
from panelbridge.logic.parameters import Parameters
from panelbridge.logic.rule import Rule, Told, against
from panelbridge.logic.throttle_levers import ThrottleLevers
from panelbridge.signals import HornPattern, Reason

SoundingPattern = Literal["intermittent", "continuous"]


class GearWarningParameters(Parameters):
    """When the gear warning horn sounds, and how."""

    throttle_approach_fraction: Annotated[float, Field(ge=0.0, le=1.0)] = 0.25
    """Setting that is normal for an approach: a lever at or below it, with the gear not locked
    down, sounds the horn. 0 is idle, 1 is full."""
    throttle_hysteresis_fraction: Annotated[float, Field(ge=0.0, le=0.5)] = 0.03
    """A lever counts as open again only when it is more than this above the approach setting."""
    throttle_settle_s: Annotated[float, Field(ge=0.0, le=2.0)] = 0.1
    """A lever must stay on one side of the setting for so long before it counts, s. A switch that
    bounces must not sound a silenced horn again."""
    flap_limit_deg: Annotated[float, Field(ge=0.0, le=90.0)] = 20.0
    """Greatest flap angle for an approach, degrees: beyond it, with the gear not locked down, the
    horn sounds and can not be silenced. At the limit itself it does not."""
    ground_handle_warning: bool = True
    """Sound the horn while the gear handle is up on the ground."""
    throttle_pattern: SoundingPattern = "intermittent"
    """How the horn sounds for the throttles."""
    flap_pattern: SoundingPattern = "continuous"
    """How the horn sounds for the flaps."""
    ground_handle_pattern: SoundingPattern = "intermittent"
    """How the horn sounds for the handle up on the ground."""


@dataclass(frozen=True, slots=True)
class WarningConditions:
    """All that decides the horn.

    Attributes:
        all_down: every leg is known to be locked down.
        flaps_beyond: the flaps are beyond their limit.
        any_closed: a lever is closed beyond the approach setting.
        silenced: the throttle rule is silenced.
        handle_up_on_ground: a retraction is refused, and the aircraft warns of that.
    """

    all_down: bool
    flaps_beyond: bool
    any_closed: bool
    silenced: bool
    handle_up_on_ground: bool


FLAPS = "flaps beyond approach and gear not locked down"
THROTTLE = "throttle closed and gear not locked down"
GROUND_HANDLE = "gear handle up on the ground"

_FLAP_RULE = Rule(
    FLAPS,
    (("flaps_beyond", True), ("all_down", False)),
    "sounds the horn, nothing silences it, 14 CFR 23.729(f)(2)",
)
_GROUND_RULE = Rule(
    GROUND_HANDLE,
    (("handle_up_on_ground", True),),
    "sounds the horn, FAA Airplane Flying Handbook ch. 12",
)
_THROTTLE_NEEDS = (("any_closed", True), ("all_down", False))
WARNING_RULES = (
    _FLAP_RULE,
    Rule(THROTTLE, _THROTTLE_NEEDS, "silenced or not, 14 CFR 23.729(f)(1)"),
    _GROUND_RULE,
)
"""When there is something to warn of, the strongest first."""
SOUNDING_RULES = (
    _FLAP_RULE,
    Rule(
        THROTTLE,
        (*_THROTTLE_NEEDS, ("silenced", False)),
        "sounds the horn until it is silenced, 14 CFR 23.729(f)(1)",
    ),
    _GROUND_RULE,
)
"""When the horn sounds: silencing acts on the throttle rule alone."""


def warning_causes(conditions: WarningConditions) -> tuple[str, ...]:
    """Rules whose condition holds, silenced or not, the strongest first."""
    return tuple([rule.name for rule in WARNING_RULES if rule.holds(conditions)])


def sounding_causes(conditions: WarningConditions) -> tuple[str, ...]:
    """Rules that sound the horn, the strongest first."""
    return tuple([rule.name for rule in SOUNDING_RULES if rule.holds(conditions)])


def horn_pattern(causes: Sequence[str], parameters: GearWarningParameters) -> HornPattern:
    """How the horn sounds for these rules; continuous outweighs intermittent."""
    patterns = {
        FLAPS: parameters.flap_pattern,
        THROTTLE: parameters.throttle_pattern,
        GROUND_HANDLE: parameters.ground_handle_pattern,
    }
    wanted = {patterns[cause] for cause in causes}
    if not wanted:
        return HornPattern.SILENT
    return HornPattern.CONTINUOUS if "continuous" in wanted else HornPattern.INTERMITTENT


class SilenceChart(Chart):
    """The throttle rule and its silence."""

    warn_armed = State(initial=True)
    warn_sounding = State()
    warn_silenced = State()

    rule_began = warn_armed.to(warn_sounding)
    rule_ended = warn_sounding.to(warn_armed) | warn_silenced.to(warn_armed)
    silence_pressed = warn_sounding.to(warn_silenced)
    lever_closed = warn_silenced.to(warn_sounding)


class GearWarning:
    """The horn's rules.

    Args:
        parameters: its numbers.
        engines: number of levers.
        timers: for the settling of levers.
        log: takes its happenings.
    """

    def __init__(
        self,
        parameters: GearWarningParameters,
        engines: int,
        timers: TimerHeap,
        log: HappeningLog,
    ) -> None:
        self._parameters = parameters
        self._log = log
        self._chart = SilenceChart()
        self._silence_pressed = False
        self._flaps_beyond = False
        self._silenced_s = 0.0
        self.levers = ThrottleLevers(
            engines,
            limit_fraction=parameters.throttle_approach_fraction,
            hysteresis_fraction=parameters.throttle_hysteresis_fraction,
            settle_s=parameters.throttle_settle_s,
            timers=timers,
        )
        self.conditions = WarningConditions(
            all_down=True,
            flaps_beyond=False,
            any_closed=False,
            silenced=False,
            handle_up_on_ground=False,
        )
        self._causes: tuple[str, ...] = ()
        self.pattern = HornPattern.SILENT
        """How the horn sounds by the rules."""

    def take_flaps(self, flap_deg: float | None) -> bool:
        """Take the flap angle; True when it has passed the limit. Unknown keeps what was."""
        if flap_deg is None or isnan(flap_deg):
            return False
        beyond = flap_deg > self._parameters.flap_limit_deg
        changed = beyond is not self._flaps_beyond
        self._flaps_beyond = beyond
        return changed

    def press_silence(self) -> bool:
        """The silence button was pressed (an edge: holding it does nothing more).

        True when the throttle rule sounds, so that ``update`` has to look at it; a press at any
        other time does nothing and never silences what comes later.
        """
        self._silence_pressed = self._chart.state_id == "warn_sounding"
        return self._silence_pressed

    def timer_due(self, now_s: float, name: object) -> bool:
        """Whether the timer ``name`` is of a lever; if so, act."""
        return self.levers.timer_due(now_s, name)

    def update(self, now_s: float, *, all_down: bool, handle_up_on_ground: bool) -> None:
        """Decide anew.

        Args:
            now_s: seconds.
            all_down: every leg is known to be locked down.
            handle_up_on_ground: a retraction is refused.
        """
        pressed = self._press(now_s, all_down=all_down)
        self.conditions = WarningConditions(
            all_down=all_down,
            flaps_beyond=self._flaps_beyond,
            any_closed=self.levers.any_closed,
            silenced=self._follow_rule(all_down=all_down),
            handle_up_on_ground=handle_up_on_ground and self._parameters.ground_handle_warning,
        )
        causes = sounding_causes(self.conditions)
        if causes != self._causes:
            self._tell(now_s, causes, silenced_now=pressed)
            self._causes = causes
            self.pattern = horn_pattern(causes, self._parameters)

    def told(
        self,
        fractions: Sequence[float | None],
        flap_deg: float | None,
        legs_down: Sequence[Reason],
        ground_handle: Sequence[Reason],
    ) -> Told:
        """The last conditions in words.

        Args:
            fractions: the levers, 0 to 1.
            flap_deg: the flaps, degrees.
            legs_down: whether each leg is locked down.
            ground_handle: what a refused retraction is made of.
        """
        conditions, parameters = self.conditions, self._parameters
        silenced = conditions.silenced
        return {
            "all_down": (Reason("gear locked down", conditions.all_down), *legs_down),
            "flaps_beyond": (
                Reason("flaps beyond approach", conditions.flaps_beyond, self._flaps(flap_deg)),
            ),
            "any_closed": (
                Reason("a throttle closed", conditions.any_closed),
                *self.levers.told(fractions),
            ),
            "silenced": (
                Reason(
                    "throttle warning silenced",
                    silenced,
                    f"since {self._silenced_s:.3f} s" if silenced else "",
                ),
            ),
            "handle_up_on_ground": (
                *ground_handle,
                Reason(
                    "this aircraft warns of it",
                    parameters.ground_handle_warning,
                    "gear_warning.ground_handle_warning",
                ),
            ),
        }

    def _flaps(self, flap_deg: float | None) -> str:
        if flap_deg is None or isnan(flap_deg):
            return "unknown: kept"
        return f"{against(flap_deg, self._parameters.flap_limit_deg)} degrees"

    def _press(self, now_s: float, *, all_down: bool) -> bool:
        """Act on the silence button; True when that has silenced the rule.

        It comes before a lever that closes in the same step, so that a lever which closes always
        sounds the horn. While the flap rule sounds, the button does nothing.
        """
        pressed, self._silence_pressed = self._silence_pressed, False
        if not pressed or (self._flaps_beyond and not all_down):
            return False
        self._chart.send_event("silence_pressed")
        self._silenced_s = now_s
        self._log.note(now_s, "horn_silenced")
        return True

    def _follow_rule(self, *, all_down: bool) -> bool:
        """Tell the chart how the throttle rule stands; True when it is silenced."""
        chart, levers = self._chart, self.levers
        rule = levers.any_closed and not all_down
        newly_closed, levers.newly_closed = levers.newly_closed, False
        state = chart.state_id
        if rule and state == "warn_armed":
            chart.send_event("rule_began")
        elif rule and newly_closed and state == "warn_silenced":
            chart.send_event("lever_closed")
        elif not rule and state != "warn_armed":
            chart.send_event("rule_ended")
        return chart.state_id == "warn_silenced"

    def _tell(self, now_s: float, causes: tuple[str, ...], *, silenced_now: bool) -> None:
        for cause in causes:
            if cause not in self._causes:
                self._log.note(now_s, "horn_sounded", cause=cause)
        if not causes and not silenced_now:
            self._log.note(now_s, "horn_stopped")
