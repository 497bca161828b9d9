"""What a system may see: switches, aircraft values, faults, readings, and published facts.

``world[handle]`` is a value or None (unknown); ``world[SomeFacts]`` is what that system published
last, or the defaults of the class when the aircraft has no such system. In an update every handle
and every field of facts that is read is noted, so that a change of another field wakes nobody.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache
from operator import attrgetter
from types import MappingProxyType
from typing import Any, TypeVar, cast, overload

from msgspec import Struct

from panelbridge.logic.kit.handles import Handle

T = TypeVar("T")


class Facts(Struct, frozen=True):
    """Base of what systems publish: frozen, with defaults that say *no such system*."""


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

    def whole(self, kind: type[F]) -> F:
        """The facts of a class, to be kept or compared: a change of any field wakes."""
        return self[kind]

    def at(self, now_s: float) -> World:
        """The same world at another instant: what changes by itself has moved on."""
        return World(self._cells, now_s, self._over)

    def having(self, over: Mapping[Any, Any]) -> World:
        """The same world with other cells over it."""
        return World(self._cells, self.now_s, {**self._over, **over})

    def is_only_later(self, other: World) -> bool:
        """Nothing but time lies between the two: facts and cells are the same objects."""
        return self._cells is other._cells and self._over is other._over


class FrozenCells(Mapping[Any, Any]):
    """All cells at one instant, a pointer each."""

    __slots__ = ("_places", "_values")

    def __init__(self, places: Mapping[Any, int], values: tuple[Any, ...]) -> None:
        self._places = places
        self._values = values

    def __getitem__(self, key: Any) -> Any:
        return self._values[self._places[key]]

    def __iter__(self) -> Iterator[Any]:
        return iter(self._places)

    def __len__(self) -> int:
        return len(self._places)


class FactsField:
    """The key of one field of facts, among what an update has read.

    Args:
        kind: the class of facts.
        name: of the field.
    """

    __slots__ = ("kind", "name", "of")

    def __init__(self, kind: type[Facts], name: str) -> None:
        self.kind = kind
        self.name = name
        self.of = attrgetter(name)

    def __repr__(self) -> str:
        return f"<{self.kind.__name__}.{self.name}>"


class NotedFacts:
    """Facts as an update sees them: each field that is read is noted. Not to be kept."""

    __slots__ = ("facts_now", "read_keys")  # no field of facts has such a name

    def __init__(self, facts: Facts, read_keys: dict[Any, None]) -> None:
        self.facts_now = facts
        self.read_keys = read_keys


def _once_a_class(make: Callable[[Any], T]) -> Callable[[Any], T]:
    return cache(make)


@_once_a_class
def fields_of(kind: Any) -> tuple[FactsField, ...]:
    """The keys of all fields of a class of facts."""
    return tuple([FactsField(kind, name) for name in kind.__struct_fields__])


@_once_a_class
def _noted(kind: Any) -> type[NotedFacts]:
    """A class whose fields note that they are read; all else is inherited from the facts."""
    noting = {key.name: _noting(key) for key in fields_of(kind)}
    others = {name: one for base in reversed(kind.__mro__[:-1]) for name, one in vars(base).items()}
    kept = {name: one for name, one in others.items() if not name.startswith("__")}
    return type(f"Noted{kind.__name__}", (NotedFacts,), {**kept, **noting, "__slots__": ()})


def _noting(key: FactsField) -> property:
    of = key.of

    def read(facts: NotedFacts) -> Any:
        facts.read_keys[key] = None
        return of(facts.facts_now)

    return property(read)


class RecordingWorld(World):
    """A world for updates, one after the other, that notes what they read.

    Args:
        cells: by handle and by class of facts.
        kinds: the classes of facts that the systems publish.
    """

    __slots__ = ("noted", "read")

    def __init__(self, cells: Mapping[Any, Any], kinds: Iterable[type[Facts]]) -> None:
        super().__init__(cells, 0.0)
        self.read: dict[Any, None] = {}
        self.noted: dict[Any, Any] = {kind: _noted(kind)(cells[kind], self.read) for kind in kinds}

    def __getitem__(self, key: Any) -> Any:
        """As ``World``, noted; of facts it is noted which fields are read."""
        noted = self.noted.get(key)
        if noted is not None:
            return noted
        try:
            found = self._cells[key]
        except KeyError:
            return _absent(key)
        self.read[key] = None
        return found

    def whole(self, kind: type[F]) -> F:
        """As ``World``, noted."""
        noted = self.noted.get(kind)
        if noted is None:
            return cast(F, self[kind])
        self.read[kind] = None
        return cast(F, noted.facts_now)


def _absent(key: Any) -> Any:
    """What there is of a system that the aircraft has not; it never changes."""
    if isinstance(key, Handle):
        return None
    if isinstance(key, type) and issubclass(key, Facts):
        return _defaults(key)
    raise KeyError(key)


@_once_a_class
def _defaults(kind: Any) -> Any:
    return kind()
