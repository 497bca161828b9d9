"""Wheel brakes: pedals, parking brake, emergency brake, stored energy.

The pedals brake each its side. The emergency brake presses both sides equally, by air, and takes
the place of the pedals while it does. The parking brake's lamp shows that it is *not fully
released*, its sensor lost included (14 CFR 25.735(d)); the horn sounds when it is so at take-off
thrust on the ground (CS 25.703(a)). How much of each is asked for goes in steps.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from math import inf

from panelbridge.clock import TimerHeap
from panelbridge.logic.brake_energy import BrakeEnergy
from panelbridge.logic.brake_parameters import SIDES, BrakesParameters
from panelbridge.logic.brake_rules import (
    TAKEOFF_RULES,
    BrakeConditions,
    brake_lamps,
    brake_values,
)
from panelbridge.logic.brake_steps import greater_known
from panelbridge.logic.emergency_brake import EmergencyBrake
from panelbridge.logic.events import EventLog
from panelbridge.logic.parking_brake import BRAKE_STEPS, ParkingBrake
from panelbridge.logic.pedal_brakes import PedalBrakes
from panelbridge.logic.rule import Told, against
from panelbridge.logic.system import System
from panelbridge.signals import HornPattern, Reason, Value

THRUST_HYSTERESIS = 0.02
"""A throttle lever counts as back when it is so much below the take-off setting, 0 to 1."""
_PARKING_TIMER = ("brakes", "bleeding")
_ENERGY_TIMER = ("brakes", "filling")


class Brakes(System):
    """All brakes.

    Args:
        parameters: their numbers.
        timers: for the parking brake and the accumulator.
        log: takes their events.
        told_pressure: the feed is the authority for the pressure in the brakes.
    """

    timer_prefix = "brakes"
    drift_timers = (_PARKING_TIMER, _ENERGY_TIMER)
    conditions: BrakeConditions

    def __init__(
        self,
        parameters: BrakesParameters,
        timers: TimerHeap,
        log: EventLog,
        *,
        told_pressure: bool = False,
    ) -> None:
        self._parameters = parameters
        self._log = log
        self._told_pressure = told_pressure
        self.lamp_rules = brake_lamps(parameters)
        if parameters.parking_brake:
            pattern = HornPattern(parameters.takeoff_pattern)
            self.horn_rules = tuple((rule, pattern) for rule in TAKEOFF_RULES)
            self.fault_kinds = {"parking_brake": ("sticking",)}
        if parameters.needs_hydraulics:
            self.fault_kinds = {**self.fault_kinds, "brake_accumulator": ("empty",)}
        self.published = brake_values(parameters, told_pressure=told_pressure)
        self._told_pedals: object = None
        self._told_psi: tuple[float | None, float | None] = (None, None)
        self._thrust: float | None = None
        self._thrust_high = False
        self._energy = BrakeEnergy(
            parameters.full_applications,
            parameters.low_applications,
            parameters.recharge_s,
            timers,
            _ENERGY_TIMER,
        )
        self._energy_left = self._energy.left(0.0)
        free, full = parameters.pedal_free_fraction, parameters.pedal_full_fraction
        self._pressed = PedalBrakes(free, full, self._energy)
        self._emergency = EmergencyBrake(free, full, log)
        self._parking = ParkingBrake(
            full_psi=parameters.full_psi,
            hold_psi=parameters.parking_hold_psi,
            residual_psi=parameters.parking_residual_psi,
            bleed_psi_per_min=parameters.parking_bleed_psi_per_min,
            set_fraction=parameters.parking_set_fraction,
            released_fraction=parameters.parking_released_fraction,
            timers=timers,
            timer=_PARKING_TIMER,
            log=log,
        )
        self.conditions = BrakeConditions(
            lever_released=False,
            trapped=False,
            energy_low=False,
            thrust_high=False,
            on_ground=False,
        )

    # -- what comes in with every tick ----------------------------------------------------------

    def take_pedals(
        self,
        panel: tuple[float | None, float | None],
        feed: Sequence[float | None] = (),
    ) -> bool:
        """Take the pedals, left and right, 0 to 1; True when a pedal has moved by a step.

        Args:
            panel: those of the panel; None when unknown.
            feed: those of the feed. The greater known one of each side counts.
        """
        told_now = (panel, feed)
        if told_now == self._told_pedals:
            return False
        self._told_pedals = told_now
        changed = False
        for number, steps in enumerate(self._pressed.pedals):
            told = feed[number] if number < len(feed) else None
            changed = steps.take(greater_known(panel[number], told)) or changed
        return changed

    def take_throttles(self, fractions: Sequence[float | None]) -> bool:
        """Take the throttle levers, 0 to 1; True when one is now beyond take-off, or none any more.

        While none is known, what was known stays.
        """
        thrust = None
        for fraction in fractions:
            if fraction is not None and (thrust is None or not thrust >= fraction):
                thrust = greater_known(thrust, fraction)
        if thrust is None:
            return False
        self._thrust = thrust
        limit = self._parameters.takeoff_thrust_fraction
        high = thrust > (limit - THRUST_HYSTERESIS if self._thrust_high else limit)
        changed = high is not self._thrust_high
        self._thrust_high = high
        return changed

    @property
    def calm_lever(self) -> tuple[float, float]:
        """While every throttle lever is above the first and up to the second, nothing changes."""
        limit = self._parameters.takeoff_thrust_fraction
        return (limit - THRUST_HYSTERESIS, inf) if self._thrust_high else (-inf, limit)

    def take_pressure(self, told_psi: Sequence[float | None]) -> bool:
        """Take the pressure in the brakes, left and right, of a feed that is the authority for it.

        True when it has passed the pressure that counts as trapped.
        """
        if not self._told_pressure:
            return False
        before = self._told_trapped
        left, right = (told_psi[side] if side < len(told_psi) else None for side in (0, 1))
        self._told_psi = (greater_known(left, None), greater_known(right, None))
        return self._told_trapped is not before

    # -- what is asked of it --------------------------------------------------------------------

    @property
    def emergency_braking(self) -> bool:
        """The emergency brake presses the brakes: there is no anti-skid then."""
        return self._emergency.steps > 0

    @property
    def parking_holds(self) -> bool:
        """The parking brake holds."""
        return self._parking.holds

    @property
    def is_parked(self) -> bool:
        """The parking brake is not released: there is no anti-skid then."""
        return self._parking.is_parked

    @property
    def side_fractions(self) -> tuple[float, float]:
        """How much the pedals or the emergency brake press on the left and right, 0 to 1."""
        left, right = self._pressed.steps
        if self.emergency_braking:
            left = right = self._emergency.steps
        return left / BRAKE_STEPS, right / BRAKE_STEPS

    def wheel_fractions(self, shut_off: Sequence[bool] = ()) -> tuple[float, ...]:
        """How much each wheel is braked, 0 to 1, in steps, in the order of the aircraft file.

        Args:
            shut_off: the wheels whose pedals anti-skid shuts off; it can shut off neither the
                parking brake nor the emergency brake.
        """
        parked = self._parking.steps / BRAKE_STEPS
        sides = self.side_fractions
        fractions = []
        for number, wheel in enumerate(self._parameters.wheels):
            shut = number < len(shut_off) and shut_off[number] and not self.emergency_braking
            pressed = 0.0 if shut else sides[SIDES.index(wheel.side)]
            fractions.append(max(pressed, parked))
        return tuple(fractions)

    def take_air_used(self) -> float:
        """Air that the emergency brake has used since this was last asked, full applications."""
        return self._emergency.take_air_used()

    # -- the system -----------------------------------------------------------------------------

    def update(
        self,
        now_s: float,
        *,
        parking_lever: float | None,
        emergency_lever: float | None,
        on_ground: bool | None,
        has_pressure: bool,
        has_parking_pressure: bool,
        has_air: bool,
    ) -> None:
        """Decide anew.

        Args:
            now_s: seconds.
            parking_lever: 0 (released) to 1 (set); None when unknown.
            emergency_lever: 0 (released) to 1 (fully pulled); None when unknown.
            on_ground: for the take-off warning; None, unknown, counts as on the ground.
            has_pressure: the hydraulics serve the wheel brakes.
            has_parking_pressure: the hydraulics serve the parking brake.
            has_air: the emergency bottle can work the emergency brake.
        """
        parameters = self._parameters
        if not parameters.needs_hydraulics:
            has_pressure = has_parking_pressure = True
        self._energy.charge(now_s, charges=has_pressure)
        self._pressed.update(now_s, has_pressure=has_pressure)
        if parameters.emergency_brake:
            self._emergency.update(now_s, emergency_lever, has_air=has_air)
        if parameters.parking_brake:
            self._parking.update(
                now_s,
                parking_lever,
                supplied=has_parking_pressure,
                take_stored=lambda: self._take_for_parking(now_s),
            )
        self._conclude(now_s, on_ground=on_ground is not False)

    def timer_due(self, now_s: float, name: Hashable) -> None:
        """The parking brake has bled down to a step, or the accumulator is filled to a limit."""
        if name == _PARKING_TIMER:
            self._parking.timer_due(now_s)
        else:
            self._energy.timer_due(now_s)

    def told(self) -> Told:
        """The last conditions in words."""
        conditions, parking, parameters = self.conditions, self._parking, self._parameters
        thrust = self._thrust
        limit = parameters.takeoff_thrust_fraction
        return {
            "lever_released": (
                Reason(
                    "parking brake lever released",
                    conditions.lever_released,
                    f"lever {parking.lever}",
                ),
            ),
            "trapped": (
                Reason(
                    "pressure in the released brakes",
                    conditions.trapped,
                    f"{against(self._trapped_psi, parameters.parking_residual_psi)} psi",
                ),
            ),
            "energy_low": (
                Reason(
                    "stored brake energy low",
                    conditions.energy_low,
                    f"{against(self._energy_left, parameters.low_applications)} applications",
                ),
            ),
            "thrust_high": (
                Reason(
                    "a throttle beyond take-off",
                    conditions.thrust_high,
                    "unknown" if thrust is None else against(thrust, limit),
                ),
            ),
            "on_ground": (Reason("on the ground, or unknown", conditions.on_ground),),
        }

    def values(self, now_s: float) -> Mapping[str, Value]:
        """Pressures, applications that are left, the parking brake."""
        parameters = self._parameters
        left, right = self._told_psi
        if not self._told_pressure:
            parked = self._parking.pressure_psi(now_s)
            left, right = (max(side * parameters.full_psi, parked) for side in self.side_fractions)
        every: dict[str, Value] = {
            "left_brake_psi": left,
            "right_brake_psi": right,
            "brake_applications_left": self._energy.left(now_s),
            "parking_brake": self._parking.word,
        }
        return {info.name: every[info.name] for info in self.published}

    def faults(self) -> tuple[str, ...]:
        """Pressure that the released parking brake did not let go."""
        if self.conditions.trapped:
            return ("pressure is trapped in the released brakes",)
        return ()

    def break_part(self, now_s: float, target: str, kind: str | None) -> None:
        """Have the parking brake's valve stick, or the accumulator hold nothing."""
        if target == "parking_brake":
            self._parking.stick(now_s, sticks=kind is not None)
        else:
            self._energy.break_down(now_s, broken=kind is not None)

    # -- inside ---------------------------------------------------------------------------------

    @property
    def _told_trapped(self) -> bool:
        residual_psi = self._parameters.parking_residual_psi
        return any(psi is not None and psi > residual_psi for psi in self._told_psi)

    @property
    def _trapped_psi(self) -> float:
        return max(self._parking.psi, greater_known(*self._told_psi) or 0.0)

    def _take_for_parking(self, now_s: float) -> float:
        """A full application of the accumulator, or none when that would not hold."""
        part = min(self._energy.left(now_s), 1.0)
        if part * self._parameters.full_psi <= self._parameters.parking_hold_psi:
            return 0.0
        self._energy.use(now_s, part)
        return part

    def _conclude(self, now_s: float, *, on_ground: bool) -> None:
        released = self._parking.lever == "released"
        pressed = any(self._pressed.steps) or self.emergency_braking
        told = self._told_trapped and released and not pressed
        self._energy_left = self._energy.left(now_s)
        low = self._energy.is_low(now_s)
        if low and not self.conditions.energy_low and self._parameters.needs_hydraulics:
            self._log.note(now_s, "brake_energy_low")
        warned = self._warns
        self.conditions = BrakeConditions(
            lever_released=released,
            trapped=self._parking.is_trapped or told,
            energy_low=low,
            thrust_high=self._thrust_high,
            on_ground=on_ground,
        )
        if self._warns and not warned:
            self._log.note(now_s, "takeoff_with_brake_warned")

    @property
    def _warns(self) -> bool:
        return self.horn() is not HornPattern.SILENT
