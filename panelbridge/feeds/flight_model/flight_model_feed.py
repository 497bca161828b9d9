"""The feed of the flight model: it moves the panel, and the panel's commands move it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from msgspec.structs import replace

from panelbridge.config.feed_file import ModelName
from panelbridge.feeds.feed import Feed, FeedReading
from panelbridge.feeds.flight_model.autopilot import START_ASIDE_FT, Autopilot
from panelbridge.feeds.flight_model.flown_aircraft import FlownAircraft, leg_of
from panelbridge.feeds.flight_model.laws import STEP_S as FLY_S
from panelbridge.feeds.flight_model.laws import limited
from panelbridge.feeds.flight_model.library import MODELS, STEP_S, FlightLibrary, NotANumber
from panelbridge.feeds.flight_model.motion import FlightControls, Motion
from panelbridge.feeds.flight_model.numbers import NUMBERS
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.signals import AircraftState, Commands, GearPosition, LegLocks

FAILED = "flight model failed"
"""The phase once the model has given something that is no number."""
LONGEST_S = 60.0
"""After a longer time without a reading (a suspended computer) only so much is flown, s."""
_STEPS_TO_FLY = round(FLY_S / STEP_S)
_PRESSURE_PSI, _FULL_PRESSURE_N2 = 2850.0, 50.0
"""The library has no hydraulics: the engines' pumps hold this, from that speed on."""
_RUNNING_N2 = 40.0
_LB_KG = 0.45359237


class FlightModelFeed(Feed):
    """Flies from the first reading on.

    Args:
        aircraft: the panel's aircraft.
        model: the aircraft that flies.
        name: for screens.
        repeat: fly again at the end instead of finishing.
        models: folder of the library's files.

    Raises:
        UsageError: the library is not installed.
        FeedError: it cannot load the model.
    """

    def __init__(
        self,
        aircraft: AircraftParameters,
        model: ModelName,
        *,
        name: str = "flight model",
        repeat: bool = False,
        models: Path = MODELS,
    ) -> None:
        self.name = name
        self._numbers = NUMBERS[model]
        self._model, self._models, self._repeat = model, models, repeat
        self._aircraft = FlownAircraft.of(aircraft, self._numbers.engines)
        self._commands = Commands()
        self._begin()

    def _begin(self) -> None:
        numbers = self._numbers
        self._library = FlightLibrary(
            self._model,
            engines=numbers.engines,
            wheel_height_ft=numbers.wheel_height_ft,
            aside_ft=START_ASIDE_FT,
            root=self._models,
        )
        self._autopilot = Autopilot(numbers)
        self._controls = FlightControls()
        self._handle = GearPosition.DOWN
        self._steps = 0
        self._start_s: float | None = None
        self._reading = FeedReading()
        self._has_failed = False

    def read(self, now_s: float) -> FeedReading:
        """Fly until ``now_s``; the aircraft then. ``finished`` once it has stopped again."""
        if self._repeat and self._reading.finished:
            self.restart(now_s)
        start_s = now_s if self._start_s is None else self._start_s
        steps = int((now_s - start_s) / STEP_S + 1e-6)
        late = steps - self._steps - round(LONGEST_S / STEP_S)
        if late > 0:
            start_s, steps = start_s + late * STEP_S, steps - late
        self._start_s = start_s
        try:
            is_new = self._fly(steps) or not self._reading.fresh
            if is_new and not self._has_failed:
                self._reading = self._read(now_s)
        except NotANumber:
            self._has_failed = True
        if self._has_failed:
            return FeedReading(time_s=now_s, phase=FAILED)
        return replace(self._reading, time_s=now_s)

    def send(self, now_s: float, commands: Commands) -> None:
        """Move the model's gear, brakes and nose wheel as the panel commands."""
        self._commands = commands
        if commands.gear is not None and commands.gear is not self._handle:
            self._handle = commands.gear
            self._library.set("gear/gear-cmd-norm", float(commands.gear is GearPosition.DOWN))
        self._move()

    def restart(self, now_s: float) -> None:
        """Fly again from the stand."""
        self._begin()
        self._start_s = now_s

    @property
    def phase(self) -> str:
        """Phase of the flight."""
        return self._autopilot.phase

    @property
    def phases(self) -> Sequence[str]:
        """Every phase, in order."""
        return self._autopilot.phases

    def phase_index(self, now_s: float) -> int:
        """Which of them the flight is in."""
        return self._autopilot.phases.index(self.phase)

    @property
    def phase_s(self) -> float:
        """Time since the phase began, s."""
        return self._steps * STEP_S - self._autopilot.phase_began_s

    @property
    def steering_pedals(self) -> float:
        """What the autopilot steers, -1 (left) to 1."""
        return self._controls.steering_pedals

    def _fly(self, steps: int) -> bool:
        """Step the model; whether there was a step to do. Raises: NotANumber."""
        if self._has_failed or self._steps >= steps:
            return False
        while self._steps < steps:
            if self._steps % _STEPS_TO_FLY == 0:
                self._controls = self._autopilot.fly(self._library.motion())
                self._library.move(self._controls)
                self._move()
            self._library.step()
            self._steps += 1
        return True

    def _move(self) -> None:
        """What the panel moves, or where it has nothing for it, the autopilot's pedals."""
        library, commands, flown = self._library, self._commands, self._aircraft
        for side in ("left", "right"):
            both = zip(flown.wheels, commands.brake_fraction, strict=False)
            pressed = [fraction for at, fraction in both if at == side]
            share = sum(pressed) / max(len(pressed), 1)
            if not flown.wheels:
                share = self._controls.brake_pedals
            library.set(f"fcs/{side}-brake-cmd-norm", limited(share, 0.0, 1.0))
        steered = self._controls.steering_pedals
        if flown.steers:
            steered = commands.steering_deg / self._numbers.steering_deg
        library.set("fcs/steer-cmd-norm", limited(steered, -1.0, 1.0))

    def _read(self, now_s: float) -> FeedReading:
        library, flown, controls = self._library, self._aircraft, self._controls
        motion, value = library.motion(), library.value
        n1 = [value(f"propulsion/engine[{one}]/n1") for one in range(self._numbers.engines)]
        n2 = [value(f"propulsion/engine[{one}]/n2") for one in range(self._numbers.engines)]
        thrust = [self._thrust(engine) for engine in range(self._numbers.engines)]
        aircraft = AircraftState(
            airspeed_kias=motion.kias,
            altitude_ft=value("atmosphere/pressure-altitude"),
            ground_speed_kt=motion.ground_kt,
            throttle_fraction=(controls.throttle,) * len(flown.engines),
            n1_fraction=tuple([n1[one] / 100.0 for one in flown.engines]),
            # Its engines have no shaft: their thrust stands for the torque of others.
            torque_fraction=tuple([thrust[one] for one in flown.engines]),
            flap_deg=value("fcs/flap-pos-deg"),
            speed_brake_fraction=value("fcs/speedbrake-pos-norm"),
            trim_units=value("fcs/pitch-trim-cmd-norm"),
            mass_kg=value("inertia/weight-lbs") * _LB_KG,
            strut_compressed=tuple([motion.on_ground[leg] for leg in flown.struts]),
            leg_locks=tuple([_locks(motion, leg) for leg in flown.legs]),
            gear_handle=self._handle,
            hydraulic_pressure_psi=_PRESSURE_PSI * limited(max(n2) / _FULL_PRESSURE_N2, 0.0, 1.0),
            engine_running=tuple([n2[one] >= _RUNNING_N2 for one in flown.engines]),
            bus_powered=True,
            wheel_speed_rpm=tuple([self._rpm(motion, side) for side in flown.wheels]),
            brake_pedal_fraction=(controls.brake_pedals,) * 2,
            steering_pedal_fraction=controls.steering_pedals,
        )
        return FeedReading(aircraft, True, now_s, self.phase, self._autopilot.finished)

    def _thrust(self, engine: int) -> float:
        """Thrust of an engine, 1 is its rated one; idling can brake, which no torque does."""
        thrust = self._library.value(f"propulsion/engine[{engine}]/thrust-lbs")
        return max(thrust / self._numbers.thrust_lbf, 0.0)

    def _rpm(self, motion: Motion, side: str) -> float:
        leg = leg_of(side)
        if not motion.on_ground[leg]:
            return 0.0
        fps = self._library.value(f"gear/unit[{leg}]/wheel-speed-fps")
        return abs(fps) * self._aircraft.rpm_per_fps


def _locks(motion: Motion, leg: int) -> LegLocks:
    return LegLocks(up_locked=motion.legs[leg] <= 0.0, down_locked=motion.legs[leg] >= 1.0)
