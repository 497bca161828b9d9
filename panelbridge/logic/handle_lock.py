"""The lock of the gear handle: a solenoid that holds it down while one strut carries weight.

Energised to hold: without bus power the handle is free. It frees by itself when the weight comes
off; a button overrides it while it is held (US Army TM 55-1510-220-10, TM 55-1510-222-10: down-lock
hook and its release button). What a raised handle then does is the gear selection's: on the ground
nothing moves, the horn sounds and the handle's light burns.

A strut of which nothing is known counts as standing on the ground: the lock is there so that
nothing is commanded. A release button that is found pressed counts once it was let go.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from panelbridge.logic.events import EventLog
from panelbridge.logic.legs import LegName
from panelbridge.logic.parameters import Parameters
from panelbridge.logic.pressed_anew import PressedAnew
from panelbridge.logic.rule import Decision, Rule, Told
from panelbridge.logic.system import System, ValueInfo
from panelbridge.signals import GearPosition, Reason, Value


class HandleLockParameters(Parameters):
    """The lock of the gear handle."""

    leg: LegName | None = None
    """The leg whose strut locks the handle while it carries weight; null for a handle without a
    lock. US Army TM 55-1510-222-10: the right one."""


@dataclass(frozen=True, slots=True)
class HandleLockConditions:
    """All that decides the solenoid.

    Attributes:
        powered: the bus is not known to be without power.
        in_air: the strut is known to carry no weight.
        released: the release button is held.
        works: the solenoid is not broken.
    """

    powered: bool
    in_air: bool
    released: bool
    works: bool


HANDLE_HELD = Rule(
    "handle locked on the ground",
    (("powered", True), ("in_air", False), ("released", False), ("works", True)),
    "holds the gear handle down, US Army TM 55-1510-222-10",
)
_WORDS = ("held", "free", "overridden", "unpowered")


class HandleLock(System):
    """The lock of the gear handle.

    Args:
        parameters: its leg; only for a handle that has a lock.
        log: takes its events.
    """

    fault_kinds: Mapping[str, tuple[str, ...]] = MappingProxyType({"handle_lock": ("failed",)})
    published = (ValueInfo("handle_lock", "word", "lock of the gear handle", words=_WORDS),)
    conditions: HandleLockConditions

    def __init__(self, parameters: HandleLockParameters, log: EventLog) -> None:
        self._leg = parameters.leg
        self._log = log
        self._release = PressedAnew()
        self._handle: GearPosition | None = None
        self._works = True
        self._compressed: bool | None = None
        self.conditions = HandleLockConditions(True, False, False, True)

    @property
    def is_held(self) -> bool:
        """The solenoid is energised: the handle cannot be raised."""
        return HANDLE_HELD.holds(self.conditions)

    def update(
        self,
        now_s: float,
        *,
        compressed: bool | None,
        release: bool | None,
        handle: GearPosition | None,
        bus_powered: bool | None = None,
    ) -> None:
        """Decide anew.

        Args:
            now_s: seconds.
            compressed: the strut of its leg carries weight, settled; None when unknown.
            release: the release button is held; None when unknown.
            handle: where the gear handle stands now; None between its ends or unknown.
            bus_powered: the bus has power; unknown counts as powered.
        """
        self._release.take(release)
        self._compressed = compressed
        conditions = HandleLockConditions(
            powered=bus_powered is not False,
            in_air=compressed is False,
            released=self._release.holds,
            works=self._works,
        )
        if conditions != self.conditions:
            self.conditions = conditions
        raised = handle is GearPosition.UP and self._handle is GearPosition.DOWN
        if handle is not None:
            self._handle = handle
        if raised and compressed is True and conditions.powered:
            if conditions.released:
                self._log.note(now_s, "handle_lock_overridden")
            elif self.is_held:
                self._log.note(now_s, "handle_lock_forced")

    def decisions(self, output: str) -> Sequence[Decision]:
        """What decides the solenoid ``handle_lock``."""
        if output != "handle_lock":
            return ()
        return (Decision((HANDLE_HELD,), self.conditions, self.told()),)

    def told(self) -> Told:
        """The last conditions in words."""
        conditions = self.conditions
        weight = {True: "weight on it", False: "no weight on it", None: "unknown"}
        return {
            "powered": (Reason("bus power for the handle's lock", conditions.powered),),
            "in_air": (
                Reason(f"{self._leg} strut extended", conditions.in_air, weight[self._compressed]),
            ),
            "released": (Reason("down-lock release held", conditions.released),),
            "works": (Reason("solenoid of the handle's lock works", conditions.works),),
        }

    def values(self, now_s: float) -> Mapping[str, Value]:
        """What it does."""
        conditions = self.conditions
        if self.is_held:
            word = "held"
        elif not conditions.powered:
            word = "unpowered"
        else:
            word = "overridden" if conditions.released and not conditions.in_air else "free"
        return {"handle_lock": word}

    def break_part(self, now_s: float, target: str, kind: str | None) -> None:
        """Break the solenoid, or mend it."""
        self._works = kind is None
