"""Numbers of the panel that the logic needs besides those of the aircraft."""

from __future__ import annotations

from msgspec import Struct

from panelbridge.logic.steering.shaping import PedalShaping


class PanelNumbers(Struct, frozen=True):
    """The panel.

    Attributes:
        handle_travel_s: longest time of the gear handle between its contacts, s.
        shaping: of the panel's steering pedals or tiller.
    """

    handle_travel_s: float = 1.0
    shaping: PedalShaping = PedalShaping()
