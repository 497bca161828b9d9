"""What a builder has to mind, for what the panel really has."""

from __future__ import annotations

from panelbridge.wiring.electrics.circuits import (
    BulbCircuit,
    CoilCircuit,
    ContactCircuit,
    LedCircuit,
    ServoCircuit,
    SounderCircuit,
)
from panelbridge.wiring.electrics.wired import WiredBoard, WiredPanel

FOOT = (
    "For simulation only, never for a real aircraft. Unplug the board and every other supply "
    "before you change a wire. No mains voltage in this panel. Local electrical codes come before "
    "anything that stands here; where they require a licensed person, ask one."
)
_CONTACTS = (
    "Each contact goes from its pin to ground. All grounds go to one rail, and that rail to a GND "
    "pin of the board."
)
_LEDS = (
    "The long leg of an LED is its plus (anode): it goes towards the pin and the resistor, where "
    "the sheet says nothing else. Turned round it stays dark and takes no harm at 5 V."
)
_CHIPS = (
    "Take a chip by its body, after touching something that is earthed. A chip that becomes warm "
    "is turned round or shorted: unplug at once."
)
_SERVOS = (
    "A servo gets 5 V from a supply of its own (about 2 A for each that can stall), with a fuse, "
    "never from the board. Join that supply's ground and the board's. A needle can move as soon "
    "as it has power: keep fingers away."
)
_COILS = (
    "A coil gets a driver and a flyback diode: without the diode the voltage at switching off "
    "destroys the driver. Coils become hot when they stay energised."
)
_BULBS = "Bulbs become hot: leave air around them, and keep them from plastic and fingers."
_HORN = "A horn near your ear can harm your hearing: try it first with a cloth over it."
_SUPPLIES = (
    "A supply of its own: a fuse in its plus, no more than its loads need; batteries that are "
    "shorted can burn. Never feed 5 V into a board while its USB is plugged in."
)


def notes_of(board: WiredBoard) -> tuple[str, ...]:
    """What to mind on one board's sheet."""
    circuits = [part.circuit for part in board.parts]
    own_supply = any(one.driver is not None or isinstance(one, ServoCircuit) for one in circuits)
    found = (
        (_CONTACTS, any(isinstance(one, ContactCircuit) for one in circuits)),
        (_LEDS, any(isinstance(one, LedCircuit) for one in circuits)),
        (_CHIPS, bool(board.chains)),
        (_SERVOS, any(isinstance(one, ServoCircuit) for one in circuits)),
        (_COILS, any(isinstance(one, CoilCircuit) for one in circuits)),
        (_BULBS, any(isinstance(one, BulbCircuit) for one in circuits)),
        (_HORN, any(isinstance(one, SounderCircuit) for one in circuits)),
        (_SUPPLIES, own_supply),
    )
    steps = "Solder one wire, tick it off, run 'check', look at the screen; then the next."
    return (*(text for text, needed in found if needed), steps)


def cautions_of(wired: WiredPanel) -> tuple[str, ...]:
    """The same for the whole panel, each once."""
    return tuple(dict.fromkeys(t for board in wired.boards.values() for t in notes_of(board)))
