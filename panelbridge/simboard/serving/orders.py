"""Typed orders to a served board, one per line, and the answers."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from math import inf

from panelbridge.clock import Clock
from panelbridge.errors import LogicError, UsageError
from panelbridge.logic.switches import BUTTON
from panelbridge.simboard.board.outputs import Tone
from panelbridge.simboard.cable.cable import Cable
from panelbridge.simboard.cable.line_faults import FAULT_NAMES
from panelbridge.simboard.contacts.hands import SwitchFault
from panelbridge.simboard.sim_panel import SimPanel

_POSITIONS = {"press": BUTTON.operated, "release": BUTTON.free}
_CONTACT = {"closed": True, "close": True, "open": False}
_HELP = {
    "": "SWITCH POSITION        move a switch: gear_handle up, lamp_test press, dimmer 0.4",
    "break": "break SWITCH FAULT     break a switch: " + ", ".join(SwitchFault),
    "pin": "pin NAME closed|open   connect a pin to ground, or not: pin D22 closed, pin D10.3 open",
    "analogue": "analogue NAME COUNTS   put a voltage on a pin: analogue A0 512",
    "fault": "fault NAME=VALUE       a fault of the line (0 ends it): " + ", ".join(FAULT_NAMES),
    "unplug": "unplug [SECONDS]       unplug the cable, for good or for a time",
    "plug": "plug                   plug it in again",
    "reset": "reset                  press the board's reset button",
    "switches": "switches               the position of every switch",
    "lamps": "lamps                  the outputs of the board",
    "quit": "quit                   stop",
}


class Orders:
    """Carries out orders.

    Args:
        cable: the served board on its cable.
        clock: its time.
        panel: the panel that it belongs to; None for a bare board.

    Attributes:
        quit: the order ``quit`` was given.
    """

    def __init__(self, cable: Cable, clock: Clock, panel: SimPanel | None) -> None:
        self._cable = cable
        self._clock = clock
        self._panel = panel
        self.quit = False
        self._verbs: Mapping[str, Callable[[list[str]], list[str] | None]] = {
            "break": self._break,
            "pin": self._pin,
            "analogue": self._analogue,
            "fault": self._fault,
            "unplug": self._unplug,
            "plug": lambda words: self._cable.replug(self._clock.now()),
            "reset": lambda words: self._cable.reset(self._clock.now()),
            "switches": lambda words: self._switches(),
            "lamps": lambda words: self.driven(),
            "help": lambda words: [*_HELP.values()],
            "quit": self._quit,
        }

    def carry_out(self, line: str) -> list[str]:
        """Carry out one order; returns the lines to print, an error as ``? what (hint)``."""
        words = line.split()
        if not words:
            return []
        try:
            verb = self._verbs.get(words[0])
            return (verb(words[1:]) if verb else self._move(words)) or []
        except UsageError as error:
            return [f"? {error.what}" + (f" ({error.hint})" if error.hint else "")]

    def driven(self) -> list[str]:
        """The outputs of the board, one per line: by the panel's names, or by pins."""
        panel, view = self._panel, self._cable.board.outputs
        if panel is None:
            tones = [(f"horn {pin}", tone) for pin, tone in view.tones.items()]
            return _lines(view.lamps, tones, view.servo_us, {})
        horn = [("horn", panel.horn())] if panel.panel.horn else []
        return _lines(panel.lamps(), horn, panel.gauges_us(), panel.solenoids())

    def _move(self, words: list[str]) -> list[str]:
        if self._panel is None or len(words) != 2:
            raise UsageError(f"{' '.join(words)!r} is not an order", hint="help lists them")
        switch, position = words
        self._panel.move(self._clock.now(), switch, _POSITIONS.get(position, position))
        return []

    def _break(self, words: list[str]) -> None:
        if self._panel is None or len(words) != 2 or words[1] not in tuple(SwitchFault):
            raise UsageError("break what, and how?", hint=_HELP["break"])
        self._panel.break_switch(self._clock.now(), words[0], SwitchFault(words[1]))

    def _pin(self, words: list[str]) -> None:
        if len(words) != 2 or words[1] not in _CONTACT:
            raise UsageError("which pin, closed or open?", hint=_HELP["pin"])
        try:
            self._cable.board.set_contact(self._clock.now(), words[0], _CONTACT[words[1]])
        except LogicError:
            raise UsageError(f"there is no contact pin {words[0]}") from None

    def _analogue(self, words: list[str]) -> None:
        if len(words) != 2 or not words[1].isdecimal():
            raise UsageError("which pin, how many counts?", hint=_HELP["analogue"])
        try:
            self._cable.board.set_analogue(self._clock.now(), words[0], int(words[1]))
        except LogicError:
            raise UsageError(f"there is no analogue pin {words[0]}") from None

    def _fault(self, words: list[str]) -> list[str]:
        for word in words:
            self._cable.faults.order_text(word)
        return [] if words else [f"fault {n}={self._cable.faults.value(n):g}" for n in FAULT_NAMES]

    def _unplug(self, words: list[str]) -> None:
        try:
            for_s = float(words[0]) if words else inf
        except ValueError:
            for_s = -1.0
        if not for_s > 0:
            raise UsageError("unplug for how many seconds?", hint=_HELP["unplug"])
        self._cable.unplug(self._clock.now(), for_s)

    def _switches(self) -> list[str]:
        if self._panel is None:
            return []
        places = self._panel.positions(self._clock.now()).items()
        choices = self._panel.choices
        return [f"switch {n} {at} ({', '.join(choices[n]) or '0 to 1'})" for n, at in places]

    def _quit(self, words: list[str]) -> None:
        self.quit = True


def _lines(
    lamps: Mapping[str, int],
    tones: Iterable[tuple[str, Tone | None]],
    gauges_us: Mapping[str, int],
    solenoids: Mapping[str, bool],
) -> list[str]:
    return [
        *(f"lamp {name} {value}" for name, value in lamps.items()),
        *(f"{name} {tone.order.name.lower() if tone else 'silent'}" for name, tone in tones),
        *(f"gauge {name} {us}us" for name, us in gauges_us.items()),
        *(f"solenoid {name} {'on' if current else 'off'}" for name, current in solenoids.items()),
    ]
