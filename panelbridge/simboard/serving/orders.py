"""Orders to a served board, a line each, and what it answers."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from panelbridge.clock import Clock
from panelbridge.errors import LogicError, UsageError
from panelbridge.simboard.board.outputs import OutputView
from panelbridge.simboard.cable.cable import Cable
from panelbridge.simboard.cable.line_faults import FAULT_NAMES
from panelbridge.simboard.contacts.hands import SwitchFault
from panelbridge.simboard.sim_panel import PRESSED, RELEASED, SimPanel

_POSITIONS = {"press": PRESSED, "release": RELEASED}
_CONTACT = {"closed": True, "close": True, "open": False}
HELP = (
    "SWITCH POSITION        move a switch: gear_handle up, lamp_test press, night on, dimmer 0.4",
    "break SWITCH FAULT     break a switch: " + ", ".join(SwitchFault),
    "pin NAME closed|open   connect a pin to ground, or not: pin D22 closed (of a chain: D10.3)",
    "analogue NAME COUNTS   put a voltage on a pin: analogue A0 512",
    "fault NAME=VALUE       a fault of the line (0 ends it): " + ", ".join(FAULT_NAMES),
    "unplug [SECONDS]       pull the cable, for good or for a time",
    "plug                   plug it in again",
    "reset                  press the board's reset button",
    "switches               where every switch stands",
    "lamps                  what the board drives",
    "quit                   stop",
)


class Orders:
    """Carries out orders.

    Args:
        cable: the served board on its cable.
        clock: its time.
        panel: the panel that it belongs to; None for a bare board.
    """

    def __init__(self, cable: Cable, clock: Clock, panel: SimPanel | None) -> None:
        self._cable = cable
        self._clock = clock
        self._panel = panel
        self.quit = False
        """The order to stop has come."""
        self._verbs: Mapping[str, Callable[[list[str]], list[str]]] = {
            "break": self._break,
            "pin": self._pin,
            "analogue": self._analogue,
            "fault": self._fault,
            "unplug": self._unplug,
            "plug": self._plug,
            "reset": self._reset,
            "switches": self._switches,
            "lamps": lambda words: self.driven(),
            "help": lambda words: list(HELP),
            "quit": self._quit,
        }

    def carry_out(self, line: str) -> list[str]:
        """Carry out one order; gives the lines to print, a mistake as ``? what (hint)``."""
        words = line.split()
        if not words:
            return []
        try:
            verb = self._verbs.get(words[0])
            return verb(words[1:]) if verb else self._move(words)
        except UsageError as error:
            return [f"? {error.what}" + (f" ({error.hint})" if error.hint else "")]

    def driven(self) -> list[str]:
        """What the board drives, a line each: by the panel's names, or by pins."""
        view = self._cable.board.outputs
        if self._panel is None:
            return _by_pin(view)
        lines = [f"lamp {name} {value}" for name, value in self._panel.lamps().items()]
        tone = self._panel.horn()
        if self._panel.panel.horn is not None:
            lines.append(f"horn {tone.order.name.lower() if tone else 'silent'}")
        lines += [f"gauge {name} {us}us" for name, us in self._panel.gauges_us().items()]
        solenoids = self._panel.solenoids().items()
        lines += [f"solenoid {name} {'on' if current else 'off'}" for name, current in solenoids]
        return lines

    def _move(self, words: list[str]) -> list[str]:
        if self._panel is None or len(words) != 2:
            raise UsageError(f"{' '.join(words)!r} is no order", hint="help lists them")
        switch, position = words
        self._panel.move(self._clock.now(), switch, _POSITIONS.get(position, position))
        return []

    def _break(self, words: list[str]) -> list[str]:
        if self._panel is None or len(words) != 2 or words[1] not in tuple(SwitchFault):
            raise UsageError("break what, and how?", hint=HELP[1])
        self._panel.break_switch(self._clock.now(), words[0], SwitchFault(words[1]))
        return []

    def _pin(self, words: list[str]) -> list[str]:
        if len(words) != 2 or words[1] not in _CONTACT:
            raise UsageError("which pin, closed or open?", hint=HELP[2])
        try:
            self._cable.board.set_contact(self._clock.now(), words[0], _CONTACT[words[1]])
        except LogicError:
            raise UsageError(f"there is no contact pin {words[0]}") from None
        return []

    def _analogue(self, words: list[str]) -> list[str]:
        if len(words) != 2 or not words[1].isdecimal():
            raise UsageError("which pin, how many counts?", hint=HELP[3])
        pin = self._cable.board.board.pins.get(words[0])
        if pin is None or not pin.analogue:
            raise UsageError(f"there is no analogue pin {words[0]}")
        self._cable.board.set_analogue(self._clock.now(), pin.name, int(words[1]))
        return []

    def _fault(self, words: list[str]) -> list[str]:
        for word in words:
            self._cable.faults.order_text(word)
        return [] if words else [f"fault {n}={self._cable.faults.value(n):g}" for n in FAULT_NAMES]

    def _unplug(self, words: list[str]) -> list[str]:
        try:
            for_s = float(words[0]) if words else float("inf")
        except ValueError:
            for_s = -1.0
        if not for_s > 0:
            raise UsageError("unplug for how many seconds?", hint=HELP[5])
        self._cable.unplug(self._clock.now(), for_s)
        return []

    def _plug(self, words: list[str]) -> list[str]:
        self._cable.replug(self._clock.now())
        return []

    def _reset(self, words: list[str]) -> list[str]:
        self._cable.reset(self._clock.now())
        return []

    def _switches(self, words: list[str]) -> list[str]:
        if self._panel is None:
            return []
        places = self._panel.positions(self._clock.now())
        choices = self._panel.choices
        return [
            f"switch {name} {place} ({', '.join(choices[name]) or '0 to 1'})"
            for name, place in places.items()
        ]

    def _quit(self, words: list[str]) -> list[str]:
        self.quit = True
        return []


def _by_pin(view: OutputView) -> list[str]:
    lines = [f"lamp {pin} {value}" for pin, value in view.lamps.items()]
    lines += [f"horn {pin} {tone.order.name.lower()}" for pin, tone in view.tones.items()]
    lines += [f"gauge {pin} {us}us" for pin, us in view.servo_us.items()]
    return lines
