"""What a plan writes into the panel file."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from panelbridge.config.board_of_entry import board_of_entry
from panelbridge.config.panel_parts.switch_entries import LeverSwitch
from panelbridge.config.pins_to_plan import PlannedSource
from panelbridge.config.yaml_positions import KeyPath, Value, YamlSource
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.wiring.pin_plan.board_plan import PlannedPin
from panelbridge.wiring.pin_plan.pin_needs import form_of


def planned_values(
    planned: PlannedSource, pins: Iterable[PlannedPin], aircraft: AircraftParameters
) -> dict[KeyPath, Value]:
    """The values to be set, in the order of the file."""
    source = planned.named
    of_part: defaultdict[KeyPath, list[PlannedPin]] = defaultdict(list)
    for pin in pins:
        of_part[pin.need.path].append(pin)
    several = len(source.keys(("boards",))) > 1
    values: dict[KeyPath, Value] = {}
    for part in planned.parts:
        path, its = part.path, of_part[part.path]
        is_bare = not part.keys
        keys: dict[str, Value] = {**form_of(path, aircraft)} if is_bare else {}
        if several and is_bare:
            keys["board"] = its[0].need.board
        keys |= {pin.need.key: pin.place for pin in its}
        keys |= _further(source, its[0])
        if is_bare:
            values[path] = keys["pin"] if [*keys] == ["pin"] else keys
        else:
            values |= {(*path, key): value for key, value in keys.items()}
        values |= _chain_values(its[0])
    return values


def _further(source: YamlSource, pin: PlannedPin) -> dict[str, Value]:
    """Keys that the pin calls for besides."""
    need = pin.need
    if pin.use.dimmed is False:
        return {"dimmed": False}
    board = board_of_entry(source, need.board)
    counts: int = LeverSwitch.model_fields["counts_at_1"].default
    given = source.get((*need.path, "counts_at_1"))
    if need.use == "lever" and board is not None and board.counts != counts and given is None:
        return {"counts_at_1": board.counts}
    return {}


def _chain_values(pin: PlannedPin) -> dict[KeyPath, Value]:
    """A dimmer dims no lamp of a chain: the chain says that it is meant so."""
    chain, point, _ = pin.place.partition(".")
    if pin.need.use != "lamp" or pin.use.pin is not None or not point or not pin.need.wants_dimming:
        return {}
    return {("boards", pin.need.board, "chains", chain, "dimmed"): False}
