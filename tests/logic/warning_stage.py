"""The gear warning by itself, over the real generic step."""

from __future__ import annotations

from typing import Any

from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.gear.facts import GearFacts
from panelbridge.logic.gear_warning.facts import HORN_SILENCE, LEVER_HORN_SILENCE
from panelbridge.logic.gear_warning.parameters import GearWarningParameters
from panelbridge.logic.gear_warning.rules import warning_causes
from panelbridge.logic.gear_warning.system import GearWarning
from panelbridge.logic.kit.aircraft_cells import AIRSPEED_KIAS, ALTITUDE_FT, FLAP_DEG, throttle
from panelbridge.logic.kit.rule import reasons_of
from panelbridge.signals import HornPattern, Reason
from tests.logic.stage import Input, Stage

SETTLE_S = 0.1
NAMES: dict[str, Input] = {
    "flap_deg": FLAP_DEG,
    "kias": AIRSPEED_KIAS,
    "altitude_ft": ALTITUDE_FT,
    "horn_silence": HORN_SILENCE,
    "lever_horn_silence": LEVER_HORN_SILENCE,
    "all_down": (GearFacts, "all_down"),
    "handle_up_on_ground": (GearFacts, "is_refused"),
    "has_weight": (AirGroundFacts, "has_weight"),
}


class WarningStage:
    """A gear warning; the gear is up at first, the levers open, weight on a strut.

    Args:
        numbers: its parameters.
        engines: number of levers.
    """

    def __init__(self, numbers: dict[str, Any] | None = None, engines: int = 2) -> None:
        self.parameters = GearWarningParameters.model_validate(
            {
                "throttle_approach_fraction": 0.79,
                "throttle_hysteresis_fraction": 0.01,
                "throttle_settle_s": SETTLE_S,
                **(numbers or {}),
            }
        )
        self._levers = tuple([f"lever_{number + 1}" for number in range(engines)])
        levers: dict[str, Any] = dict.fromkeys(self._levers, 0.9)
        self.stage = Stage(
            GearWarning(self.parameters, engines, ()),
            {**NAMES, **{name: throttle(number) for number, name in enumerate(self._levers)}},
            flap_deg=0.0,
            kias=120.0,
            altitude_ft=3000.0,
            horn_silence=False,
            lever_horn_silence=False,
            has_weight=True,
            **levers,
        )
        self.at(0.0)

    def at(self, now_s: float, **changes: Any) -> WarningStage:
        """One step; ``levers`` moves all of them."""
        levers = changes.pop("levers", ())
        self.stage.at(now_s, **changes, **dict(zip(self._levers, levers, strict=bool(levers))))
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
        """Press a silence button and release it."""
        self.after(0.01, **{name: True})
        return self.after(0.01, **{name: False})

    @property
    def now_s(self) -> float:
        """The time of the last step, s."""
        return self.stage.now_s

    @property
    def pattern(self) -> HornPattern:
        """How the horn sounds."""
        return self.stage.system.sounds()

    @property
    def horn(self) -> int:
        """1 while it sounds."""
        return int(self.pattern is not HornPattern.SILENT)

    def is_silenced(self) -> bool:
        """The throttle rule is silenced."""
        return bool(self.stage.value("horn_silenced"))

    @property
    def red(self) -> int:
        """1 while the light in the handle is lit by the warning."""
        assert bool(self.stage.lit) is bool(warning_causes(self.stage.facts))
        return int(self.stage.lit == {"handle_red"})

    @property
    def shown(self) -> tuple[int, int]:
        """Horn and red light."""
        return self.horn, self.red

    @property
    def logged(self) -> list[tuple[float, str]]:
        """Time and name of every event."""
        return [(time_s, name) for time_s, name, _ in self.stage.logged]

    def reasons(self) -> tuple[Reason, ...]:
        """Why the horn is as it is."""
        stage = self.stage
        return reasons_of(stage.system.decisions("horn", stage.loop.world(self.now_s)))

    def detail(self, condition: str) -> str:
        """The words of one condition."""
        (detail,) = [one.detail for one in self.reasons() if one.condition == condition]
        return detail

    def hold(self) -> None:
        """What holds after every step: the reasons lead to the horn."""
        stage = self.stage
        (decision,) = stage.system.decisions("horn", stage.loop.world(self.now_s))
        words, facts = decision.words, stage.facts
        on = [
            all(
                getattr(facts, name) is wanted
                and (
                    not words[name]
                    or (name == "handle_up_on_ground" and wanted)
                    or words[name][0].holds is wanted
                )
                for name, wanted in rule.needs
            )
            for rule in decision.rules
        ]
        handle = all(one.holds for one in words["handle_up_on_ground"])
        assert handle is facts.handle_up_on_ground
        assert any(on) is bool(self.horn)
        assert [rule.holds(decision.conditions) for rule in decision.rules] == on
