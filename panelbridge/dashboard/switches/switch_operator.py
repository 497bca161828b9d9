"""Moves the simulated panel's switches by key and by mouse: press, hold, release, turn.

A terminal reports that a key goes down, never that it comes up. So a key presses a button for
``PRESS_TICKS`` ticks of the screen; a key that is held down repeats and so keeps it pressed. The
mouse reports both, and a button follows it.
"""

from __future__ import annotations

from collections.abc import Sequence

from panelbridge.dashboard.interfaces import Controls, SwitchControl
from panelbridge.dashboard.switches.switch_keys import KeyAction

PRESS_TICKS = 4
"""0.3 to 0.4 s at ten ticks a second, as the key comes between two of them."""
_REQUEST_TICKS = 5
LEVER_STEP = 0.1
WHEEL_STEP = 0.05


class SwitchOperator:
    """Moves ``switches`` through ``controls``."""

    def __init__(self, controls: Controls, switches: Sequence[SwitchControl]) -> None:
        self._controls = controls
        self._by_name = {control.name: control for control in switches}
        self._press_ticks_left: dict[str, int] = {}
        self._mouse_button: SwitchControl | None = None
        # Requested positions that the engine may not have reached yet, with the ticks left.
        self._requested: dict[str, tuple[str | float, int]] = {}

    def position(self, name: str) -> str | float:
        """The position requested last, even if the engine has not reached it yet."""
        requested = self._requested.get(name)
        return requested[0] if requested else self._controls.position(name)

    def move(self, name: str, position: str | float) -> None:
        """Put the switch ``name`` to ``position``."""
        self._requested[name] = (position, _REQUEST_TICKS)
        self._controls.move(name, position)

    def key(self, action: KeyAction) -> None:
        """A key of a switch was typed."""
        control, name = action.control, action.control.name
        here = self.position(name)
        if control.form == "lever":
            if action.step:
                self.turn(name, action.step * LEVER_STEP)
            else:  # to its rest; from there to 1, unless it rests between its ends
                rest = control.rest or 0.0
                self.move(name, 1.0 if here == rest == 0.0 else rest)
        elif control.form in ("handle", "toggle"):
            ends = control.positions
            at = ends.index(here) if isinstance(here, str) and here in ends else -1
            self.move(name, ends[(at + 1) % len(ends)])
        elif action.hold:
            self._press_ticks_left.pop(name, None)
            self.move(name, control.positions[0 if here == control.positions[-1] else -1])
        else:
            if here != control.positions[-1]:
                self.move(name, control.positions[-1])
            self._press_ticks_left[name] = PRESS_TICKS

    def turn(self, name: str, step: float) -> None:
        """Move a lever by ``step``; it stops at its ends."""
        here = self.position(name)
        if isinstance(here, float | int):
            self.move(name, round(min(max(here + step, 0.0), 1.0), 2))

    def wheel(self, name: str, steps: int) -> None:
        """The mouse wheel was turned over a switch; moves a lever, and nothing else."""
        if self._by_name[name].form == "lever":
            self.turn(name, steps * WHEEL_STEP)

    def mouse_down(self, name: str, position: str | float | None) -> None:
        """The mouse button went down on a switch: hold a button, put any other to ``position``."""
        control = self._by_name[name]
        if control.form == "button":
            self._press_ticks_left.pop(name, None)
            self._mouse_button = control
            self.move(name, control.positions[-1])
        elif position is not None:
            self.move(name, position)

    def mouse_up(self) -> None:
        """The mouse button came up, or the window lost the mouse."""
        control, self._mouse_button = self._mouse_button, None
        if control is not None:
            self.move(control.name, control.positions[0])

    def tick(self) -> None:
        """A tenth of a second has passed: release what a key pressed."""
        for name, left in list(self._press_ticks_left.items()):
            self._press_ticks_left[name] = left - 1
            if left <= 1:
                del self._press_ticks_left[name]
                self.move(name, self._by_name[name].positions[0])
        for name, (position, left) in list(self._requested.items()):
            if left <= 1 or self._controls.position(name) == position:
                del self._requested[name]
            else:
                self._requested[name] = (position, left - 1)
