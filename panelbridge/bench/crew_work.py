"""What one process of a crew does: loads files, runs their cases.

A worker is given functions of modules only and keeps what it has loaded, so that no plan travels
between processes; this works wherever processes are spawned.
"""

from __future__ import annotations

import copyreg
import signal
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from multiprocessing.synchronize import Event
from pathlib import Path
from types import MappingProxyType
from typing import Any, TypeVar

from panelbridge.bench.plan import ScenarioPlan
from panelbridge.bench.trace import ScenarioResult, Trace
from panelbridge.errors import ConfigError, ConfigProblem

Load = Callable[[Path], Sequence[ScenarioPlan]]
Run = Callable[[ScenarioPlan], ScenarioResult]

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class FileLoad:
    """What came of loading a file.

    Attributes:
        path: the file.
        cases: how many scenarios and cases it holds.
        mistakes: in it and in the files it names.
    """

    path: Path
    cases: int
    mistakes: tuple[ConfigProblem, ...] = ()


CaseKey = tuple[Path, int]
"""A file, and the place of a case in it."""


def _pack_mapping(mapping: Mapping[Any, Any]) -> tuple[Any, ...]:
    return _frozen, (dict(mapping),)


def _frozen(mapping: dict[Any, Any]) -> Mapping[Any, Any]:
    return MappingProxyType(mapping)


copyreg.pickle(MappingProxyType, _pack_mapping)  # frozen mappings of plans and outputs


class Desk:
    """What one process has loaded."""

    def __init__(self) -> None:
        self._plans: dict[Path, Sequence[ScenarioPlan]] = {}

    def load(self, load: Load, file: Path) -> FileLoad:
        """Load a file and keep what it holds."""
        try:
            plans = self._plans[file] = load(file)
        except ConfigError as error:
            return FileLoad(file, 0, error.problems)
        return FileLoad(file, len(plans))

    def run(self, run: Run, key: CaseKey, load: Load | None = None) -> ScenarioResult:
        """Run a case; its file is loaded with ``load`` when it has not been."""
        file, number = key
        if file not in self._plans and load is not None:
            self._plans[file] = load(file)
        return run(self._plans[file][number])


_desk = Desk()
"""Of a worker process."""
_stop: Event | None = None
"""Tells a worker process to end."""


def begin_work(stop: Event) -> None:
    """Ctrl-C reaches every process of a terminal; the first one ends the others."""
    global _stop  # noqa: PLW0603 - a worker process is told once
    _stop = stop
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _still_wanted(items: Iterable[T]) -> Iterator[T]:
    for item in items:
        if _stop is not None and _stop.is_set():
            return
        yield item


def load_share(load: Load, files: Sequence[Path]) -> list[FileLoad]:
    """In a worker: load files."""
    return [_desk.load(load, file) for file in _still_wanted(files)]


def run_share(
    load: Load, run: Run, keys: Sequence[CaseKey], traced: bool
) -> list[tuple[CaseKey, ScenarioResult]]:
    """In a worker: run cases."""
    return [(key, slim(_desk.run(run, key, load), traced=traced)) for key in _still_wanted(keys)]


def slim(result: ScenarioResult, *, traced: bool) -> ScenarioResult:
    """The result without the weight of its record, when nobody will read that."""
    if traced:
        return result
    trace = Trace(end_s=result.trace.end_s, marks=result.trace.marks)
    return replace(result, trace=trace)
