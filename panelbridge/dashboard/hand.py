"""The hand that moves the simulated board's switches: press, hold, let go, turn.

A terminal tells when a key goes down and never when it comes up. So a key presses a button for
``PRESS_TICKS`` ticks of the screen and lets it go; a held key repeats and so keeps it pressed. The
mouse does tell both, and a button follows it.
"""

from __future__ import annotations

from panelbridge.dashboard.keys import KeyUse
from panelbridge.dashboard.ports import Controls, SwitchControl

PRESS_TICKS = 4
"""At ten ticks a second and a press between two of them: 0.3 to 0.4 s."""
_ASKED_TICKS = 5
LEVER_STEP = 0.1
WHEEL_STEP = 0.05


class Hand:
    """Moves switches through ``controls``.

    Args:
        controls: of the simulated board.
    """

    def __init__(self, controls: Controls) -> None:
        self._controls = controls
        self._by_name = {control.name: control for control in controls.switches()}
        self._press_left: dict[str, int] = {}
        self._mouse_button: SwitchControl | None = None
        # What was asked for a moment ago: the engine may not have done it yet.
        self._asked: dict[str, tuple[str | float, int]] = {}

    def control(self, name: str) -> SwitchControl:
        """The switch of that name."""
        return self._by_name[name]

    def position(self, name: str) -> str | float:
        """Where the switch was put last, also when the engine has not done it yet."""
        asked = self._asked.get(name)
        return asked[0] if asked else self._controls.position(name)

    def move(self, name: str, position: str | float) -> None:
        """Put the switch ``name`` to ``position``."""
        self._asked[name] = (position, _ASKED_TICKS)
        self._controls.move(name, position)

    def key(self, use: KeyUse) -> None:
        """A key of a switch was typed."""
        control = use.control
        if control.form == "lever" and use.step:
            self.turn(control.name, use.step * LEVER_STEP)
        elif control.form == "lever":
            self._to_other_end(control)
        elif control.form in ("handle", "toggle"):
            places = control.positions
            here = self.position(control.name)
            at = places.index(here) if isinstance(here, str) and here in places else -1
            self.move(control.name, places[(at + 1) % len(places)])
        elif use.hold:
            self._press_left.pop(control.name, None)
            held = self.position(control.name) == control.positions[-1]
            self.move(control.name, control.positions[0 if held else -1])
        else:
            if self.position(control.name) != control.positions[-1]:
                self.move(control.name, control.positions[-1])
            self._press_left[control.name] = PRESS_TICKS

    def _to_other_end(self, control: SwitchControl) -> None:
        """To its place of rest; from there to 1, unless it rests between its ends."""
        rest = control.rest or 0.0
        at_rest = self.position(control.name) == rest
        self.move(control.name, 1.0 if at_rest and rest == 0.0 else rest)

    def turn(self, name: str, step: float) -> None:
        """Move a lever by ``step``; it stops at its ends."""
        here = self.position(name)
        if isinstance(here, float | int):
            self.move(name, round(min(max(here + step, 0.0), 1.0), 2))

    def mouse_down(self, name: str, position: str | float | None) -> bool:
        """The mouse took hold of a switch; True when its letting go matters."""
        control = self._by_name[name]
        if control.form == "button":
            self._press_left.pop(name, None)
            self._mouse_button = control
            self.move(name, control.positions[-1])
            return True
        if position is not None:
            self.move(name, position)
        return False

    def mouse_up(self) -> None:
        """The mouse let go; also called when the window loses the mouse."""
        control, self._mouse_button = self._mouse_button, None
        if control is not None:
            self.move(control.name, control.positions[0])

    def tick(self) -> None:
        """A tenth of a second has passed: let go of what a key pressed."""
        for name, left in list(self._press_left.items()):
            self._press_left[name] = left - 1
            if left <= 1:
                del self._press_left[name]
                self.move(name, self._by_name[name].positions[0])
        for name, (position, left) in list(self._asked.items()):
            if left <= 1 or self._controls.position(name) == position:
                del self._asked[name]
            else:
                self._asked[name] = (position, left - 1)
