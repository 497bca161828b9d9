"""Charts: declared, checked, drawn and run by python-statemachine, behind one pure face.

``SteeringChart.after("steer_off", "engage")`` gives the id of the state after a trigger; the memory
of a system holds nothing but that id. Rules for charts, kept by ``tests/logic/test_chart_lint.py``:
flat, state ids carry the chart's prefix and are unique in the package, no hooks, guards, delays,
``invoke`` or ``async``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Lock
from typing import Any, ClassVar

from statemachine import State, StateChart

from panelbridge.errors import LogicError

ChartWatcher = Callable[[str, str, str], None]
"""Called with a chart's name and the ids of the states that it left and entered."""

_watchers: list[ChartWatcher] = []
_running = Lock()


@contextmanager
def watch_charts(callback: ChartWatcher) -> Iterator[None]:
    """Call ``callback`` for every change of state of every chart of the process; may be nested."""
    _watchers.append(callback)
    try:
        yield
    finally:
        _watchers.remove(callback)


class Chart(StateChart[Any]):
    """Base class of all charts; errors raise, and a trigger that no state knows is an error."""

    # A trigger that the present state does not handle is normal; see ``after``.
    allow_event_without_transition = True
    # A self-transition leaves and enters its state, as the SCXML recommendation says.
    enable_self_transition_entries = True
    # Exit, transition and entry actions in the order of the SCXML recommendation.
    atomic_configuration_update = False
    # An exception comes out at the caller, never swallowed.
    catch_errors_as_events = False

    _shared: ClassVar[Chart | None] = None
    _afters: ClassVar[dict[tuple[str, str], str]]

    def __init_subclass__(cls, **kwargs: Any) -> None:
        super().__init_subclass__(**kwargs)
        cls._shared, cls._afters = None, {}

    @classmethod
    def after(cls, state_id: str, trigger: str) -> str:
        """Id of the state after ``trigger``; ``state_id`` itself when that state ignores it.

        A pure function: the library is asked once for each pair.

        Raises:
            LogicError: the chart has no such state, or no state knows the trigger.
        """
        after = cls._afters.get((state_id, trigger))
        if after is None:
            after = cls._afters[state_id, trigger] = cls._ask_library(state_id, trigger)
        if _watchers and after != state_id:
            for watcher in _watchers:
                watcher(cls.__name__, state_id, after)
        return after

    @classmethod
    def _ask_library(cls, state_id: str, trigger: str) -> str:
        if trigger not in {event.id for event in cls._events}:
            raise LogicError(f"{cls.__name__} has no trigger '{trigger}'")
        if state_id not in {state.id for state in cls.states}:
            raise LogicError(f"{cls.__name__} has no state '{state_id}'")
        with _running:  # one chart object a class, and threads may share it
            if cls._shared is None:
                cls._shared = cls()
            chart = cls._shared
            chart.current_state_value = state_id
            chart.send(trigger)
            return str(chart.current_state_value)


def states_of(charts: tuple[type[Chart], ...]) -> tuple[tuple[str, str], ...]:
    """Every state of ``charts``: (name of the chart, id of the state), sorted."""
    return tuple(sorted((chart.__name__, state.id) for chart in charts for state in chart.states))


def transitions_of(charts: tuple[type[Chart], ...]) -> tuple[tuple[str, str, str, str], ...]:
    """Every transition: (name of the chart, state id, trigger, id of the state after it), sorted.

    A table made from the classes alone, for exhaustive searches.
    """
    return tuple(
        sorted(
            (chart.__name__, state.id, event.id, target.id)
            for chart in charts
            for state in chart.states
            for transition in state.transitions
            for event in transition.events
            for target in transition.targets
            if isinstance(target, State)
        )
    )
