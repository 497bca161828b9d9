"""The base of every chart: python-statemachine with its behaviour written out.

Rules for charts, kept by ``tests/logic/test_chart_lint.py``: state ids carry the chart's prefix and
are unique in the package; every hook names a real state or event; no ``delay``, ``invoke`` or
``async``. A chart gets an event only when a condition has changed (edge-triggered); its timers run
outside of it and send a plain event when due.
"""

from __future__ import annotations

from typing import Any, ClassVar

from statemachine import StateChart

from panelbridge.errors import LogicError


class Chart(StateChart[Any]):
    """Base class of all charts; errors raise and unknown events are mistakes."""

    # An event that the present state does not handle is normal: charts get edges, and not every
    # edge matters in every state. An event that no state knows is a mistake: see send_event.
    allow_event_without_transition = True
    # A self-transition leaves and enters its state, as the SCXML recommendation says.
    enable_self_transition_entries = True
    # Exit, transition and entry actions in the order of the SCXML recommendation.
    atomic_configuration_update = False
    # An exception in an action or a guard comes out at the caller, never swallowed.
    catch_errors_as_events = False

    _event_names: ClassVar[frozenset[str]] = frozenset()

    def __init_subclass__(cls, **kwargs: Any) -> None:
        super().__init_subclass__(**kwargs)
        cls._event_names = frozenset()

    def send_event(self, name: str) -> None:
        """Send the event ``name``.

        Raises:
            LogicError: no state of this chart knows the event.
        """
        cls = type(self)
        if not cls._event_names:
            cls._event_names = frozenset(event.id for event in cls._events)
        if name not in cls._event_names:
            raise LogicError(f"{cls.__name__} has no event '{name}'")
        self.send(name)

    @property
    def state_id(self) -> str:
        """Id of the one active state (our charts are flat)."""
        return str(self.current_state_value)
