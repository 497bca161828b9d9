"""The interface of a feed: aircraft state in, commands out; stale state counts as unknown."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Mapping, Sequence
from typing import Protocol

from msgspec import Struct, field
from msgspec.structs import replace

from panelbridge.signals import AircraftState, Commands


class FeedReading(Struct, frozen=True):
    """What a feed reports at one instant.

    Attributes:
        aircraft: the aircraft's state.
        fresh: the state can be trusted.
        time_s: when the state was true, seconds on the run's clock.
        phase: phase of the flight; empty when the feed does not know it.
        finished: nothing more will come.
    """

    aircraft: AircraftState = AircraftState()
    fresh: bool = False
    time_s: float = 0.0
    phase: str = ""
    finished: bool = False


class TargetHealth(Struct, frozen=True):
    """How something that takes commands is.

    Attributes:
        name: as in the feed file.
        is_open: commands can reach it.
        way: the medium and its address, for people.
        text: how it is, and why it is not open, for people.
        is_used: commands go to it: its data is fresh, and panel and simulator have agreed.
        sent: messages that went out.
        refused: what could not be sent, or was not obeyed, by reason.
        last_refused: the last of these, with its details.
    """

    name: str
    is_open: bool = False
    way: str = ""
    text: str = ""
    is_used: bool = False
    sent: int = 0
    refused: Mapping[str, int] = field(default_factory=dict)
    last_refused: str = ""


class FeedHealth(Struct, frozen=True):
    """How a feed that comes from outside is; empty for one that is built in.

    Attributes:
        is_open: data can come.
        way: the medium and its address, for people; empty without one.
        text: how it is, and why it is not open, for people.
        messages: messages that came.
        refused: what was refused of them, by reason, the most frequent first.
        last_refused: the last thing that was refused, with its details.
        unknown: values of the feed file that are not known now, and why.
        targets: what takes commands.
        warnings: who else may reach it, a sentence each.
    """

    is_open: bool = True
    way: str = ""
    text: str = ""
    messages: int = 0
    refused: Mapping[str, int] = field(default_factory=dict)
    last_refused: str = ""
    unknown: Mapping[str, str] = field(default_factory=dict)
    targets: tuple[TargetHealth, ...] = ()
    warnings: tuple[str, ...] = ()


NO_HEALTH = FeedHealth()


class Feed(ABC):
    """A source of aircraft state. Used by the engine's one thread; never blocks.

    A class derives from it and has its first three functions; one with sockets has the others too.
    """

    name: str
    """For screens."""

    @abstractmethod
    def read(self, now_s: float) -> FeedReading:
        """The aircraft at ``now_s``, seconds on the run's clock."""

    @abstractmethod
    def send(self, now_s: float, commands: Commands) -> None:
        """Take the panel's commands; called when they have changed, or data has come back."""

    @abstractmethod
    def restart(self, now_s: float) -> None:
        """Start again, if the feed has a start."""

    def open(self, now_s: float) -> None:
        """Begin, before the first turn.

        Raises:
            FeedError: it can never work: an address is taken, a password is missing.
        """
        return

    def poll(self, now_s: float) -> int:
        """Take what has come, and send what is due; called at each turn.

        Returns:
            How many messages were read; with any the state is read at once.
        """
        return 0

    def filenos(self) -> Sequence[int]:
        """What the waiter watches for bytes to read."""
        return ()

    def health(self) -> FeedHealth:
        """How its connections are."""
        return NO_HEALTH

    def close(self, now_s: float) -> None:
        """End what is held, say goodbye, free everything; may be called twice."""
        return


class Pilot(Protocol):
    """Moves the switches of a simulated panel while a feed flies; polled by the engine's thread."""

    def poll(self, now_s: float) -> None:
        """Make the movements that are due at ``now_s``."""

    def restart(self) -> None:
        """Start again with the first movement."""


class PhasedFlight(Protocol):
    """A flight whose phases are known beforehand."""

    @property
    def phases(self) -> Sequence[str]:
        """Their names, in order."""

    def phase_index(self, now_s: float) -> int:
        """Which of them it is in."""


class FeedAround(Feed):
    """Passes everything on to another feed; what it reads is for its subclasses."""

    def __init__(self, feed: Feed) -> None:
        self.name = feed.name
        self._feed = feed

    def send(self, now_s: float, commands: Commands) -> None:
        """Pass the panel's commands on."""
        self._feed.send(now_s, commands)

    def restart(self, now_s: float) -> None:
        """Restart the feed."""
        self._feed.restart(now_s)

    def open(self, now_s: float) -> None:
        """Open the feed."""
        self._feed.open(now_s)

    def poll(self, now_s: float) -> int:
        """Poll the feed."""
        return self._feed.poll(now_s)

    def filenos(self) -> Sequence[int]:
        """The feed's."""
        return self._feed.filenos()

    def health(self) -> FeedHealth:
        """The feed's."""
        return self._feed.health()

    def close(self, now_s: float) -> None:
        """Close the feed."""
        self._feed.close(now_s)


class TrustedFeed(FeedAround):
    """Another feed's data, unknown when it is stale (DEVELOPERS.md, decision 11).

    Args:
        feed: where the data comes from.
        stale_after_s: age above which data is unknown, s.
    """

    def __init__(self, feed: Feed, stale_after_s: float) -> None:
        super().__init__(feed)
        self._stale_after_s = stale_after_s

    @property
    def source(self) -> Feed:
        """The other feed."""
        return self._feed

    def read(self, now_s: float) -> FeedReading:
        """The feed's reading; all unknown when it is not fresh or stale."""
        reading = self._feed.read(now_s)
        if reading.fresh and now_s - reading.time_s <= self._stale_after_s:
            return reading
        return replace(reading, aircraft=AircraftState(), fresh=False)
