"""What needs a pin, in the order in which pins are given out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Literal

from msgspec import Struct

from panelbridge.config.boards import SERVO_PULSE_HZ
from panelbridge.config.dimming import DIMMERS
from panelbridge.config.panel_parts.output_entries import HornEntry
from panelbridge.config.pins_to_plan import PartToPlan, PlannedSource
from panelbridge.config.yaml_positions import KeyPath, YamlSource, place_name
from panelbridge.errors import UsageError
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.inventory import switches_of
from panelbridge.logic.kit.handles import HandleSwitch, Lever, Switch

Use = Literal["lever", "horn", "gauge", "solenoid", "chain", "lamp", "contact"]
_FIRST = ("lever", "horn", "gauge", "lamp", "solenoid", "chain", "contact")
"""What few pins can do comes first."""
HANDLE_FORM = {"form": "two_contact"}
"""A handle that says no form has a contact at each end: one that breaks is found."""


class PinNeed(Struct, frozen=True):
    """A pin that is missing.

    Attributes:
        path: of the part.
        key: of the pin in it.
        use: what the pin must do.
        board: the board's name.
        hz: frequency of the pulses that it needs where pins share generators; 0 for none.
        dimmed: what the file says of a lamp; None when nothing.
        wants_dimming: a dimmer or the night switch would dim this lamp.
    """

    path: KeyPath
    key: str
    use: Use
    board: str
    hz: int = 0
    dimmed: bool | None = None
    wants_dimming: bool = False


def form_of(path: KeyPath, aircraft: AircraftParameters) -> dict[str, Any]:
    """The form of a switch of which only the name is there; nothing where it has only one.

    What may be a contact is one, because any pin can read it: a parking brake, a pedal with a
    micro switch. A potentiometer says ``form: lever``.
    """
    switch = switches_of(aircraft).get(str(path[-1])) if "switches" in str(path[0]) else None
    if isinstance(switch, HandleSwitch):
        return HANDLE_FORM
    if isinstance(switch, Lever) and path[0] == "own_switches":
        return {"form": "lever"}
    if isinstance(switch, Lever) and switch.by_contact:
        return {"form": "contact"}
    return {}


def pin_needs(planned: PlannedSource, aircraft: AircraftParameters) -> list[PinNeed]:
    """Every pin that is missing.

    Raises:
        UsageError: there are several boards, and a part does not say which is its own.
    """
    source = planned.named
    switches = switches_of(aircraft)
    dims = any(source.get(("switches", name)) is not None for name in DIMMERS)
    needs = [
        need for part in planned.parts for need in _needs_of(part, source, switches, aircraft, dims)
    ]
    legs = [leg.name for leg in aircraft.legs]
    return sorted(needs, key=lambda need: (_FIRST.index(need.use), *_neighbours(need, legs)))


def _needs_of(
    part: PartToPlan,
    source: YamlSource,
    switches: Mapping[str, Switch[Any]],
    aircraft: AircraftParameters,
    dims: bool,
) -> Iterator[PinNeed]:
    path, group = part.path, part.path[0]
    if group == "boards":
        yield from (PinNeed(path, key, "chain", str(path[1])) for key in part.keys)
        return
    board = source.get((*path, "board"))
    if not isinstance(board, str):
        what = f"{place_name(path)} has no pin yet and does not say on which board it is"
        hint = "With several boards write it so: { board: NAME }, and 'plan' gives it a pin there"
        raise UsageError(what, source.at_key(path, "").where, hint)
    form = source.get((*path, "form")) or form_of(path, aircraft).get("form")
    if form == "two_contact":
        yield PinNeed(path, "up_pin", "contact", board)
        yield PinNeed(path, "down_pin", "contact", board)
    elif group in ("switches", "own_switches"):
        is_knob = form is None and isinstance(switches.get(str(path[-1])), Lever)
        use: Use = "lever" if form == "lever" or is_knob else "contact"
        yield PinNeed(path, "pin", use, board)
    elif group == "horn":
        hz = source.get((*path, "frequency_hz")) or HornEntry.model_fields["frequency_hz"].default
        yield PinNeed(path, "pin", "horn", board, hz=int(str(hz)))
    elif group == "gauges":
        yield PinNeed(path, "pin", "gauge", board, hz=SERVO_PULSE_HZ)
    elif group == "solenoids":
        yield PinNeed(path, "pin", "solenoid", board)
    else:
        dimmed = source.get((*path, "dimmed"))
        said = dimmed if isinstance(dimmed, bool) else None
        yield PinNeed(path, "pin", "lamp", board, dimmed=said, wants_dimming=dims)


def _neighbours(need: PinNeed, legs: list[str]) -> tuple[int, int, int]:
    """Sorts lamps: those that must be dimmed, greens of the legs, reds of the legs, all others.

    The legs stand as one sees them: left, nose, right.
    """
    if need.use != "lamp":
        return (0, 0, 0)
    leg, _, colour = str(need.path[-1]).rpartition("_")
    last = 3 if need.dimmed is False else 0 if need.dimmed else 2
    if leg not in legs:
        return (last, 2, 0)
    side = ("right" in leg) - ("left" in leg)
    return (min(last, 1), 0 if colour == "green" else 1, side)
