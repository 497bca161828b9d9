"""The switch in a mutated module: each function calls itself or the mutant that was chosen."""

from __future__ import annotations

import os
from collections.abc import Callable
from functools import wraps
from typing import Any

MutantDict = dict[str, Any]
AT_IMPORT = "PANELBRIDGE_MUTANT"
"""The mutant that is chosen from the first import on; for functions that run while modules load."""
hits: set[str] = set()
"""Functions that were called, as module:qualified name."""
_tables: dict[str, list[tuple[MutantDict, list[Any]]]] = {}


def wrap(
    mutants: MutantDict, is_classmethod: bool = False
) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Stands in a mutated module before each function that has mutants."""

    def decorate(function: Callable[..., Any]) -> Callable[..., Any]:
        name = f"{function.__module__}:{function.__qualname__}"
        called: list[Any] = [None]
        _tables.setdefault(function.__module__, []).append((mutants, called))

        @wraps(function)
        def call(*args: Any, **kwargs: Any) -> Any:
            hits.add(name)
            if called[0] is None:
                called[0] = _plain(mutants[_first_choice(function.__module__, mutants)])
            return called[0](*args, **kwargs)

        return call

    return decorate


def choose(mutant: str) -> None:
    """From now on this mutant is called in place of its function."""
    module, _, name = mutant.partition(":")
    for mutants, called in _tables[module]:
        if name in mutants:
            called[0] = _plain(mutants[name])
            return
    raise LookupError(mutant)


def _first_choice(module: str, mutants: MutantDict) -> str:
    chosen_module, _, name = os.environ.get(AT_IMPORT, "").partition(":")
    return name if chosen_module == module and name in mutants else "_mutmut_orig"


def _plain(found: Any) -> Any:
    """The function itself, of whatever a decorator made of its copy."""
    if isinstance(found, property):
        return found.fget
    return getattr(found, "__func__", found)
