"""The scenario file: which keys it has. What stands under the names is read beside the aircraft.

A name, a word or a number that only the aircraft can judge has the type ``Any`` here and its shape
in the JSON Schema.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Field, WithJsonSchema

from panelbridge.bench.language.plan import FaultKind
from panelbridge.logic.kit.parameters import Parameters

LONGEST_S = 86_400.0
"""No scenario, wait or limit is longer than a day, s."""
PART_MARK = "part"
"""Stands for a reference to a part that the models do not know: a condition, a parameter."""
_CONDITION = {PART_MARK: "Condition"}
PARAMETER = {PART_MARK: "Parameter"}
_OR_PARAMETER = {"anyOf": [_CONDITION, PARAMETER]}
_VALUE = {"type": ["string", "number", "boolean"]}
_LIMIT = {"anyOf": [{"type": "number", "exclusiveMinimum": 0}, {"const": "end"}]}
_GROUPS = {"type": "array", "items": _OR_PARAMETER, "minItems": 1}
_BOUND = {"type": ["number", "string"]}
_NAMES = {"anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}}]}
CONDITION_SCHEMA: dict[str, Any] = {
    "description": "Signals and what they are; all must hold. any, all and not put such groups "
    "together.",
    "type": "object",
    "minProperties": 1,
    "properties": {
        "any": {"description": "At least one of these holds.", **_GROUPS},
        "all": {"description": "Each of these holds.", **_GROUPS},
        "not": {"description": "This does not hold.", **_OR_PARAMETER},
    },
    "additionalProperties": {
        "anyOf": [
            _VALUE,
            {"type": "array", "items": _VALUE, "minItems": 1},
            {
                "type": "object",
                "properties": {
                    "above": {"description": "Greater than this.", **_BOUND},
                    "below": {"description": "Less than this.", **_BOUND},
                    "at_least": {"description": "This or greater.", **_BOUND},
                    "at_most": {"description": "This or less.", **_BOUND},
                },
                "additionalProperties": False,
                "minProperties": 1,
            },
        ]
    },
}
"""JSON Schema of a condition."""
PARAMETER_SCHEMA: dict[str, Any] = {
    "description": "Takes the value of a case: the name of a parameter in < >.",
    "type": "string",
    "pattern": r"^<[^<>\s]{1,60}>$",
}
"""JSON Schema of a parameter."""
Given = Annotated[Any, WithJsonSchema(_VALUE)]
Group = dict[str, Any]
ConditionGroup = Annotated[Group, WithJsonSchema(_CONDITION)]
_EVENT = {
    "type": "object",
    "properties": {"event": {"type": "string"}},
    "required": ["event"],
    "additionalProperties": False,
}
EventOrGroup = Annotated[Group, WithJsonSchema({"anyOf": [_EVENT, _CONDITION]})]
LimitOrEnd = Annotated[Any, WithJsonSchema(_LIMIT)]
Names = Annotated[Any, WithJsonSchema(_NAMES)]
Include = Annotated[
    Any,
    WithJsonSchema(
        {
            "anyOf": [
                {"type": "string"},
                {
                    "type": "object",
                    "properties": {
                        "file": {"description": "Path of the file.", "type": "string"},
                        "values": {
                            "description": "A value for each parameter of its steps.",
                            "type": "object",
                        },
                    },
                    "required": ["file"],
                    "additionalProperties": False,
                },
            ]
        }
    ),
]
_KIND = {"anyOf": [{"enum": [kind.value for kind in FaultKind]}, PARAMETER]}
_TIME = {"anyOf": [{"type": "number", "exclusiveMinimum": 0}, PARAMETER]}
Fault = Annotated[
    Any,
    WithJsonSchema(
        {
            "anyOf": [
                {"enum": [kind.value for kind in FaultKind]},
                PARAMETER,
                {
                    "type": "object",
                    "properties": {
                        "how": {"description": "How it is broken.", **_KIND},
                        "for_s": {"description": "It mends itself after this time, s.", **_TIME},
                        "bouncing_s": {
                            "description": "How long a bouncing contact rattles, s.",
                            **_TIME,
                        },
                    },
                    "minProperties": 1,
                    "additionalProperties": False,
                },
            ]
        }
    ),
]
Time = Annotated[float, Field(ge=0.0, le=LONGEST_S)]
Span = Annotated[float, Field(gt=0.0, le=LONGEST_S)]


class RampEntry(Parameters):
    """Values that move in straight lines."""

    to: dict[str, Given]
    """Aircraft values, and where they go."""
    over_s: Span
    """How long it takes, s."""


class NoiseEntry(Parameters):
    """Numbers that jump about where they are: the same noise in every run."""

    amplitude: dict[str, Given]
    """Aircraft values, and how far they go either way, in the unit of each; 0 ends it."""
    for_s: LimitOrEnd | None = None
    """How long, s; to the end of the scenario when left out."""
    seed: Annotated[int, Field(ge=0, le=1_000_000)] = 1
    """Another number gives other noise."""


class StepEntry(Parameters):
    """One step: when it begins, what is done in the order written, then what is expected."""

    at_s: Time | None = None
    """Begin at this time of the scenario, s."""
    after_s: Time | None = None
    """Begin this long after the step before began, s; without any time a step begins with it."""
    wait_for: EventOrGroup | None = None
    """Begin as soon as this holds, or 'event:' comes; after limit_s the scenario fails and ends."""
    limit_s: Span | None = None
    """Longest time that wait_for may take, s; 60 when left out."""
    note: str = ""
    """Words for people."""
    set: dict[str, Given] | None = None
    """Give aircraft values at once; 'unknown' makes one unknown."""
    ramp: RampEntry | None = None
    """Move aircraft values in straight lines."""
    noise: NoiseEntry | None = None
    """Let aircraft values jump about where they are."""
    move: dict[str, Given] | None = None
    """Put switches somewhere: gear_handle to up, down or between, the dimmer to 0 to 1."""
    press: Names | None = None
    """Press a button and hold it; a name or a list of names."""
    release: Names | None = None
    """Release a button; a name or a list of names."""
    push: Names | None = None
    """Press a button and release it 0.2 s later; what must hold is looked at from then on."""
    fault: dict[str, Fault] | None = None
    """Break things: a switch, lamp, leg, aircraft value, 'feed' or a board."""
    clear: Names | None = None
    """Mend what was broken: names, or 'all'."""
    include: Include | None = None
    """Path of another scenario file, from this file's folder; its steps follow here. With
    parameters {file: PATH, values: {lever: 0.2}}: <lever> in its steps takes the value."""
    repeat: RepeatEntry | None = None
    """Steps that are done several times, one round after the other."""
    expect: ConditionGroup | None = None
    """What must hold right after the actions; see within_s and throughout_s."""
    within_s: Span | None = None
    """Time limit for 'expect' to come true, and for 'in_order' to be complete, s."""
    throughout_s: LimitOrEnd | None = None
    """'expect' has to hold at every instant of this time, s; or 'end'."""
    never: EventOrGroup | None = None
    """What must not come to hold; or 'event:' with the name of what must not happen."""
    for_s: LimitOrEnd | None = None
    """How long 'never' and 'exactly' count, s; to the end of the scenario when left out."""
    exactly: dict[str, Annotated[int, Field(ge=0, le=10_000)]] | None = None
    """Events, and how often each comes in the time of for_s; a leg's name may follow the event's:
    {leg_unlocked nose: 1}."""
    in_order: Annotated[list[str], Field(min_length=1, max_length=100)] | None = None
    """Events in the order in which they come; a leg's name may follow: leg_unlocked nose."""


class RepeatEntry(Parameters):
    """Steps that are done several times."""

    times: Annotated[int, Field(ge=1, le=1000)]
    """How many rounds. Each begins with the last step of the one before."""
    steps: Annotated[list[StepEntry], Field(min_length=1, max_length=2000)]
    """The steps of a round; 'at_s' counts from its beginning."""


StepEntry.model_rebuild()


class CaseEntry(Parameters):
    """A case: its name and its values for the parameters."""

    model_config = ConfigDict(extra="allow")

    case: Annotated[str, Field(min_length=1, max_length=60)]
    """The case's name. Every other key is a parameter: <key> in the steps takes its value."""


class ScenarioFile(Parameters):
    """A scenario file."""

    kind: Literal["scenario"]
    """What this file is."""
    format: Literal[2]
    """Version of the file's layout; this program reads 2."""
    name: Annotated[str, Field(min_length=1, max_length=100)]
    """The scenario's name: what it shows."""
    source: Annotated[str, Field(max_length=300)] = ""
    """The published rule that it stands on, by document and paragraph."""
    aircraft: str | None = None
    """Path of an aircraft file, from this file's folder: every switch and lamp is there."""
    panel: str | None = None
    """Path of a panel file instead: only what is wired on it is there."""
    start: str | None = None
    """Name of a start condition of the aircraft file; without one every value is unknown."""
    set: dict[str, Given] | None = None
    """Aircraft values of your own at the start, over those of the start condition."""
    switches: dict[str, Given] | None = None
    """Where switches stand at the start: handle down, buttons released, dimmer 1 otherwise."""
    legs: dict[str, Given] | None = None
    """Where legs of the model are at the start: up_locked, down_locked, or 0 (up) to 1 (down)."""
    steps: Annotated[list[StepEntry], Field(min_length=1, max_length=2000)]
    """The steps, in order."""
    cases: Annotated[list[CaseEntry], Field(min_length=1, max_length=1000)] | None = None
    """A table: the scenario runs once for each entry."""
    runs_for_s: Span | None = None
    """Shortest length of the run, s; without it the scenario ends with its last step and limit."""
