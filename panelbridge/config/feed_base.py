"""What every feed file has."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from panelbridge.logic.kit.parameters import Parameters


class FeedBase(Parameters):
    """Keys of every feed file."""

    kind: Literal["feed"]
    """What this file is."""
    format: Literal[2]
    """Version of the file's layout; this program reads 2."""
    name: Annotated[str, Field(min_length=1, max_length=60)]
    """The feed's name, for screens."""
    stale_after_s: Annotated[float, Field(gt=0.0, le=60.0)] = 2.0
    """Data older than this is not trusted any more: it counts as unknown, s."""
