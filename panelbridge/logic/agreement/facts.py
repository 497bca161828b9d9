"""What is published of the agreement between panel and simulator."""

from __future__ import annotations

from panelbridge.logic.kit.world import Facts


class AgreementFacts(Facts, frozen=True):
    """Panel and simulator.

    Attributes:
        handle_disagrees: the simulator's own handle stood elsewhere for longer than its limit.
        legs_disagree: the simulator's legs were not where they are asked to be for longer.
    """

    handle_disagrees: bool = False
    legs_disagree: bool = False
