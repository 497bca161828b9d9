"""Emergency extension: an air bottle, free fall or a hand pump; it needs no other power.

Pulling the handle extends the gear wherever the gear handle stands. From then until the reset, on
the ground with the gear locked down, nothing may retract it (the failure may be in the up circuit:
US Army TM 1-1510-224-10) and the nose wheel cannot be steered (no pressure for it: US Army
TM 1-1510-253-CL). Neither hydraulic nor electric power is asked for (14 CFR 23.729(c)).

The bottle works the emergency brake too. Its pressure falls with each use, and with a leak along a
straight line of time. That a handle which is found pulled does nothing is our own decision.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field
from statemachine import State

from panelbridge.clock import TimerHeap
from panelbridge.logic.chart import Chart
from panelbridge.logic.events import EventLog
from panelbridge.logic.falling_pressure import FallingPressure
from panelbridge.logic.parameters import Parameters
from panelbridge.logic.pressed_anew import PressedAnew
from panelbridge.logic.rule import Rule, Told
from panelbridge.logic.system import System, ValueInfo
from panelbridge.signals import Reason, Value

Means = Literal["air", "free_fall", "hand_pump"]
"""What drives the legs in an emergency."""


class EmergencyParameters(Parameters):
    """Emergency extension of the gear."""

    means: Means = "air"
    """What extends the gear: air of a bottle, its own weight, or a pump that is worked by hand."""
    bottle_full_psi: Annotated[float, Field(gt=0.0, le=10000.0)] = 2400.0
    """Pressure of the full air bottle, psi."""
    extension_use_psi: Annotated[float, Field(ge=0.0, le=10000.0)] = 900.0
    """By how much one extension lowers the pressure of the bottle, psi."""
    brake_use_psi: Annotated[float, Field(ge=0.0, le=10000.0)] = 150.0
    """By how much one full application of the emergency brake lowers it, psi."""
    bottle_low_psi: Annotated[float, Field(ge=0.0, le=10000.0)] = 1300.0
    """At or below this pressure the bottle's caution is lit, psi."""
    bottle_least_psi: Annotated[float, Field(ge=0.0, le=10000.0)] = 400.0
    """At or below this pressure the bottle moves neither the gear nor the brakes, psi."""
    bottle_leak_psi_per_min: Annotated[float, Field(gt=0.0, le=10000.0)] = 200.0
    """How fast the pressure falls while the bottle leaks (a failure of the bench), psi a minute."""
    reset_fills_bottle: bool = True
    """The reset on the ground stands for a visit of the mechanics: it fills the bottle again."""
    stroke_s: Annotated[float, Field(gt=0.0, le=10.0)] = 1.0
    """How long one push of the hand pump drives the legs, s."""
    pump_without_handle: bool = False
    """The first push of the hand pump begins the extension: there is no handle to pull before."""


@dataclass(frozen=True, slots=True)
class EmergencyConditions:
    """All that decides the lamps.

    Attributes:
        extended: an emergency extension was begun and not reset.
        air_low: the bottle is at or below its low pressure.
    """

    extended: bool
    air_low: bool


_EXTENDED = Rule(
    "gear extended by emergency and not reset",
    (("extended", True),),
    "the gear cannot be retracted, US Army TM 1-1510-224-10",
)
_AIR_LOW = Rule("emergency air low", (("air_low", True),), "lights the caution")
_LOCKED_OUT = {"retract_locked_out_amber": (_EXTENDED,)}


class EmergencyChart(Chart):
    """Emergency extension."""

    emergency_stowed = State(initial=True)
    emergency_extended = State()

    begin = emergency_stowed.to(emergency_extended)
    reset = emergency_extended.to(emergency_stowed)


_STROKE = ("emergency", "stroke")
_LEAK = ("emergency", "leak")
_STATE = ValueInfo("emergency_extension", "word", "emergency extension", "", ("stowed", "extended"))
_STROKES = ValueInfo("hand_pump_strokes", "number", "strokes of the hand pump", "", (), 0.0)


class Emergency(System):
    """Emergency extension and its bottle.

    Args:
        parameters: its numbers.
        timers: for the leak and the strokes of the hand pump.
        log: takes its events.
    """

    timer_prefix = "emergency"
    drift_timers = (_LEAK,)
    lamp_rules: Mapping[str, tuple[Rule, ...]] = _LOCKED_OUT
    conditions: EmergencyConditions

    def __init__(self, parameters: EmergencyParameters, timers: TimerHeap, log: EventLog) -> None:
        self._parameters = parameters
        self._timers = timers
        self._log = log
        self._means: Means = parameters.means
        self._chart = EmergencyChart()
        self._handle, self._pump, self._reset = PressedAnew(), PressedAnew(), PressedAnew()
        self._has_bottle = self._means == "air"
        self._bottle = FallingPressure(
            parameters.bottle_full_psi,
            (parameters.bottle_low_psi, parameters.bottle_least_psi),
            parameters.bottle_leak_psi_per_min,
            timers,
            _LEAK,
        )
        self._told_psi = parameters.bottle_full_psi
        self._has_air = False
        self.conditions = EmergencyConditions(extended=False, air_low=False)
        self.pump_stroke = False
        """A stroke of the hand pump drives the legs now."""
        self.strokes = 0
        """Strokes of the hand pump since the extension was begun."""
        if self._has_bottle:
            self.lamp_rules = {"air_low_amber": (_AIR_LOW,), **_LOCKED_OUT}
            self.fault_kinds = {"air_bottle": ("empty", "leaking")}
            full = parameters.bottle_full_psi
            bottle = ValueInfo("emergency_air_psi", "number", "emergency air", "psi", (), 0.0, full)
            self.published = (bottle, _STATE)
        elif self._means == "hand_pump":
            self.published = (_STATE, _STROKES)
        else:
            self.published = (_STATE,)
        self._conclude(0.0)

    @property
    def means(self) -> Means | None:
        """What the legs are extended by; None while there is no emergency extension.

        A hand pump drives them only while ``pump_stroke``; the others drive them all the time.
        """
        return self._means if self._is_extended else None

    @property
    def retract_locked_out(self) -> bool:
        """The gear must not be retracted."""
        return self._is_extended

    @property
    def steering_available(self) -> bool:
        """Nothing here keeps the nose wheel from being steered."""
        return not self._is_extended

    @property
    def has_brake_air(self) -> bool:
        """The bottle can work the emergency brake; as of the last update."""
        return self._has_air

    def update(
        self,
        now_s: float,
        *,
        handle: bool | None,
        hand_pump: bool | None,
        gear_reset: bool | None,
        on_ground: bool,
        gear_down: bool,
    ) -> None:
        """Decide anew.

        Args:
            now_s: seconds.
            handle: the emergency handle is pulled; None when unknown.
            hand_pump: the hand pump is pushed; None when unknown.
            gear_reset: the gear's reset button is pressed; None when unknown.
            on_ground: the aircraft is on the ground, in doubt not.
            gear_down: every leg is known to be locked down.
        """
        if self._handle.take(handle):
            self._pull(now_s)
        if self._pump.take(hand_pump) and self._means == "hand_pump":
            self._push(now_s)
        if self._reset.take(gear_reset):
            self._press_reset(now_s, may=on_ground and gear_down)
        self._conclude(now_s)

    def use_brake_air(self, now_s: float, applications: float) -> None:
        """Let the emergency brake take air.

        Args:
            now_s: seconds.
            applications: how much, in full applications; 0 is nothing.
        """
        if applications > 0.0 and self._has_bottle:
            self._bottle.use(now_s, applications * self._parameters.brake_use_psi)
            self._conclude(now_s)

    def timer_due(self, now_s: float, name: Hashable) -> None:
        """The stroke is over, or the leak has reached a limit."""
        if name == _STROKE:
            self.pump_stroke = False
        else:
            self._bottle.timer_due(now_s)

    def told(self) -> Told:
        """The last conditions in words."""
        parameters, conditions = self._parameters, self.conditions
        return {
            "extended": (Reason("emergency extension not reset", conditions.extended),),
            "air_low": (
                Reason(
                    "emergency air low",
                    conditions.air_low,
                    f"at {self._told_psi:.0f} psi, limit {parameters.bottle_low_psi:.0f} psi",
                ),
            ),
        }

    def values(self, now_s: float) -> Mapping[str, Value]:
        """Its state, the bottle's pressure, the strokes."""
        every: dict[str, Value] = {
            "emergency_air_psi": self._bottle.pressure_psi(now_s),
            "emergency_extension": "extended" if self._is_extended else "stowed",
            "hand_pump_strokes": float(self.strokes),
        }
        return {info.name: every[info.name] for info in self.published}

    def faults(self) -> tuple[str, ...]:
        """The bottle, when it is too empty to be of use."""
        if self._has_bottle and not self._has_air:
            return ("the emergency air bottle is empty",)
        return ()

    def break_part(self, now_s: float, target: str, kind: str | None) -> None:
        """Empty the bottle or have it leak; mended it is full and tight."""
        del target
        if kind is None:
            self._bottle.fill(now_s)
        elif kind == "empty":
            self._bottle.set(now_s, 0.0)
        self._bottle.fall(now_s, falls=kind == "leaking")

    # -- what is operated -----------------------------------------------------------------------

    @property
    def _is_extended(self) -> bool:
        return self._chart.state_id == "emergency_extended"

    def _pull(self, now_s: float) -> None:
        # The valve stays open until the reset: pulling the handle again moves nothing more.
        if self._is_extended:
            return
        if self._has_bottle:
            if self._bottle.pressure_psi(now_s) <= self._parameters.bottle_least_psi:
                self._log.note(now_s, "emergency_extension_failed")
                return
            self._bottle.use(now_s, self._parameters.extension_use_psi)
        self._begin(now_s)

    def _begin(self, now_s: float) -> None:
        self._chart.send_trigger("begin")
        self.strokes = 0
        self._log.note(now_s, "emergency_extension_begun")

    def _push(self, now_s: float) -> None:
        if not self._is_extended:
            if not self._parameters.pump_without_handle:
                return
            self._begin(now_s)
        self.strokes += 1
        self.pump_stroke = True
        self._timers.start(_STROKE, now_s + self._parameters.stroke_s)

    def _press_reset(self, now_s: float, *, may: bool) -> None:
        if may and self._parameters.reset_fills_bottle:
            self._bottle.fill(now_s)
        if not self._is_extended:
            return
        if not may:
            self._log.note(now_s, "emergency_reset_refused")
            return
        self._chart.send_trigger("reset")
        self.pump_stroke = False
        self._timers.cancel(_STROKE)
        self._log.note(now_s, "emergency_extension_reset")

    def _conclude(self, now_s: float) -> None:
        """Hold the bottle against its limits."""
        low = False
        if self._has_bottle:
            psi = self._told_psi = self._bottle.pressure_psi(now_s)
            self._has_air = psi > self._parameters.bottle_least_psi
            low = psi <= self._parameters.bottle_low_psi
        if low and not self.conditions.air_low:
            self._log.note(now_s, "emergency_air_low")
        self.conditions = EmergencyConditions(extended=self._is_extended, air_low=low)
