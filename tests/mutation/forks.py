"""A plugin of pytest: collects the tests once, then tries each mutant in a fork of its own."""

from __future__ import annotations

import gc
import json
import os
import resource
import signal
import time  # noqa: TID251 - how long a test takes decides which is tried first
from collections import defaultdict
from pathlib import Path
from typing import Any

import pytest
from _pytest.runner import runtestprotocol
from hypothesis import Phase, settings

from tests.mutation import switch

_register = settings.register_profile


def _without_shrinking(name: str, parent: Any = None, **more: Any) -> None:
    """A mutant is killed by the first example that fails; none is kept for the next mutant."""
    phases = [Phase.explicit, Phase.generate, Phase.target]
    _register(name, parent, **{**more, "database": None, "phases": phases})


type.__setattr__(settings, "register_profile", staticmethod(_without_shrinking))


class Forks:
    """Tries mutants; what it is to do stands in ``order.json`` of the work directory.

    Args:
        work: the directory.
    """

    def __init__(self, work: Path) -> None:
        self.work = work
        self.order = json.loads((work / "order.json").read_text("utf-8"))
        self.out = os.fdopen(os.dup(2), "w")
        self.failed: list[str] = []

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        if session.testsfailed:
            raise session.Failed(f"{session.testsfailed} test files cannot be collected")
        at_import = sorted(switch.hits)
        items = {item.nodeid: item for item in session.items}
        files = {item.nodeid: str(item.path) for item in session.items}
        stats = self._stats(items, files)
        cover: dict[str, list[str]] = defaultdict(list)
        for test, (_, functions) in stats.items():
            for function in functions:
                cover[function].append(test)
        killers: dict[str, list[str]] = defaultdict(list)
        gc.collect()
        gc.freeze()  # so that a fork copies few pages
        with (self.work / "results.jsonl").open("a", encoding="utf-8") as results:
            for number, mutant in enumerate(self.order["mutants"]):
                name, function = mutant["name"], mutant["function"]
                module = mutant["module"]
                first = killers[function][:3] + killers[module][:3]

                def rank(
                    test: str, module: str = module, first: list[str] = first
                ) -> tuple[int, float]:
                    own = any(f"test_{part}" in test for part in module.split("."))
                    place = 0 if test in first else 1
                    return place, stats[test][0] * (0.1 if own else 1.0)

                tests = sorted(cover[function], key=rank)
                tests, took_s = self._within_budget(tests, stats)
                verdict, killer = self._try(name, [items[t] for t in tests], took_s)
                if killer:
                    for kept in (killers[function], killers[module]):
                        if killer in kept:
                            kept.remove(killer)
                        kept.insert(0, killer)
                told = {**mutant, "verdict": verdict, "killer": killer, "tests": len(tests)}
                told["at_import"] = function in at_import
                results.write(json.dumps(told) + "\n")
                results.flush()
                if number % 50 == 0 or verdict != "killed":
                    self.out.write(f"{number} {verdict} {name}\n")
                    self.out.flush()
        return True

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.failed.append(report.nodeid)

    def _within_budget(
        self, tests: list[str], stats: dict[str, tuple[float, list[str]]]
    ) -> tuple[list[str], float]:
        """The first tests that take no longer together than was ordered, and how long they take."""
        took_s, chosen = 0.0, []
        for test in tests:
            if took_s + stats[test][0] <= self.order["budget_s"]:
                chosen.append(test)
                took_s += stats[test][0]
        return chosen, took_s

    def _try(self, name: str, items: list[pytest.Item], took_s: float) -> tuple[str, str]:
        """Run the tests of one mutant in a fork: the verdict, and the test that killed it."""
        if not items:
            return "no test", ""
        read, write = os.pipe()
        child = os.fork()
        if not child:
            code = 3
            try:
                os.close(read)
                limit_s = int(6 + 5 * took_s)
                signal.signal(signal.SIGXCPU, signal.SIG_DFL)
                resource.setrlimit(resource.RLIMIT_CPU, (limit_s, limit_s + 1))
                switch.choose(name)
                code = 0
                for item in items:
                    runtestprotocol(item, log=True, nextitem=None)
                    if self.failed:
                        os.write(write, self.failed[0].encode())
                        code = 1
                        break
            except BaseException as error:  # noqa: BLE001 - a fork must not go on as its parent
                os.write(write, f"{type(error).__name__}: {error}".encode()[:2000])
                code = 3
            finally:
                os._exit(code)
        os.close(write)
        with os.fdopen(read, "rb") as pipe:
            said = pipe.read().decode(errors="replace")
        _, status = os.waitpid(child, 0)
        if os.WIFSIGNALED(status):
            return ("timeout" if os.WTERMSIG(status) == signal.SIGXCPU else "crashed"), ""
        verdicts = {0: "survived", 1: "killed"}
        return verdicts.get(os.WEXITSTATUS(status), "broken"), said

    def _stats(
        self, items: dict[str, pytest.Item], files: dict[str, str]
    ) -> dict[str, tuple[float, list[str]]]:
        """How long each test takes, and which functions it calls; kept until its file changes."""
        path = self.work / "stats.json"
        kept: dict[str, Any] = json.loads(path.read_text("utf-8")) if path.exists() else {}
        stamps = {file: os.stat(file).st_mtime_ns for file in set(files.values())}
        fresh = [t for t in items if kept.get(t, {}).get("stamp") != stamps[files[t]]]
        if fresh:
            self.out.write(f"looking what {len(fresh)} tests call\n")
            self.out.flush()
            child = os.fork()
            if not child:
                for test in fresh:
                    switch.hits.clear()
                    start_s = time.process_time()
                    runtestprotocol(items[test], log=True, nextitem=None)
                    took_s = time.process_time() - start_s
                    kept[test] = {
                        "stamp": stamps[files[test]],
                        "took_s": took_s,
                        "calls": sorted(switch.hits),
                    }
                    if self.failed:  # it reads the source, where the copies are
                        self.out.write(f"left out, fails without a mutant: {test}\n")
                        self.out.flush()
                        kept[test]["calls"] = []
                        self.failed.clear()
                path.write_text(json.dumps(kept), "utf-8")
                os._exit(0)
            _, status = os.waitpid(child, 0)
            if status:
                raise pytest.UsageError("the tests fail without any mutant")
            kept = json.loads(path.read_text("utf-8"))
        return {test: (kept[test]["took_s"], kept[test]["calls"]) for test in items}


def pytest_configure(config: pytest.Config) -> None:
    work = os.environ.get("PANELBRIDGE_MUTATION")
    if work:
        config.pluginmanager.register(Forks(Path(work)), "forks")
