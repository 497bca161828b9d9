"""The numbers of the landing gear: legs, doors, order of movement, power."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from panelbridge.logic.kit.parameters import Parameters

LegName = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]{0,15}$")]
LegGroups = list[Annotated[list[LegName], Field(min_length=1)]]


class DoorParameters(Parameters):
    """The door of one leg."""

    open_s: Annotated[float, Field(gt=0.0, le=30.0)] = 1.0
    """From closed to open, s."""
    close_s: Annotated[float, Field(gt=0.0, le=30.0)] = 1.0
    """From open to closed, s."""
    close_when_down: bool = True
    """It closes again over the bay when the leg is down; else it stays open until the leg is up."""


class LegParameters(Parameters):
    """One leg."""

    name: LegName
    """Its name: small letters, digits, underscores. Its lamps are called after it: nose_green."""
    unlock_s: Annotated[float, Field(ge=0.0, le=10.0)] = 0.5
    """From the command until the lock is open and the leg moves, s."""
    extend_s: Annotated[float, Field(gt=0.0, le=60.0)] = 6.0
    """Travel from up to down, s, without unlocking."""
    retract_s: Annotated[float, Field(gt=0.0, le=60.0)] = 6.0
    """Travel from down to up, s, without unlocking."""
    free_fall_s: Annotated[float, Field(gt=0.0, le=120.0)] = 9.0
    """Travel from up to down by its own weight, s, without unlocking."""
    door: DoorParameters | None = None
    """The door of its bay; null for a leg without, or with one that the leg itself moves."""


class FixedLegParameters(Parameters):
    """A leg that never moves."""

    name: LegName
    """Its name: small letters, digits, underscores. Its squat switch is called after it."""


class GearOrderParameters(Parameters):
    """In which order the legs move; a group begins when the one before it is locked."""

    extend: LegGroups = Field(default=[])
    """Groups of legs, by name, in the order in which they go down; legs that no group names go
    last. Empty: all at once."""
    retract: LegGroups = Field(default=[])
    """The same for going up."""

    @model_validator(mode="after")
    def _each_leg_once(self) -> Self:
        for key, groups in (("extend", self.extend), ("retract", self.retract)):
            names = [name for group in groups for name in group]
            for name in names:
                if names.count(name) > 1:
                    raise PydanticCustomError(
                        "leg_ordered_twice",
                        "{key} names the leg '{name}' twice",
                        {"key": key, "name": name},
                    )
        return self


class GearPowerParameters(Parameters):
    """What moves the legs."""

    power: Literal["hydraulic", "electric_pack", "none_needed"] = "none_needed"
    """The aircraft's hydraulics (they must serve the gear), an electric power pack or motor of the
    gear's own (it needs bus power), or a gear that always moves."""
    breaker: bool = False
    """The electric gear has a circuit breaker on the panel, gear_breaker: pulled, nothing moves the
    legs; pushed in, they go on. It does not trip by itself. A contact that was never known counts
    as pushed in, so that no wire that is off keeps the gear up."""
    nominal_v: Annotated[float, Field(gt=0.0, le=250.0)] | None = None
    """Bus voltage at which the electric gear has its full pace, V: below it legs and doors take
    longer, by nominal over actual voltage; above it they are no faster. Unlocking takes its time at
    any voltage, and the travel limit stays. null: its pace is the same at any voltage."""
    stall_v: Annotated[float, Field(gt=0.0, le=250.0)] | None = None
    """Below this bus voltage the electric gear stands still, as without power, V; it starts again
    1 % of the nominal voltage above. null: only at less than 1 % of the nominal voltage."""
    flow_l_per_s: Annotated[float, Field(ge=0.0, le=10.0)] = 0.15
    """What the moving gear takes from the aircraft's hydraulics, litres a second."""
    travel_limit_s: Annotated[float, Field(gt=0.0, le=120.0)] | None = None
    """A movement that takes longer than this is cut off until the reset, s; null for no limit. One
    operator's manual has 14 s. A gear that needs no power has none."""
    # That manual: US Army TM 55-1510-222-10.
    reset_in_flight: bool = True
    """The reset button gives the power back in the air too; else only on the ground."""
    reversal_delay_s: Annotated[float, Field(ge=0.0, le=10.0)] = 0.0
    """Rest before a movement is turned round, s. One operator's manual has 1 s."""
    # That manual: US Navy P-307.
    uplocks: Literal["mechanical", "pressure"] = "mechanical"
    """What holds the legs up: hooks, or pressure, without which they leave their up-locks."""
    uplock_hold_s: Annotated[float, Field(ge=0.0, le=3600.0)] = 60.0
    """For how long shut-in pressure holds the legs up after the power has gone, s."""
