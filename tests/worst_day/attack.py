"""What an attack is, and how its tries are counted."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median, quantiles


class Lost(AssertionError):  # noqa: N818 - what the table calls it
    """A promise that did not hold under an attack."""


@dataclass(frozen=True)
class Ground:
    """Where a case happens.

    Attributes:
        room: a folder of its own.
        seed: of everything random in it.
        times: how often to strike.
    """

    room: Path
    seed: int
    times: int

    def rng(self) -> random.Random:
        """Its randomness, from the beginning."""
        return random.Random(self.seed)


@dataclass(frozen=True)
class Survived:
    """Tries that all promises outlived.

    Attributes:
        count: how many.
        recovery_s: how long until all was well again, s; None where nothing had to recover.
    """

    count: int = 1
    recovery_s: float | None = None


Case = Callable[[Ground], Iterator[Survived]]
"""Strikes, and yields what was survived. The first promise that does not hold ends it: ``Lost``."""


@dataclass(frozen=True)
class Attack:
    """A kind of fault, and the cases of it.

    Attributes:
        name: for the command line.
        fault: for the table.
        cases: by name.
        few: how often a case strikes in the tests.
        many: how often by hand.
    """

    name: str
    fault: str
    cases: Mapping[str, Case]
    few: int = 1
    many: int = 1


@dataclass
class Tally:
    """What became of an attack."""

    fault: str
    survived: int = 0
    lost: list[str] = field(default_factory=list)
    recoveries_s: list[float] = field(default_factory=list)

    def strike(self, name: str, case: Case, ground: Ground) -> None:
        """Run a case to its end."""
        ground.room.mkdir(parents=True, exist_ok=True)
        try:
            for one in case(ground):
                self.survived += one.count
                if one.recovery_s is not None:
                    self.recoveries_s.append(one.recovery_s)
        except Lost as lost:
            self.lost.append(f"{name}: {lost}")

    def row(self) -> str:
        """Its line of the table."""
        tried = self.survived + len(self.lost)
        worst = f"{max(self.recoveries_s):.2f} s" if self.recoveries_s else ""
        return f"| {self.fault} | {tried:,} | {self.survived:,} | {len(self.lost)} | {worst} |"

    def recovery(self) -> str:
        """Median, 90th percentile and worst of the recovery times."""
        times = self.recoveries_s
        if len(times) < 2:
            return ""
        return (
            f"{self.fault}: recovery median {median(times):.2f} s,"
            f" p90 {quantiles(times, n=10)[-1]:.2f} s, worst {max(times):.2f} s of {len(times)}"
        )


HEADING = "| Fault | tried | survived | lost | worst recovery |\n|---|---|---|---|---|"
