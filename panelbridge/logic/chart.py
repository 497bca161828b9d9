"""The base of every chart: python-statemachine with its behaviour written out.

Rules for charts, kept by ``tests/logic/test_chart_lint.py``: state ids carry the chart's prefix and
are unique in the package; every hook names a real state or trigger; no ``delay``, ``invoke`` or
``async``. A chart gets a trigger only when a condition has changed (edge-triggered); its timers run
outside of it and send a plain trigger when due.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from typing import Any, ClassVar

from statemachine import State, StateChart

from panelbridge.errors import LogicError

ChartWatcher = Callable[[str, str, str], None]
"""Called with a chart's name and the ids of the states it left (empty at its start) and entered."""

_watchers: list[ChartWatcher] = []


@contextmanager
def watch_charts(callback: ChartWatcher) -> Iterator[None]:
    """Call ``callback`` for the start of every chart and every change of its state.

    All charts of the process are watched, those of other threads too; watchers may be nested.
    """
    _watchers.append(callback)
    try:
        yield
    finally:
        _watchers.remove(callback)


class Chart(StateChart[Any]):
    """Base class of all charts; errors raise and unknown triggers are mistakes."""

    # A trigger that the present state does not handle is normal: charts get edges, and not every
    # edge matters in every state. A trigger that no state knows is a mistake: see send_trigger.
    allow_event_without_transition = True
    # A self-transition leaves and enters its state, as the SCXML recommendation says.
    enable_self_transition_entries = True
    # Exit, transition and entry actions in the order of the SCXML recommendation.
    atomic_configuration_update = False
    # An exception in an action or a guard comes out at the caller, never swallowed.
    catch_errors_as_events = False

    _trigger_names: ClassVar[frozenset[str]] = frozenset()
    _handled: ClassVar[Mapping[str, frozenset[str]]] = {}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # Asked for in every step of the logic, and the library works it out anew each time.
        self._state_id = str(self.current_state_value)
        for watcher in _watchers:
            watcher(type(self).__name__, "", self._state_id)

    def __init_subclass__(cls, **kwargs: Any) -> None:
        super().__init_subclass__(**kwargs)
        cls._trigger_names = frozenset()
        cls._handled = {}

    def send_trigger(self, name: str) -> None:
        """Send the trigger ``name``.

        Raises:
            LogicError: no state of this chart knows the trigger.
        """
        cls = type(self)
        if not cls._trigger_names:
            cls._trigger_names = frozenset(trigger.id for trigger in cls._events)
        if name not in cls._trigger_names:
            raise LogicError(f"{cls.__name__} has no trigger '{name}'")
        before = self._state_id
        self.send(name)
        after = self._state_id = str(self.current_state_value)
        if _watchers and after != before:  # no chart has a transition from a state to itself
            for watcher in _watchers:
                watcher(cls.__name__, before, after)

    def handles(self, name: str) -> bool:
        """Whether the present state has a transition for the trigger ``name``: cheap to ask."""
        cls = type(self)
        if not cls._handled:
            cls._handled = {
                state.id: frozenset(
                    trigger.id for one in state.transitions for trigger in one.events
                )
                for state in cls.states
            }
        return name in cls._handled[self._state_id]

    @property
    def state_id(self) -> str:
        """Id of the one active state (our charts are flat), as ``send_trigger`` left it."""
        return self._state_id


def all_states() -> tuple[tuple[str, str], ...]:
    """Every state of the logic's charts: (name of the chart, id of the state), sorted."""
    return tuple(sorted((c.__name__, state.id) for c in _charts() for state in c.states))


def all_transitions() -> tuple[tuple[str, str, str], ...]:
    """Every transition of the logic's charts: (name of the chart, from id, to id), sorted."""
    return tuple(
        sorted(
            {
                (chart.__name__, state.id, target.id)
                for chart in _charts()
                for state in chart.states
                for transition in state.transitions
                for target in transition.targets
                if isinstance(target, State)
            }
        )
    )


def _charts() -> Iterator[type[Chart]]:
    # The composition of all systems brings in every chart; it stands on this module.
    importlib.import_module("panelbridge.logic.panel_logic")
    for chart in Chart.__subclasses__():
        if chart.__module__.startswith("panelbridge.logic."):
            yield chart
