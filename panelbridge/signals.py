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
from typing import Any

from msgspec import Struct

NO_LAMPS: Mapping[str, int] = MappingProxyType({})
NO_GAUGES: Mapping[str, float] = MappingProxyType({})
NO_SOLENOIDS: Mapping[str, bool] = MappingProxyType({})

Value = str | float | bool | None
"""What a named value can be: a word, a number, yes or no; None is unknown."""
NO_VALUES: Mapping[str, Value] = MappingProxyType({})


class GearPosition(StrEnum):
    """Position of a gear handle, or the commanded position of the legs."""

    UP = "up"
    DOWN = "down"


class HandleContacts(StrEnum):
    """State of the gear handle's contacts, after debouncing."""

    UP = "up"
    DOWN = "down"
    BETWEEN = "between"
    """Neither contact of a two-contact handle is closed: in mid-travel, or a wire is broken."""
    BOTH = "both"
    """Both contacts of a two-contact handle are closed: a fault."""
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
    """How important an event is to the pilot."""

    INFO = "info"
    CAUTION = "caution"
    WARNING = "warning"
    FAULT = "fault"
    """Something is broken: a contact, a cable, a board."""


class LegLocks(Struct, frozen=True):
    """The two lock switches of a leg.

    Attributes:
        up_locked: the up-lock switch is made; None when unknown.
        down_locked: the down-lock switch is made; None when unknown.
    """

    up_locked: bool | None = None
    down_locked: bool | None = None

    @property
    def is_up(self) -> bool:
        """Locked up: known, and not contradicted by the other switch."""
        return self.up_locked is True and self.down_locked is False

    @property
    def is_down(self) -> bool:
        """Locked down: known, and not contradicted by the other switch."""
        return self.down_locked is True and self.up_locked is False

    @property
    def contradictory(self) -> bool:
        """Both lock switches are made at once: one of them is faulty."""
        return self.up_locked is True and self.down_locked is True


SwitchPosition = HandleContacts | bool | float | None
"""A handle's contacts, whether a contact is operated, or a lever from 0 to 1; None is unknown."""


class SwitchState:
    """Every switch of the panel at one instant, debounced; immutable.

    A switch that is not there is unknown.

    Args:
        positions: by the names of panel files.
    """

    __slots__ = ("_positions",)

    def __init__(self, **positions: SwitchPosition) -> None:
        known = {name: at for name, at in positions.items() if at is not None}
        self._positions = {n: at for n, at in known.items() if at is not HandleContacts.UNKNOWN}

    def get(self, name: str) -> Any:
        """Position of a switch; None is unknown."""
        return self._positions.get(name)

    def having(self, **positions: SwitchPosition) -> SwitchState:
        """The same switches, some of them elsewhere."""
        return SwitchState(**{**self._positions, **positions})

    @property
    def positions(self) -> Mapping[str, Any]:
        """Every known position, by name."""
        return MappingProxyType(self._positions)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, SwitchState) and self._positions == other._positions

    def __hash__(self) -> int:
        return hash(frozenset(self._positions.items()))

    def __repr__(self) -> str:
        return f"SwitchState({', '.join(f'{n}={at!r}' for n, at in self._positions.items())})"


class AircraftState(Struct, frozen=True):
    """The feed's data about the aircraft at one instant.

    Attributes:
        airspeed_kias: indicated airspeed, knots.
        altitude_ft: pressure altitude, feet.
        ground_speed_kt: speed over the ground, knots.
        throttle_fraction: throttle lever of each engine, 0 (idle) to 1 (full).
        n1_fraction: speed of the low-pressure spool of each engine, 1 is its rated speed.
        torque_fraction: torque of each engine, 1 is its rated torque.
        flap_deg: flap angle, degrees.
        speed_brake_fraction: speed brakes, 0 (stowed) to 1 (fully out).
        trim_units: longitudinal trim, in the units of its indicator.
        mass_kg: mass of the aircraft, kg.
        strut_compressed: squat switch of each leg; True = weight on it. In the order of the legs.
        leg_locks: lock switches of each leg; read only when the feed is the authority for them.
        gear_handle: position of the simulator's own gear handle.
        hydraulic_pressure_psi: pressure of the main hydraulic system, psi.
        engine_running: whether each engine drives its pump or supplies bleed air.
        bus_powered: the electrical bus has power; unknown counts as powered, so that no warning is
            lost with the data.
        bus_voltage_v: voltage of the electrical bus, V; unknown counts as the nominal one.
        wheel_speed_rpm: speed of each braked wheel, in the order of the aircraft file.
        brake_pedal_fraction: the brake pedals, left and right, 0 to 1.
        steering_pedal_fraction: the steering pedals or tiller, -1 (full left) to 1 (full right).
        brake_pressure_psi: pressure in the left and right brakes; read only when the feed is the
            authority for it.
        antiskid_working: whether anti-skid works on each braked wheel; read only when the feed is
            the authority for it.
        paused: the simulation is paused; unknown counts as going on.
        simulation_rate: seconds of the simulation in a second; unknown counts as 1.
    """

    airspeed_kias: float | None = None
    altitude_ft: float | None = None
    ground_speed_kt: float | None = None
    throttle_fraction: tuple[float | None, ...] = ()
    n1_fraction: tuple[float | None, ...] = ()
    torque_fraction: tuple[float | None, ...] = ()
    flap_deg: float | None = None
    speed_brake_fraction: float | None = None
    trim_units: float | None = None
    mass_kg: float | None = None
    strut_compressed: tuple[bool | None, ...] = ()
    leg_locks: tuple[LegLocks, ...] = ()
    gear_handle: GearPosition | None = None
    hydraulic_pressure_psi: float | None = None
    engine_running: tuple[bool | None, ...] = ()
    bus_powered: bool | None = None
    bus_voltage_v: float | None = None
    wheel_speed_rpm: tuple[float | None, ...] = ()
    brake_pedal_fraction: tuple[float | None, ...] = ()
    steering_pedal_fraction: float | None = None
    brake_pressure_psi: tuple[float | None, ...] = ()
    antiskid_working: tuple[bool | None, ...] = ()
    paused: bool | None = None
    simulation_rate: float | None = None


class Outputs(Struct, frozen=True):
    """What the panel shows.

    Attributes:
        lamps: brightness of each lamp of the aircraft, 0 (dark) to 255.
        horn: how the horn sounds.
        gauges: value of each gauge in its unit (hydraulic_pressure: psi); a missing one is
            unknown.
        solenoids: whether each solenoid is energised (handle_lock: holds the gear handle down).
    """

    lamps: Mapping[str, int] = NO_LAMPS
    horn: HornPattern = HornPattern.SILENT
    gauges: Mapping[str, float] = NO_GAUGES
    solenoids: Mapping[str, bool] = NO_SOLENOIDS

    def __reduce__(self) -> Any:
        """Read-only views cannot be pickled, so their contents are."""
        plain = (dict(self.lamps), self.horn, dict(self.gauges), dict(self.solenoids))
        return _outputs_of, plain


def _outputs_of(
    lamps: dict[str, int], horn: HornPattern, gauges: dict[str, float], solenoids: dict[str, bool]
) -> Outputs:
    read_only = MappingProxyType
    return Outputs(read_only(lamps), horn, read_only(gauges), read_only(solenoids))


class Commands(Struct, frozen=True):
    """The panel's commands to the simulator.

    Attributes:
        gear: commanded position of the legs; None = no command (start-up, fault, unknown).
        steering_engaged: nose-wheel steering is engaged.
        steering_deg: commanded nose-wheel angle, degrees, right positive; 0 while not engaged.
        wheel_locked: the wheel lock holds its wheel straight; None = no command (before a push).
        emergency_extend: the emergency extension drives the legs.
        aux_pump: the auxiliary hydraulic pump is commanded to run.
        consumers: hydraulic consumers that have pressure now.
        brake_fraction: brake of each braked wheel after parking, emergency and anti-skid, 0 to 1.
        parking_brake: the parking brake holds.
        antiskid: anti-skid is on and works on at least one wheel.
        own_switches: name and position of each switch of the builder's own that is known.
    """

    gear: GearPosition | None = None
    steering_engaged: bool = False
    steering_deg: float = 0.0
    wheel_locked: bool | None = None
    emergency_extend: bool = False
    aux_pump: bool = False
    consumers: tuple[str, ...] = ()
    brake_fraction: tuple[float, ...] = ()
    parking_brake: bool = False
    antiskid: bool = False
    own_switches: tuple[tuple[str, Value], ...] = ()


class Event(Struct, frozen=True):
    """Something that has happened.

    Attributes:
        time_s: when, seconds on the run's clock.
        name: what, in snake case and past tense, e.g. ``leg_locked_down``.
        level: how important it is.
        text: one sentence for the user, without a full stop.
        subject: what it is about (a leg, a switch, a board); empty when that is clear.
    """

    time_s: float
    name: str
    level: Level
    text: str
    subject: str = ""


class StepResult(Struct, frozen=True):
    """The result of one step of the logic; the same object again while nothing changes."""

    outputs: Outputs = Outputs()
    commands: Commands = Commands()
    events: tuple[Event, ...] = ()


class LegView(Struct, frozen=True):
    """A leg as a screen shows it.

    Attributes:
        name: the leg's name in the aircraft file.
        state: its place in its travel.
        travel_fraction: 0 (up) to 1 (down); None when unknown.
        strut_compressed: its squat switch, debounced.
        locks: its lock switches.
    """

    name: str
    state: LegState
    travel_fraction: float | None
    strut_compressed: bool | None
    locks: LegLocks


class LogicView(Struct, frozen=True):
    """The state of the logic for screens; made on request, never in a step.

    Attributes:
        legs: every leg, in the order of the aircraft file.
        handle: last valid position of the gear handle; None until there was one.
        gear_demand: commanded position of the legs; None while handle and gear disagree at
            start-up.
        selection_state: id of the gear selection chart's state.
        on_ground: air/ground as commands see it.
        gear_disagrees: the gear is not in the position of the handle.
        warning_causes: why the horn sounds, or would sound if it were not silenced.
        horn_causes: the rules that sound the horn now, tests among them.
        horn_silenced: the throttle warning is silenced.
        steering_engaged: nose-wheel steering is engaged.
        faults: the present faults, one sentence each.
        faulty: titles of the systems that see one of them; empty where one has no title.
        values: the values that the systems publish, by name.
    """

    legs: tuple[LegView, ...] = ()
    handle: GearPosition | None = None
    gear_demand: GearPosition | None = None
    selection_state: str = ""
    on_ground: bool = True
    gear_disagrees: bool = False
    warning_causes: tuple[str, ...] = ()
    horn_causes: tuple[str, ...] = ()
    horn_silenced: bool = False
    steering_engaged: bool = False
    faults: tuple[str, ...] = ()
    faulty: tuple[str, ...] = ()
    values: Mapping[str, Value] = NO_VALUES


@dataclass(frozen=True, slots=True)
class Reason:
    """One condition behind an output, with its value and its limit, as text.

    Attributes:
        condition: e.g. ``lever 1 closed``.
        holds: whether it is met.
        detail: value and limit, e.g. ``0.10 <= 0.32``.
        decides: the output is as it is because of it: a rule that puts it on and what that asks
            for, or of the rule that is nearest to it what is missing.
        since_s: since when it is met, or is not, s on the run's clock; None: not known.
    """

    condition: str
    holds: bool
    detail: str = ""
    decides: bool = field(default=True, compare=False)
    since_s: float | None = field(default=None, compare=False)


class Explanation(Struct, frozen=True):
    """Why something is as it is, and what would change it.

    Attributes:
        state: what it is, in words: ``lit``.
        since_s: since when, s on the run's clock; None: not known.
        reasons: rules, then conditions.
        changes: ways to change it, the smallest first; each lists what must change together.
    """

    state: str
    since_s: float | None
    reasons: tuple[Reason, ...]
    changes: tuple[tuple[str, ...], ...] = ()
