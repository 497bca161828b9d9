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

from collections.abc import Mapping

from statemachine import State

from panelbridge.logic.chart import Chart
from panelbridge.logic.events import EventLog
from panelbridge.logic.gear_handle import GearHandle
from panelbridge.logic.system import System, ValueInfo
from panelbridge.signals import GearPosition, Value

_WORDS = {
    "sel_agreeing": "agreeing",
    "sel_down": "down",
    "sel_up": "up",
    "sel_refused": "refused",
}
_LOCKED_OUT = "locked_out"


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
    agreement_lost = (
        sel_down.to(sel_agreeing) | sel_up.to(sel_agreeing) | sel_refused.to(sel_agreeing)
    )


class GearSelection(System):
    """The selector between handle and legs.

    Args:
        log: takes its events.
    """

    published = (
        ValueInfo(
            "gear_selection", "word", "gear selection", words=(*_WORDS.values(), _LOCKED_OUT)
        ),
    )

    def __init__(self, log: EventLog) -> None:
        self._log = log
        self._chart = SelectionChart()
        self._found: GearPosition | None = None
        self._told = False
        self._told_refusal = ""
        self._locked_out = False
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
        """The handle is up and the gear stays down: weight, air not known, or locked out."""
        return self._chart.state_id == "sel_refused"

    def values(self, now_s: float) -> Mapping[str, Value]:
        """What the handle asks for; locked out while an emergency extension is not reset."""
        word = _LOCKED_OUT if self._locked_out else _WORDS[self._chart.state_id]
        return {"gear_selection": word}

    def lose_agreement(self) -> None:
        """The simulator came back with its handle elsewhere: agree anew before anything moves."""
        if not self.is_agreeing:
            self._chart.send_trigger("agreement_lost")
        self._found = None
        self._told = False

    def update(
        self,
        now_s: float,
        handle: GearHandle,
        *,
        in_air: bool,
        has_weight: bool,
        all_up: bool,
        reference: GearPosition | None,
        retract_locked_out: bool = False,
    ) -> None:
        """Look at the handle again.

        Args:
            now_s: seconds.
            handle: the handle.
            in_air: known to be in the air; only then a leg may leave its down-lock.
            has_weight: a strut is known to carry weight.
            all_up: every leg is locked up.
            reference: where the gear is: the simulator's handle, else what was asked last; None
                while nobody knows, and then nothing is agreed or commanded.
            retract_locked_out: an emergency extension was begun and not reset.
        """
        self._locked_out = retract_locked_out
        # What is unknown commands nothing: only weight that is known and an emergency extension
        # turn the legs round, and that whatever became of the handle.
        heavy = has_weight and not all_up
        if self.demand is GearPosition.UP and (heavy or retract_locked_out):
            self._turn_round()
        if not handle.is_known:
            self.lose_agreement()
            return
        position = handle.known_position
        if position is None:
            return  # on its way or broken: what was asked stays
        may_go_up = (in_air or all_up) and not retract_locked_out
        if self.is_agreeing:
            if reference is not None:
                self._agree(now_s, position, reference, may_go_up=may_go_up)
        elif position is GearPosition.DOWN:
            if self.state_id != "sel_down":
                self._ask_down(now_s)
        elif may_go_up:
            if self.state_id != "sel_up":
                self._ask_up(now_s)
        elif self.state_id == "sel_down":
            self._refuse()
        self._tell_refusal(now_s, has_weight=has_weight)

    def _agree(
        self, now_s: float, position: GearPosition, reference: GearPosition, *, may_go_up: bool
    ) -> None:
        if self._found is None:
            self._found = position
        agreed = position is reference
        if agreed and self._told:
            self._log.note(now_s, "gear_handle_agreed")
        moved = position is not self._found  # by the pilot: that is a command
        if not agreed and not moved:
            if not self._told:
                self._told = True
                self._log.note(now_s, "gear_handle_disagreed", position=position.value)
        elif position is GearPosition.UP and not may_go_up:
            self._refuse()
        elif agreed:
            self.demand = position
            self._chart.send_trigger("asked_down" if position is GearPosition.DOWN else "asked_up")
        elif position is GearPosition.DOWN:
            self._ask_down(now_s)
        else:
            self._ask_up(now_s)

    def _ask_down(self, now_s: float) -> None:
        if self.demand is GearPosition.UP:
            self._log.note(now_s, "gear_down_commanded")
        self.demand = GearPosition.DOWN
        self._chart.send_trigger("asked_down")

    def _ask_up(self, now_s: float) -> None:
        self.demand = GearPosition.UP
        self._log.note(now_s, "gear_up_commanded")
        self._chart.send_trigger("asked_up")

    def _turn_round(self) -> None:
        if self.is_agreeing:
            self.demand = GearPosition.DOWN
        else:
            self._refuse()

    def _refuse(self) -> None:
        self.demand = GearPosition.DOWN
        self._told_refusal = ""
        self._chart.send_trigger("asked_up_on_ground")

    def _tell_refusal(self, now_s: float, *, has_weight: bool) -> None:
        """Say why the gear stays down, once for each reason."""
        if not self.is_refused:
            return
        if has_weight:
            name = "ground_retract_refused"
        else:
            name = "retract_locked_out" if self._locked_out else "gear_up_held"
        if self._told_refusal in (name, "ground_retract_refused"):
            return
        self._told_refusal = name
        self._log.note(now_s, name)
