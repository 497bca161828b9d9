"""Keys of a target: by which way commands go out, how they are written, and when."""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self

from pydantic import Field, PlainValidator, WithJsonSchema, model_validator
from pydantic_core import PydanticCustomError

from panelbridge.config.links.formats import ByteOrder, NumberType
from panelbridge.config.links.transports import Topic, TransportKeys
from panelbridge.logic.kit.parameters import Parameters

Written = str | float | int
"""What stands in a message for a word."""
Template = Annotated[str, Field(min_length=1, max_length=2000)]
_Number = Annotated[float, Field(ge=-1e12, le=1e12)]
_Name = Annotated[str, Field(min_length=1, max_length=60)]
_DEEPEST, _MOST_LEAVES = 10, 200


def _written(value: Any) -> Written:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        text = "here stands what is sent for the word: a number or a text"
        raise PydanticCustomError("written_word", text)
    return value


WrittenWord = Annotated[
    Any,
    PlainValidator(_written),
    WithJsonSchema({"anyOf": [{"type": "string"}, {"type": "number"}]}),
]


def _tree(value: Any) -> Any:
    leaves = 0
    left: list[tuple[Any, int]] = [(value, 0)]
    while left:
        part, depth = left.pop()
        if isinstance(part, dict | list):
            left += [
                (one, depth + 1) for one in (part.values() if isinstance(part, dict) else part)
            ]
        leaves += 1
        if leaves > _MOST_LEAVES or depth > _DEEPEST:
            raise PydanticCustomError("json_tree", "this is too large for one message")
    if not isinstance(value, dict | list):
        text = "'json_text' is a group or a list; a text such as \"{gear}\" in it is filled in"
        raise PydanticCustomError("json_tree", text)
    return value


JsonTree = Annotated[
    Any, PlainValidator(_tree), WithJsonSchema({"anyOf": [{"type": "object"}, {"type": "array"}]})
]


class WrittenValue(Parameters):
    """How a value is written in the messages of a target."""

    words: Annotated[dict[str, WrittenWord], Field(min_length=1, max_length=40)] | None = None
    """What is written for each word: {up: 0, down: 1}."""
    unit: Annotated[str, Field(min_length=1, max_length=20)] | None = None
    """Unit that the simulator expects; null = that of the value."""
    scale: _Number = 1.0
    """The number, in `unit`, is multiplied by this."""
    offset: _Number = 0.0
    """This is added to the multiplied number."""


class BinaryPart(Parameters):
    """A number in a binary message."""

    type: NumberType
    """Its type."""
    value: _Name | None = None
    """The name of the value that stands here."""
    number: float | None = None
    """A fixed number that stands here instead."""

    @model_validator(mode="after")
    def _is_one(self) -> Self:
        if (self.value is None) == (self.number is None):
            raise ValueError("give one of 'value' and 'number'")
        return self


class BinaryCommand(Parameters):
    """A binary message."""

    order: ByteOrder
    """Order of the bytes of a number: little is lowest first."""
    starts_with: Annotated[str, Field(min_length=1, max_length=40)] = ""
    """Text at its start."""
    parts: Annotated[tuple[BinaryPart, ...], Field(min_length=1, max_length=200)]
    """The numbers in their order."""


class LinkCommand(Parameters):
    """A message to a simulator; it is sent when what it names has changed."""

    words: Annotated[dict[str, Template], Field(min_length=1, max_length=40)] | None = None
    """A message for each word of the command: {up: "gear 0\\n", down: "gear 1\\n"}. In double
    quotes \\n is a line end."""
    text: Template | None = None
    """The message; {left_brake} is filled in, {left_brake:.3f} with three decimals, and {{ is a
    brace."""
    json_text: JsonTree | None = None
    """The message as JSON: a text that is one name alone, "{gear}", becomes its number or word."""
    binary: BinaryCommand | None = None
    """The message as binary numbers."""
    ends: Annotated[dict[str, WrittenWord], Field(min_length=1, max_length=40)] | None = None
    """Ends what is held (brakes, steering): the message is sent once more with these in place of
    the values when data is no longer fresh, and at the end of the run: {left_brake: 0}. They stand
    there as they are written."""
    topic: Topic | None = None
    """Topic to which it is published (MQTT)."""
    every_s: Annotated[float, Field(ge=0.02, le=3600.0)] | None = None
    """It is sent again after this time though nothing has changed, s; null = on change only."""
    at_most_hz: Annotated[float, Field(gt=0.0, le=50.0)] = 20.0
    """At most so many a second; what changes faster is sent as it is then."""
    at_start: Literal["wait", "send"] = "wait"
    """A position that is found at the start, or after data or connection were lost: wait sends
    nothing until it changes, send sends it as it is found. Brakes and steering follow at once, and
    so does a gear that is asked to be elsewhere than the simulator's handle."""

    @model_validator(mode="after")
    def _is_one_message(self) -> Self:
        ways = [
            key
            for key in ("words", "text", "json_text", "binary")
            if getattr(self, key) is not None
        ]
        if len(ways) != 1:
            raise ValueError("give one of 'words', 'text', 'json_text' and 'binary'")
        return self


class LinkAnswer(Parameters):
    """What the simulator answers to each message."""

    holds: Annotated[str, Field(min_length=1, max_length=200)]
    """Text in the answer to a message that was obeyed."""
    ends_with: Annotated[str, Field(min_length=1, max_length=40)] = "\n"
    """What an answer ends with: a line end, or a prompt such as "> "."""
    greets: bool = False
    """Once connected it sends a greeting that ends in the same way: nothing is sent before."""
    within_s: Annotated[float, Field(ge=0.02, le=10.0)] = 1.0
    """Longest time to an answer, s."""
    retries: Annotated[int, Field(ge=0, le=10)] = 1
    """How often a message without the right answer is sent again, as it is then."""


class LinkTarget(Parameters):
    """Something that takes commands.

    Commands are gear (up, down), parking_brake (set, released), wheel_lock (locked, unlocked),
    emergency_extend, aux_pump, antiskid, steering_engaged (on, off), steering_deg, left_brake,
    right_brake, NAME_wheel_brake (0 to 1), and the names of your own switches. Messages may also
    name any value of the aircraft that comes by this feed, and wall_clock_s, the time of day in
    seconds, which grows over every start.
    """

    transport: TransportKeys | None = None
    """By which way; null = by that of `receive`, where both go over one connection."""
    needs_data: bool = True
    """Nothing is sent while the aircraft's data is not fresh, and before handle and gear agree.
    false: it takes commands at any time, such as an indicator of your own."""
    written: Annotated[dict[str, WrittenValue], Field(max_length=100)] = Field(default={})
    """How values are written in all of its messages, by name."""
    commands: Annotated[dict[str, LinkCommand], Field(min_length=1, max_length=100)]
    """Its messages, by the name of the command or by one of yours."""
    answer: LinkAnswer | None = None
    """What it answers; null = nothing that has to be checked. The next message waits for it."""
