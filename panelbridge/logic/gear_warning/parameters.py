"""The numbers of the gear warning, and the choices between its published forms."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field

from panelbridge.logic.kit.parameters import Order, Parameters

SoundingPattern = Literal["intermittent", "continuous"]
Rearm = Literal["any_retard", "lever_advanced", "all_levers_advanced"]
"""What sounds a silenced horn again while the gear is still not locked down.

``any_retard``: any lever that is closed afterwards (14 CFR 23.729(f)(1)); opening all of them ends
the silence without a sound (CAR 4b.334(e)). ``lever_advanced``: that, and any lever that is opened:
the horn sounds again at once if another is still closed (US Army TM 1-1510-218-10: re-arms when
levers are advanced). ``all_levers_advanced``: only every lever above a second, higher setting, or
the gear locked down; until then no retardation sounds it (US Army TM 55-1510-222-10).
"""
SilenceControl = Literal["horn_silence", "lever_horn_silence"]
"""The switches that can silence the horn, by their names in panel files."""


PowerBy = Literal["lever", "n1", "torque"]
"""What says how much thrust an engine gives: its lever, or what its gauge shows."""


class GearWarningParameters(Parameters):
    """When the gear warning horn sounds, and how."""

    power_by: PowerBy = "lever"
    """What the throttle rule looks at, for each engine: its lever ('throttle_1'), or where the
    lever says little its N1 ('n1_1') or torque ('torque_1'), as a fraction of the rated value."""
    # 14 CFR 25.729(e)(2): "one or more throttles" retarded; others by power: common practice.
    throttle_approach_fraction: Annotated[float, Field(ge=0.0, le=1.0)] | None = 0.25
    """Setting that is normal for an approach: a lever at or below it, with the gear not locked
    down, sounds the horn. 0 is idle, 1 is full; null = the throttles sound nothing."""
    throttle_hysteresis_fraction: Annotated[float, Field(ge=0.0, le=0.5)] = 0.03
    """A lever counts as open again only when it is more than this above the approach setting."""
    throttle_settle_s: Annotated[float, Field(ge=0.0, le=2.0)] = 0.1
    """A lever must stay on one side of the setting for this time before it counts, s. A switch that
    bounces must not sound a silenced horn again."""
    flap_limit_deg: Annotated[float, Field(ge=0.0, le=90.0)] | None = 20.0
    """Greatest flap angle for an approach, degrees: beyond it, with the gear not locked down, the
    horn sounds and cannot be silenced. At the limit itself it does not. For a type without an
    approach position: the angle with which its gear is normally extended (14 CFR 125.187(a)).
    null = the flaps sound nothing."""
    rearm: Rearm = "any_retard"
    """What sounds a silenced horn again: any lever closed ('any_retard', 14 CFR 23.729(f)(1)), also
    any lever opened ('lever_advanced'), or only all levers above 'rearm_fraction'
    ('all_levers_advanced')."""
    rearm_fraction: Annotated[float, Field(ge=0.0, le=1.0)] = 0.4
    """With 'all_levers_advanced': every lever must be above this to end the silence, 0 to 1."""
    silence_allowed: bool = True
    """The horn of the throttle rule can be silenced. With false no button stops it: for a type
    whose warning may have no shut-off that is operated by reflex (14 CFR 25.729(e)(4))."""
    silence_controls: list[SilenceControl] = Field(
        default_factory=lambda: list[SilenceControl](("horn_silence", "lever_horn_silence"))
    )
    """The buttons that silence it: on the panel, on the throttle lever."""
    quiet_from_kias: Annotated[float, Field(gt=0.0, le=500.0)] | None = None
    """Airspeed from which the throttle rule is quiet, knots; below it the horn sounds. null = at
    any speed. The light in the handle and the flap rule do not depend on it."""
    quiet_hysteresis_kias: Annotated[float, Field(ge=0.0, le=50.0)] = 3.0
    """The quiet begins only this far above 'quiet_from_kias', knots; it ends below that itself."""
    inhibit_above_ft: Annotated[float, Field(gt=0.0, le=60000.0)] | None = None
    """A climb through this altitude inhibits the throttle rule, feet; null = none does."""
    enable_below_ft: Annotated[float, Field(ge=0.0, le=60000.0)] = 10000.0
    """A descent through this altitude enables it again, feet; not above 'inhibit_above_ft'."""
    shortest_sounding_s: Annotated[float, Field(ge=0.0, le=2.0)] = 0.0
    """Once it sounds the horn goes on for this time, s, even if its cause has ended; silencing and
    the gear locked down end it at once. MIL-STD-1472E asks for 0.5; 0 ends it with its cause, which
    14 CFR 25.1322(a) asks for."""
    ground_handle_warning: bool = True
    """Sound the horn while the gear handle is up on the ground."""
    ground_handle_silence: bool = False
    """The horn for that can be silenced too: with a squat switch that sticks in flight it would
    sound for ever. It sounds again when the handle is raised again; the light in it stays."""
    throttle_pattern: SoundingPattern = "intermittent"
    """How the horn sounds for the throttles."""
    flap_pattern: SoundingPattern = "continuous"
    """How the horn sounds for the flaps."""
    ground_handle_pattern: SoundingPattern = "intermittent"
    """How the horn sounds for the handle up on the ground."""

    def orders(self) -> Iterator[Order]:
        """The settings of the levers, and the altitudes."""
        approach = self.throttle_approach_fraction
        if approach is not None and self.rearm == "all_levers_advanced":
            reopen = approach + self.throttle_hysteresis_fraction
            what = "throttle_approach_fraction and its hysteresis"
            yield Order((), reopen, ("rearm_fraction",), self.rearm_fraction, True, what)
        yield from self.ordered("enable_below_ft", "inhibit_above_ft", or_equal=True)
