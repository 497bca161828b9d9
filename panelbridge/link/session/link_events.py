"""Every event that a board's link can tell, with its level and its words."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from panelbridge.signals import Event, Level

_I, _C, _F = Level.INFO, Level.CAUTION, Level.FAULT

LINK_EVENTS: Mapping[str, tuple[Level, str]] = MappingProxyType(
    {
        "board_connected": (_I, "the board is live"),
        "board_reconnected": (_I, "the board is back"),
        "board_was_reset": (_C, "{trouble}"),
        "contact_found_noisy": (
            _C,
            "a contact bounces longer than its debounce_ms; raise it or replace the switch",
        ),
        "edges_lost": (
            _C,
            "switches moved faster than the board could say; their positions are right",
        ),
        "port_missed": (_F, "{trouble}"),
        "port_found_busy": (_F, "{trouble}"),
        "board_not_heard": (_F, "{trouble}"),
        "board_lost": (_F, "{trouble}"),
        "board_refused": (_F, "{trouble}"),
    }
)


def link_event(now_s: float, name: str, board_name: str, url: str, trouble: str = "") -> Event:
    """The event ``name`` of the board ``board_name``; a wrong name is a KeyError.

    Args:
        now_s: when, s.
        name: one of ``LINK_EVENTS``.
        board_name: the board's name in the panel file.
        url: its port.
        trouble: what is wrong and what to do, where the words of ``name`` leave room for it.
    """
    level, words = LINK_EVENTS[name]
    text = f"board {board_name} ({url}): {words.format(trouble=trouble)}"
    return Event(now_s, name, level, text, board_name)
