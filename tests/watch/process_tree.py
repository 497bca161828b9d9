"""Which processes stand below another one, and which of them still run (Linux)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class RunningProcess:
    """A process, told from a later one with the same number by the time when it began.

    Attributes:
        pid: its number.
        parent: number of the process that started it, or that took it over.
        began: in the kernel's ticks.
        command: its words.
    """

    pid: int
    parent: int
    began: int
    command: tuple[str, ...]


def running() -> Iterator[RunningProcess]:
    """Every process that runs; one that has ended and was not waited for is none."""
    for folder in Path("/proc").glob("[0-9]*"):
        try:
            stat = (folder / "stat").read_text("utf-8", "replace").rpartition(")")[2].split()
            command = (folder / "cmdline").read_bytes().decode("utf-8", "replace").split("\0")
        except OSError:  # it has just ended
            continue
        if stat[0] != "Z":
            yield RunningProcess(int(folder.name), int(stat[1]), int(stat[19]), tuple(command))


def below(pid: int) -> list[RunningProcess]:
    """Those that ``pid`` has started, those that these have started, and so on."""
    everyone, found, parents = list(running()), list[RunningProcess](), {pid}
    while children := [one for one in everyone if one.parent in parents]:
        found += children
        parents = {child.pid for child in children}
    return found


def still_running(processes: Iterable[RunningProcess]) -> set[int]:
    """Numbers of those that have not ended."""
    now = {(one.pid, one.began) for one in running()}
    return {one.pid for one in processes if (one.pid, one.began) in now}
