"""Coils, sounders and servos: drivers, flyback diodes, pull-downs, pins that move at boot."""

from __future__ import annotations

from collections.abc import Iterator

from panelbridge.config.electrics.keys import BOARD_SUPPLY
from panelbridge.config.panel_parts.output_entries import NeedleEntry
from panelbridge.config.words import quoted
from panelbridge.wiring.electrics.circuits import Circuit, CoilCircuit, ServoCircuit, SounderCircuit
from panelbridge.wiring.electrics.findings.finding import Finding, FindingLevel
from panelbridge.wiring.electrics.wired import WiredBoard, WiredPanel, WiredPart

SHORTEST_PULSE_US = 900
LONGEST_PULSE_US = 2100
"""Beyond these a servo may push against its end stop; the upper one mirrors the lower."""  # O-15
_DRIVERS = "mosfet, npn or transistor_array"


def load_findings(panel: WiredPanel, board: WiredBoard, part: WiredPart) -> Iterator[Finding]:
    """What is wrong with a horn, solenoid or gauge."""
    circuit = part.circuit
    if isinstance(circuit, ServoCircuit):
        yield from _servo(panel, part, circuit)
    is_coil = isinstance(circuit, CoilCircuit)
    if isinstance(circuit, SounderCircuit):
        is_coil = circuit.sounder == "magnetic_buzzer"
        yield from _sounder(part, circuit)
    if is_coil:
        yield from _coil(part, circuit)
    yield from _boot(board, part, circuit)


def _coil(part: WiredPart, circuit: Circuit) -> Iterator[Finding]:
    thing = f"the {part.kind}" if part.kind == "horn" else f"the {part.kind} {quoted(part.name)}"
    if circuit.driver is None:
        amount = circuit.load.worst_ma
        takes = f" and takes {amount:.0f} mA" if amount else ""
        yield Finding(
            (*part.place, "driver"),
            f"{thing} is a coil at a pin{takes}: it destroys the pin",
            f"Write 'driver:' with {_DRIVERS}; a coil also needs a flyback diode",
            FindingLevel.ERROR,
        )
    elif not circuit.driver.flyback_diode:
        if circuit.driver.type.diode_inside:
            what = f"{thing} is a coil, and pin COM of its transistor array is not tied"
            hint = "Tie COM to the coil's supply and write 'flyback_diode: true'"
            level = FindingLevel.ERROR
        else:
            what = f"{thing} is a coil without a flyback diode"
            hint = "Put a diode across the coil, its band to the supply"
            level = FindingLevel.WARNING
        yield Finding((*part.place, "flyback_diode"), what, hint, level)


def _boot(board: WiredBoard, part: WiredPart, circuit: Circuit) -> Iterator[Finding]:
    name = part.pins["pin"]
    pin = board.hardware.pins.get(name)
    if pin is not None and pin.at_boot:
        what = f"pin {quoted(name)} moves while the board starts ({pin.at_boot})"
        free = "Use another pin: what sounds or moves would do so at every start; a lamp may blink"
        yield Finding((*part.place, "pin"), what, free)
    stage = circuit.driver
    if stage is not None and not stage.pull_down and not stage.type.diode_inside:
        what = f"the {stage.type.title} of {quoted(part.name)} floats while the board starts"
        hint = "Connect 10 kOhm from its input to ground and write 'pull_down: true'"
        yield Finding((*part.place, "pull_down"), what, hint)


def _sounder(part: WiredPart, circuit: SounderCircuit) -> Iterator[Finding]:
    if circuit.sounder == "active_buzzer":
        what = "a buzzer with electronics of its own sounds rough: the board gives it a tone"
        yield Finding((*part.place, "sounder"), what, "Use a piezo disc, or a magnetic buzzer")


def _servo(panel: WiredPanel, part: WiredPart, circuit: ServoCircuit) -> Iterator[Finding]:
    if circuit.supply == BOARD_SUPPLY:
        yield Finding(
            (*part.place, "supply"),
            f"the servo {quoted(part.name)} is fed by the board: held fast it takes "
            f"{circuit.stall_ma / 1000:g} A",
            "Feed it from a 5 V supply of its own, and join the grounds",
            FindingLevel.ERROR,
        )
    gauge = getattr(panel.panel.gauges, part.name)
    assert isinstance(gauge, NeedleEntry)
    for key in ("pulse_at_0_us", "pulse_at_1_us"):
        pulse = getattr(gauge, key)
        if not SHORTEST_PULSE_US <= pulse <= LONGEST_PULSE_US:
            what = f"at {pulse} us many a servo pushes against its end stop and stalls"
            hint = f"Stay from {SHORTEST_PULSE_US} to {LONGEST_PULSE_US} us, or try it out slowly"
            yield Finding((*part.place, key), what, hint)
