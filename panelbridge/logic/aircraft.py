"""The whole aircraft file: what every aircraft has, and the groups that the systems declare."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from pydantic import Field, create_model

from panelbridge.logic.aircraft_base import AircraftBase, Authority, AuthorityParameters
from panelbridge.logic.kit.declarations import Group
from panelbridge.logic.systems import GROUPS

__all__ = ["AircraftParameters", "Authority", "AuthorityParameters"]


def _field(group: Group) -> Any:
    kind = group.kind if group.default is not None else group.kind | None
    return (kind, Field(default=group.default, description=group.text))


if TYPE_CHECKING:

    class AircraftParameters(AircraftBase):
        """An aircraft type."""

else:
    AircraftParameters = create_model(
        "AircraftParameters",
        __base__=AircraftBase,
        __doc__="An aircraft type.",
        __module__=__name__,
        **{group.key: _field(group) for group in GROUPS},
    )
