"""The text of a first panel file, whose parts have no pins yet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from panelbridge.config.boards import BOARDS, BoardKind
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.inventory import lamps_of, switches_of
from panelbridge.wiring.new_panel.aircraft_kinds import BOARDS_TO_CHOOSE
from panelbridge.wiring.new_panel.panel_parts import HANDLE, HORN, left_out

_CAUTIONS = """\
# UNPLUG THE BOARD before you change a wire. Give each LED a resistor of its own; 'panelbridge
# wiring' says which. Never connect a servo, motor, relay or solenoid to a pin without a driver.
# Never use mains voltage. Your local electrical codes come first. Read the README. For simulation
# only, never for a real aircraft."""
_CAUTION_3V3 = """
# This is a 3.3 V board: 5 V on one of its pins destroys it."""
_GREEN_3V3 = """
# At 3.3 V use the yellowish kind of green LED (2.2 V): bluish green, blue and white may stay dark.
electrics:
  led_forward_v:
    green: 2.2
"""
SCENARIO_TEXT = """\
# yaml-language-server: $schema=schemas/scenario.schema.json
#
# A first scenario: 'panelbridge bench scenario.yaml' plays it in milliseconds, without a board.
# 'panelbridge names panel.yaml' lists every name that can stand here. For simulation only.
kind: scenario
format: 2
name: Gear up after the final approach
panel: panel.yaml
start: final approach # one of 'starts:' in aircraft.yaml
steps:
  - note: all legs are down and locked
    at_s: 1
    expect: { gear: locked_down, greens: lit, horn: silent }
    move: { gear_handle: up }
  - note: on their way
    after_s: 3
    expect: { gear: not_locked }
  - note: all legs are up
    wait_for: { gear: locked_up }
    limit_s: 60
    expect: { greens: dark }
"""
_FULL_V = 5.0


def panel_text(aircraft: AircraftParameters, board: BoardKind, fitted: Sequence[str]) -> str:
    """A panel file with the parts ``fitted``, in their order; the rest stands under not_fitted."""
    low, title = BOARDS[board].supply_v < _FULL_V, BOARDS_TO_CHOOSE[board].title
    lines = [
        "# yaml-language-server: $schema=schemas/panel.schema.json",
        "#",
        f"# A first panel for the aircraft '{aircraft.name}' on a board of the kind {title},",
        "# made by 'panelbridge new'. A name alone is enough: 'panelbridge plan' gives it a pin.",
        "#",
        _CAUTIONS + (_CAUTION_3V3 if low else ""),
        "kind: panel",
        "format: 2",
        "name: My panel",
        "aircraft: aircraft.yaml",
        "feed: feed.yaml # the demonstration flight, until your simulator sends its data",
        "",
        "boards:",
        "  panel: # a name of your own",
        f"    board: {board}",
        "    # port: COM5   <- your board's ('panelbridge ports'); on Linux like /dev/ttyACM0",
        "",
        *_switches(aircraft, fitted),
        "",
        *_lamps(aircraft, fitted),
    ]
    if HORN in fitted:
        lines += ["", "# A piezo without electronics of its own, from its pin to ground.", "horn:"]
    text = "\n".join(lines) + "\n" + (_GREEN_3V3 if low else "")
    return text + "\n".join(_not_fitted(aircraft, fitted))


def _switches(aircraft: AircraftParameters, fitted: Sequence[str]) -> Iterator[str]:
    known = switches_of(aircraft)
    yield "# Each contact goes from its pin to ground. A knob has its ends at the board's supply"
    yield "# and at ground, and its wiper at its pin."
    yield "switches:"
    for name in fitted:
        if name in known:
            more = ": a contact at each end of its travel" if name == HANDLE else ""
            yield f"  {name}: # {known[name].label}{more}"


def _lamps(aircraft: AircraftParameters, fitted: Sequence[str]) -> Iterator[str]:
    known = lamps_of(aircraft)
    yield "# Each LED goes from its pin through its resistor to ground."
    yield "lamps:"
    for name in fitted:
        if name in known:
            yield f"  {name}: # {known[name].label}"


def _not_fitted(aircraft: AircraftParameters, fitted: Sequence[str]) -> Iterator[str]:
    rest = left_out(aircraft, fitted)
    if rest:
        yield ""
        yield "# What the aircraft has and this panel leaves out. To fit one, move its name up,"
        yield "# under 'switches:', 'lamps:', 'gauges:' or 'solenoids:', with a colon behind it,"
        yield "# and run 'panelbridge plan'."
        yield "not_fitted:"
        for name, label in rest.items():
            yield f"  - {name} # {label}"
        yield ""
