"""A message to a simulator while it runs: when it is due, and what it says then."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from math import inf

from panelbridge.config.links.names_to_send import Sendable
from panelbridge.config.links.targets import LinkCommand, WrittenValue
from panelbridge.config.links.templates import WALL_CLOCK
from panelbridge.feeds.link.rendering import ValueWriter, renderer_of, written
from panelbridge.signals import GearPosition, Value

GEAR = "gear"
Filled = Mapping[str, str | float]


class OutgoingMessage:
    """Sent when what it names has changed, or again after its period.

    A position that is found, at the start or after a loss, is no command: it waits for a change.
    What lasts only while it is sent (brakes, steering) follows at once, and so does a gear command
    that is another than the position of the simulator's own handle.

    Args:
        name: its key in the feed file.
        keys: what stands there.
        sendable: everything that it may name.
        writings: how values are written in this target.
    """

    def __init__(
        self,
        name: str,
        keys: LinkCommand,
        sendable: Mapping[str, Sendable],
        writings: Mapping[str, WrittenValue],
    ) -> None:
        self.name, self.keys = name, keys
        names, self.render = renderer_of(name, keys)
        self.names = tuple(sorted(names))
        self._compared = tuple([one for one in self.names if one != WALL_CLOCK])
        self._writers = {one: ValueWriter(writings.get(one), sendable[one]) for one in self.names}
        self._follows = keys.at_start == "send" or any(
            sendable[one].is_held or not sendable[one].is_command for one in self.names
        )
        self._period_s = 1.0 / keys.at_most_hz
        self._filled: Filled | None = None
        self._found: Filled | None = None
        self._is_free = False
        self._sent: Filled | None = None
        self.sent_s = -inf
        """When it went out last, or was tried, s."""
        self._holds: Filled | None = None

    def begin(self) -> None:
        """What it says is found, not commanded: start-up, or data or connection are back."""
        self._found = self._sent = None
        self._is_free = False

    def names_any(self, names: Collection[str]) -> bool:
        """It says one of ``names``."""
        return any(name in names for name in self.names)

    def filled(self, values: Mapping[str, Value]) -> Filled | None:
        """What is filled in for its names; None while one of them is unknown."""
        return written(self.names, values, self._writers)

    def notice(self, values: Mapping[str, Value], *, simulator_handle: GearPosition | None) -> None:
        """Take what it would say now.

        Args:
            values: every value that is known.
            simulator_handle: where the simulator's own handle stands; None when unknown.
        """
        self._filled = filled = self.filled(values)
        if filled is None:
            self.begin()
            return
        if self._is_free:
            return
        compared = {name: filled[name] for name in self._compared}
        self._found = compared if self._found is None else self._found
        differs = simulator_handle not in (None, values.get(GEAR))
        by_gear = differs and GEAR in self.names
        self._is_free = self._follows or by_gear or compared != self._found

    def due(self, now_s: float) -> Filled | None:
        """What is to be filled in and sent now; None when nothing is."""
        filled, every_s = self._filled, self.keys.every_s
        if filled is None or not self._is_free or now_s - self.sent_s < self._period_s:
            return None
        if every_s is not None and now_s - self.sent_s >= every_s:
            return filled
        changed = self._sent is None or any(filled[n] != self._sent[n] for n in self._compared)
        return filled if changed else None

    def sent(self, now_s: float, filled: Filled) -> None:
        """It went out."""
        self._sent = self._holds = filled
        self.sent_s = now_s

    def tried(self, now_s: float) -> None:
        """It could not go out; it is tried again in its own time."""
        self.sent_s = now_s

    def again(self) -> None:
        """It was not obeyed: send it again, as it is then."""
        self._sent = None

    def last_words(self, wall_clock_s: float) -> Filled | None:
        """What ends what it holds, if it holds anything."""
        ends, sent = self.keys.ends, self._holds
        self._holds = None
        if ends is None or sent is None:
            return None
        clock = (
            {WALL_CLOCK: self._writers[WALL_CLOCK].write(wall_clock_s)}
            if WALL_CLOCK in self.names
            else {}
        )
        return {**sent, **clock, **ends}
