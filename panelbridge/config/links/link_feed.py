"""The feed file of a link to a simulator."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from panelbridge.config.feed_base import FeedBase
from panelbridge.config.links.formats import FormatKeys
from panelbridge.config.links.targets import LinkTarget
from panelbridge.config.links.transports import AnyTransportKeys, TransportKeys
from panelbridge.config.links.values import LinkValue
from panelbridge.logic.kit.parameters import Parameters


class LinkAsk(Parameters):
    """Data that the simulator sends only when it is asked."""

    text: Annotated[str, Field(min_length=1, max_length=4000)]
    """What is sent to it; several lines are best sent together."""
    every_s: Annotated[float, Field(ge=0.02, le=60.0)]
    """How often, s."""
    prompt: Annotated[str, Field(min_length=1, max_length=40)] | None = None
    """A prompt before an answer, which is no part of it."""


class LinkFeedFile(FeedBase):
    """A simulator that sends aircraft data, takes commands, or both."""

    source: Literal["link"]
    """Where the data comes from."""
    receive: TransportKeys | None = None
    """By which way data comes; null = this feed gives none and only sends commands."""
    message: FormatKeys | None = None
    """What the simulator sends."""
    ask: LinkAsk | None = None
    """What it is asked for; null = it sends by itself."""
    values: Annotated[dict[str, LinkValue], Field(max_length=200)] = Field(default={})
    """The aircraft's values, by the names that fixed values have. One that is left out is
    unknown."""
    targets: Annotated[dict[str, LinkTarget], Field(max_length=20)] = Field(default={})
    """Where commands go, each under a name of yours."""

    @property
    def values_by_name(self) -> Mapping[str, object]:
        """What it gives."""
        return self.values

    @property
    def transports(self) -> tuple[AnyTransportKeys, ...]:
        """Every way in and out."""
        ways = [self.receive, *[target.transport for target in self.targets.values()]]
        return tuple([way for way in ways if way is not None])

    @model_validator(mode="after")
    def _is_whole(self) -> Self:
        if self.receive is None:
            given = [key for key in ("message", "ask", "values") if getattr(self, key)]
            if given:
                raise ValueError(f"'{given[0]}' needs 'receive': by which way data comes")
            if not self.targets:
                raise ValueError(
                    "a link needs 'receive' (data comes in), 'targets' (commands go out)"
                )
            lost = [name for name, one in self.targets.items() if one.transport is None]
            if lost:
                raise ValueError(
                    f"the target '{lost[0]}' has no 'transport', and there is no 'receive'"
                )
        elif self.message is None or not self.values:
            lacks = "message" if self.message is None else "values"
            raise ValueError(f"with 'receive' a link needs '{lacks}' too")
        return self
