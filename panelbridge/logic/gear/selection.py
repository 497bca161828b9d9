"""Gear selection: from the handle to what is asked of the legs.

* Start-up is not a command, nor is a board or a simulator that comes back: a handle found elsewhere
  than the gear moves nothing until they agree or the pilot moves it.
* On the ground the retract circuit is open (FAA Airplane Flying Handbook ch. 12, fig. 12-12): a
  handle raised there moves nothing, warns, and is recorded as a ground retract attempt (p. 248);
  when the weight comes off with the handle still up, the gear retracts without a new selection.
* Where air is not known, a raised handle moves nothing either; a retraction that is on goes on.
* After an emergency extension nothing retracts until the reset (US Army TM 1-1510-224-10): the legs
  are asked to go down, wherever the handle stands.
* Weight that comes back before all legs are locked up asks for down again, so that no strut stays
  half-way under the aircraft.
"""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace
from statemachine import State

from panelbridge.logic.gear.events import EventLog
from panelbridge.logic.gear.handle import GearHandle
from panelbridge.logic.kit.chart import Chart
from panelbridge.signals import GearPosition

UP, DOWN = GearPosition.UP, GearPosition.DOWN


class SelectionChart(Chart):
    """What the handle asks for."""

    sel_agreeing = State(initial=True)
    sel_down = State()
    sel_up = State()
    sel_refused = State()

    asked_down = sel_down.from_(sel_agreeing, sel_up, sel_refused)
    asked_up = sel_up.from_(sel_agreeing, sel_down, sel_refused)
    asked_up_on_ground = sel_refused.from_(sel_agreeing, sel_down, sel_up)
    agreement_lost = sel_agreeing.from_(sel_down, sel_up, sel_refused)


class GearSelection(Struct, frozen=True):
    """The selector between handle and legs.

    Attributes:
        state_id: of the chart.
        demand: where the legs are asked to go; while agreeing, what was asked last.
        found: where the handle was when the agreement was last lost; None before it is known.
        disagreed: the disagreement was reported.
        refusal: the event that reported why the gear stays down; empty before one did.
    """

    state_id: str = "sel_agreeing"
    demand: GearPosition = DOWN
    found: GearPosition | None = None
    disagreed: bool = False
    refusal: str = ""

    @property
    def is_agreeing(self) -> bool:
        """Nothing is commanded: the handle is unknown, or found elsewhere than the gear."""
        return self.state_id == "sel_agreeing"

    @property
    def is_refused(self) -> bool:
        """The handle is up and the gear stays down: weight, air not known, or locked out."""
        return self.state_id == "sel_refused"

    def lose_agreement(self) -> GearSelection:
        """Handle and gear have to agree again before anything moves."""
        return replace(self._sent("agreement_lost"), found=None, disagreed=False)

    def look(
        self,
        now_s: float,
        handle: GearHandle,
        log: EventLog,
        *,
        in_air: bool,
        has_weight: bool,
        all_up: bool,
        reference: GearPosition | None,
        locked_out: bool = False,
    ) -> GearSelection:
        """What it is now.

        Args:
            now_s: seconds.
            handle: the handle.
            log: takes its events.
            in_air: known to be in the air; only then a leg may leave its down-lock.
            has_weight: a strut is known to carry weight.
            all_up: every leg is locked up.
            reference: where the gear is: the simulator's handle, else what was asked last; None
                while that is unknown, and then nothing is agreed or commanded.
            locked_out: an emergency extension was begun and not reset.
        """
        selection = self
        # What is unknown commands nothing: only weight that is known and an emergency extension
        # turn the legs round, and that whatever became of the handle.
        if self.demand is UP and (locked_out or (has_weight and not all_up)):
            selection = replace(self, demand=DOWN) if self.is_agreeing else self._refused()
        if not handle.is_known:
            return selection.lose_agreement()
        position = handle.known_position
        if position is None:
            return selection  # on its way or broken: what was asked stays
        may_go_up = (in_air or all_up) and not locked_out
        if selection.is_agreeing:
            if reference is not None:
                selection = selection._agree(now_s, position, reference, log, may_go_up=may_go_up)
        elif position is DOWN:
            if selection.state_id != "sel_down":
                selection = selection._asked(now_s, DOWN, log)
        elif may_go_up:
            if selection.state_id != "sel_up":
                selection = selection._asked(now_s, UP, log)
        elif selection.state_id == "sel_down":
            selection = selection._refused()
        return selection._report_refusal(now_s, log, has_weight=has_weight, locked_out=locked_out)

    def _agree(
        self,
        now_s: float,
        position: GearPosition,
        reference: GearPosition,
        log: EventLog,
        *,
        may_go_up: bool,
    ) -> GearSelection:
        found = self.found or position
        agreed = position is reference
        if agreed and self.disagreed:
            log.note(now_s, "gear_handle_agreed")
        if not agreed and position is found:  # not moved by the pilot: that would be a command
            if not self.disagreed:
                log.note(now_s, "gear_handle_disagreed", position=position.value)
            return replace(self, found=found, disagreed=True)
        if position is UP and not may_go_up:
            return self._refused()
        if agreed:
            return replace(self, demand=position)._sent(f"asked_{position}")
        return self._asked(now_s, position, log)

    def _asked(self, now_s: float, position: GearPosition, log: EventLog) -> GearSelection:
        if position is UP or self.demand is UP:
            log.note(now_s, f"gear_{position}_commanded")
        return replace(self, demand=position)._sent(f"asked_{position}")

    def _refused(self) -> GearSelection:
        return replace(self, demand=DOWN, refusal="")._sent("asked_up_on_ground")

    def _report_refusal(
        self, now_s: float, log: EventLog, *, has_weight: bool, locked_out: bool
    ) -> GearSelection:
        """Report why the gear stays down, once for each reason."""
        if has_weight:
            name = "ground_retract_refused"
        else:
            name = "retract_locked_out" if locked_out else "gear_up_held"
        if not self.is_refused or self.refusal in (name, "ground_retract_refused"):
            return self
        log.note(now_s, name)
        return replace(self, refusal=name)

    def _sent(self, trigger: str) -> GearSelection:
        return replace(self, state_id=SelectionChart.after(self.state_id, trigger))
