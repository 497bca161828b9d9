"""The panel file: what is wired to which pin of which board."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import Field

from panelbridge.config.electrics.keys import Electrics
from panelbridge.config.panel_parts.board_entry import BoardEntry
from panelbridge.config.panel_parts.output_entries import Gauges, HornEntry, LampEntry, Solenoids
from panelbridge.config.panel_parts.switch_entries import (
    OwnSwitchEntry,
    Switches,
    TwoContactHandle,
    WiredSwitch,
)
from panelbridge.logic.kit.parameters import Parameters
from panelbridge.logic.panel_numbers import PanelNumbers
from panelbridge.logic.steering.shaping import PedalShaping


class PanelFile(Parameters):
    """A panel file."""

    kind: Literal["panel"]
    """What this file is."""
    format: Literal[2]
    """Version of the file's layout; this program reads 2."""
    name: Annotated[str, Field(min_length=1, max_length=60)]
    """The panel's name, for screens."""
    aircraft: str
    """Path of the aircraft file, from this file's folder."""
    feed: str | None = None
    """Path of the feed file, from this file's folder; without one the aircraft stands parked."""
    boards: Annotated[dict[str, BoardEntry], Field(min_length=1, max_length=8)]
    """The boards, each under a name of yours."""
    switches: Switches = Switches()
    """What is wired as a switch."""
    own_switches: dict[str, OwnSwitchEntry] = Field(default_factory=dict)
    """What is wired as a switch of your own, under the name that the aircraft file gives it."""
    lamps: dict[str, LampEntry] = Field(default_factory=dict)
    """What is wired as a lamp, under the name that the aircraft gives it."""
    horn: HornEntry | None = None
    """The gear warning horn."""
    gauges: Gauges = Gauges()
    """What is wired as a gauge."""
    solenoids: Solenoids = Solenoids()
    """What is wired as a solenoid."""
    layout: list[list[str]] = Field(default_factory=list)
    """How legs and lamps stand on the panel, for the screen: rows of names, as one sees them. A leg
    stands for its own lamps; gear_handle is the handle; gap leaves a place between lamps empty."""
    steering_shaping: PedalShaping = PedalShaping()
    """What steering pedals or a tiller make of their travel."""
    not_fitted: list[str] = Field(default_factory=list)
    """Switches and lamps that the aircraft has and this panel is meant to lack."""
    electrics: Electrics = Electrics()
    """LEDs, resistors and supplies, for the wiring sheet and the currents that 'check' adds up."""

    @property
    def wired_switches(self) -> Mapping[str, WiredSwitch]:
        """Every switch that is wired, those of the builder's own last."""
        fitted: dict[str, Any] = {name: entry for name, entry in self.switches if entry is not None}
        return fitted | self.own_switches

    @property
    def numbers(self) -> PanelNumbers:
        """What the logic has to know of it."""
        handle = self.switches.gear_handle
        if isinstance(handle, TwoContactHandle):
            return PanelNumbers(handle.travel_s, self.steering_shaping)
        return PanelNumbers(shaping=self.steering_shaping)
