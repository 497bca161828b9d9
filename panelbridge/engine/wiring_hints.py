"""Hints at wires that seem wrong, while the panel is in use: each is said once, and nothing acts.

All limits are our own decisions. A hint needs what a right panel does not do: a button that is
found pressed and stays so, or is let go only for moments; a handle that is found up on the ground,
or whose contacts are both closed on its way; a lamp test without an end. A switch whose board was
lost is found again.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from msgspec import Struct

from panelbridge.config.chain_check import PIN_KEYS
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.panel_parts.switch_entries import (
    ContactSwitch,
    TwoContactHandle,
    WiredSwitch,
)
from panelbridge.config.words import listed
from panelbridge.logic.kit.handles import Button
from panelbridge.logic.switches import Declared
from panelbridge.signals import (
    AircraftState,
    Event,
    GearPosition,
    HandleContacts,
    Level,
    SwitchState,
)

HELD_S = 30.0
"""A button that was found pressed is reported when it has not been let go for this time, s."""
RELEASE_S = 3.0
"""A button is let go for longer than this when it is not used; a shorter release is a moment, s."""
MOMENTS = 2
"""A button that was found pressed, and is let go only for so many moments, opens when pressed."""
FOUND_UP_S = 10.0
"""A handle that was found up on the ground is reported when it stays there for this time, s."""
TRAVEL_BOTH = 2
"""So often both contacts of a handle were closed between one end and the other."""
LAMP_TEST_S = 60.0
"""A lamp test that lasts for longer than this is reported, s."""
_LAMP_TEST = "lamp_test"
_ENDS = (HandleContacts.UP, HandleContacts.DOWN)

WIRING_HINTS = {
    "button_held_since_start": (
        Level.CAUTION,
        "{switch} has been pressed since it was found, for {held_s:.0f} s: is it stuck, or do its"
        " wires touch? {other_kind}",
    ),
    "button_opens_when_pressed": (
        Level.CAUTION,
        "{switch} reads pressed and is released only for moments. {other_kind}",
    ),
    "handle_found_up_on_ground": (
        Level.CAUTION,
        "{switch} has read up on the ground since it was found. If it stands down, its two contacts"
        " are exchanged: exchange up_pin and down_pin. {other_kind}",
    ),
    "handle_contacts_open_at_ends": (
        Level.CAUTION,
        "{switch} closes both contacts on its way from end to end. {other_kind}",
    ),
    "lamp_test_without_end": (
        Level.CAUTION,
        "{switch} has been pressed for {test_s:.0f} s: release it; if it is, check its contact and"
        " its wires",
    ),
    "wiring_hint_ended": (Level.INFO, "{switch} was released"),
}
"""Name, level and text of each."""


class _Held(Struct):
    """A button as it was seen.

    Attributes:
        was: its last position; None is unknown.
        since_s: when it came there.
        found_pressed: it was pressed when it was found, and was never let go for long.
        moments: how often it was let go for a moment since it was found pressed.
        said: it has been reported as held.
    """

    was: bool | None = None
    since_s: float = -inf
    found_pressed: bool = False
    moments: int = 0
    said: bool = False


class WiringHints:
    """Watches the switches of one panel.

    Args:
        panel: what is wired where.
        declared: the switches of the aircraft.
    """

    def __init__(self, panel: PanelFile, declared: Declared) -> None:
        wired = panel.wired_switches
        self._buttons = {
            name: _Held()
            for name, entry in wired.items()
            if isinstance(entry, ContactSwitch) and isinstance(declared.get(name), Button)
        }
        self._words = {name: _words_of(name, entry) for name, entry in wired.items()}
        handle = panel.switches.gear_handle
        self._handle = _HandleWatch() if isinstance(handle, TwoContactHandle) else None
        self._said: set[tuple[str, str]] = set()
        self._due_s = -inf
        self._switches: SwitchState | None = None

    def take(self, now_s: float, switches: SwitchState, aircraft: AircraftState) -> list[Event]:
        """The hints that have become due; cheap while no switch moves."""
        if switches is self._switches and now_s < self._due_s:
            return []
        self._switches, self._due_s = switches, now_s + 1.0
        events = [
            event
            for name, held in self._buttons.items()
            for event in self._button(now_s, name, held, switches.get(name))
        ]
        if self._handle is not None:
            events += self._on_handle(now_s, self._handle, switches, aircraft)
        return events

    def _button(
        self, now_s: float, name: str, held: _Held, position: bool | None
    ) -> Iterator[Event]:
        if position is not held.was:
            if position is None or held.was is None:
                held.found_pressed, held.moments = position is True, 0
            elif position:  # pressed again: how long was it let go?
                moment = now_s - held.since_s <= RELEASE_S
                held.found_pressed = held.found_pressed and moment
                held.moments += 1
            elif held.said:
                held.said = False
                yield self._event(now_s, "wiring_hint_ended", name)
            held.was, held.since_s = position, now_s
        if held.found_pressed and held.moments >= MOMENTS:
            yield from self._once(now_s, "button_opens_when_pressed", name)
        if position is not True:
            return
        lasted_s = now_s - held.since_s
        found: list[Event] = []
        if held.found_pressed and not held.moments and lasted_s >= HELD_S:
            found += self._once(now_s, "button_held_since_start", name)
        elif name == _LAMP_TEST and lasted_s >= LAMP_TEST_S:
            found += self._once(now_s, "lamp_test_without_end", name)
        held.said = held.said or bool(found)
        yield from found

    def _on_handle(
        self, now_s: float, watch: _HandleWatch, switches: SwitchState, aircraft: AircraftState
    ) -> Iterator[Event]:
        watch.take(now_s, switches.get("gear_handle"))
        if watch.both >= TRAVEL_BOTH:
            yield from self._once(now_s, "handle_contacts_open_at_ends", "gear_handle")
        if watch.found_up_for(now_s) >= FOUND_UP_S and _stands_with_gear_down(aircraft):
            yield from self._once(now_s, "handle_found_up_on_ground", "gear_handle")

    def _once(self, now_s: float, name: str, switch: str) -> Iterator[Event]:
        key = (name, switch)
        if key not in self._said:
            self._said.add(key)
            yield self._event(now_s, name, switch)

    def _event(self, now_s: float, name: str, switch: str) -> Event:
        level, text = WIRING_HINTS[name]
        words = {**self._words[switch], "held_s": HELD_S, "test_s": LAMP_TEST_S}
        return Event(now_s, name, level, text.format(**words), switch)


def _words_of(name: str, entry: WiredSwitch) -> dict[str, str]:
    """A switch with its pins, and what to write when its contacts are of the other kind."""
    pins = [str(at) for key, at in entry if key in PIN_KEYS]
    two = len(pins) > 1
    where = f"{'pins' if two else 'pin'} {listed(pins, 'and')} of board {entry.board}"
    if getattr(entry, "normally_closed", False):
        does, write = ("close", "delete 'normally_closed: true'")
    else:
        does, write = ("open", "write 'normally_closed: true'")
    contacts = (
        f"its contacts {does} where it arrives" if two else f"its contact {does}s when pressed"
    )
    other = f"If {contacts}, {write}"
    return {"switch": f"{name} ({where})", "other_kind": other}


class _HandleWatch:
    """A handle with two contacts as it was seen.

    Attributes:
        both: how often both contacts were closed between one end and the other.
    """

    def __init__(self) -> None:
        self.both = 0
        self.forget()

    def forget(self) -> None:
        """Its board was lost: it is found again."""
        self._was: HandleContacts | None = None
        self._end: HandleContacts | None = None
        self._through_both = False
        self._up_s: float | None = None
        self._is_found = False

    def take(self, now_s: float, position: HandleContacts | None) -> None:
        """Its contacts now; None is unknown."""
        if position is None:
            self.forget()
            return
        if position is self._was:
            return
        if not self._is_found and position in _ENDS:
            self._is_found = True
            self._up_s = now_s if position is HandleContacts.UP else None
        elif self._is_found:
            self._up_s = None
        if position is HandleContacts.BOTH:
            self._through_both = True
        elif position in _ENDS:
            other = self._end is not None and position is not self._end
            self.both += self._through_both and other
            self._end, self._through_both = position, False
        elif position is HandleContacts.BETWEEN:
            self._through_both = False
        self._was = position

    def found_up_for(self, now_s: float) -> float:
        """How long it has been up since it was found there, s."""
        return now_s - self._up_s if self._up_s is not None else 0.0


def _stands_with_gear_down(aircraft: AircraftState) -> bool:
    """Weight on every wheel, and nothing that the simulator says of its gear is up."""
    struts = aircraft.strut_compressed
    if not struts or not all(struts) or aircraft.gear_handle is GearPosition.UP:
        return False
    return not any(legs.up_locked for legs in aircraft.leg_locks)
