"""What the options of ``run`` and ``demo`` say about viewers."""

from __future__ import annotations

from dataclasses import dataclass

from panelbridge.errors import UsageError


@dataclass(frozen=True, slots=True)
class PublishOptions:
    """What the command line says about viewers.

    Attributes:
        publish: let viewers see the run.
        at: the address at which; empty = this computer alone.
        hands: viewers may move the switches of simulated boards.
    """

    publish: bool = False
    at: str = ""
    hands: bool = False

    def is_wanted(self, *, simulated: bool) -> bool:
        """Whether the run is to be published. Raises: UsageError, for hands that cannot be."""
        wanted = self.publish or bool(self.at)
        if self.hands and not wanted:
            raise UsageError("it is for viewers, and there are none", "--hands", "add --publish")
        if self.hands and not simulated:
            raise UsageError(
                "viewers cannot move the switches of real boards",
                where="--hands",
                hint="leave --hands away, or use --simulate",
            )
        return wanted


NO_VIEWERS = PublishOptions()
