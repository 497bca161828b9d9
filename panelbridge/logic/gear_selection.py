"""Gear selection: from the handle to what is asked of the legs.

* Start-up is not a command, nor is a board that comes back: a handle found elsewhere than the gear
  moves nothing until they agree or the pilot moves it.
* On the ground the retract circuit is open (FAA Airplane Flying Handbook ch. 12, fig. 12-12): a
  handle raised there moves nothing, warns, and is recorded as a ground retract attempt (p. 248);
  when the weight comes off with the handle still up, the gear retracts without a new selection.
* Weight that comes back before all legs are locked up asks for down again, so that no strut stays
  half-way under the aircraft.
"""

from __future__ import annotations

from statemachine import State

from panelbridge.logic.chart import Chart
from panelbridge.logic.gear_handle import GearHandle
from panelbridge.logic.happenings import HappeningLog
from panelbridge.signals import GearPosition


class SelectionChart(Chart):
    """What the handle asks for."""

    sel_agreeing = State(initial=True)
    sel_down = State()
    sel_up = State()
    sel_refused = State()

    asked_down = sel_agreeing.to(sel_down) | sel_up.to(sel_down) | sel_refused.to(sel_down)
    asked_up = sel_agreeing.to(sel_up) | sel_down.to(sel_up) | sel_refused.to(sel_up)
    asked_up_on_ground = (
        sel_agreeing.to(sel_refused) | sel_down.to(sel_refused) | sel_up.to(sel_refused)
    )
    handle_lost = sel_down.to(sel_agreeing) | sel_up.to(sel_agreeing) | sel_refused.to(sel_agreeing)


class GearSelection:
    """The selector between handle and legs.

    Args:
        log: takes its happenings.
    """

    def __init__(self, log: HappeningLog) -> None:
        self._log = log
        self._chart = SelectionChart()
        self._found: GearPosition | None = None
        self._told = False
        self.demand = GearPosition.DOWN
        """What is asked of the legs; while agreeing, what was asked last."""

    @property
    def state_id(self) -> str:
        """Id of the chart's state."""
        return self._chart.state_id

    @property
    def is_agreeing(self) -> bool:
        """Nothing is commanded: the handle is not known, or found elsewhere than the gear."""
        return self._chart.state_id == "sel_agreeing"

    @property
    def is_refused(self) -> bool:
        """The handle is up on the ground."""
        return self._chart.state_id == "sel_refused"

    def update(
        self,
        now_s: float,
        handle: GearHandle,
        *,
        on_ground: bool,
        all_up: bool,
        reference: GearPosition,
    ) -> None:
        """Look at the handle again.

        Args:
            now_s: seconds.
            handle: the handle.
            on_ground: air/ground, for commands.
            all_up: every leg is locked up.
            reference: where the gear is: the simulator's handle, else what was asked last.
        """
        if not handle.is_known:
            if not self.is_agreeing:
                self._chart.send_event("handle_lost")
            self._found = None
            self._told = False
            return
        position = handle.position
        if not handle.is_valid or position is None:
            return  # on its way or broken: what was asked stays
        grounded = on_ground and not all_up
        if self.is_agreeing:
            self._agree(now_s, position, grounded=grounded, reference=reference)
        elif position is GearPosition.DOWN:
            if self.state_id != "sel_down":
                self._ask_down(now_s)
        elif self.state_id != ("sel_refused" if grounded else "sel_up"):
            self._ask_up(now_s, grounded=grounded)

    def _agree(
        self, now_s: float, position: GearPosition, *, grounded: bool, reference: GearPosition
    ) -> None:
        if self._found is None:
            self._found = position
        agreed = position is reference
        if agreed and self._told:
            self._log.note(now_s, "gear_handle_agreed")
        if agreed and not (position is GearPosition.UP and grounded):
            self.demand = position
            self._chart.send_event("asked_down" if position is GearPosition.DOWN else "asked_up")
        elif agreed or position is not self._found:  # the pilot has moved it: that is a command
            if position is GearPosition.DOWN:
                self._ask_down(now_s)
            else:
                self._ask_up(now_s, grounded=grounded)
        elif not self._told:
            self._told = True
            self._log.note(now_s, "gear_handle_disagreed", position=position.value)

    def _ask_down(self, now_s: float) -> None:
        if self.demand is GearPosition.UP:
            self._log.note(now_s, "gear_down_commanded")
        self.demand = GearPosition.DOWN
        self._chart.send_event("asked_down")

    def _ask_up(self, now_s: float, *, grounded: bool) -> None:
        self.demand = GearPosition.DOWN if grounded else GearPosition.UP
        self._log.note(now_s, "ground_retract_refused" if grounded else "gear_up_commanded")
        self._chart.send_event("asked_up_on_ground" if grounded else "asked_up")
