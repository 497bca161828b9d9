"""What every chart of the package keeps to."""

from __future__ import annotations

import ast
import importlib
import re
from pathlib import Path

import pytest
from statemachine import State

import panelbridge
from panelbridge.errors import LogicError
from panelbridge.logic.kit.chart import Chart, transitions_of
from tests.logic.literals import calls_of, names_in

PACKAGE = Path(panelbridge.__file__).parent
# The rooms that have charts; a chart anywhere else is found missing below.
ROOMS = ("logic", "link")
SOURCES = {
    ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts): path.read_text("utf-8")
    for room in ROOMS
    for path in sorted((PACKAGE / room).rglob("*.py"))
    if path.stem != "__init__"
}
for module_name in SOURCES:
    importlib.import_module(module_name)


def descendants(base: type[Chart]) -> list[type[Chart]]:
    found = []
    for chart in base.__subclasses__():
        if chart.__module__.startswith("panelbridge."):
            found.extend([chart, *descendants(chart)])
    return found


CHARTS = sorted(descendants(Chart), key=lambda chart: chart.__name__)  # in whatever order imported
HOOKS = re.compile(r"(on_enter|on_exit|on|before|after|prepare)_\w+$")


def states_of(chart: type[Chart]) -> list[str]:
    return [state.id for state in chart.states]


def triggers_of(chart: type[Chart]) -> set[str]:
    return {event.id for event in chart._events}


def test_all_charts_are_found() -> None:
    assert {chart.__name__ for chart in CHARTS} == {
        "AirGroundChart",
        "AuxPumpChart",
        "DeicingChart",
        "DoorChart",
        "EmergencyChart",
        "GearPowerChart",
        "ParkingChart",
        "TouchdownChart",
        "HandleChart",
        "HydraulicPressureChart",
        "LegChart",
        "LinkChart",
        "SelectionChart",
        "SilenceChart",
        "SteeringChart",
        "TakeoffChart",
    }


def test_no_chart_stands_in_another_room() -> None:
    for path in PACKAGE.rglob("*.py"):
        if path.relative_to(PACKAGE).parts[0] not in ROOMS:
            assert "(Chart)" not in path.read_text(encoding="utf-8"), path


def test_all_four_behaviour_flags_are_written_out_on_the_base_and_nowhere_else() -> None:
    flags = {
        "allow_event_without_transition": True,
        "enable_self_transition_entries": True,
        "atomic_configuration_update": False,
        "catch_errors_as_events": False,
    }
    for name, value in flags.items():
        assert vars(Chart)[name] is value
        for chart in CHARTS:
            assert name not in vars(chart), f"{chart.__name__} has its own"
            assert getattr(chart, name) is value


def test_state_ids_are_unique_over_all_charts() -> None:
    ids = [state for chart in CHARTS for state in states_of(chart)]
    assert len(ids) > 20
    assert sorted(set(ids)) == sorted(ids)


@pytest.mark.parametrize("chart", CHARTS)
def test_state_ids_carry_the_chart_s_prefix(chart: type[Chart]) -> None:
    assert len({state.split("_")[0] for state in states_of(chart)}) == 1


@pytest.mark.parametrize("chart", CHARTS)
def test_charts_are_flat(chart: type[Chart]) -> None:
    for state in chart.states:
        assert not list(state.states)
        assert not state.is_compound
        assert not state.parallel
    assert sum(state.initial for state in chart.states) == 1
    assert not [
        name for name, value in vars(chart).items() if isinstance(value, type) and name[0] != "_"
    ], "a class inside of a chart would be a nested state"


@pytest.mark.parametrize("chart", CHARTS)
def test_every_state_can_be_reached_and_left(chart: type[Chart]) -> None:
    reached = {
        target.id
        for state in chart.states
        for transition in state.transitions
        for target in transition.targets
        if isinstance(target, State)
    }
    initial = {state.id for state in chart.states if state.initial}
    assert reached | initial == set(states_of(chart))
    assert all(len(list(state.transitions)) > 0 for state in chart.states)


@pytest.mark.parametrize("chart", CHARTS)
def test_charts_have_neither_hooks_nor_guards(chart: type[Chart]) -> None:
    """What is asked once for each pair must be a pure function of the pair."""
    assert not [name for name in vars(chart) if HOOKS.match(name)]
    for state in chart.states:
        for transition in state.transitions:
            assert not list(transition.cond)
            assert not list(transition.validators)


SENDERS = ("after", "_send", "_sent", "enter")
"""Methods whose last argument is a trigger."""


def triggers_sent(folder: str) -> set[str]:
    """Triggers that the modules of a folder send, and those in their ``_TRIGGERS`` tables."""
    sent: set[str] = set()
    for name, source in SOURCES.items():
        if folder_of(name) != folder:
            continue
        for node in ast.walk(ast.parse(source)):
            if isinstance(node, ast.FunctionDef):
                sent.update(*[given[-1] for _, given in calls_of(node, SENDERS) if given])
            elif isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "_TRIGGERS":
                sent |= names_in(node.value)
    return sent


def folder_of(module: str) -> str:
    return module.rpartition(".")[0]


@pytest.mark.parametrize("folder", sorted({folder_of(chart.__module__) for chart in CHARTS}))
def test_every_trigger_that_is_sent_is_known_and_every_known_one_is_sent(folder: str) -> None:
    charts = [chart for chart in CHARTS if folder_of(chart.__module__) == folder]
    assert triggers_sent(folder) == {one for chart in charts for one in triggers_of(chart)}


def test_no_delays_no_invoked_charts_no_coroutines() -> None:
    for node in [node for text in SOURCES.values() for node in ast.walk(ast.parse(text))]:
        assert not isinstance(node, ast.AsyncFunctionDef | ast.Await)
        if isinstance(node, ast.keyword):
            assert node.arg not in ("delay", "invoke")
        if isinstance(node, ast.Import | ast.ImportFrom):
            assert "contrib" not in ast.unparse(node)
            assert "asyncio" not in ast.unparse(node)
        if isinstance(node, ast.Name | ast.Attribute):
            words = node.id if isinstance(node, ast.Name) else node.attr
            assert words != "invoke"


@pytest.mark.parametrize("chart", CHARTS)
def test_an_unknown_trigger_or_state_is_an_error(chart: type[Chart]) -> None:
    state, trigger = states_of(chart)[0], sorted(triggers_of(chart))[0]
    with pytest.raises(LogicError, match="has no trigger 'do_a_barrel_roll'"):
        chart.after(state, "do_a_barrel_roll")
    with pytest.raises(LogicError, match="has no state 'upside_down'"):
        chart.after("upside_down", trigger)


@pytest.mark.parametrize("chart", CHARTS)
def test_the_library_s_engine_and_the_table_of_transitions_say_the_same(chart: type[Chart]) -> None:
    """Every state with every trigger; a trigger that a state does not handle changes nothing."""
    table = {(state, trigger): after for _, state, trigger, after in transitions_of((chart,))}
    for state in states_of(chart):
        for trigger in triggers_of(chart):
            wanted = table.get((state, trigger), state)
            assert chart.after(state, trigger) == wanted, (state, trigger)
            machine = chart(start_value=state)
            machine.send(trigger)
            assert machine.current_state_value == wanted, (state, trigger)
