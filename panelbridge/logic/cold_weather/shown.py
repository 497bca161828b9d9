"""What the cold-weather routine shows: its lamps and horn, their words, its values."""

from __future__ import annotations

from collections.abc import Iterable

from panelbridge.logic.cold_weather.deicing import DONE, PUMP, REMIND
from panelbridge.logic.cold_weather.facts import ColdWeatherFacts
from panelbridge.logic.kit.declarations import Lamp, Signal
from panelbridge.logic.kit.rule import Rule, Words
from panelbridge.signals import Reason

_LEAVE_DOWN = Rule("gear has to stay down", (("leave_down", True),), "lights the caution")
_PUMP = Rule("brakes have to be pumped", (("pump", True),), "lights the caution")
_REMIND = Rule("anti-skid has to be switched on again", (("remind", True),), "lights the caution")
TOO_EARLY = Rule(
    "gear handle up too early", (("leave_down", True), ("handle_up", True)), "sounds the horn"
)
_ASKS = {
    "cold_leave_down": "leave_gear_down",
    "cold_may_raise": "gear_may_be_raised",
    PUMP: "pump_brakes",
    REMIND: "antiskid_on",
    DONE: "done",
}
VALUES = (
    Signal(
        *("cold_weather_state", "word", "cold-weather routine"),
        lambda world: world[ColdWeatherFacts].word,
        words=("off", "waiting", *_ASKS.values()),
        never_unknown=True,
    ),
    Signal(
        *("leave_gear_down_s", "number", "keep gear down"),
        lambda world: world[ColdWeatherFacts].left_s.at(world.now_s),
        unit="s",
        low=0.0,
        high=600.0,
        curve=lambda world: world[ColdWeatherFacts].left_s,
    ),
    Signal(
        *("brake_pumps_left", "number", "brake pumps left"),
        lambda world: float(world[ColdWeatherFacts].pumps_left),
        low=0.0,
        high=20.0,
    ),
)


def cold_lamps(*, has_antiskid: bool) -> tuple[Lamp, ...]:
    """The lamps of an aircraft with or without anti-skid."""
    lamps = (
        Lamp("leave_gear_down_amber", "keep the gear down", (_LEAVE_DOWN,), legend="LEAVE DOWN"),
        Lamp("pump_brakes_amber", "pump the brakes", (_PUMP,), legend="PUMP BRAKES"),
    )
    reminder = Lamp(
        "antiskid_reminder_amber", "switch anti-skid on again", (_REMIND,), legend="ANTI-SKID ON"
    )
    return (*lamps, reminder) if has_antiskid else lamps


def asked_for(states: Iterable[str], *, is_on: bool) -> str:
    """What the first of the charts that asks for anything asks for, in a word.

    Args:
        states: of the charts.
        is_on: the routine is switched on.
    """
    idle = "waiting" if is_on else "off"
    return next((_ASKS[state] for state in states if state in _ASKS), idle)


def cold_words(facts: ColdWeatherFacts) -> Words:
    """The conditions in words."""
    skid = {None: "unknown", True: "on", False: "off"}[facts.antiskid_on]
    until = f"until {facts.left_s.since_s:.1f} s" if facts.leave_down else ""
    left = (
        f"{facts.pumps_left} more times with pressure at the brakes, anti-skid {skid}"
        if facts.pump
        else ""
    )
    remind = f"anti-skid {skid}"
    return {
        "leave_down": (Reason("time to keep the gear down not over", facts.leave_down, until),),
        "handle_up": (Reason("gear handle up", facts.handle_up),),
        "pump": (Reason("brakes have to be pumped before landing", facts.pump, left),),
        "remind": (Reason("anti-skid has to be switched on again", facts.remind, remind),),
    }
