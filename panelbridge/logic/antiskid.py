"""Anti-skid: which wheels it watches, shuts off before they turn, and lets go when they lock.

It works on a wheel while it is switched on, that wheel's side is on the ground, the parking brake
is released and the wheel is spun up; not with the emergency brake (common practice, no source). A
locked wheel, far slower than the fastest other one, is let go: it is not spun up any more, so that
the *other* wheel is what tells. Before and just after the touchdown see ``touchdown``. A switch
that is not known to be on is off.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence

from panelbridge.clock import TimerHeap
from panelbridge.logic.antiskid_rules import (
    OFF_LAMP,
    OFF_RULES,
    REMINDERS,
    WHEEL_RULES,
    AntiskidConditions,
    AntiskidParameters,
    WheelConditions,
)
from panelbridge.logic.brake_parameters import SIDES, WheelParameters
from panelbridge.logic.events import EventLog
from panelbridge.logic.rule import Decision, Told
from panelbridge.logic.system import System, ValueInfo
from panelbridge.logic.touchdown import TouchdownProtection
from panelbridge.logic.wheel_speeds import WheelSpeeds
from panelbridge.signals import Reason, Value

_TEST = ("antiskid", "test")
_WORDS = ("off", "failed", "shut_off", "let_go", "active", "armed")


class AntiSkid(System):
    """Anti-skid of all braked wheels.

    Args:
        parameters: its numbers.
        wheels: the braked wheels.
        timers: for the self-test and the touchdown.
        log: takes its events.
        told_working: the feed is the authority for which wheels it works on.
    """

    timer_prefix = "antiskid"
    conditions: AntiskidConditions

    def __init__(
        self,
        parameters: AntiskidParameters,
        wheels: Sequence[WheelParameters],
        timers: TimerHeap,
        log: EventLog,
        *,
        told_working: bool = False,
    ) -> None:
        self._parameters = parameters
        self._timers = timers
        self._log = log
        self._told_working = told_working
        self._names = tuple(wheel.name for wheel in wheels)
        self._sides = tuple(SIDES.index(wheel.side) for wheel in wheels)
        count = len(wheels)
        self._lamps = {
            f"{name}_antiskid_{parameters.failure_colour}": number
            for number, name in enumerate(self._names)
        }
        self.lamp_rules = {**dict.fromkeys(self._lamps, WHEEL_RULES), OFF_LAMP: OFF_RULES}
        self.fault_kinds = {f"{name}_antiskid": ("failed",) for name in self._names}
        self.published = tuple(
            ValueInfo(f"{name}_antiskid", "word", f"anti-skid {name}", "", _WORDS)
            for name in self._names
        )
        self._speeds = WheelSpeeds(
            count,
            spun_up_rpm=parameters.spun_up_rpm,
            spun_down_rpm=parameters.spun_up_rpm - parameters.spun_up_hysteresis_rpm,
            locked_ratio=parameters.locked_ratio,
            rolling_ratio=max(parameters.rolling_ratio, parameters.locked_ratio),
        )
        self._protections = tuple(
            TouchdownProtection(
                self._sides.count(number),
                parameters.touchdown_timeout_s,
                timers,
                ("antiskid", "touchdown", side),
            )
            for number, side in enumerate(SIDES)
        )
        self._broken: set[int] = set()
        self._working: Sequence[bool | None] = ()
        self._switch: bool | None = None
        self._running = self._testing = False
        self._watched = (False,) * count
        self._locked = (False,) * count
        self._watches = self._lets_go = False
        self.active: tuple[bool, ...] = (False,) * count
        """On which wheels it controls skidding."""
        self.shut_off: tuple[bool, ...] = (False,) * count
        """Wheels whose pedals brake nothing now: before they turn, or because they are locked."""
        self.conditions = AntiskidConditions(
            switched_on=False,
            powered=True,
            parked=False,
            gear_down=False,
            in_air=False,
            testing=False,
        )
        self.wheel_conditions = (
            WheelConditions(running=False, failed=False, testing=False),
        ) * count
        """What decides the lamp of each wheel."""

    # -- what comes in with every tick ----------------------------------------------------------

    def take_speeds(self, rpm: Sequence[float | None]) -> bool:
        """Take the wheels' speeds, revolutions a minute, in the order of the aircraft file.

        True when a wheel has spun up or down, has locked or rolls again.
        """
        changed = self._speeds.take(rpm)
        if self._watches and (self._lets_go or not self._speeds.alike):
            locked = self._speeds.locked(self._watched, self._locked)
            changed = changed or locked != self._locked
        return changed

    def take_working(self, told: Sequence[bool | None]) -> bool:
        """Take what a feed with the authority tells of each wheel; True when that is new."""
        changed = tuple(told) != tuple(self._working)
        self._working = told
        return changed and self._told_working

    @property
    def is_working(self) -> bool:
        """It is switched on, has power, and works on at least one wheel."""
        return self._running and not all(one.failed for one in self.wheel_conditions)

    # -- the system -----------------------------------------------------------------------------

    def update(
        self,
        now_s: float,
        *,
        switch: bool | None,
        bus_powered: bool | None,
        left_on_ground: bool | None,
        right_on_ground: bool | None,
        parked: bool,
        emergency_braking: bool,
        braked: tuple[float, float],
        gear_down: bool,
        in_air: bool,
    ) -> None:
        """Decide anew.

        Args:
            now_s: seconds.
            switch: it is switched on; None when unknown.
            bus_powered: the electrical bus has power; unknown counts as powered.
            left_on_ground: the left strut carries weight; None when unknown.
            right_on_ground: the right one.
            parked: the parking brake is not released.
            emergency_braking: the emergency brake presses the brakes.
            braked: how much the pedals press on the left and right, 0 to 1.
            gear_down: every leg is known to be locked down.
            in_air: the aircraft is in the air, in doubt too.
        """
        powered = bus_powered is not False
        self._run(now_s, switch, running=switch is True and powered)
        grounds = (left_on_ground, right_on_ground)
        failed = [self._has_failed(number) for number in range(len(self._names))]
        blocked = self._block(now_s, grounds)
        can = self._running and not emergency_braking
        armed = [
            can and not parked and not bad and grounds[side] is True
            for bad, side in zip(failed, self._sides, strict=True)
        ]
        spun_up = self._speeds.spun_up
        self.active = tuple([ok and spun for ok, spun in zip(armed, spun_up, strict=True)])
        self._let_go(now_s, armed, blocked, braked)
        self.shut_off = tuple(
            [
                locked or (can and block and not bad)
                for locked, block, bad in zip(self._locked, blocked, failed, strict=True)
            ]
        )
        before = self.wheel_conditions
        self.wheel_conditions = tuple(
            [WheelConditions(self._running, bad, self._testing) for bad in failed]
        )
        for name, was, now in zip(self._names, before, self.wheel_conditions, strict=True):
            if WHEEL_RULES[0].holds(now) and not WHEEL_RULES[0].holds(was):
                self._log.note(now_s, "antiskid_failed", name)
        reminded = any(rule.holds(self.conditions) for rule in REMINDERS)
        self.conditions = AntiskidConditions(
            switched_on=switch is True,
            powered=powered,
            parked=parked,
            gear_down=gear_down,
            in_air=in_air,
            testing=self._testing,
        )
        if not reminded and any(rule.holds(self.conditions) for rule in REMINDERS):
            self._log.note(now_s, "antiskid_left_off")

    def timer_due(self, now_s: float, name: Hashable) -> None:
        """The self-test is over, or the time after a touchdown."""
        if name == _TEST:
            self._testing = False
            self._log.note(now_s, "antiskid_tested")
            return
        for side, protection in zip(SIDES, self._protections, strict=True):
            if name == ("antiskid", "touchdown", side):
                protection.timer_due()

    def lit(self) -> Mapping[str, bool]:
        """Whether each of its lamps is lit; those of the wheels have conditions of their own."""
        lit = {
            lamp: any(rule.holds(self.wheel_conditions[number]) for rule in WHEEL_RULES)
            for lamp, number in self._lamps.items()
        }
        lit[OFF_LAMP] = any(rule.holds(self.conditions) for rule in OFF_RULES)
        return lit

    def decisions(self, output: str) -> Sequence[Decision]:
        """What decides one of its lamps."""
        number = self._lamps.get(output)
        if number is None:
            return super().decisions(output)
        conditions = self.wheel_conditions[number]
        testing = Reason("self-test of anti-skid", conditions.testing)
        told = {
            "running": (Reason("anti-skid on and powered", conditions.running),),
            "failed": (
                Reason(f"anti-skid failed on the {self._names[number]} wheel", conditions.failed),
            ),
            "testing": (testing,),
        }
        return (Decision(WHEEL_RULES, conditions, told),)

    def told(self) -> Told:
        """The conditions of the whole in words."""
        conditions = self.conditions
        return {
            "switched_on": (Reason("anti-skid switched on", conditions.switched_on),),
            "powered": (Reason("electrical power", conditions.powered),),
            "parked": (Reason("parking brake not released", conditions.parked),),
            "gear_down": (Reason("gear locked down", conditions.gear_down),),
            "in_air": (Reason("in the air, or unknown", conditions.in_air),),
            "testing": (Reason("self-test of anti-skid", conditions.testing),),
        }

    def values(self, now_s: float) -> Mapping[str, Value]:
        """What it does on each wheel, a word each."""
        return {info.name: self._word(number) for number, info in enumerate(self.published)}

    def faults(self) -> tuple[str, ...]:
        """The wheels on which it is seen to have failed."""
        return tuple(
            f"anti-skid failed on the {name} wheel"
            for name, wheel in zip(self._names, self.wheel_conditions, strict=True)
            if wheel.running and wheel.failed
        )

    def break_part(self, now_s: float, target: str, kind: str | None) -> None:
        """Have it fail on a wheel."""
        number = self._names.index(target.removesuffix("_antiskid"))
        if kind is None:
            self._broken.discard(number)
        else:
            self._broken.add(number)

    # -- inside ---------------------------------------------------------------------------------

    def _has_failed(self, number: int) -> bool:
        if number in self._broken:
            return True
        if not self._told_working:
            return False
        return number >= len(self._working) or self._working[number] is not True

    def _run(self, now_s: float, switch: bool | None, *, running: bool) -> None:
        """Begin the self-test when it starts running; one that is found on makes none."""
        found, self._switch = self._switch is None, switch
        if running and not self._running and not found and self._parameters.self_test_s > 0.0:
            self._testing = True
            self._timers.start(_TEST, now_s + self._parameters.self_test_s)
        elif not running:
            self._testing = False
            self._timers.cancel(_TEST)
        self._running = running

    def _block(self, now_s: float, grounds: tuple[bool | None, bool | None]) -> list[bool]:
        """Which wheels touchdown protection blocks; it looks on while anti-skid is off."""
        blocked = [False] * len(self._names)
        if not self._parameters.touchdown_protection:
            return blocked
        for side, protection in enumerate(self._protections):
            places = [number for number, its in enumerate(self._sides) if its == side]
            spun_up = [self._speeds.spun_up[number] for number in places]
            protection.update(now_s, on_ground=grounds[side], spun_up=spun_up)
            for number, block in zip(places, protection.blocked, strict=True):
                blocked[number] = block
        return blocked

    def _let_go(
        self,
        now_s: float,
        armed: Sequence[bool],
        blocked: Sequence[bool],
        braked: tuple[float, float],
    ) -> None:
        """Find the locked wheels among those that are braked."""
        self._watched = tuple(
            [
                ok and not block and braked[side] > 0.0
                for ok, block, side in zip(armed, blocked, self._sides, strict=True)
            ]
        )
        before = self._locked
        self._locked = self._speeds.locked(self._watched, before)
        self._watches, self._lets_go = any(self._watched), any(self._locked)
        for name, was, locked in zip(self._names, before, self._locked, strict=True):
            if locked and not was:
                self._log.note(now_s, "locked_wheel_let_go", name)

    def _word(self, number: int) -> str:
        if not self._running:
            return "off"
        if self.wheel_conditions[number].failed:
            return "failed"
        if self._locked[number]:
            return "let_go"
        if self.shut_off[number]:
            return "shut_off"
        return "active" if self.active[number] else "armed"
