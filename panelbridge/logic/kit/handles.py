"""Typed names of what a system may see: switches, faults, and what the bench places.

A handle is the key of one cell of the world and is compared by identity. ``None`` in a cell means
unknown.
"""

from __future__ import annotations

from typing import Generic, NamedTuple, TypeVar

from panelbridge.signals import HandleContacts

T = TypeVar("T")


class Handle(Generic[T]):
    """The key of one cell of the world.

    Args:
        name: as in files: snake case, with its unit where it has one.
        label: words for people.
    """

    def __init__(self, name: str, label: str = "") -> None:
        self.name = name
        self.label = label or name.replace("_", " ")

    def __repr__(self) -> str:
        return f"<{self.name}>"


class SwitchWords(NamedTuple):
    """The two positions of a switch with one contact.

    Attributes:
        free: as it is when nobody has touched it.
        operated: as it is when its contact is operated.
    """

    free: str
    operated: str


class Switch(Handle[T]):
    """Anything that the pilot moves.

    One that ``stays`` where it is put has two cells. Its own is its *effect*: operated when its
    board was lost, it counts as operated until the board is back. ``reported`` is its signal,
    unknown meanwhile, for what shows it. A switch at rest has no effect to keep: found operated
    later, it is found, not moved.

    Args:
        name: as in the panel file.
        label: words for people.
        about: what it does, a sentence for the key reference; empty = the label.
        required: a panel without it has to say so under ``not_fitted``.
    """

    stays = False
    """It keeps its effect while it is unknown: it stays where it is put, and nothing else keeps the
    effect. The gear handle must agree with the gear first, and the parking brake is a valve."""
    reported: Handle[T]

    def __init__(self, name: str, label: str, about: str = "", *, required: bool = False) -> None:
        super().__init__(name, label)
        self.about = about or f"{self.label[0].upper()}{self.label[1:]}."
        self.required = required
        self.reported = Handle(name, label) if self.stays else self

    def at_rest(self, position: T) -> bool:
        """It stands where it has no effect."""
        return not position


class OneContact(Switch[bool]):
    """A switch with one contact; True is operated."""

    words = SwitchWords("released", "pressed")


class Button(OneContact):
    """A contact that springs back."""


class Toggle(OneContact):
    """A contact that stays where it is put."""

    stays = True
    words = SwitchWords("off", "on")


class PullHandle(OneContact):
    """A handle that is pulled and stays pulled."""

    stays = True
    words = SwitchWords("stowed", "pulled")


REST_PLAY = 0.05
"""A lever this near to its rest is at rest, 0 to 1."""


class Lever(Switch[float]):
    """A switch that can be anywhere from 0 to 1.

    Args:
        name: as in the panel file.
        label: words for people.
        about: what it does, a sentence for the key reference.
        required: a panel without it has to say so.
        rest: where it stands when nobody has touched it, 0 to 1.
        ends: what 0 and 1 are, in words.
        by_contact: it may be wired as one contact, which closes at 1.
        stays: it keeps its effect while it is unknown; pedals and tillers come back by themselves.
    """

    def __init__(
        self,
        name: str,
        label: str,
        about: str = "",
        *,
        required: bool = False,
        rest: float = 0.0,
        ends: str = "0 to 1",
        by_contact: bool = False,
        stays: bool = False,
    ) -> None:
        self.stays = stays
        super().__init__(name, label, about, required=required)
        self.rest = rest
        self.ends = ends
        self.by_contact = by_contact

    def at_rest(self, position: float) -> bool:
        """It stands where it has no effect, or near it."""
        return abs(position - self.rest) <= REST_PLAY


class HandleSwitch(Switch[HandleContacts]):
    """A handle with a contact at one end or at both."""


class Fault(Handle[str]):
    """A part that can be broken on the bench; its cell holds how, or None.

    Args:
        name: of the part, as in scenarios.
        kinds: how it can be broken.
    """

    def __init__(self, name: str, kinds: tuple[str, ...]) -> None:
        super().__init__(name)
        self.kinds = kinds


class Placing(Handle[float]):
    """A part that the bench puts somewhere once; its cell holds where, or None."""
