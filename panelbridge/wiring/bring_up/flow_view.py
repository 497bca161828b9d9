"""From the state of a bring-up to the parts of its view."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from panelbridge.config.panel_wires import Place, WireKey
from panelbridge.wiring.bring_up.board_states import PinStates
from panelbridge.wiring.bring_up.part_list import PartList
from panelbridge.wiring.bring_up.parts import PanelPart
from panelbridge.wiring.bring_up.prompts import Ask, Choice, LivePlace, PartStatus, Prompt


def part_lines(part_list: PartList, current: PanelPart | None) -> tuple[PartStatus, ...]:
    """Every part with its state."""
    return tuple(
        PartStatus(
            part.name,
            part.label,
            part.kind,
            part_list.records[part.key].state,
            current is not None and part.key == current.key,
        )
        for part in part_list.parts
    )


def live_places(
    pins: PinStates, filed: Mapping[WireKey, Place], moved: Collection[Place]
) -> tuple[LivePlace, ...]:
    """Every pin that is watched: contacts, then analogue values."""
    users = {place: key.name for key, place in filed.items()}
    contacts = [
        LivePlace(place, users.get(place, ""), closed=closed, moved=place in moved)
        for place, closed in pins.closed.items()
    ]
    analogues = [
        LivePlace(place, users.get(place, ""), counts=counts)
        for place, counts in pins.counts.items()
    ]
    return (*contacts, *analogues)


def end_prompt(part_list: PartList) -> Prompt:
    """What is shown when nothing is left to ask."""
    count = len(part_list.parts)
    rest = count - part_list.good
    lines = [f"{part_list.good} of {count} parts do what the panel file says."]
    if rest:
        lines.append(f"Left open: {rest}. The report lists them; B goes back to the last.")
    return Prompt(
        Ask("finished"),
        "The bring-up is at its end" if rest else "The bring-up is complete",
        tuple(lines),
        choices=(Choice("enter", "write the report and end"),),
    )
