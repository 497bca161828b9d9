"""What every aircraft file begins with, and typed access to the groups of the systems."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Annotated, Any, Literal, Self, TypeVar

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from panelbridge.logic.gear.parameters import FixedLegParameters, LegParameters
from panelbridge.logic.kit.declarations import Misfit
from panelbridge.logic.kit.parameters import Parameters

P = TypeVar("P", bound=Parameters)
Authority = Literal["model", "feed"]


class AuthorityParameters(Parameters):
    """Who says what: the feed (a simulator's own values) or this program's model."""

    legs: Authority = "model"
    """Positions and locks of the legs; with 'feed' they are unknown while the feed gives none."""
    hydraulics: Authority = "model"
    """Hydraulic pressure; with 'feed' nothing has pressure while the feed gives none."""
    brakes: Authority = "model"
    """Pressure in the brakes; with 'feed' that of the feed is shown and judged."""
    antiskid: Authority = "model"
    """Whether anti-skid works on each wheel; with 'feed' it works where the feed says so."""


class AircraftBase(Parameters):
    """An aircraft type, without the groups that its systems declare."""

    name: Annotated[str, Field(min_length=1, max_length=60)]
    """The aircraft's name, for screens."""
    engines: Annotated[int, Field(ge=0, le=8)]
    """Number of engines, each with a throttle lever."""
    legs: Annotated[list[LegParameters], Field(min_length=1, max_length=6)]
    """The gear legs, in the order in which feeds and screens list them."""
    fixed_legs: Annotated[list[FixedLegParameters], Field(max_length=4)] = Field(default=[])
    """Legs that never move and have a squat switch, as a tail wheel: no lock, no lamp. Feeds list
    their squat switches after those of the legs."""
    authority: AuthorityParameters = AuthorityParameters()
    """Who says what."""

    if TYPE_CHECKING:  # the groups are fields that ``logic.aircraft`` adds

        def __getattr__(self, name: str) -> Any: ...

    @property
    def leg_names(self) -> tuple[str, ...]:
        """Names of the legs, in their order."""
        return tuple([leg.name for leg in self.legs])

    @property
    def strut_names(self) -> tuple[str, ...]:
        """Names of all legs that have a squat switch, in the order of those; moving ones first."""
        return (*self.leg_names, *[leg.name for leg in self.fixed_legs])

    def group(self, kind: type[P]) -> P:
        """The group of a type that is always there.

        Raises:
            LookupError: the aircraft has no such group.
        """
        found = self.optional(kind)
        if found is None:
            raise LookupError(f"the aircraft has no {kind.__name__}")
        return found

    def optional(self, kind: type[P]) -> P | None:
        """The group of a type; None when the aircraft has no such thing."""
        # Not kept in a table: a copy with another group would find the group of the original.
        for value in self.__dict__.values():
            if type(value) is kind:
                return value
        return None

    def missing_legs(
        self, named: Iterable[tuple[tuple[str | int, ...], str]], *, moving: bool = False
    ) -> Iterator[Misfit]:
        """A misfit for each named leg that the aircraft has not.

        Args:
            named: where each name stands, and the name.
            moving: legs that never move do not count.
        """
        names = self.leg_names if moving else self.strut_names
        for path, leg in named:
            if leg not in names:
                hint = f"The legs are {', '.join(names)}"
                yield Misfit(path, f"no leg is named '{leg}'", hint, names)

    @model_validator(mode="after")
    def _legs_have_names_of_their_own(self) -> Self:
        names = self.strut_names
        for name in names:
            if names.count(name) > 1:
                raise PydanticCustomError(
                    "twin_legs", "two legs are named '{name}'", {"name": name}
                )
        return self
