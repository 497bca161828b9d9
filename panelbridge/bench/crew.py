"""Loads and runs scenarios, in this process or on all cores, with the same results in one order.

Work is shared by files: each worker process loads its share and runs what it has loaded. Few files
with many cases are loaded here first; then each worker loads the files of which it runs cases.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing.process import BaseProcess
from multiprocessing.synchronize import Event
from pathlib import Path
from typing import Any

from panelbridge.bench.crew_work import (
    CaseKey,
    Desk,
    FileLoad,
    Load,
    Run,
    begin_work,
    load_share,
    run_share,
    slim,
)
from panelbridge.bench.verdict.trace import ScenarioResult
from panelbridge.errors import LogicError

MANY_FILES = 120
"""From so many files on other processes pay: each takes most of a second to start."""
MANY_CASES = 600
"""The same for cases that are loaded already."""
CHUNK = 16
"""Cases that a worker runs before it tells."""
TRACED_CHUNK = 4
_PATIENCE_S = 1.0
"""So long a worker may end by itself: one that is ended while it tells can leave us waiting."""


class Crew:
    """Loads files once and runs their cases as often as wanted.

    Args:
        load: gives the plans of a file; a function of a module.
        run: runs a plan; a function of a module.
        jobs: processes at most; 1 = only this one, 0 = as the number of files makes sense.
        traced: results keep their traces.
    """

    def __init__(self, load: Load, run: Run, *, jobs: int = 0, traced: bool = False) -> None:
        self._load = load
        self._run = run
        self._jobs = jobs
        self._traced = traced
        self._desk = Desk()
        self._pools: list[ProcessPoolExecutor] = []
        self._holders: dict[Path, int] = {}
        self._children: set[BaseProcess] = set()
        self._futures: list[Future[Any]] = []
        self._stop: Event | None = None

    @property
    def processes(self) -> int:
        """How many do the work."""
        return max(len(self._pools), 1)

    def load(self, files: Sequence[Path]) -> list[FileLoad]:
        """Load all of ``files``; in their order."""
        workers = self._workers(len(files), MANY_FILES)
        if workers == 1:
            return [self._desk.load(self._load, file) for file in files]
        self._hire(workers)
        shares: list[list[Path]] = [[*files[number::workers]] for number in range(workers)]
        for number, share in enumerate(shares):
            self._holders.update(dict.fromkeys(share, number))
        told = [
            self._ask(number, load_share, self._load, share) for number, share in enumerate(shares)
        ]
        by_path = {load.path: load for future in told for load in _result(future)}
        return [by_path[file] for file in files]

    def run(self, loads: Sequence[FileLoad]) -> Iterator[ScenarioResult]:
        """Run every case, and give the results in the order of ``loads``, each as it comes."""
        keys = [(load.path, number) for load in loads for number in range(load.cases)]
        if not self._pools:
            workers = self._workers(len(keys), MANY_CASES)
            if workers == 1:
                for key in keys:
                    yield slim(self._desk.run(self._run, key), traced=self._traced)
                return
            self._hire(workers)
        chunk = TRACED_CHUNK if self._traced else CHUNK
        futures = [
            self._ask(number, run_share, self._load, self._run, part, self._traced)
            for number, part in self._chunks(keys, chunk)
        ]
        waiting: dict[CaseKey, ScenarioResult] = {}
        order = iter(keys)
        wanted = next(order, None)
        for future in futures:
            waiting.update(_result(future))
            while wanted in waiting:
                assert wanted is not None
                yield waiting.pop(wanted)
                wanted = next(order, None)

    def _ask(self, number: int, what: Callable[..., Any], *arguments: Any) -> Future[Any]:
        future = self._pools[number].submit(what, *arguments)
        self._futures.append(future)
        return future

    def _chunks(self, keys: Sequence[CaseKey], size: int) -> list[tuple[int, list[CaseKey]]]:
        """Who runs what: whoever has loaded the file; else everybody some of it."""
        chunks: list[tuple[int, list[CaseKey]]] = []
        filling: dict[int, list[CaseKey]] = {}
        for place, key in enumerate(keys):
            number = self._holders.get(key[0], -1)
            if number < 0:
                number = place // size % len(self._pools)
            if number not in filling or len(filling[number]) == size:
                filling[number] = []
                chunks.append((number, filling[number]))
            filling[number].append(key)
        return chunks

    def _workers(self, count: int, many: int) -> int:
        if self._jobs:
            return min(self._jobs, max(count, 1))
        return min(os.cpu_count() or 1, 32) if count >= many else 1

    def _hire(self, workers: int) -> None:
        # One process a pool: what is asked of a pool is done where its files were loaded.
        before = set(multiprocessing.active_children())
        context = multiprocessing.get_context("spawn")
        self._stop = stop = context.Event()
        with _interrupts_left():
            for number in range(workers):
                self._pools.append(
                    ProcessPoolExecutor(
                        1, mp_context=context, initializer=begin_work, initargs=(stop,)
                    )
                )
                self._ask(number, os.getpid)  # has it start its process now
        self._children = set(multiprocessing.active_children()) - before

    def close(self, *, at_once: bool = False) -> None:
        """End the worker processes; ``at_once`` in the middle of their work."""
        if at_once and self._stop is not None:
            self._stop.set()  # they end by themselves after the case that is on
            for future in self._futures:
                future.cancel()
            if wait(self._futures, _PATIENCE_S).not_done:
                for child in self._children:
                    child.terminate()
        for pool in self._pools:
            pool.shutdown(wait=True, cancel_futures=True)
        self._pools.clear()
        self._futures.clear()


@contextmanager
def _interrupts_left() -> Iterator[None]:
    """Processes that are started in the block leave Ctrl-C to us from their first moment."""
    if threading.current_thread() is not threading.main_thread():
        yield  # signals belong to the main thread
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)  # inherited, but for Windows
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


@contextmanager
def crew_of(load: Load, run: Run, *, jobs: int = 0, traced: bool = False) -> Iterator[Crew]:
    """A crew whose processes end with the block, at once when it is left by an exception."""
    crew = Crew(load, run, jobs=jobs, traced=traced)
    try:
        yield crew
    except BaseException:  # an interrupt too must not wait for the workers
        crew.close(at_once=True)
        raise
    crew.close()


def _result(future: Future[Any]) -> Any:
    try:
        return future.result()
    except BrokenProcessPool as error:
        raise LogicError(
            "a process that ran scenarios has ended in the middle of its work",
            hint="Was it ended by hand, or out of memory? --jobs 1 uses one process only",
        ) from error
