"""The data dictionary: what flows between boards, logic, feeds and screens.

Everything here is frozen and slotted, so it can be handed between threads without a lock. ``None``
means *unknown* everywhere: not wired, not connected, or too old to be trusted (design decision:
unknown lights no green, inhibits no warning and commands no movement). Values that belong to legs
are tuples in the order in which the aircraft file lists its legs.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType

NO_LAMPS: Mapping[str, int] = MappingProxyType({})
NO_GAUGES: Mapping[str, float] = MappingProxyType({})
NO_SOLENOIDS: Mapping[str, bool] = MappingProxyType({})

Value = str | float | bool | None
"""What a named value can be: a word, a number, yes or no; None is unknown."""
NO_VALUES: Mapping[str, Value] = MappingProxyType({})


class GearPosition(StrEnum):
    """Where a gear handle stands, or where the legs are asked to go."""

    UP = "up"
    DOWN = "down"


class HandleContacts(StrEnum):
    """What the contacts of the gear handle say together, after debouncing."""

    UP = "up"
    DOWN = "down"
    BETWEEN = "between"
    """Neither contact of a two-contact handle is closed: it is on its way, or a wire is off."""
    BOTH = "both"
    """Both contacts of a two-contact handle are closed: that cannot be."""
    UNKNOWN = "unknown"
    """Its board is not connected."""


class LegState(StrEnum):
    """Where a leg is in its travel."""

    UP_LOCKED = "up_locked"
    UNLOCKING_TO_EXTEND = "unlocking_to_extend"
    EXTENDING = "extending"
    DOWN_LOCKED = "down_locked"
    UNLOCKING_TO_RETRACT = "unlocking_to_retract"
    RETRACTING = "retracting"
    STOPPED = "stopped"
    """Locked at neither end, and nothing moves it."""
    UNKNOWN = "unknown"


class HornPattern(StrEnum):
    """How the horn sounds; the board plays the pattern by itself."""

    SILENT = "silent"
    INTERMITTENT = "intermittent"
    CONTINUOUS = "continuous"


class Level(StrEnum):
    """How much an event matters to the pilot."""

    INFO = "info"
    CAUTION = "caution"
    WARNING = "warning"
    FAULT = "fault"
    """Something is broken: a contact, a cable, a board."""


@dataclass(frozen=True, slots=True)
class LegLocks:
    """The two lock switches of a leg.

    Attributes:
        up_locked: the up-lock switch is made; None when unknown.
        down_locked: the down-lock switch is made; None when unknown.
    """

    up_locked: bool | None = None
    down_locked: bool | None = None

    @property
    def is_up(self) -> bool:
        """Known to be locked up, and nothing says otherwise."""
        return self.up_locked is True and self.down_locked is False

    @property
    def is_down(self) -> bool:
        """Known to be locked down, and nothing says otherwise."""
        return self.down_locked is True and self.up_locked is False

    @property
    def contradictory(self) -> bool:
        """Both lock switches are made at once: one of them lies."""
        return self.up_locked is True and self.down_locked is True


@dataclass(frozen=True, slots=True)
class SwitchState:
    """Every switch of the panel at one instant, debounced. A switch that is not there is unknown.

    Attributes:
        gear_handle: the contacts of the gear handle.
        horn_silence: the silence button is pressed.
        lamp_test: the lamp test is held.
        warning_test: the gear warning test is held.
        steering_button: the nose-wheel steering button is held.
        dimmer_fraction: the dimmer knob, 0 (lowest) to 1 (brightest).
        lever_horn_silence: the silence button on the throttle lever is pressed.
        second_steering_button: the other nose-wheel steering button is held.
        downlock_release: the button that frees the locked gear handle is held.
        gear_reset: the reset button of the gear (power pack, emergency extension) is pressed.
        aux_pump: the auxiliary hydraulic pump is switched on.
        emergency_extend: the emergency extension handle is pulled.
        hand_pump: the hand pump is pushed; each push is a stroke.
        antiskid: anti-skid is switched on.
        cold_weather: the cold-weather routine is switched on.
        night: the lamps are switched to their night levels.
        fluid_test: the test of the low-fluid sensor is held.
        parking_brake_fraction: the parking-brake lever, 0 (released) to 1 (fully set).
        emergency_brake_fraction: the emergency-brake lever, 0 (released) to 1 (fully pulled).
        left_brake_fraction: the left brake pedal, 0 to 1, where it is wired to the panel.
        right_brake_fraction: the right brake pedal, 0 to 1, where it is wired to the panel.
        tiller_fraction: the steering tiller or pedals, 0 (full left) to 1 (full right), where it is
            wired to the panel.
    """

    gear_handle: HandleContacts = HandleContacts.UNKNOWN
    horn_silence: bool | None = None
    lamp_test: bool | None = None
    warning_test: bool | None = None
    steering_button: bool | None = None
    dimmer_fraction: float | None = None
    lever_horn_silence: bool | None = None
    second_steering_button: bool | None = None
    downlock_release: bool | None = None
    gear_reset: bool | None = None
    aux_pump: bool | None = None
    emergency_extend: bool | None = None
    hand_pump: bool | None = None
    antiskid: bool | None = None
    cold_weather: bool | None = None
    night: bool | None = None
    fluid_test: bool | None = None
    parking_brake_fraction: float | None = None
    emergency_brake_fraction: float | None = None
    left_brake_fraction: float | None = None
    right_brake_fraction: float | None = None
    tiller_fraction: float | None = None


@dataclass(frozen=True, slots=True)
class AircraftState:
    """What the feed says of the aircraft at one instant.

    Attributes:
        airspeed_kias: indicated airspeed, knots.
        altitude_ft: pressure altitude, feet.
        ground_speed_kt: speed over the ground, knots.
        throttle_fraction: lever of each engine, 0 (idle) to 1 (full); one value an engine.
        flap_deg: flap angle, degrees.
        strut_compressed: squat switch of each leg; True = weight on it. In the order of the legs.
        leg_locks: lock switches of each leg; read only when the feed is the authority for them.
        gear_handle: where the simulator's own gear handle stands.
        hydraulic_pressure_psi: pressure of the main hydraulic system, psi.
        engine_running: each engine turns its pump or gives bleed air; one value an engine.
        bus_powered: the electrical bus has power; unknown counts as powered, so that no warning is
            lost with the data.
        wheel_speed_rpm: turning of each braked wheel, in the order of the aircraft file.
        brake_pedal_fraction: the brake pedals, left and right, 0 to 1.
        steering_pedal_fraction: the steering pedals or tiller, -1 (full left) to 1 (full right).
        brake_pressure_psi: pressure in the left and right brakes; read only when the feed is the
            authority for it.
        antiskid_working: anti-skid of each braked wheel works; read only when the feed is the
            authority for it.
    """

    airspeed_kias: float | None = None
    altitude_ft: float | None = None
    ground_speed_kt: float | None = None
    throttle_fraction: tuple[float | None, ...] = ()
    flap_deg: float | None = None
    strut_compressed: tuple[bool | None, ...] = ()
    leg_locks: tuple[LegLocks, ...] = ()
    gear_handle: GearPosition | None = None
    hydraulic_pressure_psi: float | None = None
    engine_running: tuple[bool | None, ...] = ()
    bus_powered: bool | None = None
    wheel_speed_rpm: tuple[float | None, ...] = ()
    brake_pedal_fraction: tuple[float | None, ...] = ()
    steering_pedal_fraction: float | None = None
    brake_pressure_psi: tuple[float | None, ...] = ()
    antiskid_working: tuple[bool | None, ...] = ()


@dataclass(frozen=True, slots=True)
class Outputs:
    """What the panel shows.

    Attributes:
        lamps: brightness of each lamp of the aircraft, 0 (dark) to 255.
        horn: how the horn sounds.
        gauges: value of each gauge in its own unit (hydraulic_pressure: psi); a missing one is
            unknown.
        solenoids: whether each solenoid is energised (handle_lock: holds the gear handle down).
    """

    lamps: Mapping[str, int] = field(default_factory=lambda: NO_LAMPS)
    horn: HornPattern = HornPattern.SILENT
    gauges: Mapping[str, float] = field(default_factory=lambda: NO_GAUGES)
    solenoids: Mapping[str, bool] = field(default_factory=lambda: NO_SOLENOIDS)


@dataclass(frozen=True, slots=True)
class Commands:
    """What the panel asks of the simulator.

    Attributes:
        gear: where the legs shall go; None = nothing is asked (start-up, fault, unknown).
        steering_engaged: nose-wheel steering is engaged.
        steering_deg: angle asked of the nose wheel, degrees, right positive; 0 while not engaged.
        emergency_extend: the emergency extension drives the legs.
        aux_pump: the auxiliary hydraulic pump is asked to run.
        consumers: hydraulic consumers that have pressure now.
        brake_fraction: brake of each braked wheel after parking, emergency and anti-skid, 0 to 1.
        parking_brake: the parking brake holds.
        antiskid: anti-skid is switched on and works on at least one wheel.
    """

    gear: GearPosition | None = None
    steering_engaged: bool = False
    steering_deg: float = 0.0
    emergency_extend: bool = False
    aux_pump: bool = False
    consumers: tuple[str, ...] = ()
    brake_fraction: tuple[float, ...] = ()
    parking_brake: bool = False
    antiskid: bool = False


@dataclass(frozen=True, slots=True)
class Event:
    """A fact, in the past.

    Attributes:
        time_s: when, seconds on the run's clock.
        name: what, in snake case and past tense, e.g. ``leg_locked_down``.
        level: how much it matters.
        text: one sentence for people, without a full stop.
        subject: whom it is about (a leg, a switch, a board); empty when it is clear.
    """

    time_s: float
    name: str
    level: Level
    text: str
    subject: str = ""


@dataclass(frozen=True, slots=True)
class StepResult:
    """What one step of the logic gives. The same object comes again while nothing changes."""

    outputs: Outputs = field(default_factory=Outputs)
    commands: Commands = field(default_factory=Commands)
    events: tuple[Event, ...] = ()


@dataclass(frozen=True, slots=True)
class LegView:
    """A leg as a screen shows it.

    Attributes:
        name: the leg's name in the aircraft file.
        state: where it is in its travel.
        travel_fraction: 0 (up) to 1 (down); None when unknown.
        strut_compressed: its squat switch, debounced.
        locks: its lock switches.
    """

    name: str
    state: LegState
    travel_fraction: float | None
    strut_compressed: bool | None
    locks: LegLocks


@dataclass(frozen=True, slots=True)
class LogicView:
    """The inside of the logic as a screen shows it; made on request, never in a step.

    Attributes:
        legs: every leg, in the order of the aircraft file.
        handle: last valid position of the gear handle; None until there was one.
        gear_demand: where the legs are asked to go; None while the handle and the gear disagree
            at start-up.
        selection_state: id of the gear selection chart's state.
        on_ground: air/ground as commands see it.
        gear_disagrees: the gear is not where the handle stands.
        warning_causes: why the horn sounds or would sound were it not silenced.
        horn_silenced: the throttle warning is silenced.
        steering_engaged: nose-wheel steering is engaged.
        faults: what is broken now, a sentence each.
        values: what the aircraft's systems say of themselves, by the names of
            ``logic.inventory.values_of``.
    """

    legs: tuple[LegView, ...] = ()
    handle: GearPosition | None = None
    gear_demand: GearPosition | None = None
    selection_state: str = ""
    on_ground: bool = True
    gear_disagrees: bool = False
    warning_causes: tuple[str, ...] = ()
    horn_silenced: bool = False
    steering_engaged: bool = False
    faults: tuple[str, ...] = ()
    values: Mapping[str, Value] = field(default_factory=lambda: NO_VALUES)


@dataclass(frozen=True, slots=True)
class Reason:
    """One named condition behind an output, with its value and its limit, as words.

    Attributes:
        condition: e.g. ``lever 1 closed``.
        holds: whether it does.
        detail: value and limit, e.g. ``0.10 <= 0.32``.
    """

    condition: str
    holds: bool
    detail: str = ""
