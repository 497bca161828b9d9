"""All systems together: one step from switches and aircraft to lamps, horn and commands.

Order of a step, always the same: timers that came due before it, each at its own due time; then the
switches; then the aircraft's values; then timers that are due at this very instant. After each of
them the systems look again (``systems``). Lamps come last, once.

Edge-triggered: while no condition changes, a step is a handful of comparisons and gives the very
object that it gave before.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from math import inf, nextafter

from panelbridge.clock import TimerHeap
from panelbridge.errors import LogicError
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.aircraft_values import values_of
from panelbridge.logic.events import EventLog
from panelbridge.logic.flash import Flash
from panelbridge.logic.gear_warning import warning_causes
from panelbridge.logic.inventory import lamps_of, signals_of_aircraft, warning_tested_of
from panelbridge.logic.lamps import Look
from panelbridge.logic.own_lamps import OwnLamps
from panelbridge.logic.panel_outputs import PanelOutputs, gauge_steps
from panelbridge.logic.reasons import UNPOWERED, decisions_of
from panelbridge.logic.rule import reasons_of
from panelbridge.logic.steering_schedule import PedalShaping
from panelbridge.logic.system import loudest
from panelbridge.logic.systems import Systems
from panelbridge.signals import (
    AircraftState,
    Commands,
    GearPosition,
    HornPattern,
    LogicView,
    Outputs,
    Reason,
    StepResult,
    SwitchState,
    Value,
)

DRIFT_LOOK_S = 0.2
"""While pressures fall or rise by themselves, gauges and a builder's own lamps are looked at so
often, s."""
_DRIFT = ("drift",)


@dataclass(frozen=True)
class _Shown:
    """The panel at this instant, for a builder's own lamps; read at once and not kept."""

    switches: SwitchState
    aircraft: AircraftState
    outputs: Outputs
    shown_lamps: Mapping[str, int]
    gear_command: str
    look_inside: Callable[[], LogicView]

    @cached_property
    def view(self) -> LogicView:
        """The inside of the logic, made when the first condition asks for it."""
        return self.look_inside()


class PanelLogic:
    """The logic of one panel. No I/O, no clock: the same inputs give the same results.

    The legs of the model start locked down, unless the first aircraft state that tells anything
    says that the simulator's handle is up with no strut compressed: then they start locked up.

    Args:
        aircraft: the aircraft's numbers.
        handle_travel_s: longest time of the gear handle between its contacts, s.
        shaping: of the panel's steering pedals or tiller.

    Raises:
        LogicError: parts of the aircraft do not fit one another.
    """

    def __init__(
        self,
        aircraft: AircraftParameters,
        *,
        handle_travel_s: float = 1.0,
        shaping: PedalShaping | None = None,
    ) -> None:
        self._parameters = aircraft
        self._timers = TimerHeap()
        self._log = EventLog()
        self._systems = Systems(
            aircraft, self._timers, self._log, handle_travel_s=handle_travel_s, shaping=shaping
        )
        self._lamp_names = tuple(lamps_of(aircraft))
        self._own_lamps: OwnLamps | None = None
        self._lamps_read: tuple[str, ...] = ()
        if aircraft.own_lamps:
            signals, values = signals_of_aircraft(aircraft), values_of(aircraft)
            self._own_lamps = OwnLamps(aircraft.own_lamps, signals, values)
            self._systems.more_bands = self._own_lamps.between
            self._lamps_read = self._own_lamps.switches
        self._drift_timers = tuple(
            timer for part in self._systems.parts for timer in part.drift_timers
        )
        self._now_s = float("-inf")
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
        self._is_still = False
        """The last step gave no events and left nothing to be made of what has changed."""
        self.updates = 0
        """How often the systems have looked again: while that stands still, so does the view, but
        for legs on their way and pressures that change by themselves."""

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
            raise LogicError(f"the logic's time cannot run backwards: {now_s} < {self._now_s}")
        self._now_s = now_s
        systems, due_s = self._systems, self._timers.next_due_s
        if (
            now_s < due_s
            and switches is systems.switches
            and self._is_still
            and (calm := systems.calm) is not None
            and calm(aircraft)
        ):
            systems.aircraft = aircraft
            return self._result
        if now_s > due_s:
            self._run_timers(nextafter(now_s, -inf))
        before = systems.aircraft
        if switches is not systems.switches:
            # What is found at the very beginning is found together: nobody looks at half of it.
            waits = systems.calm is None and self.updates == 0 and aircraft is not before
            self._take_switches(now_s, switches, look=not waits)
        if aircraft is not before:
            if (calm := systems.calm) is not None and calm(aircraft):
                systems.aircraft = aircraft
            else:
                self._take_aircraft(now_s, aircraft, before)
        if now_s >= self._timers.next_due_s:
            self._run_timers(now_s)
        if self._dirty:
            self._finish(now_s)
        elif self._result.events:
            self._result = StepResult(self._result.outputs, self._result.commands)
        self._is_still = not self._result.events
        return self._result

    def set_fault(self, now_s: float, target: str, kind: str | None) -> None:
        """Break a part on the bench, or mend it; the next step gives what came of it.

        A leg that the feed is the authority for has no travel here: hung, it reads as not locked
        at either end, whatever the feed tells.

        Args:
            now_s: seconds; never less than in the last step.
            target: a leg by its name, or a part of ``inventory.faults_of``.
            kind: how it is broken; None mends it.

        Raises:
            LogicError: no such part, it cannot break so, or time runs backwards.
        """
        if now_s < self._now_s:
            raise LogicError(f"the logic's time cannot run backwards: {now_s} < {self._now_s}")
        self._now_s = now_s
        if now_s > self._timers.next_due_s:
            self._run_timers(nextafter(now_s, -inf))
        self._systems.set_fault(now_s, target, kind)
        self._update(now_s)

    def view(self) -> LogicView:
        """The inside as of the last step, for screens."""
        systems, now_s = self._systems, self._now_s
        systems.catch_up(now_s)
        gear, handle, steering = systems.gear, systems.handle, systems.steering
        selection, struts = gear.selection, systems.air_ground.struts
        faults = [handle.fault] if handle.fault else []
        if systems.air_ground.is_fault:
            faults.append("the squat switches disagree")
        faults += gear.locks.faults
        values: dict[str, Value] = {}
        for part in systems.parts:
            faults += part.faults()
            values.update(part.values(now_s))
        return LogicView(
            legs=tuple([gear.leg_view(n, now_s, struts[n]) for n in range(len(struts))]),
            handle=handle.position,
            gear_demand=None if selection.is_agreeing else selection.demand,
            selection_state=selection.state_id,
            on_ground=systems.air_ground.ground_for_commands,
            gear_disagrees=not gear.agreement(handle).agrees,
            warning_causes=warning_causes(systems.warning.conditions),
            horn_silenced=systems.warning.conditions.silenced,
            steering_engaged=steering is not None and steering.is_engaged,
            faults=tuple(faults),
            values=values,
        )

    def reasons(self, name: str) -> tuple[Reason, ...]:
        """Why the lamp ``name`` or the ``horn`` is as it is after the last step.

        First every rule that can put it on (``rule: ...``), then the conditions that these looked
        at, with values and limits. It is on when a rule holds; a flashing lamp is dark half of the
        time all the same.

        Raises:
            LogicError: the aircraft has no such lamp.
        """
        if name != "horn" and name not in self._lamp_names:
            outputs = ", ".join((*self._lamp_names, "horn"))
            raise LogicError(f"no lamp is called '{name}'", hint=f"there are: {outputs}")
        if self._systems.aircraft.bus_powered is False:
            return (UNPOWERED,)
        self._systems.catch_up(self._now_s)
        decisions = decisions_of(name, self._systems, self._warning_tested)
        if self._own_lamps is not None:
            decisions = (*self._own_lamps.decisions(name, self._shown()), *decisions)
        return reasons_of(decisions)

    # -- inputs ---------------------------------------------------------------------------------

    def _run_timers(self, now_s: float) -> None:
        while (due := self._timers.pop_due(now_s)) is not None:
            due_s, name = due
            if self._flash.timer_due(due_s, name):
                self._dirty = True
            elif name == _DRIFT:
                self._dirty = self._moved = True
            else:
                self._systems.timer_due(due_s, name)
                self._update(due_s)

    def _take_switches(self, now_s: float, switches: SwitchState, *, look: bool) -> None:
        before = self._systems.switches
        moved = self._systems.take_switches(now_s, switches)
        # Tests, dimmer and night lie over the lamps: no system looks at them.
        for name in ("lamp_test", "warning_test"):
            held, was = getattr(switches, name), getattr(before, name)
            if held is not was:
                self._dirty = True
                if (held is True) is not (was is True):
                    self._log.note(now_s, f"{name}_started" if held else f"{name}_ended")
        if switches.dimmer_fraction != before.dimmer_fraction or switches.night is not before.night:
            self._dirty = True
        if look and moved:
            self._update(now_s)
        elif any(getattr(switches, name) is not getattr(before, name) for name in self._lamps_read):
            self._dirty = self._moved = True  # for the builder's own lamps alone

    def _take_aircraft(self, now_s: float, aircraft: AircraftState, before: AircraftState) -> None:
        systems, own = self._systems, self._own_lamps
        of_own_lamps = own is not None and own.take_aircraft(aircraft)
        changed = systems.take_aircraft(now_s, aircraft) or of_own_lamps
        if aircraft.gear_handle is not before.gear_handle and before.gear_handle is None:
            systems.gear.find_simulator(aircraft.gear_handle)
        if systems.gear.place(now_s, aircraft):
            changed = True
        if systems.gauge_moved:
            systems.gauge_moved = False
            self._dirty = True
        if changed or self.updates == 0:
            self._update(now_s)

    def _update(self, now_s: float) -> None:
        """Have every system look again, in the fixed order."""
        self.updates += 1
        self._dirty = self._moved = True
        self._is_still = False
        self._systems.update(now_s)

    # -- the result -----------------------------------------------------------------------------

    def _finish(self, now_s: float) -> None:
        """Make the result of a step in which something has changed."""
        self._dirty = False
        before = self._result
        commands = before.commands
        if self._moved:
            self._moved = False
            self._settle(now_s)
            commands = self._commands()
            if commands == before.commands:
                commands = before.commands
        outputs = self._outputs.show(self._look(), gauge_steps(self._gauges(now_s)))
        events = self._log.take()
        if (
            outputs is not before.outputs
            or commands is not before.commands
            or events
            or before.events
        ):
            self._result = StepResult(outputs, commands, events)

    def _settle(self, now_s: float) -> None:
        """What the systems light, sound and hold, and when to look again."""
        systems = self._systems
        lit: dict[str, bool] = systems.gear.lit()
        warned = bool(warning_causes(systems.warning.conditions))
        lit["handle_red"] = warned or systems.gear.disagrees(systems.handle)
        for part in systems.parts:
            lit.update(part.lit())
        if self._own_lamps is not None:
            self._own_lamps.update(self._shown())
            lit.update(self._own_lamps.lit())
        lock = systems.handle_lock
        solenoids = {} if lock is None else {"handle_lock": lock.is_held}
        self._outputs.take({name: lit[name] for name in self._lamp_names}, self._horn(), solenoids)
        if self._flashing:
            self._flash.update(now_s, wanted=any(lit[name] for name in self._flashing))
        timers, own = self._timers, self._own_lamps
        drifts = own is not None and own.reads_changing
        drifts = drifts or any(timers.running(timer) for timer in self._drift_timers)
        if drifts and not timers.running(_DRIFT):
            timers.start(_DRIFT, now_s + DRIFT_LOOK_S)

    def _horn(self) -> HornPattern:
        patterns = [part.horn() for part in self._systems.parts if part.horn_rules]
        return loudest((self._systems.warning.pattern, *patterns))

    def _gauges(self, now_s: float) -> dict[str, float | None]:
        """What each gauge shows, psi or applications; None when unknown."""
        systems = self._systems
        hydraulics, told_psi = systems.hydraulics, systems.aircraft.hydraulic_pressure_psi
        gauges = {"hydraulic_pressure": told_psi if hydraulics is None else hydraulics.gauge_psi}
        for gauge, value, part in (
            ("emergency_air", "emergency_air_psi", systems.emergency),
            ("brake_accumulator", "brake_applications_left", systems.brakes),
        ):
            if part is not None and isinstance(shown := part.values(now_s).get(value), float):
                gauges[gauge] = shown
        return gauges

    def _look(self) -> Look:
        switches = self._systems.switches
        return Look(
            dimmer_fraction=switches.dimmer_fraction,
            night=switches.night is True,
            lamp_test=switches.lamp_test is True,
            warning_test=switches.warning_test is True,
            powered=self._systems.aircraft.bus_powered is not False,
            flash_on=self._flash.on,
        )

    def _commands(self) -> Commands:
        systems = self._systems
        steering, hydraulics, emergency = systems.steering, systems.hydraulics, systems.emergency
        brakes, antiskid = systems.brakes, systems.antiskid
        return Commands(
            gear=self._gear_command(),
            steering_engaged=steering is not None and steering.is_engaged,
            steering_deg=0.0 if steering is None else steering.steering_deg,
            emergency_extend=emergency is not None and emergency.means is not None,
            aux_pump=hydraulics is not None and hydraulics.aux_running,
            consumers=() if hydraulics is None else hydraulics.consumers,
            brake_fraction=()
            if brakes is None
            else brakes.wheel_fractions(() if antiskid is None else antiskid.shut_off),
            parking_brake=brakes is not None and brakes.parking_holds,
            antiskid=antiskid is not None and antiskid.is_working,
        )

    def _gear_command(self) -> GearPosition | None:
        """Nothing while the handle and the gear have not agreed, or the handle is broken."""
        selection = self._systems.gear.selection
        return None if selection.is_agreeing or self._systems.handle.fault else selection.demand

    def _shown(self) -> _Shown:
        command = self._gear_command()
        return _Shown(
            self._systems.switches,
            self._systems.aircraft,
            self._result.outputs,
            self._result.outputs.lamps,
            "none" if command is None else command.value,
            self.view,
        )
