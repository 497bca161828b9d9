"""The alerts that systems note, as cells of the world: what raises the master lights.

An event's level is its one declaration: an event above ``info`` is an alert. The generic step
counts the alerts of each level; a system that notes one behind a reader of the counts must change
its facts with it, which repeats the pass.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from panelbridge.logic.kit.handles import Handle
from panelbridge.signals import Event, Level


class Noted(NamedTuple):
    """The alerts of one level.

    Attributes:
        number: how many there were.
        last: the last of them.
    """

    number: int
    last: Event


NOTED: Mapping[Level, Handle[Noted]] = {
    level: Handle(f"noted_{level.value}") for level in Level if level is not Level.INFO
}
"""The cell of each level; unknown before its first alert."""
