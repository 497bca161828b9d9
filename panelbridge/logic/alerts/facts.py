"""What the master lights publish."""

from __future__ import annotations

from panelbridge.logic.kit.world import Facts


class AlertsFacts(Facts, frozen=True):
    """The occurrences that no reset has acknowledged.

    Attributes:
        warnings: how many warnings.
        cautions: how many cautions and faults.
        last_warning: the last of the warnings, a sentence; empty when there is none.
        last_caution: the same of the cautions.
    """

    warnings: int = 0
    cautions: int = 0
    last_warning: str = ""
    last_caution: str = ""

    @property
    def is_warning(self) -> bool:
        """A warning waits for its reset."""
        return self.warnings > 0

    @property
    def is_caution(self) -> bool:
        """A caution waits for its reset."""
        return self.cautions > 0
