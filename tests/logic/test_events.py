"""The list of events against the source that notes them and the scenes that make them."""

from __future__ import annotations

import ast
import importlib
import pkgutil
from pathlib import Path

import pytest

import panelbridge.logic
import tests.logic.scenes
from panelbridge.logic.events import EVENTS, EventLog
from panelbridge.signals import GearPosition, Level
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
    switches,
)

PACKAGE = Path(panelbridge.logic.__file__).parent


def names_in(node: ast.expr) -> set[str]:
    """Every name that an expression may be."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return {node.value}
    if isinstance(node, ast.IfExp):
        return names_in(node.body) | names_in(node.orelse)
    if isinstance(node, ast.JoinedStr):
        texts = {""}
        for part in node.values:
            if isinstance(part, ast.Constant):
                texts = {text + str(part.value) for text in texts}
            else:
                assert isinstance(part, ast.FormattedValue)
                words = ast.unparse(part.value)
                choices = {
                    "position": {position.value for position in GearPosition},
                    "name": {"lamp_test", "warning_test"},
                }[words]
                texts = {text + choice for text in texts for choice in choices}
        return texts
    return set()


def noted_in_source() -> set[str]:
    """What is given to ``note`` in the package, also by way of ``_fail`` or a local name."""
    noted: set[str] = set()
    for path in sorted(PACKAGE.glob("*.py")):
        for function in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(function, ast.FunctionDef):
                continue
            local: dict[str, list[ast.expr]] = {}
            for node in ast.walk(function):
                if isinstance(node, ast.Assign):
                    for target in node.targets:
                        if isinstance(target, ast.Name):
                            local.setdefault(target.id, []).append(node.value)
            for call in ast.walk(function):
                if not (isinstance(call, ast.Call) and isinstance(call.func, ast.Attribute)):
                    continue
                if call.func.attr not in ("note", "_fail"):
                    continue
                name = call.args[1]
                found = names_in(name)
                if not found and isinstance(name, ast.Name):
                    found = {one for value in local.get(name.id, ()) for one in names_in(value)}
                passed_on = call.func.attr == "note" and function.name == "_fail"
                assert found or passed_on, f"{path.name}:{call.lineno}: which event is this?"
                noted |= found
    return noted


def test_every_event_that_is_noted_is_registered_and_the_other_way_round() -> None:
    assert noted_in_source() == set(EVENTS)


def test_a_name_that_is_not_registered_is_a_mistake() -> None:
    with pytest.raises(KeyError):
        EventLog().note(0.0, "gear_vanished")


def test_names_are_past_tense_in_snake_case_and_texts_are_plain_sentences() -> None:
    for name, (level, text) in EVENTS.items():
        assert name == name.lower()
        assert " " not in name
        assert isinstance(level, Level)
        assert text.strip() == text
        assert not text.endswith(".")
        assert text[0].islower()


def test_taking_empties_the_log() -> None:
    log = EventLog()
    log.note(1.5, "leg_unlocked", "nose")
    (noted,) = log.take()
    assert (noted.time_s, noted.name, noted.subject) == (1.5, "leg_unlocked", "nose")
    assert (noted.level, noted.text) == (Level.INFO, "the nose leg was unlocked")
    assert log.take() == ()


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
