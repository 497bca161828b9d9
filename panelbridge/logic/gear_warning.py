"""Gear warning: when the horn sounds.

Three rules. *Throttle*: a lever closed beyond the approach setting with the gear not locked down.
It can be silenced, unless the aircraft forbids that; how a silenced horn comes back is one of three
published ways (``Rearm``); airspeed and altitude may keep it quiet (``warning_gates``). *Flaps*:
beyond the approach position with the gear not locked down; nothing silences it and nothing inhibits
it (14 CFR 23.729(f)(2), 125.187). *Handle*: raised on the ground (FAA Airplane Flying Handbook
ch. 12). Only the places of the levers count, never whether an engine runs (US Army TM
55-1510-221-10).

What is unknown inhibits nothing: an unknown leg is not locked down. An unknown lever or flap keeps
what was known of it, so that a warning which sounds goes on, and none starts or re-arms.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import inf, isnan

from panelbridge.clock import TimerHeap
from panelbridge.logic.calm import common
from panelbridge.logic.events import EventLog
from panelbridge.logic.gear_warning_parameters import GearWarningParameters
from panelbridge.logic.horn_silence import HornSilence
from panelbridge.logic.horn_sounding import SHORTEST, HornSounding
from panelbridge.logic.pressed_anew import PressedAnew
from panelbridge.logic.rule import Rule, Told, against
from panelbridge.logic.system import loudest
from panelbridge.logic.throttle_levers import ThrottleLevers
from panelbridge.logic.warning_gates import airspeed_gate, altitude_gate
from panelbridge.logic.warning_rules import (
    FLAPS,
    GROUND_HANDLE,
    RINGING_RULES,
    RINGS_ON,
    SOUNDING_RULES,
    THROTTLE,
    WARNING_RULES,
    WarningConditions,
)
from panelbridge.signals import HornPattern, Reason

__all__ = [
    "FLAPS",
    "GROUND_HANDLE",
    "RINGING_RULES",
    "RINGS_ON",
    "SOUNDING_RULES",
    "THROTTLE",
    "WARNING_RULES",
    "GearWarning",
    "GearWarningParameters",
    "WarningConditions",
    "horn_pattern",
    "sounding_causes",
    "warning_causes",
]


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
    return loudest(HornPattern(patterns[cause]) for cause in causes)


class GearWarning:
    """The horn's rules.

    Args:
        parameters: its numbers.
        engines: number of levers.
        timers: for the settling of levers and the horn's shortest time.
        log: takes its events.
    """

    def __init__(
        self,
        parameters: GearWarningParameters,
        engines: int,
        timers: TimerHeap,
        log: EventLog,
    ) -> None:
        self._parameters = parameters
        self._log = log
        self._silence = HornSilence(parameters)
        self._controls = {name: PressedAnew() for name in parameters.silence_controls}
        self._silence_pressed = False
        self._flaps_beyond = False
        self._airspeed = airspeed_gate(parameters.quiet_from_kias, parameters.quiet_hysteresis_kias)
        self._altitude = altitude_gate(parameters.inhibit_above_ft, parameters.enable_below_ft)
        self.levers = ThrottleLevers(
            engines,
            limit_fraction=parameters.throttle_approach_fraction,
            hysteresis_fraction=parameters.throttle_hysteresis_fraction,
            settle_s=parameters.throttle_settle_s,
            timers=timers,
        )
        self._advanced = ThrottleLevers(
            engines if self._silence.latches else 0,
            limit_fraction=parameters.rearm_fraction,
            hysteresis_fraction=0.0,
            settle_s=parameters.throttle_settle_s,
            timers=timers,
            timer_prefix="lever_advanced",
        )
        self._sounding = HornSounding(parameters.shortest_sounding_s, timers)
        self.conditions = WarningConditions(
            all_down=True,
            flaps_beyond=False,
            any_closed=False,
            silenced=False,
            handle_up_on_ground=False,
        )
        self._causes: tuple[str, ...] = ()
        self._last_causes: tuple[str, ...] = ()

    @property
    def pattern(self) -> HornPattern:
        """How the horn sounds, without the tests."""
        return self._sounding.pattern

    @property
    def ringing_rules(self) -> tuple[Rule, ...]:
        """What else can sound the horn of this aircraft, over the same conditions."""
        return RINGING_RULES if self._sounding.shortest_s else ()

    def take_levers(self, now_s: float, fractions: Sequence[float | None]) -> bool:
        """Take the levers; True when a settled side has changed."""
        changed = self.levers.take(now_s, fractions)
        if self._silence.latches:
            changed = self._advanced.take(now_s, fractions) or changed
        return changed

    def take_flaps(self, flap_deg: float | None) -> bool:
        """Take the flap angle; True when it has passed the limit. Unknown keeps what was."""
        if flap_deg is None or isnan(flap_deg):
            return False
        beyond = flap_deg > self._parameters.flap_limit_deg
        changed = beyond is not self._flaps_beyond
        self._flaps_beyond = beyond
        return changed

    @property
    def calm_kias(self) -> tuple[float, float]:
        """Above the first airspeed and up to the second one nothing has to be taken, knots."""
        return self._airspeed.calm

    @property
    def calm_ft(self) -> tuple[float, float]:
        """The same of the altitude, feet."""
        return self._altitude.calm

    @property
    def calm_deg(self) -> tuple[float, float]:
        """The same of the flaps, degrees."""
        limit = self._parameters.flap_limit_deg
        return (limit, inf) if self._flaps_beyond else (-inf, limit)

    @property
    def calm_levers(self) -> tuple[tuple[float, float], ...]:
        """The same of each throttle lever, 0 to 1."""
        if not self._silence.latches:
            return self.levers.calm
        pairs = zip(self.levers.calm, self._advanced.calm, strict=True)
        return tuple([common(pair) for pair in pairs])

    def take_airspeed(self, now_s: float, kias: float | None) -> bool:
        """Take the airspeed, knots; True when it now inhibits, or no longer does."""
        gate = self._airspeed
        return gate.take(kias) and gate.judge()

    def take_altitude(self, now_s: float, altitude_ft: float | None) -> bool:
        """Take the altitude, feet; True when it now inhibits, or no longer does."""
        gate = self._altitude
        return gate.take(altitude_ft) and gate.judge()

    def take_silence(
        self, *, horn_silence: bool | None = None, lever_horn_silence: bool | None = None
    ) -> bool:
        """Take the silence buttons; True when ``update`` has to look at a press.

        A button that is found pressed was not pressed. One that this aircraft does not silence by
        does nothing.

        Args:
            horn_silence: the button on the panel is pressed; None when unknown.
            lever_horn_silence: the button on the throttle lever is pressed; None when unknown.
        """
        now = {"horn_silence": horn_silence, "lever_horn_silence": lever_horn_silence}
        pressed = [control.take(now[name]) for name, control in self._controls.items()]
        return any(pressed) and self.press_silence()

    def press_silence(self) -> bool:
        """A silence button was pressed (an edge: holding it does nothing more).

        True when the horn sounds, so that ``update`` has to look at it; a press at any other time
        does nothing and never silences what comes later.
        """
        sounds = self.pattern is not HornPattern.SILENT
        self._silence_pressed = self._parameters.silence_allowed and sounds
        return self._silence_pressed

    def timer_due(self, now_s: float, name: object) -> bool:
        """Whether the timer ``name`` is of this system; if so, act."""
        return (
            name == SHORTEST
            or self.levers.timer_due(now_s, name)
            or self._advanced.timer_due(now_s, name)
        )

    def update(self, now_s: float, *, all_down: bool, handle_up_on_ground: bool) -> None:
        """Decide anew.

        Args:
            now_s: seconds.
            all_down: every leg is known to be locked down.
            handle_up_on_ground: a retraction is refused.
        """
        pressed, self._silence_pressed = self._silence_pressed, False
        silenced_now = pressed and self._press(now_s, all_down=all_down)
        silenced = self._follow_rule(all_down=all_down)
        asked = self._parameters.ground_handle_warning and handle_up_on_ground
        sounding = self._sounding
        conditions = WarningConditions(
            all_down=all_down,
            flaps_beyond=self._flaps_beyond,
            any_closed=self.levers.any_closed,
            silenced=silenced,
            handle_up_on_ground=asked,
            inhibited=self._inhibited,
        )
        causes = sounding_causes(conditions)
        for cause in causes:
            if cause not in self._causes:
                self._log.note(now_s, "horn_sounded", cause=cause)
        self._last_causes = causes or self._last_causes
        # Down is down: only a warning of the handle, which is given with the gear down, rings on.
        cut = pressed or (all_down and GROUND_HANDLE not in self._last_causes)
        stopped = sounding.update(now_s, horn_pattern(causes, self._parameters), cut=cut)
        if stopped and not silenced_now:
            self._log.note(now_s, "horn_stopped")
        self._causes = causes
        if sounding.rings_on:
            conditions = replace(conditions, rings_on=True)
        self.conditions = conditions

    def told(
        self,
        fractions: Sequence[float | None],
        flap_deg: float | None,
        legs_down: Sequence[Reason],
        ground_handle: Sequence[Reason],
        airspeed_kias: float | None = None,
        altitude_ft: float | None = None,
    ) -> Told:
        """The last conditions in words.

        Args:
            fractions: the levers, 0 to 1.
            flap_deg: the flaps, degrees.
            legs_down: whether each leg is locked down.
            ground_handle: what a refused retraction is made of.
            airspeed_kias: the airspeed, knots.
            altitude_ft: the altitude, feet.
        """
        conditions, parameters = self.conditions, self._parameters
        gates = (*self._airspeed.told(airspeed_kias), *self._altitude.told(altitude_ft))
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
                Reason("throttle warning silenced", conditions.silenced, self._silence.words()),
            ),
            "inhibited": (
                (Reason("throttle warning inhibited", conditions.inhibited), *gates)
                if gates
                else ()
            ),
            "handle_up_on_ground": (
                *ground_handle,
                Reason(
                    "this aircraft warns of it",
                    parameters.ground_handle_warning,
                    "gear_warning.ground_handle_warning",
                ),
            ),
            "rings_on": (
                Reason(
                    RINGS_ON, conditions.rings_on, f"{parameters.shortest_sounding_s:g} s at least"
                ),
            ),
        }

    def _flaps(self, flap_deg: float | None) -> str:
        if flap_deg is None or isnan(flap_deg):
            return "unknown: kept"
        return f"{against(flap_deg, self._parameters.flap_limit_deg)} degrees"

    @property
    def _inhibited(self) -> bool:
        return self._airspeed.inhibits or self._altitude.inhibits

    def _press(self, now_s: float, *, all_down: bool) -> bool:
        """Act on the silence button; True when that has silenced the rule.

        It comes before a lever that closes in the same step, so that a lever which closes always
        sounds the horn. While the flap rule sounds, the button does nothing.
        """
        flaps_sound = self._flaps_beyond and not all_down
        if flaps_sound or not self._silence.press(now_s):
            return False
        self._log.note(now_s, "horn_silenced")
        return True

    def _follow_rule(self, *, all_down: bool) -> bool:
        """Tell the silence how the throttle rule stands; True when it is silenced."""
        levers = self.levers
        closed, levers.newly_closed = levers.newly_closed, False
        opened, levers.newly_opened = levers.newly_opened, False
        return self._silence.follow(
            rule=levers.any_closed and not all_down and not self._inhibited,
            closed=closed,
            opened=opened,
            all_advanced=self._advanced.all_open,
            all_down=all_down,
        )
