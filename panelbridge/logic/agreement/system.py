"""Panel and simulator disagree: the simulator's own handle or its legs were moved, or never move.

All of this is our own decision, from the principle of 14 CFR 25.729(e)(1), (e)(5): an indication
that may be wrong is said to be so. The panel's handle is followed: it commands when it is moved,
and never because the simulator's was. Legs of the model follow the panel; legs of the feed are
shown as the simulator reports them. What is unknown disagrees with nothing.
"""

from __future__ import annotations

from typing import Self

from msgspec import Struct

from panelbridge.logic.agreement.facts import AgreementFacts
from panelbridge.logic.agreement.parameters import AgreementParameters
from panelbridge.logic.gear.facts import GearFacts
from panelbridge.logic.kit.aircraft_cells import SIMULATOR_HANDLE
from panelbridge.logic.kit.declarations import Group, Lamp, Signal
from panelbridge.logic.kit.overdue import Overdue
from panelbridge.logic.kit.rule import Rule, Words
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World
from panelbridge.signals import GearPosition, LegState, Level, Reason

_RULES = (
    Rule(
        "simulator's gear handle elsewhere than the panel asks",
        (("handle_disagrees", True),),
        "lights the caution; the panel is followed",
    ),
    Rule(
        "simulator's legs not locked where they are asked to be",
        (("legs_disagree", True),),
        "lights the caution; the lamps follow the simulator",
    ),
)
_SENTENCES = {
    "handle_disagrees": "the simulator's gear handle is not where the panel asks",
    "legs_disagree": "the simulator's legs are not locked where they are asked to be",
}


class _AgreementMemory(Struct, frozen=True):
    """What is kept between updates.

    Attributes:
        handle: of the simulator's handle.
        legs: of its legs.
        asked: where the legs were asked to be.
    """

    handle: Overdue = Overdue()
    legs: Overdue = Overdue()
    asked: GearPosition | None = None


class Agreement(System[AgreementFacts]):
    """Panel against simulator.

    Args:
        parameters: its limits.
        fed_legs: the legs are those of the feed.
    """

    title = "Panel and simulator"
    groups = (
        Group(
            "agreement",
            AgreementParameters,
            "Disagreement of panel and simulator.",
            AgreementParameters(),
        ),
    )
    events = {
        "simulator_handle_disagreed": (
            Level.FAULT,
            "the simulator's gear handle is {simulator} and the panel asks for {panel}: the"
            " panel is followed; move its handle to command again",
        ),
        "simulator_handle_agreed": (Level.INFO, "the simulator's gear handle agrees again"),
        "simulator_legs_disagreed": (
            Level.FAULT,
            "the simulator's legs are not locked {panel} within the limit: the lamps follow the"
            " simulator",
        ),
        "simulator_legs_agreed": (Level.INFO, "the simulator's legs agree again"),
    }
    lamps = (
        Lamp(
            "simulator_disagrees_amber",
            "simulator disagrees with the panel",
            _RULES,
            legend="SIM DISAGREES",
        ),
    )
    values = (
        Signal(
            *("simulator_agrees", "yes_no", "panel and simulator agree, or not for long enough"),
            lambda world: world[AgreementFacts] == AgreementFacts(),
            group="gear",
            never_unknown=True,
        ),
    )
    memory: _AgreementMemory

    def __init__(self, parameters: AgreementParameters, *, fed_legs: bool) -> None:
        super().__init__()
        self._parameters, self._fed_legs = parameters, fed_legs
        if not fed_legs:
            self.never_notes("simulator_legs_disagreed", "simulator_legs_agreed")
        self.facts, self.memory = AgreementFacts(), _AgreementMemory()

    @classmethod
    def of(cls, build: Build) -> Self:
        """Every aircraft has a handle."""
        fed = build.aircraft.authority.legs == "feed"
        return cls(build.aircraft.group(AgreementParameters), fed_legs=fed)

    def update(self, now_s: float, world: World) -> AgreementFacts:
        """Compare the simulator with what the panel asks."""
        gear, memory, before = world[GearFacts], self.memory, self.facts
        panel, simulator = _asked(gear), world[SIMULATOR_HANDLE]
        apart = panel is not None and simulator is not None and simulator is not panel
        handle = memory.handle.take(now_s, apart, self._parameters.handle_limit_s)
        legs = memory.legs if panel is memory.asked else Overdue()  # a new movement has its time
        legs = legs.take(now_s, self._legs_wrong(gear, panel), self._parameters.legs_limit_s)
        self.memory = _AgreementMemory(handle, legs, panel)
        self.due_s = min(handle.due_s, legs.due_s)
        facts = AgreementFacts(handle.holds, legs.holds)
        words = {"panel": str(panel or "nowhere"), "simulator": str(simulator or "")}
        if facts.handle_disagrees is not before.handle_disagrees:
            apart = facts.handle_disagrees
            name = "simulator_handle_disagreed" if apart else "simulator_handle_agreed"
            self.note(now_s, name, **words)
        if facts.legs_disagree is not before.legs_disagree:
            apart = facts.legs_disagree
            named = "simulator_legs_disagreed" if apart else "simulator_legs_agreed"
            self.note(now_s, named, **words)
        return facts

    def _legs_wrong(self, gear: GearFacts, panel: GearPosition | None) -> bool:
        """Legs of the feed, all of them known, that are not locked where they should be."""
        if not self._fed_legs or any(leg.state is LegState.UNKNOWN for leg in gear.legs):
            return False
        if panel is None:
            return not (gear.all_down or gear.all_up)
        return not (gear.all_down if panel is GearPosition.DOWN else gear.all_up)

    def words(self, world: World) -> Words:
        """Both comparisons in words."""
        facts, gear, numbers = world[AgreementFacts], world[GearFacts], self._parameters
        simulator = world[SIMULATOR_HANDLE]
        at = f"simulator {simulator or 'unknown'}, panel {_asked(gear) or 'nothing'}"
        return {
            "handle_disagrees": (
                Reason(
                    f"simulator's handle differs{_for(numbers.handle_limit_s)}",
                    facts.handle_disagrees,
                    at,
                ),
            ),
            "legs_disagree": (
                Reason(
                    f"simulator's legs differ{_for(numbers.legs_limit_s)}",
                    facts.legs_disagree,
                    "the legs are the feed's" if self._fed_legs else "the legs are the panel's own",
                ),
            ),
        }

    def failures(self) -> tuple[str, ...]:
        """What disagrees now."""
        facts = self.facts
        return tuple([text for name, text in _SENTENCES.items() if getattr(facts, name)])


def _for(limit_s: float | None) -> str:
    return "" if limit_s is None else f" for {limit_s:g} s"


def _asked(gear: GearFacts) -> GearPosition | None:
    """What the panel asks for; before it agrees with the gear where its handle stands."""
    if gear.handle_fault:
        return None
    return gear.handle if gear.is_agreeing else gear.demand
