"""Every signal that a scenario can name: those of the logic, with a panel only what it has."""

from __future__ import annotations

from collections.abc import Mapping

from panelbridge.config.panel_file import PanelFile
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.inventory import lamps_of, published_of, switches_of
from panelbridge.logic.signal_table import SignalSpec
from panelbridge.logic.signal_table import signals_of as signals_of_parts

INSTEAD_OF_FEED = ("tiller",)
"""Switches that outweigh what the simulator tells: there only if a panel has them."""


def signals_of(
    aircraft: AircraftParameters, panel: PanelFile | None = None
) -> Mapping[str, SignalSpec]:
    """Every signal of ``aircraft``; with a panel only the switches and lamps that it has."""
    return signals_of_parts(
        aircraft,
        switches=fitted_switches(aircraft, panel),
        lamps=fitted_lamps(aircraft, panel),
        published=published_of(aircraft),
    )


def fitted_switches(aircraft: AircraftParameters, panel: PanelFile | None) -> dict[str, str]:
    """Names and labels of the switches that there are; of the aircraft alone all of them."""
    needs = switches_of(aircraft)
    wired = {name for name in needs if name not in INSTEAD_OF_FEED}
    if panel is not None:
        wired = {name for name, entry in panel.switches if entry is not None}
    return {name: need.label for name, need in needs.items() if name in wired}


def fitted_lamps(aircraft: AircraftParameters, panel: PanelFile | None) -> dict[str, str]:
    """Names and labels of the lamps that there are; of the aircraft alone all of them."""
    needs = lamps_of(aircraft)
    return {n: need.label for n, need in needs.items() if panel is None or n in panel.lamps}
