"""How lamps, switches and horn rules of the builder's own stand in the aircraft file."""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from panelbridge.logic.kit.parameters import Parameters

OWN_NAME = r"^[a-z][a-z0-9_]{0,30}$"
LAMP_NAME = r"^[a-z][a-z0-9_]{0,30}_(red|amber|green|white|blue)$"
"""The name of a lamp ends in its colour."""
Label = Annotated[str, Field(min_length=1, max_length=60)]
Word = Annotated[str, Field(pattern=OWN_NAME)]
ConditionGroup = dict[str, Any]


class OwnLampParameters(Parameters):
    """A lamp that is lit by a condition."""

    label: Label
    """Words for people: what it says when it is lit."""
    lit_when: ConditionGroup
    """Single signals and what they are, as in a scenario's 'expect': {gear: locked_down,
    airspeed_kias: {above: 200}}; all must hold. any: [...], all: [...] and not: {...} put such
    groups together. While a signal is unknown that the answer depends on, the lamp is dark."""


class OwnHornParameters(Parameters):
    """A rule that sounds the horn by a condition."""

    label: Label
    """Words for people: what it warns of."""
    sounds_when: ConditionGroup
    """As 'lit_when' of a lamp of your own. While a signal is unknown that the answer depends on, it
    is silent."""
    pattern: Literal["intermittent", "continuous"] = "intermittent"
    """How the horn sounds; of several rules the continuous one outweighs the others."""


class OwnSwitchParameters(Parameters):
    """A switch that the panel has besides those of the systems."""

    label: Label
    """Words for people: what it is."""
    kind: Literal["toggle", "button", "lever"] = "toggle"
    """toggle: a contact that stays where it is put. button: a contact that springs back, with the
    words released and pressed. lever: anywhere from 0 to 1."""
    free_word: Word | None = None
    """The word of a toggle that is not operated; null = off."""
    operated_word: Word | None = None
    """The word of a toggle that is operated; null = on."""

    @model_validator(mode="after")
    def _words_differ(self) -> Self:
        free, operated = self.free_word or "off", self.operated_word or "on"
        if self.kind != "toggle" and (self.free_word or self.operated_word):
            what = "a {kind} has no words of its own"
            raise PydanticCustomError("own_words", what, {"kind": self.kind})
        if free == operated or "unknown" in (free, operated):
            raise PydanticCustomError(
                "own_words_same",
                "its words are '{free}' and '{operated}': they must differ, and neither can be"
                " 'unknown'",
                {"free": free, "operated": operated},
            )
        return self
