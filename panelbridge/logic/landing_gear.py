"""The landing gear as one: selection, power, legs with their doors, and what their locks say.

They look at one another until nothing changes any more, so that what the selection was told of the
legs is what they are.
"""

from __future__ import annotations

from collections.abc import Sequence

from panelbridge.clock import TimerHeap
from panelbridge.logic.air_ground import AirGround
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.events import EventLog
from panelbridge.logic.gear import EmergencyMeans, Gear
from panelbridge.logic.gear_handle import GearHandle
from panelbridge.logic.gear_lamps import Agreement, green_lit, handle_lit, red_lit
from panelbridge.logic.gear_locks import GearLocks, told_leg
from panelbridge.logic.gear_power import GearPower
from panelbridge.logic.gear_selection import GearSelection
from panelbridge.logic.legs import FREE_LOCKS, LegFault, broken_locks
from panelbridge.logic.system import System
from panelbridge.signals import AircraftState, GearPosition, LegLocks, LegState, LegView


class LandingGear:
    """Selection, power, legs and locks.

    Args:
        aircraft: the aircraft's numbers.
        timers: of all of them.
        log: takes their events.
    """

    def __init__(self, aircraft: AircraftParameters, timers: TimerHeap, log: EventLog) -> None:
        self._names = [leg.name for leg in aircraft.legs]
        self._log = log
        self._takes_fluid = aircraft.gear_power.power == "hydraulic"
        self._flow_l_per_s = aircraft.gear_power.flow_l_per_s
        self.own_legs = aircraft.authority.legs == "model"
        self.selection = GearSelection(log)
        self.legs = Gear(aircraft.legs, timers, log, aircraft.gear_order)
        self.power = GearPower(aircraft.gear_power, timers, log)
        self.locks = GearLocks(self._names, log)
        self._leg_faults: dict[int, LegFault] = {}
        self._placed = False
        if self.own_legs:
            self._take_locks(0.0, self.legs.locks)

    @property
    def parts(self) -> tuple[System, ...]:
        """Its systems; without legs of the model there is nothing that moves them."""
        return (self.selection, self.legs, self.power) if self.own_legs else (self.selection,)

    @property
    def flow_l_per_s(self) -> float:
        """What the moving gear takes from the hydraulics now, litres a second."""
        runs = self._takes_fluid and self.own_legs and self.power.is_running
        return self._flow_l_per_s if runs else 0.0

    # -- where it is found ----------------------------------------------------------------------

    def place(self, now_s: float, aircraft: AircraftState) -> bool:
        """Find the gear, from the first state that says anything of it; True when that is now."""
        if self._placed:
            return False
        struts = aircraft.strut_compressed
        if aircraft.gear_handle is None and all(one is None for one in struts):
            return False
        self._placed = True
        in_air = bool(struts) and all(compressed is False for compressed in struts)
        if aircraft.gear_handle is GearPosition.UP and in_air and self.own_legs:
            self.selection.demand = GearPosition.UP
            self.legs.place(GearPosition.UP)
            self.locks = GearLocks(self._names, self._log)  # found there, not moved there
            self._take_locks(now_s, self.legs.locks)
        return True

    def find_simulator(self, handle: GearPosition | None) -> None:
        """The simulator's handle is known again: where it disagrees, nothing moves for now."""
        if self._placed and handle is not self.selection.demand:
            self.selection.lose_agreement()

    # -- the feed's legs ------------------------------------------------------------------------

    def take_told(self, now_s: float, told: Sequence[LegLocks]) -> None:
        """Take the lock switches of legs that the feed is the authority for; broken ones lie."""
        if self._leg_faults:
            count = len(self._names)
            filled = [*told[:count], *[LegLocks()] * (count - len(told))]
            for place, fault in self._leg_faults.items():
                hung = fault is LegFault.HUNG
                filled[place] = FREE_LOCKS if hung else broken_locks(filled[place], fault)
            told = filled
        self._take_locks(now_s, told)

    def feed_leg_fault(
        self, now_s: float, leg: str, kind: str | None, told: Sequence[LegLocks]
    ) -> bool:
        """Have a leg of the feed lie, or mend it; False when the legs are not the feed's."""
        if self.own_legs or leg not in self._names:
            return False
        place = self._names.index(leg)
        self._leg_faults.pop(place, None)
        if kind is not None:
            self._leg_faults[place] = LegFault(kind)
        self.take_told(now_s, told)
        return True

    def _take_locks(
        self, now_s: float, locks: Sequence[LegLocks], in_transit: Sequence[bool] = ()
    ) -> None:
        self.locks.take(now_s, locks, in_transit)

    # -- the look -------------------------------------------------------------------------------

    def update(
        self,
        now_s: float,
        handle: GearHandle,
        *,
        air_ground: AirGround,
        aircraft: AircraftState,
        hydraulic: bool,
        gear_reset: bool | None,
        emergency: EmergencyMeans | None,
        retract_locked_out: bool,
        stroke: bool,
    ) -> None:
        """Decide anew.

        Args:
            now_s: seconds.
            handle: the gear handle.
            air_ground: the squat switches.
            aircraft: the aircraft now.
            hydraulic: the hydraulics serve the gear.
            gear_reset: the reset button is pressed; None when unknown.
            emergency: by what an emergency extension drives the legs; None while there is none.
            retract_locked_out: nothing may retract the gear until the reset.
            stroke: a stroke of the hand pump gives pressure now.
        """
        while True:
            all_up = self.locks.all_up
            self.selection.update(
                now_s,
                handle,
                in_air=not air_ground.ground_for_commands,
                has_weight=air_ground.has_weight,
                all_up=all_up,
                reference=self._reference(aircraft),
                retract_locked_out=retract_locked_out,
            )
            if not self.own_legs:
                return
            demand, legs, power = self.selection.demand, self.legs, self.power
            at_end = legs.at_end(demand)
            power.update(
                now_s,
                demand=demand,
                at_end=at_end,
                hydraulic=hydraulic,
                bus_powered=aircraft.bus_powered,
                gear_reset=gear_reset,
                emergency=emergency is not None,
            )
            legs.update(
                now_s,
                demand=demand,
                powered=power.drives,
                held_up=power.holds_up,
                emergency=emergency,
                stroke=stroke,
            )
            self._take_locks(now_s, legs.locks, legs.in_transit)
            if self.locks.all_up is all_up and legs.at_end(demand) is at_end:
                return

    def _reference(self, aircraft: AircraftState) -> GearPosition | None:
        """Where the gear is, for the agreement with the handle; None while nobody knows."""
        if aircraft.gear_handle is not None or not self._placed:
            return aircraft.gear_handle
        if self.own_legs:
            return self.selection.demand
        if self.locks.all_up:
            return GearPosition.UP
        return GearPosition.DOWN if self.locks.all_down else None

    # -- what it shows --------------------------------------------------------------------------

    def lit(self) -> dict[str, bool]:
        """Whether the lamps of each leg are lit."""
        lit = {}
        for name, sensed in zip(self._names, self.locks.sensed, strict=True):
            lit[f"{name}_green"] = green_lit(sensed)
            lit[f"{name}_red"] = red_lit(sensed)
        return lit

    def agreement(self, handle: GearHandle) -> Agreement:
        """The handle and the gear."""
        return Agreement(
            handle.known_position,
            self.locks.all_down,
            self.locks.all_up,
            self._doors_latched,
        )

    def disagrees(self, handle: GearHandle) -> bool:
        """The gear is not where the handle stands, or a door is loose at rest."""
        return handle_lit(self.agreement(handle))

    @property
    def _doors_latched(self) -> bool:
        return not self.own_legs or self.legs.doors_latched

    def leg_view(self, number: int, now_s: float, strut: bool | None) -> LegView:
        """One leg as a screen shows it."""
        locks = self.locks.locks[number]
        if self.own_legs:
            leg = self.legs.legs[number]
            state: LegState = leg.state
            travel: float | None = leg.travel_fraction(now_s)
        else:
            state, travel = told_leg(locks, self.selection.demand)
        return LegView(self._names[number], state, travel, strut, locks)
