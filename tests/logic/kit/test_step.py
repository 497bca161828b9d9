"""The generic step: what wakes a system, how passes repeat, and state as plain data."""

from __future__ import annotations

import pickle
from math import inf, nan
from typing import Any

import pytest
from msgspec.structs import replace

from panelbridge.errors import LogicError
from panelbridge.logic.kit.handles import Button, Fault, Handle
from panelbridge.logic.kit.readings import Threshold
from panelbridge.logic.kit.step import SystemStep
from panelbridge.logic.kit.system import System
from panelbridge.logic.kit.world import Facts, World
from panelbridge.signals import Level

SPEED: Handle[float] = Handle("speed_kt")
BUTTON = Button("button", "button")
FAST = Threshold(SPEED, 100.0, 95.0)


class FirstFacts(Facts, frozen=True):
    fast: bool | None = None
    pressed: bool = False


class LastFacts(Facts, frozen=True):
    count: int = 0
    rang: bool = False


class First(System[FirstFacts]):
    """Reads a threshold and a button, and what the last one publishes."""

    switches = (BUTTON,)
    readings = (FAST,)
    faults = (Fault("first", ("stuck",)),)

    def __init__(self) -> None:
        super().__init__()
        self.facts = FirstFacts()
        self.updates = 0

    def update(self, now_s: float, world: World) -> FirstFacts:
        self.updates += 1
        stuck = world[self.faults[0]] is not None
        return FirstFacts(
            world[FAST], world[BUTTON] is True and not stuck and not world[LastFacts].rang
        )


class Last(System[LastFacts]):
    """Counts presses, and rings a second after each."""

    events = {"rang": (Level.INFO, "it rang, {subject}")}

    def __init__(self) -> None:
        super().__init__()
        self.facts = LastFacts()
        self.memory = (False, inf)

    def update(self, now_s: float, world: World) -> LastFacts:
        was, due_s = self.memory
        rang = self.facts.rang
        if now_s >= due_s:
            self.note(now_s, "rang", "once")
            rang, due_s = True, inf
        pressed, count = world[FirstFacts].pressed, self.facts.count
        if pressed and not was:
            count, due_s = count + 1, now_s + 1.0
        self.memory, self.due_s = (pressed, due_s), due_s
        return LastFacts(count, rang)


def made() -> tuple[SystemStep, First, Last]:
    first, last = First(), Last()
    return SystemStep([first, last], [SPEED]), first, last


def test_a_number_within_its_band_wakes_none() -> None:
    step, first, _ = made()
    step.set(SPEED, 50.0)
    step.look(0.0)
    before = first.updates
    assert not step.set(SPEED, 100.0)
    assert step.set(SPEED, 100.1)
    step.look(1.0)
    assert first.facts == FirstFacts(fast=True)
    assert not step.set(SPEED, 95.1)
    assert step.set(SPEED, 95.0)
    step.look(2.0)
    assert first.facts == FirstFacts(fast=False)
    assert first.updates == before + 2


class SeenFacts(Facts, frozen=True):
    fast: bool | None = None
    speed: float | None = None


class Watcher(System[SeenFacts]):
    """Reads a threshold of a number, and the number itself while the button is pressed."""

    switches = (BUTTON,)
    readings: tuple[Threshold, ...] = (FAST,)

    def __init__(self) -> None:
        super().__init__()
        self.facts = SeenFacts()

    def update(self, now_s: float, world: World) -> SeenFacts:
        return SeenFacts(world[FAST], world[SPEED] if world[BUTTON] else None)


def test_a_number_that_is_read_itself_wakes_within_its_band_too() -> None:
    step = SystemStep([Watcher()], [SPEED])
    step.set(SPEED, 50.0)
    step.look(0.0)
    assert not step.set(SPEED, 51.0)
    assert step.set(BUTTON, True)
    step.look(1.0)
    assert step.systems[0].facts == SeenFacts(fast=False, speed=51.0)
    for now_s, speed in ((2.0, 52.0), (3.0, 120.0), (4.0, 121.0)):  # over the limit, and after it
        assert step.set(SPEED, speed)
        step.look(now_s)
        assert step.systems[0].facts == SeenFacts(fast=speed > 100.0, speed=speed)
    assert step.set(BUTTON, False)
    step.look(5.0)
    assert not step.set(SPEED, 122.0)


def test_a_number_without_readings_wakes_from_when_it_is_read() -> None:
    other: Handle[float] = Handle("other_kt")

    class Reader(Watcher):
        readings = ()

        def update(self, now_s: float, world: World) -> SeenFacts:
            return SeenFacts(speed=world[other] if world[BUTTON] else None)

    step = SystemStep([Reader()], [other])
    step.look(0.0)
    for speed in (1.0, 2.0, nan, 3.0):
        assert not step.set(other, speed)
    assert step.set(BUTTON, True)
    step.look(1.0)
    assert step.systems[0].facts.speed == 3.0
    for now_s, speed in ((2.0, 4.0), (3.0, 5.0)):
        assert step.set(other, speed)
        step.look(now_s)
        assert step.systems[0].facts.speed == speed


def test_not_a_number_is_unknown_and_wakes_once() -> None:
    step, first, _ = made()
    step.set(SPEED, 120.0)
    step.look(0.0)
    assert step.set(SPEED, nan)
    step.look(1.0)
    assert first.facts.fast is None
    assert not step.set(SPEED, nan)


def test_what_no_system_has_read_wakes_none() -> None:
    step, first, _ = made()
    other: Handle[float] = Handle("other")
    step = SystemStep([first], [SPEED, other])
    step.look(0.0)
    assert not step.set(other, 7.0)
    assert step.world(0.0)[other] == 7.0


def test_a_later_system_that_changes_an_earlier_one_repeats_the_pass() -> None:
    step, first, last = made()
    step.look(0.0)
    step.set(BUTTON, True)
    step.look(1.0)
    assert (first.facts.pressed, last.facts.count, step.next_due_s) == (True, 1, 2.0)
    events = step.look(2.0)
    assert [(one.time_s, one.name, one.text) for one in events] == [(2.0, "rang", "it rang, once")]
    assert first.facts.pressed is False, "it saw what the last one published in the same look"


def test_a_fault_is_an_input() -> None:
    step, first, _ = made()
    step.set(BUTTON, True)
    step.set(first.faults[0], "stuck")
    step.look(0.0)
    assert first.facts.pressed is False


def test_systems_that_never_rest_are_an_error() -> None:
    class Restless(System[LastFacts]):
        def __init__(self) -> None:
            super().__init__()
            self.facts = LastFacts()

        def update(self, now_s: float, world: World) -> LastFacts:
            return replace(world.whole(LastFacts), count=world[LastFacts].count + 1)

    with pytest.raises(LogicError, match="do not come to rest: Restless"):
        SystemStep([Restless()]).look(0.0)


def test_state_is_plain_data() -> None:
    step, _, _ = made()
    step.set(SPEED, 120.0)
    step.set(BUTTON, True)
    step.look(0.0)
    saved = pickle.loads(pickle.dumps(step.save()))
    assert saved == step.save()
    other, first, last = made()
    other.restore(saved)
    assert other.save() == saved
    assert other.look(1.0) == step.look(1.0)
    assert other.save() == step.save()
    assert (first.facts, last.facts) == (FirstFacts(True, False), LastFacts(1, True))


def test_an_absent_system_is_its_defaults() -> None:
    world: Any = World({}, 0.0)
    assert world[FirstFacts] == FirstFacts()
    assert world[BUTTON] is None
    with pytest.raises(KeyError):
        world["button"]


class Wanting(System[SeenFacts]):
    """Reads one field of what the first publishes; all of it while the button is pressed."""

    switches = (BUTTON,)

    def __init__(self) -> None:
        super().__init__()
        self.facts = SeenFacts()
        self.updates = 0
        self.kept: Facts | None = None

    def update(self, now_s: float, world: World) -> SeenFacts:
        self.updates += 1
        self.kept = world.whole(FirstFacts) if world[BUTTON] else None
        return SeenFacts(world[FirstFacts].fast)


def test_a_change_of_a_field_wakes_only_what_has_read_it() -> None:
    class Other(First):
        """Reads the button as another one, so that only facts wake the reader."""

        switches = (Button("other", "other"),)

        def update(self, now_s: float, world: World) -> FirstFacts:
            return FirstFacts(world[FAST], world[self.switches[0]] is True)

    first, reader = Other(), Wanting()
    step = SystemStep([first, reader], [SPEED])
    step.look(0.0)
    assert reader.updates == 1
    assert step.read_by(reader) == (BUTTON, FirstFacts)
    step.set(Other.switches[0], True)
    step.look(1.0)
    assert first.facts.pressed
    assert reader.updates == 1
    step.set(SPEED, 120.0)
    step.look(2.0)
    assert reader.facts == SeenFacts(fast=True)
    assert reader.updates == 2
    step.set(BUTTON, True)
    step.set(Other.switches[0], False)
    step.look(3.0)
    assert reader.kept is first.facts
    step.set(Other.switches[0], True)
    step.look(4.0)
    assert reader.kept is first.facts
    assert reader.updates == 4


def test_a_restored_step_reads_the_restored_facts() -> None:
    step, _first, last = made()
    step.set(BUTTON, True)
    step.look(0.0)
    saved, (other, _, other_last) = step.save(), made()
    other.restore(saved)
    other.look(1.0)
    step.look(1.0)
    assert other_last.facts == last.facts == LastFacts(1, rang=True)
    assert other.save() == step.save()
