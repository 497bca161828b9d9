"""What a system may see: switches, aircraft values, faults, readings, and published facts.

``world[handle]`` is a value or None (unknown); ``world[SomeFacts]`` is what that system published
last, or the defaults of the class when the aircraft has no such system.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, TypeVar, overload

from panelbridge.logic.kit.handles import Handle

T = TypeVar("T")


class Facts:
    """Base of what systems publish: frozen dataclasses, whose defaults say *no such system*."""

    __slots__ = ()


F = TypeVar("F", bound=Facts)
_NOTHING: Mapping[Any, Any] = MappingProxyType({})


class Moving:
    """A cell over a world that is a function of time."""

    __slots__ = ()

    def at(self, now_s: float) -> Any:
        """The value at ``now_s``."""
        raise NotImplementedError


class World:
    """The world at one instant.

    Args:
        cells: by handle and by class of facts.
        now_s: the instant, s.
        over: cells that lie over them; those that move are read at the instant.
    """

    __slots__ = ("_cells", "_over", "now_s")

    def __init__(
        self, cells: Mapping[Any, Any], now_s: float, over: Mapping[Any, Any] = _NOTHING
    ) -> None:
        self._cells = cells
        self._over = over
        self.now_s = now_s

    @overload
    def __getitem__(self, key: Handle[T]) -> T | None: ...
    @overload
    def __getitem__(self, key: type[F]) -> F: ...
    def __getitem__(self, key: Any) -> Any:
        """The value of a handle, or the facts of a class. A handle of no system is a KeyError."""
        if key in self._over:
            found = self._over[key]
            return found.at(self.now_s) if isinstance(found, Moving) else found
        try:
            return self._cells[key]
        except KeyError:
            return _absent(key)

    def at(self, now_s: float) -> World:
        """The same world at another instant: what changes by itself has moved on."""
        return World(self._cells, now_s, self._over)

    def having(self, over: Mapping[Any, Any]) -> World:
        """The same world with other cells over it."""
        return World(self._cells, self.now_s, {**self._over, **over})

    def is_only_later(self, other: World) -> bool:
        """Nothing but time lies between the two: facts and cells are the same objects."""
        return self._cells is other._cells and self._over is other._over


class RecordingWorld(World):
    """A world that notes which cells were read."""

    __slots__ = ("read",)

    def __init__(self, cells: Mapping[Any, Any], now_s: float) -> None:
        self._cells, self._over, self.now_s = cells, _NOTHING, now_s
        self.read: dict[Any, None] = {}

    def __getitem__(self, key: Any) -> Any:
        """As ``World``, noted."""
        try:
            found = self._cells[key]
        except KeyError:
            return _absent(key)
        self.read[key] = None
        return found


def _absent(key: Any) -> Any:
    """What there is of a system that the aircraft has not; it never changes."""
    if isinstance(key, type) and issubclass(key, Facts):
        return key()
    if isinstance(key, Handle):
        return None
    raise KeyError(key)
