"""All systems of one aircraft, and the fixed order in which they look at what has changed.

The order: air/ground, hydraulics, emergency extension, landing gear, the handle's lock, steering,
brakes, anti-skid, gear warning, speed limits, cold weather. Each is told what it needs by keyword;
none knows another's inside.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from math import isnan
from operator import attrgetter

from panelbridge.clock import TimerHeap
from panelbridge.errors import LogicError
from panelbridge.logic.air_ground import AirGround
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.aircraft_fit import misfits_of
from panelbridge.logic.antiskid import AntiSkid
from panelbridge.logic.bands import NEVER_CALM, below
from panelbridge.logic.brake_steps import greater_known
from panelbridge.logic.brakes import Brakes
from panelbridge.logic.calm import ALWAYS_CALM, Band, Calm, calm_of, common
from panelbridge.logic.cold_weather import ColdWeather
from panelbridge.logic.emergency import Emergency
from panelbridge.logic.events import EventLog
from panelbridge.logic.gear_handle import GearHandle
from panelbridge.logic.gear_warning import GearWarning
from panelbridge.logic.handle_lock import HandleLock
from panelbridge.logic.hydraulics import Hydraulics
from panelbridge.logic.landing_gear import LandingGear
from panelbridge.logic.panel_outputs import GAUGE_STEP_PSI
from panelbridge.logic.speed_limits import SpeedLimits
from panelbridge.logic.steering import Steering
from panelbridge.logic.steering_schedule import PedalShaping
from panelbridge.logic.system import System
from panelbridge.signals import AircraftState, SwitchState

_ACTING = attrgetter(
    "steering_button",
    "second_steering_button",
    "downlock_release",
    "gear_reset",
    "aux_pump",
    "emergency_extend",
    "hand_pump",
    "antiskid",
    "cold_weather",
    "fluid_test",
    "parking_brake_fraction",
    "emergency_brake_fraction",
)
"""Switches that systems are told at each look, as they are."""
_ALL_STATES = (
    "engine_running",
    "leg_locks",
    "steering_pedal_fraction",
    "brake_pedal_fraction",
    "brake_pressure_psi",
    "wheel_speed_rpm",
    "antiskid_working",
)


class Systems:
    """Every system of one aircraft.

    Args:
        aircraft: the aircraft's numbers.
        timers: of all of them.
        log: takes their events.
        handle_travel_s: longest time of the gear handle between its contacts, s.
        shaping: of the panel's steering pedals or tiller.

    Raises:
        LogicError: parts of the aircraft do not fit one another.
    """

    def __init__(
        self,
        aircraft: AircraftParameters,
        timers: TimerHeap,
        log: EventLog,
        *,
        handle_travel_s: float = 1.0,
        shaping: PedalShaping | None = None,
    ) -> None:
        for misfit in misfits_of(aircraft):
            where = ".".join(str(step) for step in misfit.path)
            raise LogicError(f"{where}: {misfit.what}", hint=misfit.hint)
        names = [leg.name for leg in aircraft.legs]
        self.parameters = aircraft
        self.switches = SwitchState()
        self.aircraft = AircraftState()
        self.air_ground = AirGround(aircraft.air_ground, len(names), timers, log)
        self.handle = GearHandle(handle_travel_s, timers, log)
        self.gear = LandingGear(aircraft, timers, log)
        self.warning = GearWarning(aircraft.gear_warning, aircraft.engines, timers, log)
        self._make_optional(aircraft, timers, log, shaping)
        optional = (
            self.hydraulics,
            self.emergency,
            self.handle_lock,
            self.steering,
            self.brakes,
            self.antiskid,
            self.speeds,
            self.cold,
        )
        self.parts: tuple[System, ...] = (
            *self.gear.parts,
            *(part for part in optional if part is not None),
        )
        """Every system that has lamps, values or parts to break, in a fixed order."""
        self._by_prefix = {part.timer_prefix: part for part in self.parts if part.timer_prefix}
        self._by_target = {target: part for part in self.parts for target in part.fault_kinds}
        self._read_states = attrgetter(*_states_of(aircraft))
        self._states: object = None
        self.calm: Calm | None = None
        """Whether no system has anything to do with given values; None while nobody knows."""
        self.more_bands: Callable[[], Mapping[str, Band]] = dict
        """Bands that others need, by the names of the aircraft's values."""
        self._told_gauge: int | None = None
        self.gauge_moved = False
        """A told pressure has moved its gauge since this was last set to False."""

    def _make_optional(
        self,
        aircraft: AircraftParameters,
        timers: TimerHeap,
        log: EventLog,
        shaping: PedalShaping | None,
    ) -> None:
        """Make the systems that not every aircraft has."""
        authority, names = aircraft.authority, [leg.name for leg in aircraft.legs]
        self.hydraulics = self.emergency = self.handle_lock = self.steering = None
        self.brakes = self.antiskid = self.speeds = self.cold = None
        if aircraft.hydraulics is not None:
            self.hydraulics = Hydraulics(
                aircraft.hydraulics, authority=authority.hydraulics, timers=timers, log=log
            )
        if aircraft.emergency is not None:
            self.emergency = Emergency(aircraft.emergency, timers, log)
        if aircraft.handle_lock.leg is not None:
            self.handle_lock = HandleLock(aircraft.handle_lock, log)
            self._lock_leg = names.index(aircraft.handle_lock.leg)
        if aircraft.steering.steering_leg is not None:
            needs = aircraft.steering.needs_hydraulics or aircraft.steering.needs_bus
            self.steering = Steering(
                log,
                parameters=aircraft.steering,
                shaping=shaping,
                always_available=aircraft.emergency is None and not needs,
            )
            self._steered = names.index(aircraft.steering.steering_leg)
        if aircraft.brakes is not None:
            told = authority.brakes == "feed"
            self.brakes = Brakes(aircraft.brakes, timers, log, told_pressure=told)
            if aircraft.antiskid is not None:
                told = authority.antiskid == "feed"
                wheels = aircraft.brakes.wheels
                self.antiskid = AntiSkid(aircraft.antiskid, wheels, timers, log, told_working=told)
                sides = (aircraft.antiskid.left_leg, aircraft.antiskid.right_leg)
                self._sides = (names.index(sides[0]), names.index(sides[1]))
        if aircraft.speed_limits is not None:
            self.speeds = SpeedLimits(aircraft.speed_limits, log)
        if aircraft.cold_weather is not None:
            has_antiskid = self.antiskid is not None
            self.cold = ColdWeather(aircraft.cold_weather, timers, log, has_antiskid=has_antiskid)

    # -- inputs ---------------------------------------------------------------------------------

    def take_switches(self, now_s: float, switches: SwitchState) -> bool:
        """Take the switches; True when the systems have to look."""
        before, self.switches = self.switches, switches
        moved = _ACTING(switches) != _ACTING(before)
        if switches.gear_handle is not before.gear_handle:
            self.handle.take(now_s, switches.gear_handle)
            moved = True
        silenced = self.warning.take_silence(
            horn_silence=switches.horn_silence, lever_horn_silence=switches.lever_horn_silence
        )
        return self._take_pedals(now_s) or silenced or moved

    def take_aircraft(self, now_s: float, aircraft: AircraftState) -> bool:
        """Take the aircraft's values; True when the systems have to look.

        While ``calm`` holds for them they need not be taken: ``aircraft`` alone is set.
        """
        before, self.aircraft = self.aircraft, aircraft
        self.calm = None
        changed = self._take_numbers(now_s, aircraft)
        states = self._read_states(aircraft)
        if states != self._states:
            self._states, changed = states, True
            if aircraft.strut_compressed != before.strut_compressed:
                self.air_ground.take(now_s, aircraft.strut_compressed)
            if not self.gear.own_legs and aircraft.leg_locks != before.leg_locks:
                self.gear.take_told(now_s, aircraft.leg_locks)
        if self.antiskid is not None:
            changed = self.antiskid.take_speeds(aircraft.wheel_speed_rpm) or changed
            changed = self.antiskid.take_working(aircraft.antiskid_working) or changed
        if self.brakes is not None:
            changed = self.brakes.take_pressure(aircraft.brake_pressure_psi) or changed
        changed = self._take_pedals(now_s) or changed
        if not changed:
            self.calm = self._find_calm()
        return changed

    def catch_up(self, now_s: float) -> None:
        """Let the systems have the numbers as they are now, for those who ask for words."""
        if self.calm is not None:
            self._take_numbers(now_s, self.aircraft)

    def _take_numbers(self, now_s: float, aircraft: AircraftState) -> bool:
        """Numbers that have a calm band; one that has not changed is taken for nothing."""
        warning, kias, levers = self.warning, aircraft.airspeed_kias, aircraft.throttle_fraction
        changed = [
            warning.take_airspeed(now_s, kias),
            warning.take_altitude(now_s, aircraft.altitude_ft),
            warning.take_levers(now_s, levers),
            warning.take_flaps(aircraft.flap_deg),
        ]
        if self.speeds is not None:
            changed.append(self.speeds.take_airspeed(now_s, kias))
        if self.brakes is not None:
            changed.append(self.brakes.take_throttles(levers))
        if self.steering is not None:
            changed.append(self.steering.take_speed(aircraft.ground_speed_kt, kias))
        told_psi = aircraft.hydraulic_pressure_psi
        if self.hydraulics is not None:
            changed.append(self.hydraulics.take_pressure(now_s, told_psi))
        else:
            unknown = told_psi is None or isnan(told_psi)
            steps = None if unknown else round((told_psi or 0.0) / GAUGE_STEP_PSI)
            if steps != self._told_gauge:
                self._told_gauge, self.gauge_moved = steps, True
        return True in changed

    def _find_calm(self) -> Calm:
        """Between which numbers nothing changes, as the systems stand now."""
        warning, speeds, brakes, steering = self.warning, self.speeds, self.brakes, self.steering
        more = self.more_bands()

        def of(name: str, *bands: Band) -> Band:
            return common((*bands, more.get(name, ALWAYS_CALM)))

        kias = [warning.calm_kias]
        if speeds is not None:
            kias.append(speeds.calm_kias)
        # The speed matters to the steering only while it is engaged.
        ground_speed = ALWAYS_CALM
        if steering is not None and steering.is_engaged:
            ground_speed = NEVER_CALM
            if self.aircraft.ground_speed_kt is None:
                kias.append(NEVER_CALM)
        of_brakes = ALWAYS_CALM if brakes is None else brakes.calm_lever
        return calm_of(
            self.aircraft,
            self._read_states,
            kias=of("airspeed_kias", *kias),
            altitude_ft=of("altitude_ft", warning.calm_ft),
            ground_speed_kt=of("ground_speed_kt", ground_speed),
            flap_deg=of("flap_deg", warning.calm_deg),
            pressure_psi=of("hydraulic_pressure_psi", self._calm_psi()),
            levers=[
                of(f"throttle_{number + 1}", band, of_brakes)
                for number, band in enumerate(warning.calm_levers)
            ],
        )

    def _calm_psi(self) -> tuple[float, float]:
        if self.hydraulics is not None:
            return self.hydraulics.calm_psi
        if self._told_gauge is None:
            return NEVER_CALM
        middle, half = self._told_gauge * GAUGE_STEP_PSI, GAUGE_STEP_PSI / 2.0
        return middle - half, below(middle + half)

    def _take_pedals(self, now_s: float) -> bool:
        """Brake and steering pedals come from the panel and from the feed."""
        switches, aircraft, changed = self.switches, self.aircraft, False
        panel = (switches.left_brake_fraction, switches.right_brake_fraction)
        if self.brakes is not None:
            changed = self.brakes.take_pedals(panel, aircraft.brake_pedal_fraction)
        if self.cold is not None:
            told = aircraft.brake_pedal_fraction
            left, right = (
                greater_known(own, told[side] if side < len(told) else None)
                for side, own in enumerate(panel)
            )
            changed = self.cold.take_pedals(now_s, left, right) or changed
        if self.steering is not None:
            pedals, tiller = aircraft.steering_pedal_fraction, switches.tiller_fraction
            changed = self.steering.take_pedals(pedals, tiller) or changed
        return changed

    def timer_due(self, now_s: float, name: Hashable) -> None:
        """A timer came due: the system that it belongs to acts; ``update`` has to follow."""
        if isinstance(name, tuple) and (part := self._by_prefix.get(name[0])) is not None:
            part.timer_due(now_s, name)
            return
        for system in (self.air_ground, self.handle, self.warning):
            if system.timer_due(now_s, name):
                return

    def set_fault(self, now_s: float, target: str, kind: str | None) -> None:
        """Break a part on the bench, or mend it with None; ``update`` has to follow.

        Raises:
            LogicError: the aircraft has no such part, or it cannot break so.
        """
        if self.gear.feed_leg_fault(now_s, target, kind, self.aircraft.leg_locks):
            return
        part = self._by_target.get(target)
        if part is None:
            raise LogicError(f"the aircraft has no part '{target}' that could break")
        part.set_fault(now_s, target, kind)

    # -- the look -------------------------------------------------------------------------------

    def update(self, now_s: float) -> None:
        """Have every system look again, in the fixed order."""
        self.catch_up(now_s)  # what was too calm to be taken is taken with what was not
        self._look(now_s)
        self.calm = self._find_calm()

    def _look(self, now_s: float) -> None:
        switches, aircraft = self.switches, self.aircraft
        air_ground, gear = self.air_ground, self.gear
        bus = aircraft.bus_powered
        air_ground.update(now_s)
        self._update_power(now_s)
        emergency, hydraulics = self.emergency, self.hydraulics
        gear.update(
            now_s,
            self.handle,
            air_ground=air_ground,
            aircraft=aircraft,
            hydraulic=hydraulics is not None and hydraulics.serves("gear"),
            gear_reset=switches.gear_reset,
            emergency=emergency.means if emergency is not None else None,
            retract_locked_out=emergency is not None and emergency.retract_locked_out,
            stroke=emergency is not None and emergency.pump_stroke,
        )
        locks = gear.locks
        if hydraulics is not None:
            hydraulics.draw(now_s, {"gear": gear.flow_l_per_s})
        if self.handle_lock is not None:
            self.handle_lock.update(
                now_s,
                compressed=air_ground.struts[self._lock_leg],
                release=switches.downlock_release,
                handle=self.handle.known_position,
                bus_powered=bus,
            )
        if self.steering is not None:
            self.steering.update(
                now_s,
                button=switches.steering_button,
                second_button=switches.second_steering_button,
                compressed=air_ground.struts[self._steered],
                leg_down=locks.sensed[self._steered].locked_down,
                available=emergency is None or emergency.steering_available,
                has_pressure=hydraulics is not None and hydraulics.serves("gear"),
                bus_powered=bus,
            )
        if self.brakes is not None:
            self._update_brakes(now_s, self.brakes)
        self.warning.update(
            now_s,
            all_down=locks.all_down,
            handle_up_on_ground=gear.selection.is_refused and air_ground.has_weight,
        )
        if self.speeds is not None:
            demand = None if gear.selection.is_agreeing else gear.selection.demand
            up, down = locks.all_up, locks.all_down
            self.speeds.update(now_s, demand=demand, all_up=up, all_down=down)
        if self.cold is not None:
            self.cold.update(
                now_s,
                cold_weather=switches.cold_weather,
                on_ground=self._on_ground,
                handle=self.handle.known_position,
                all_down=locks.all_down,
                antiskid_on=switches.antiskid if self.antiskid is not None else None,
            )

    def _update_power(self, now_s: float) -> None:
        """Hydraulics, and the emergency extension that needs none."""
        switches, aircraft = self.switches, self.aircraft
        if self.hydraulics is not None:
            self.hydraulics.update(
                now_s,
                engine_running=aircraft.engine_running,
                aux_switch=switches.aux_pump,
                bus_powered=aircraft.bus_powered,
                fluid_test=switches.fluid_test,
                told_pressure_psi=aircraft.hydraulic_pressure_psi,
            )
        if self.emergency is not None:
            self.emergency.update(
                now_s,
                handle=switches.emergency_extend,
                hand_pump=switches.hand_pump,
                gear_reset=switches.gear_reset,
                on_ground=self.air_ground.has_weight and self.air_ground.ground_for_commands,
                gear_down=self.gear.locks.all_down,
            )

    def _update_brakes(self, now_s: float, brakes: Brakes) -> None:
        """Brakes and the anti-skid over them; the emergency brake takes air of the bottle."""
        switches, emergency, hydraulics = self.switches, self.emergency, self.hydraulics
        while True:
            has_air = emergency is not None and emergency.has_brake_air
            brakes.update(
                now_s,
                parking_lever=switches.parking_brake_fraction,
                emergency_lever=switches.emergency_brake_fraction,
                on_ground=self._on_ground,
                has_pressure=hydraulics is not None and hydraulics.serves("wheel_brakes"),
                has_parking_pressure=hydraulics is not None and hydraulics.serves("parking_brake"),
                has_air=has_air,
            )
            if emergency is not None:
                emergency.use_brake_air(now_s, brakes.take_air_used())
            if emergency is None or emergency.has_brake_air is has_air:
                break
        if self.antiskid is not None:
            left, right = self._sides
            struts = self.air_ground.struts
            self.antiskid.update(
                now_s,
                switch=switches.antiskid,
                bus_powered=self.aircraft.bus_powered,
                left_on_ground=struts[left],
                right_on_ground=struts[right],
                parked=brakes.is_parked,
                emergency_braking=brakes.emergency_braking,
                braked=brakes.side_fractions,
                gear_down=self.gear.locks.all_down,
                in_air=self.air_ground.air_for_warnings,
            )

    @property
    def _on_ground(self) -> bool | None:
        """On the ground or in the air; None while nobody can say for sure."""
        if not self.air_ground.ground_for_commands:
            return False
        return None if self.air_ground.air_for_warnings else True


def _states_of(aircraft: AircraftParameters) -> list[str]:
    """The values that some system reads and that have no band: any change of one is looked at."""
    authority, names = aircraft.authority, ["strut_compressed", "gear_handle", "bus_powered"]
    if authority.legs == "feed":
        names.append("leg_locks")
    if aircraft.hydraulics is not None:
        names.append("engine_running")
    if aircraft.steering.steering_leg is not None:
        names.append("steering_pedal_fraction")
    if aircraft.brakes is not None or aircraft.cold_weather is not None:
        names.append("brake_pedal_fraction")
    if authority.brakes == "feed":
        names.append("brake_pressure_psi")
    if aircraft.antiskid is not None:
        names.append("wheel_speed_rpm")
    if authority.antiskid == "feed":
        names.append("antiskid_working")
    if aircraft.own_lamps:  # they may read any of them
        names += [name for name in _ALL_STATES if name not in names]
    return names
