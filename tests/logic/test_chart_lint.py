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
from panelbridge.logic.chart import Chart

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


CHARTS = descendants(Chart)
HOOKS = re.compile(r"(on_enter|on_exit|on|before|after)_(?P<whose>\w+)$")


def states_of(chart: type[Chart]) -> list[str]:
    return [state.id for state in chart.states]


def events_of(chart: type[Chart]) -> set[str]:
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
            assert name not in vars(chart), f"{chart.__name__} has a mind of its own"
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
def test_hooks_name_a_state_or_an_event(chart: type[Chart]) -> None:
    known = {*states_of(chart), *events_of(chart), "transition", "state"}
    for name in vars(chart):
        if match := HOOKS.match(name):
            assert match["whose"] in known, f"{chart.__name__}.{name} is never called"


def events_sent(source: str) -> set[str]:
    """Event names that are given to ``send_trigger`` or ``_send``, or stand in an _EVENTS table."""
    sent: set[str] = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            if node.func.attr not in ("send_trigger", "_send", "send"):
                continue
            for argument in node.args:
                sent |= {
                    part.value
                    for part in ast.walk(argument)
                    if isinstance(part, ast.Constant)
                    and isinstance(part.value, str)
                    and not _is_compared(argument, part)
                }
        elif isinstance(node, ast.Assign):
            names = {t.id for t in node.targets if isinstance(t, ast.Name)}
            if names & {"_EVENTS", "said"}:
                values = node.value.values if isinstance(node.value, ast.Dict) else [node.value]
                sent |= {v.value for v in values if isinstance(v, ast.Constant)}  # type: ignore[misc]
    return sent


def _is_compared(argument: ast.expr, part: ast.AST) -> bool:
    return any(
        isinstance(node, ast.Compare) and part in ast.walk(node) for node in ast.walk(argument)
    )


@pytest.mark.parametrize("chart", CHARTS)
def test_every_event_that_is_sent_is_known_and_every_known_one_is_sent(chart: type[Chart]) -> None:
    if chart.__module__.startswith("panelbridge.logic."):
        sent = events_sent(SOURCES[chart.__module__])
        assert sent == events_of(chart)
        return
    # The link's chart is driven from the session beside it.
    literals = {
        node.value
        for name, source in SOURCES.items()
        if name.startswith("panelbridge.link.") and name != chart.__module__
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }
    assert events_of(chart) <= literals
    prefix = states_of(chart)[0].split("_")[0] + "_"
    assert {text for text in literals if text.startswith(prefix)} <= events_of(chart)


@pytest.mark.parametrize("name", sorted(SOURCES))
def test_no_delayed_events_no_invoked_charts_no_coroutines(name: str) -> None:
    tree = ast.parse(SOURCES[name])
    for node in ast.walk(tree):
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
def test_a_trigger_that_nobody_knows_is_an_error(chart: type[Chart]) -> None:
    machine = chart()
    before = machine.state_id
    with pytest.raises(LogicError, match="has no trigger 'do_a_barrel_roll'"):
        machine.send_trigger("do_a_barrel_roll")
    assert machine.state_id == before


@pytest.mark.parametrize("chart", CHARTS)
def test_an_event_that_does_not_matter_now_changes_nothing(chart: type[Chart]) -> None:
    machine = chart()
    handled = {t.event for state in chart.states if state.initial for t in state.transitions}
    for event in events_of(chart) - {str(name) for name in handled}:
        before = machine.state_id
        machine.send_trigger(event)
        assert machine.state_id == before


def test_an_error_in_a_hook_comes_out() -> None:
    class Broken(Chart):
        broken_off = State(initial=True)
        broken_on = State()
        go = broken_off.to(broken_on)
        back = broken_on.to(broken_off)

        def on_go(self) -> None:
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        Broken().send_trigger("go")
