"""What is published of missing data."""

from __future__ import annotations

from panelbridge.logic.kit.world import Facts


class MissingDataFacts(Facts, frozen=True):
    """What is missing.

    Attributes:
        warning_blind: throttles or flaps were unknown in the air for longer than their limit.
        engines_missing: the gear has no pressure, and no engine is known to run or to stand still.
    """

    warning_blind: bool = False
    engines_missing: bool = False
