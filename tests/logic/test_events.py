"""The list of events against the source that notes them and the scenes that make them."""

from __future__ import annotations

import ast
import importlib
import pkgutil
from pathlib import Path

import pytest

import panelbridge.logic
import tests.logic.scenes
from panelbridge.logic.gear.system import LandingGear
from panelbridge.logic.systems import EVENTS
from panelbridge.signals import Event, Level
from tests.logic.build import (
    BOTH_MADE,
    CLOSED,
    DOWN,
    LOCKED_DOWN,
    OPEN,
    UP,
    Bench,
    air,
    changed,
    fed_twin,
    ground,
    legs,
    switches,
)
from tests.logic.literals import calls_of, names_in

PACKAGE = Path(panelbridge.logic.__file__).parent
PASSED_ON = ("self.note(now_s, name, subject)", "self.note(now_s, name, **words)")
"""Calls that pass on a name that was given."""


def noted_in_source() -> set[str]:
    """What is given to ``note`` in the package, and the names of the hydraulics' own table."""
    noted: set[str] = set()
    for path in sorted(PACKAGE.rglob("*.py")):
        for function in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(function, ast.FunctionDef):
                continue
            for call, given in calls_of(function, ("note", "_note")):
                # Inside of a system the time comes first; the cold weather's routine knows it.
                found = {word for words in given[:2] for word in words}
                passed_on = ast.unparse(call) in PASSED_ON
                assert found or passed_on, f"{path}:{call.lineno}: which event is this?"
                noted |= found
            if function.name == "events_between":
                for node in ast.walk(function):
                    if isinstance(node, ast.Yield):
                        assert isinstance(node.value, ast.Tuple)
                        noted |= names_in(node.value.elts[0])
    return noted


def test_every_event_that_is_noted_is_registered_and_the_other_way_round() -> None:
    assert noted_in_source() == set(EVENTS)


def test_a_name_that_is_not_declared_is_an_error() -> None:
    gear = LandingGear(legs())
    with pytest.raises(KeyError):
        gear.note(0.0, "gear_vanished")
    with pytest.raises(KeyError):
        gear.note(0.0, "struts_agreed")  # of another system
    with pytest.raises(KeyError):
        gear.note(0.0, "gear_handle_disagreed")  # without the words that its text needs


def test_names_are_past_tense_in_snake_case_and_texts_are_plain_sentences() -> None:
    for name, (level, text) in EVENTS.items():
        assert name == name.lower()
        assert " " not in name
        assert isinstance(level, Level)
        assert text.strip() == text
        assert not text.endswith(".")
        assert text[0].islower()


def test_an_event_has_its_time_and_its_text_filled() -> None:
    gear = LandingGear(legs())
    gear.note(1.5, "leg_unlocked", "nose")
    assert gear.noted == [
        Event(1.5, "leg_unlocked", Level.INFO, "the nose leg was unlocked", "nose")
    ]


def test_scenes_make_every_registered_event() -> None:
    """Nothing is registered that nobody can ever see, and every text can be filled."""
    bench = Bench()
    bench.at(0.0, switches("up"), ground(gear_handle=DOWN))
    bench.at(1.0, switches("down"))
    bench.at(2.0, switches("up"))
    bench.at(3.0, switches("down"), air(gear_handle=DOWN))
    bench.at(4.0, aircraft=changed(bench.aircraft, strut_compressed=()))
    bench.at(5.0, switches("up"))
    bench.at(6.0, aircraft=air(gear_handle=DOWN))
    bench.at(20.0, aircraft=air((CLOSED, OPEN), gear_handle=UP))
    bench.at(21.0)
    bench.press("horn_silence")
    bench.throttles(CLOSED, CLOSED)
    bench.after(1.0, switches("down"))
    bench.after(20.0)
    bench.after(1.0, switches("both"))
    bench.after(1.0, switches("down"))
    bench.after(1.0, switches("between"))
    bench.after(2.0, switches("down"))
    bench.after(1.0, aircraft=ground(gear_handle=DOWN))
    bench.after(1.0)
    bench.press("lamp_test")
    bench.press("warning_test")
    bench.press("steering_button")
    bench.after(1.0, aircraft=ground(strut_compressed=(True, False, True), gear_handle=DOWN))
    bench.after(20.0)
    bench.after(1.0, aircraft=ground(gear_handle=DOWN))
    bench.after(1.0)
    fed = Bench(fed_twin())
    fed.at(0.0, switches("down"), ground(leg_locks=(LOCKED_DOWN,) * 3))
    fed.at(1.0, aircraft=ground(leg_locks=(LOCKED_DOWN, BOTH_MADE, LOCKED_DOWN)))
    seen = [*bench.events, *fed.events]
    for module in pkgutil.iter_modules(tests.logic.scenes.__path__):
        scenes = importlib.import_module(f"tests.logic.scenes.{module.name}")
        seen.extend(scenes.events())
    assert {event.name for event in seen} == set(EVENTS)
    for event in seen:
        assert event.level is EVENTS[event.name][0]
        assert "{" not in event.text
