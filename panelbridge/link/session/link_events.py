"""The events of a board's link: their names, levels and texts, and when each is published."""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping

from panelbridge.config.words import named_board
from panelbridge.errors import BoardRefused, LinkError, PortBusy, PortMissing
from panelbridge.link.session.session_outputs import BoardLost, SessionOutput
from panelbridge.link.wire import ReportFlag
from panelbridge.printing import clean_line
from panelbridge.signals import Event, Level

SUPPLY_HINT = "check its supply: lamps or servos may draw more than it can give"

OFTEN = 4
OFTEN_WITHIN_S = 600.0
"""A computer that was not heard so often in this time, s, has a lasting cause."""
_BUSY_HINT = (
    "switch off the power saving of its USB ports, and see what else keeps the computer busy"
)

OFTEN_LOST, OFTEN_LOST_WITHIN_S = 10, 60.0
"""A live board that was reset or lost so often in this time, s, is reported once for all."""
QUIET_S = 10.0
"""It is reported again once it has been live for this time, s."""

_I, _C, _F = Level.INFO, Level.CAUTION, Level.FAULT

LINK_EVENTS: Mapping[str, tuple[Level, str]] = {
    "board_connected": (_I, "the board is live"),
    "board_reconnected": (_I, "the board is back"),
    "board_was_reset": (_C, "{reason}"),
    "contact_found_noisy": (
        _C,
        "a contact bounces longer than its debounce_ms; raise it or replace the switch",
    ),
    "edges_lost": (
        _C,
        "switches moved faster than the board could report; their positions are right",
    ),
    "host_not_heard": (
        _I,
        "{reason}: its lamps were idle, its switches are read again and move nothing by themselves",
    ),
    "host_often_not_heard": (_C, "{reason}"),
    "link_found_poor": (_C, "{reason}"),
    "link_good_again": (_I, "the link is good again"),
    "port_missed": (_F, "{reason}"),
    "port_found_busy": (_F, "{reason}"),
    "board_not_heard": (_F, "{reason}"),
    "board_often_lost": (_C, "{reason}"),
    "board_lost": (_F, "{reason}"),
    "board_refused": (_F, "{reason}"),
}


def link_event(now_s: float, name: str, board_name: str, url: str, reason: str = "") -> Event:
    """The event ``name`` of the board ``board_name``.

    Args:
        now_s: when, s.
        name: one of ``LINK_EVENTS``.
        board_name: the board's name in the panel file.
        url: its port.
        reason: what is wrong and what to do, for texts that contain it.

    Raises:
        KeyError: no event has this name.
    """
    level, text = LINK_EVENTS[name]
    text = f"{named_board(board_name)} ({clean_line(url)}): {text.format(reason=reason)}"
    return Event(now_s, name, level, text, board_name)


class LinkEventPublisher:
    """Publishes the events of one board's link, each once until the board is live again.

    Args:
        name: the board's name in the panel file.
        url: its port.

    Attributes:
        message: why the board is not live and what to do; empty when it is.
        holds_back: it comes and goes, and its single losses are not published.
    """

    def __init__(self, name: str, url: str) -> None:
        self._name = name
        self._url = url
        self._published: set[str] = set()
        self._silences: deque[float] = deque(maxlen=OFTEN)
        self._losses: deque[float] = deque(maxlen=OFTEN_LOST)
        self.holds_back = False
        self.message = ""

    def failed(self, now_s: float, error: LinkError, *, was_live: bool) -> list[SessionOutput]:
        """The link has failed."""
        self.message = f"{error.what}; {error.hint}" if error.hint else error.what
        lost: list[SessionOutput] = [BoardLost(error.what)] if was_live else []
        name = _event_name(error, was_live=was_live)
        if name == "board_lost":
            return lost + self._lost(now_s, name, self.message)
        if name == "port_missed" and "board_lost" in self._published:
            return lost  # a port that went away is missing: no new information
        return lost + self._publish(now_s, name, self.message)

    def was_reset(self, now_s: float) -> list[SessionOutput]:
        """The board was live and has restarted."""
        what = "the board was reset by itself"
        return [BoardLost(what), *self._lost(now_s, "board_was_reset", f"{what}; {SUPPLY_HINT}")]

    def _lost(self, now_s: float, name: str, reason: str) -> list[SessionOutput]:
        self._losses.append(now_s)
        if self.holds_back:
            return []
        if len(self._losses) < OFTEN_LOST or now_s - self._losses[0] > OFTEN_LOST_WITHIN_S:
            return self._publish(now_s, name, reason)
        self.holds_back = True
        often = f"it was reset or lost {OFTEN_LOST} times in a minute"
        after = f"it is reported again when it has been live for {QUIET_S:g} s"
        reason = f"{often}; {SUPPLY_HINT}, and its cable; {after}"
        return self._publish(now_s, "board_often_lost", reason)

    def stays_live(self, now_s: float) -> list[SessionOutput]:
        """The board goes on reporting; called while ``holds_back``."""
        if now_s - self._losses[-1] < QUIET_S:
            return []
        self.holds_back = False
        self._losses.clear()
        self._published.clear()
        return self._publish(now_s, "board_reconnected")

    def went_live(self, now_s: float, *, again: bool) -> list[SessionOutput]:
        """The board is live, perhaps ``again``: the next failure is published again."""
        self._published.clear()
        self.message = ""
        if self.holds_back:
            return []
        return self._publish(now_s, "board_reconnected" if again else "board_connected")

    def flags_changed(
        self, now_s: float, flags: int, *, edges_were_lost: bool
    ) -> list[SessionOutput]:
        """The ``ReportFlag`` bits of a live board have changed, or it has lost edges."""
        events: list[SessionOutput] = []
        if flags & ReportFlag.NOISY_CONTACT:
            events += self._publish(now_s, "contact_found_noisy")
        if edges_were_lost or flags & ReportFlag.EDGES_LOST:
            events += self._publish(now_s, "edges_lost")
        return events

    def host_not_heard(self, now_s: float, what: str) -> list[SessionOutput]:
        """The board was live and has heard nothing; each time, and a caution when it is often."""
        self._published -= {"host_not_heard", "host_often_not_heard"}
        events = self._publish(now_s, "host_not_heard", what)
        self._silences.append(now_s)
        if len(self._silences) == OFTEN and now_s - self._silences[0] <= OFTEN_WITHIN_S:
            self._silences.clear()
            often = f"it heard nothing from this computer {OFTEN} times in"
            reason = f"{often} {OFTEN_WITHIN_S / 60:g} minutes; {_BUSY_HINT}"
            events += self._publish(now_s, "host_often_not_heard", reason)
        return events

    def quality_changed(self, now_s: float, poor: str) -> list[SessionOutput]:
        """The link of a live board has become poor, or good again (``poor`` is empty)."""
        if self.holds_back:
            return []
        self._published -= {"link_found_poor", "link_good_again"}
        return self._publish(now_s, "link_found_poor" if poor else "link_good_again", poor)

    def _publish(self, now_s: float, name: str, reason: str = "") -> list[SessionOutput]:
        if name in self._published:
            return []
        self._published.add(name)
        return [link_event(now_s, name, self._name, self._url, reason)]


def _event_name(error: LinkError, *, was_live: bool) -> str:
    if isinstance(error, PortMissing):
        return "port_missed"
    if isinstance(error, PortBusy):
        return "port_found_busy"
    if isinstance(error, BoardRefused):
        return "board_refused"
    return "board_lost" if was_live else "board_not_heard"
