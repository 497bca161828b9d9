"""The lock of the gear handle: a solenoid that holds it down while one strut carries weight.

Energised to hold: without bus power the handle is free. It frees by itself when the weight comes
off; a button overrides it while it is held (US Army TM 55-1510-220-10, TM 55-1510-222-10: down-lock
hook and its release button). What a raised handle then does is the gear selection's: on the ground
nothing moves, the horn sounds and the light in the handle is lit.

A strut that is unknown counts as standing on the ground: the lock is there so that nothing is
commanded. A release button that is already held at start-up counts once it was released.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Self

from msgspec import Struct
from msgspec.structs import replace

from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.gear.facts import GearFacts
from panelbridge.logic.handle_lock.facts import HandleLockFacts
from panelbridge.logic.handle_lock.parameters import HandleLockParameters
from panelbridge.logic.kit.aircraft_cells import BUS_POWERED
from panelbridge.logic.kit.declarations import Group, Misfit, Signal, Solenoid
from panelbridge.logic.kit.edges import RisingEdge
from panelbridge.logic.kit.handles import Button, Fault
from panelbridge.logic.kit.rule import Rule, Words
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.kit.world import World
from panelbridge.signals import GearPosition, Level, Reason

DOWNLOCK_RELEASE = Button(
    "downlock_release",
    "down-lock release",
    "Held: frees the gear handle that is locked on the ground.",
)
SOLENOID_FAULT = Fault("handle_lock", ("failed",))
HANDLE_HELD = Rule(
    "handle locked on the ground",
    (("powered", True), ("in_air", False), ("released", False), ("works", True)),
    "holds the gear handle down",
)


def _word(world: World) -> str:
    facts = world[HandleLockFacts]
    if HANDLE_HELD.holds(facts):
        return "held"
    if not facts.powered:
        return "unpowered"
    return "overridden" if facts.released and not facts.in_air else "free"


class _HandleLockMemory(Struct, frozen=True):
    release: RisingEdge = RisingEdge()
    handle: GearPosition | None = None


class HandleLock(System[HandleLockFacts]):
    """The lock of the gear handle.

    Args:
        leg: the leg whose strut locks the handle.
        place: its place among the legs, from 0.
    """

    title = "Handle lock"
    groups = (
        Group(
            "handle_lock",
            HandleLockParameters,
            "Lock of the gear handle on the ground.",
            HandleLockParameters(),
        ),
    )
    events = {
        "handle_lock_overridden": (
            Level.CAUTION,
            "the gear handle was raised on the ground with the down-lock release held",
        ),
        "handle_lock_forced": (
            Level.CAUTION,
            "the gear handle was raised although it is locked: nothing holds the panel's handle",
        ),
    }
    switches = (DOWNLOCK_RELEASE,)
    faults = (SOLENOID_FAULT,)
    solenoids = (Solenoid("handle_lock", "handle lock", (HANDLE_HELD,)),)
    values = (
        Signal(
            "handle_lock",
            "word",
            "handle lock",
            _word,
            words=("held", "free", "overridden", "unpowered"),
            never_unknown=True,
        ),
    )
    memory: _HandleLockMemory

    def __init__(self, leg: str, place: int) -> None:
        super().__init__()
        self._leg = leg
        self._place = place
        self.facts = HandleLockFacts()
        self.memory = _HandleLockMemory()

    @classmethod
    def of(cls, build: Build) -> Self | None:
        """None for a handle without a lock."""
        leg = build.aircraft.group(HandleLockParameters).leg
        return None if leg is None else cls(leg, build.aircraft.strut_names.index(leg))

    @classmethod
    def misfits(cls, aircraft: Any) -> Iterator[Misfit]:
        """A lock on a leg that the aircraft has not."""
        leg = aircraft.group(HandleLockParameters).leg
        if leg is not None:
            yield from aircraft.missing_legs([(("handle_lock", "leg"), leg)])

    def update(self, now_s: float, world: World) -> HandleLockFacts:
        """Follow the strut, the release button and the handle."""
        memory = self.memory
        struts = world[AirGroundFacts].struts
        compressed = struts[self._place] if struts else None
        release = memory.release.take(world[DOWNLOCK_RELEASE])
        facts = HandleLockFacts(
            powered=world[BUS_POWERED] is not False,
            in_air=compressed is False,
            released=release.holds,
            works=world[SOLENOID_FAULT] is None,
            compressed=compressed,
        )
        handle = world[GearFacts].handle
        raised = handle is GearPosition.UP and memory.handle is GearPosition.DOWN
        self.memory = replace(memory, release=release, handle=handle or memory.handle)
        if raised and compressed is True and facts.powered:
            if facts.released:
                self.note(now_s, "handle_lock_overridden")
            elif HANDLE_HELD.holds(facts):
                self.note(now_s, "handle_lock_forced")
        return facts

    def words(self, world: World) -> Words:
        """The conditions of the solenoid in words."""
        facts = world[HandleLockFacts]
        weight = {True: "carries weight", False: "carries no weight", None: "unknown"}
        return {
            "powered": (Reason("bus power for the handle lock", facts.powered),),
            "in_air": (
                Reason(
                    f"{self._leg.replace('_', ' ')} strut extended",
                    facts.in_air,
                    weight[facts.compressed],
                ),
            ),
            "released": (Reason("down-lock release held", facts.released),),
            "works": (Reason("handle-lock solenoid works", facts.works),),
        }
