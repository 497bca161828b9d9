"""All systems together: one step from switches and aircraft to lamps, horn and commands.

Order of a step, always the same: timers that came due before it, each at its own due time; then the
switches; then the aircraft's values; then timers that are due at this very instant. After each of
them the systems look again, in this order: air/ground, gear handle, gear selection, legs, steering,
gear warning. Lamps come last, once.

Edge-triggered: while no condition changes, a step is a handful of comparisons and gives the very
object that it gave before.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import inf, nextafter

from panelbridge.clock import TimerHeap
from panelbridge.errors import LogicError
from panelbridge.logic.air_ground import AirGround
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.flash import Flash
from panelbridge.logic.gear import Gear
from panelbridge.logic.gear_handle import GearHandle
from panelbridge.logic.gear_lamps import GEAR_DISAGREES, Agreement, green_lit, handle_lit, red_lit
from panelbridge.logic.gear_locks import GearLocks, told_leg
from panelbridge.logic.gear_selection import GearSelection
from panelbridge.logic.gear_warning import GearWarning, warning_causes
from panelbridge.logic.happenings import HappeningLog
from panelbridge.logic.inventory import lamps_of, warning_tested_of
from panelbridge.logic.lamps import Look, Tests
from panelbridge.logic.legs import FREE_LOCKS, LegFault, broken_locks
from panelbridge.logic.panel_outputs import GaugeSteps, PanelOutputs, gauge_steps
from panelbridge.logic.reasons import UNPOWERED, Inside
from panelbridge.logic.rule import reasons_of
from panelbridge.logic.steering import Steering
from panelbridge.signals import (
    AircraftState,
    Commands,
    GearPosition,
    HornPattern,
    LegLocks,
    LegState,
    LegView,
    LogicView,
    Reason,
    StepResult,
    SwitchState,
)


class PanelLogic:
    """The logic of one panel. No I/O, no clock: the same inputs give the same results.

    The legs of the model start locked down, unless the first aircraft state that tells anything
    says that the simulator's handle is up with no strut compressed: then they start locked up.

    Args:
        aircraft: the aircraft's numbers.
        handle_travel_s: longest time of the gear handle between its contacts, s.
    """

    def __init__(self, aircraft: AircraftParameters, *, handle_travel_s: float = 1.0) -> None:
        self._parameters = aircraft
        self._timers = TimerHeap()
        self._log = HappeningLog()
        names = [leg.name for leg in aircraft.legs]
        self._air_ground = AirGround(aircraft.air_ground, len(names), self._timers, self._log)
        self._handle = GearHandle(handle_travel_s, self._timers, self._log)
        self._selection = GearSelection(self._log)
        self._gear = Gear(aircraft.legs, self._timers, self._log)
        self._locks = GearLocks(names, self._log)
        self._steering = Steering(self._log)
        self._warning = GearWarning(
            aircraft.gear_warning, aircraft.engines, self._timers, self._log
        )
        self._own_legs = aircraft.authority.legs == "model"
        leg = aircraft.steering.steering_leg
        self._steered = names.index(leg) if leg is not None else None
        self._lamp_names = tuple(lamps_of(aircraft))
        self._leg_names = names
        self._leg_faults: dict[int, LegFault] = {}
        self._now_s = float("-inf")
        self._switches = SwitchState()
        self._aircraft = AircraftState()
        self._placed = False
        self._gauges: GaugeSteps = ()
        self._dirty = self._moved = True
        self._warning_tested = warning_tested_of(aircraft)
        self._outputs = PanelOutputs(
            aircraft.lamps,
            HornPattern(aircraft.gear_warning.throttle_pattern),
            self._warning_tested,
        )
        self._flash = Flash(aircraft.lamps.flash_hz, self._timers)
        self._flashing = frozenset(aircraft.lamps.flashing)
        self._result = StepResult()
        self.updates = 0
        """How often the systems have looked again: while that stands still, so does the view, but
        for legs on their way."""
        self._systems_due = (self._air_ground, self._handle, self._warning)
        if self._own_legs:
            self._take_locks(0.0, self._gear.locks)

    @property
    def next_due_s(self) -> float:
        """When the logic wants a step though nothing changes; inf = not at all."""
        return self._timers.next_due_s

    def step(self, now_s: float, switches: SwitchState, aircraft: AircraftState) -> StepResult:
        """One step.

        Args:
            now_s: seconds; never less than in the last step.
            switches: the switches now.
            aircraft: the aircraft now.

        Raises:
            LogicError: time runs backwards.
        """
        if now_s < self._now_s:
            raise LogicError(f"the logic's time can not run backwards: {now_s} < {self._now_s}")
        self._now_s = now_s
        if now_s > self._timers.next_due_s:
            self._run_timers(nextafter(now_s, -inf))
        if switches is not self._switches:
            self._take_switches(now_s, switches)
        if aircraft is not self._aircraft:
            self._take_aircraft(now_s, aircraft)
        if now_s >= self._timers.next_due_s:
            self._run_timers(now_s)
        if self._dirty:
            self._finish(now_s)
        elif self._result.happenings:
            self._result = StepResult(self._result.outputs, self._result.commands)
        return self._result

    def fault_leg(self, now_s: float, name: str, fault: LegFault | None) -> None:
        """Break a leg on the bench, or mend it; the next step gives what came of it.

        A leg that the feed is the authority for has no travel here: hung, it reads as not locked
        at either end, whatever the feed tells.

        Args:
            now_s: seconds; never less than in the last step.
            name: of the leg.
            fault: what is broken; None mends everything.

        Raises:
            LogicError: no such leg, or time runs backwards.
        """
        if name not in self._leg_names:
            raise LogicError(f"there is no leg '{name}'")
        if now_s < self._now_s:
            raise LogicError(f"the logic's time can not run backwards: {now_s} < {self._now_s}")
        self._now_s = now_s
        if now_s > self._timers.next_due_s:
            self._run_timers(nextafter(now_s, -inf))
        if self._own_legs:
            self._gear.set_fault(now_s, name, fault)
        else:
            self._leg_faults.pop(self._leg_names.index(name), None)
            if fault is not None:
                self._leg_faults[self._leg_names.index(name)] = fault
            self._take_locks(now_s, self._aircraft.leg_locks)
        self._update(now_s)

    def view(self) -> LogicView:
        """The inside as of the last step, for screens."""
        selection, handle = self._selection, self._handle
        faults = [handle.fault] if handle.fault else []
        if self._air_ground.is_fault:
            faults.append("the squat switches disagree")
        return LogicView(
            legs=tuple(self._leg_view(number) for number in range(len(self._leg_names))),
            handle=handle.position,
            gear_demand=None if selection.is_agreeing else selection.demand,
            selection_state=selection.state_id,
            on_ground=self._air_ground.ground_for_commands,
            gear_disagrees=self._disagrees(),
            warning_causes=warning_causes(self._warning.conditions),
            horn_silenced=self._warning.conditions.silenced,
            steering_engaged=self._steering.is_engaged,
            faults=(*faults, *self._locks.faults),
        )

    def reasons(self, name: str) -> tuple[Reason, ...]:
        """Why the lamp ``name`` or the ``horn`` is as it is after the last step.

        First every rule that can put it on (``rule: ...``), then the conditions that these looked
        at, with values and limits. It is on when a rule holds.

        Raises:
            LogicError: the aircraft has no such lamp.
        """
        switches, parameters = self._switches, self._parameters
        inside = Inside(
            parameters=parameters,
            switches=switches,
            aircraft=self._aircraft,
            air_ground=self._air_ground,
            handle=self._handle,
            selection=self._selection,
            locks=self._locks,
            warning=self._warning,
            steering=self._steering,
            agreement=self._agreement(),
            tests=Tests(
                lamp_test=switches.lamp_test is True,
                warning_test=switches.warning_test is True,
                lamp_test_sounds=parameters.lamps.lamp_test_sounds_horn,
            ),
            warning_tested=self._warning_tested,
        )
        known = name == "horn" or name in self._lamp_names
        if known and self._aircraft.bus_powered is False:
            return (UNPOWERED,)
        decisions = inside.decisions(name) if known else None
        if decisions is None:
            outputs = ", ".join((*self._lamp_names, "horn"))
            raise LogicError(f"no lamp is called '{name}'", hint=f"there are: {outputs}")
        return reasons_of(decisions)

    def _leg_view(self, number: int) -> LegView:
        locks = self._locks.locks[number]
        if self._own_legs:
            leg = self._gear.legs[number]
            state: LegState = leg.state
            travel: float | None = leg.travel_fraction(self._now_s)
        else:
            state, travel = told_leg(locks, self._selection.demand)
        strut = self._air_ground.struts[number]
        return LegView(self._leg_names[number], state, travel, strut, locks)

    # -- inputs ---------------------------------------------------------------------------------

    def _run_timers(self, now_s: float) -> None:
        while (due := self._timers.pop_due(now_s)) is not None:
            due_s, name = due
            if isinstance(name, tuple) and name[0] == self._gear.timer_prefix:
                self._gear.timer_due(due_s, name)
            for system in self._systems_due:
                if system.timer_due(due_s, name):
                    break
            self._update(due_s)

    def _take_switches(self, now_s: float, switches: SwitchState) -> None:
        before = self._switches
        self._switches = switches
        moved = switches.steering_button is not before.steering_button
        if switches.gear_handle is not before.gear_handle:
            self._handle.take(now_s, switches.gear_handle)
            moved = True
        silenced = self._warning.take_silence(
            horn_silence=switches.horn_silence, lever_horn_silence=switches.lever_horn_silence
        )
        moved = silenced or moved
        # Tests and dimmer lie over the lamps: no system looks at them.
        if switches.lamp_test is not before.lamp_test:
            self._note_test(now_s, "lamp_test", switches.lamp_test, before.lamp_test)
            self._dirty = True
        if switches.warning_test is not before.warning_test:
            self._note_test(now_s, "warning_test", switches.warning_test, before.warning_test)
            self._dirty = True
        if switches.dimmer_fraction != before.dimmer_fraction or switches.night is not before.night:
            self._dirty = True
        if moved:
            self._update(now_s)

    def _note_test(self, now_s: float, name: str, held: bool | None, before: bool | None) -> None:
        if (held is True) is not (before is True):
            self._log.note(now_s, f"{name}_started" if held else f"{name}_ended")

    def _take_aircraft(self, now_s: float, aircraft: AircraftState) -> None:
        before = self._aircraft
        self._aircraft = aircraft
        changed = self._take_for_warning(now_s, aircraft, before)
        if aircraft.strut_compressed != before.strut_compressed:
            self._air_ground.take(now_s, aircraft.strut_compressed)
            changed = True
        if aircraft.gear_handle is not before.gear_handle:
            changed = True
            if before.gear_handle is None and self._placed:
                self._find_simulator(aircraft.gear_handle)
        pressure_psi = aircraft.hydraulic_pressure_psi
        if pressure_psi != before.hydraulic_pressure_psi:
            gauges = gauge_steps({"hydraulic_pressure": pressure_psi})
            if gauges != self._gauges:
                self._gauges = gauges
                self._dirty = True
        if aircraft.bus_powered is not before.bus_powered:
            changed = True
        if not self._own_legs and aircraft.leg_locks != before.leg_locks:
            self._take_locks(now_s, aircraft.leg_locks)
            changed = True
        if not self._placed:
            self._place(now_s, aircraft)
            changed = True
        if changed:
            self._update(now_s)

    def _take_for_warning(
        self, now_s: float, aircraft: AircraftState, before: AircraftState
    ) -> bool:
        """Give the gear warning its numbers; True when it has to look again."""
        warning, changed = self._warning, False
        throttles = aircraft.throttle_fraction
        if throttles is not before.throttle_fraction:
            changed = warning.take_levers(now_s, throttles)
        if aircraft.flap_deg != before.flap_deg:
            changed = warning.take_flaps(aircraft.flap_deg) or changed
        if aircraft.airspeed_kias != before.airspeed_kias:
            changed = warning.take_airspeed(now_s, aircraft.airspeed_kias) or changed
        if aircraft.altitude_ft != before.altitude_ft:
            changed = warning.take_altitude(now_s, aircraft.altitude_ft) or changed
        return changed

    def _take_locks(
        self, now_s: float, told: Sequence[LegLocks], in_transit: Sequence[bool] = ()
    ) -> None:
        """Take the lock switches of the legs; those of broken legs of the feed lie."""
        if self._leg_faults:
            count = len(self._leg_names)
            filled = [*told[:count], *[LegLocks()] * (count - len(told))]
            for place, fault in self._leg_faults.items():
                hung = fault is LegFault.HUNG
                filled[place] = FREE_LOCKS if hung else broken_locks(filled[place], fault)
            told = filled
        self._locks.take(now_s, told, in_transit)

    def _find_simulator(self, handle: GearPosition | None) -> None:
        """The simulator's handle is known again: where it disagrees, nothing moves for now."""
        if handle is not self._selection.demand:
            self._selection.lose_agreement()

    def _place(self, now_s: float, aircraft: AircraftState) -> None:
        """Where the gear is found: from the first state that says anything of it."""
        told = aircraft.gear_handle is not None or any(
            compressed is not None for compressed in aircraft.strut_compressed
        )
        if not told:
            return
        self._placed = True
        struts = aircraft.strut_compressed
        in_air = bool(struts) and all(compressed is False for compressed in struts)
        if aircraft.gear_handle is GearPosition.UP and in_air and self._own_legs:
            self._selection.demand = GearPosition.UP
            self._gear.place(GearPosition.UP)
            self._locks = GearLocks(self._leg_names, self._log)  # found there, not moved there
            self._take_locks(now_s, self._gear.locks)

    def _reference(self) -> GearPosition | None:
        """Where the gear is, for the agreement with the handle; None while nobody knows."""
        handle = self._aircraft.gear_handle
        if handle is not None or not self._placed:
            return handle
        if self._own_legs:
            return self._selection.demand
        if self._locks.all_up:
            return GearPosition.UP
        return GearPosition.DOWN if self._locks.all_down else None

    # -- systems --------------------------------------------------------------------------------

    def _update(self, now_s: float) -> None:
        """Have every system look again, in the fixed order."""
        self.updates += 1
        self._dirty = self._moved = True
        self._air_ground.update(now_s)
        selection = self._selection
        while True:
            all_up = self._locks.all_up
            selection.update(
                now_s,
                self._handle,
                in_air=not self._air_ground.ground_for_commands,
                has_weight=self._air_ground.has_weight,
                all_up=all_up,
                reference=self._reference(),
            )
            if self._own_legs:
                self._gear.update(now_s, demand=selection.demand)
                self._take_locks(now_s, self._gear.locks, self._gear.in_transit)
            # What the selection was told of the legs must be what they are now: else it would find
            # out at the next look, whenever that is.
            if self._locks.all_up is all_up:
                break
        steered = self._steered
        if steered is not None:
            self._steering.update(
                now_s,
                button=self._switches.steering_button,
                compressed=self._air_ground.struts[steered],
                leg_down=self._locks.sensed[steered].locked_down,
            )
        self._warning.update(
            now_s,
            all_down=self._locks.all_down,
            handle_up_on_ground=selection.is_refused and self._air_ground.has_weight,
        )

    def _finish(self, now_s: float) -> None:
        """Make the result of a step in which something has changed."""
        self._dirty = False
        before = self._result
        commands = before.commands
        if self._moved:
            self._moved = False
            lit = self._light()
            self._outputs.take(lit, self._warning.pattern)
            if self._flashing:
                self._flash.update(now_s, wanted=any(lit[name] for name in self._flashing))
            commands = Commands(
                gear=self._gear_command(), steering_engaged=self._steering.is_engaged
            )
            if commands == before.commands:
                commands = before.commands
        outputs = self._outputs.show(self._look(), self._gauges)
        happenings = self._log.take()
        if (
            outputs is not before.outputs
            or commands is not before.commands
            or happenings
            or before.happenings
        ):
            self._result = StepResult(outputs, commands, happenings)

    def _look(self) -> Look:
        switches = self._switches
        return Look(
            dimmer_fraction=switches.dimmer_fraction,
            night=switches.night is True,
            lamp_test=switches.lamp_test is True,
            warning_test=switches.warning_test is True,
            powered=self._aircraft.bus_powered is not False,
            flash_on=self._flash.on,
        )

    def _gear_command(self) -> GearPosition | None:
        """Nothing while the handle and the gear have not agreed, or the handle is broken."""
        selection = self._selection
        return None if selection.is_agreeing or self._handle.fault else selection.demand

    def _light(self) -> Mapping[str, bool]:
        """Which lamps the systems light, without tests and dimmer."""
        lit = {}
        for name, sensed in zip(self._leg_names, self._locks.sensed, strict=True):
            lit[f"{name}_green"] = green_lit(sensed)
            lit[f"{name}_red"] = red_lit(sensed)
        warned = bool(warning_causes(self._warning.conditions))
        lit["handle_red"] = handle_lit(self._agreement()) or warned
        if self._steered is not None:
            lit["steering"] = self._steering.is_engaged
        return {name: lit[name] for name in self._lamp_names}

    def _disagrees(self) -> bool:
        return GEAR_DISAGREES.holds(self._agreement())

    def _agreement(self) -> Agreement:
        handle, locks = self._handle, self._locks
        return Agreement(
            handle.position if handle.is_valid else None,
            locks.all_down,
            locks.all_up,
            doors_latched=not self._own_legs or self._gear.doors_latched,
        )
