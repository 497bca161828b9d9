"""What an event is about, in a word or two: the subjects by which a log can be filtered.

The systems' titles, and for what they do not note: link, feed, wiring, viewers.
"""

from __future__ import annotations

from functools import cache

from panelbridge.engine.wiring_hints import WIRING_HINTS
from panelbridge.link.session.link_events import LINK_EVENTS
from panelbridge.logic.systems import ORDER
from panelbridge.signals import Event

OTHER = "other"
_OF_MODULES = {
    "simulation": "Simulation",
    "air_ground": "Air and ground",
    "gear": "Gear",
    "gear_warning": "Horn",
    "missing_data": "Feed",
    "own": "Your own",
    "lamps": "Lamps",
    "night_light": "Lamps",
    "agreement": "Gear",
    "handle_lock": "Gear",
}
"""Systems without a title, and titles that are too narrow for a log, by their folders."""


@cache
def _groups() -> dict[str, str]:
    found: dict[str, str] = {}
    for kind in ORDER:
        folder = kind.__module__.split(".")[2]
        title = _OF_MODULES.get(folder) or kind.title or OTHER
        found.update(dict.fromkeys(kind.events, title))
    found.update(dict.fromkeys(LINK_EVENTS, "Link"))
    found.update(dict.fromkeys(WIRING_HINTS, "Wiring"))
    return found


def group_of(event: Event) -> str:
    """What an event is about."""
    name = event.name
    if known := _groups().get(name):
        return known
    if name.startswith("feed_"):
        return "Feed"
    if name.startswith("publisher_") or name == "run_published":
        return "Viewers"
    return "Wiring" if name.startswith("wiring_") else OTHER
