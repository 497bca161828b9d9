"""The gear warning by itself, stepped as the composition does."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from panelbridge.clock import TimerHeap
from panelbridge.logic.events import EventLog
from panelbridge.logic.gear_warning import (
    SOUNDING_RULES,
    GearWarning,
    GearWarningParameters,
    warning_causes,
)
from panelbridge.logic.rule import Decision, reasons_of
from panelbridge.signals import Event, Reason

SETTLE_S = 0.1


@dataclass
class Inputs:
    """Everything that the warning looks at."""

    levers: tuple[float | None, ...] = (0.9, 0.9)
    flap_deg: float | None = 0.0
    kias: float | None = 120.0
    altitude_ft: float | None = 3000.0
    horn_silence: bool | None = False
    lever_horn_silence: bool | None = False
    all_down: bool = False
    handle_up_on_ground: bool = False


@dataclass
class WarningStage:
    """A gear warning with its timers; the gear is up unless told otherwise.

    Attributes:
        numbers: its parameters.
        engines: number of levers.
    """

    numbers: dict[str, Any] = field(default_factory=dict)
    engines: int = 2
    now_s: float = 0.0
    events: list[Event] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.parameters = GearWarningParameters.model_validate(
            {
                "throttle_approach_fraction": 0.79,
                "throttle_hysteresis_fraction": 0.01,
                "throttle_settle_s": SETTLE_S,
                **self.numbers,
            }
        )
        self.timers, self.log = TimerHeap(), EventLog()
        self.warning = GearWarning(self.parameters, self.engines, self.timers, self.log)
        self.inputs = Inputs()
        self._looked: tuple[bool, bool] | None = None
        self.at(0.0)

    def at(self, now_s: float, **changes: Any) -> WarningStage:
        """One step."""
        while (due := self.timers.pop_due(now_s)) is not None:
            assert self.warning.timer_due(*due), "every timer is of the warning"
            self._update(due[0])
        self.now_s = now_s
        for name, value in changes.items():
            assert hasattr(self.inputs, name)
            setattr(self.inputs, name, value)
        warning, inputs = self.warning, self.inputs
        moved = [
            warning.take_levers(now_s, inputs.levers),
            warning.take_flaps(inputs.flap_deg),
            warning.take_airspeed(now_s, inputs.kias),
            warning.take_altitude(now_s, inputs.altitude_ft),
            warning.take_silence(
                horn_silence=inputs.horn_silence, lever_horn_silence=inputs.lever_horn_silence
            ),
        ]
        rest = (inputs.all_down, inputs.handle_up_on_ground)
        if any(moved) or rest != self._looked:
            self._looked = rest
            self._update(now_s)
        self.hold()
        return self

    def after(self, step_s: float, **changes: Any) -> WarningStage:
        """One step, so much later."""
        return self.at(self.now_s + step_s, **changes)

    def levers(self, *percent: float | None) -> WarningStage:
        """Move the levers to so many percent and let them settle."""
        self.after(0.01, levers=tuple(None if one is None else one / 100 for one in percent))
        return self.after(2 * SETTLE_S)

    def press(self, name: str = "horn_silence") -> WarningStage:
        """Press a silence button and let it go."""
        self.after(0.01, **{name: True})
        return self.after(0.01, **{name: False})

    def _update(self, now_s: float) -> None:
        inputs = self.inputs
        self.warning.update(
            now_s, all_down=inputs.all_down, handle_up_on_ground=inputs.handle_up_on_ground
        )
        self.events.extend(self.log.take())

    @property
    def horn(self) -> int:
        """1 while it sounds."""
        return int(self.warning.pattern.value != "silent")

    def is_silenced(self) -> bool:
        """The throttle rule is silenced."""
        return self.warning.conditions.silenced

    @property
    def red(self) -> int:
        """1 while the light in the handle is lit by the warning."""
        return int(bool(warning_causes(self.warning.conditions)))

    @property
    def shown(self) -> tuple[int, int]:
        """Horn and red light."""
        return self.horn, self.red

    @property
    def told(self) -> list[tuple[float, str]]:
        """Time and name of every event."""
        return [(round(h.time_s, 6), h.name) for h in self.events]

    def reasons(self) -> tuple[Reason, ...]:
        """Why the horn is as it is."""
        return reasons_of([self._decision()])

    def detail(self, condition: str) -> str:
        """The words of one condition."""
        (detail,) = [one.detail for one in self.reasons() if one.condition == condition]
        return detail

    def hold(self) -> None:
        """What holds after every step: the reasons lead to the horn."""
        decision = self._decision()
        told = decision.told
        on = [
            all(
                getattr(decision.conditions, name) is wanted
                and (
                    not told[name] or name == "handle_up_on_ground" or told[name][0].holds is wanted
                )
                for name, wanted in rule.needs
            )
            for rule in decision.rules
        ]
        assert any(on) is bool(self.horn)
        assert [rule.holds(decision.conditions) for rule in decision.rules] == on

    def _decision(self) -> Decision:
        inputs = self.inputs
        told = self.warning.told(
            inputs.levers,
            inputs.flap_deg,
            (Reason("legs", inputs.all_down),),
            (Reason("handle up on ground", inputs.handle_up_on_ground),),
            airspeed_kias=inputs.kias,
            altitude_ft=inputs.altitude_ft,
        )
        rules = (*SOUNDING_RULES, *self.warning.ringing_rules)
        return Decision(rules, self.warning.conditions, told)
