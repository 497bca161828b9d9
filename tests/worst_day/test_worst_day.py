"""Every attack of the worst day, a few times each; ``python -m tests.worst_day`` does them in full.

POSIX only: signals that stop a process, pseudo-terminals, FIFOs, file systems that can be filled.
"""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

if sys.platform == "win32":
    pytest.skip("POSIX only", allow_module_level=True)

from tests.worst_day.attack import Attack, Ground, Tally
from tests.worst_day.attacks import ATTACKS, NOT_YET
from tests.worst_day.processes import PATIENCE

pytestmark = pytest.mark.thorough


def _cases() -> list[object]:
    return [
        pytest.param(
            attack,
            name,
            id=f"{attack.name}: {name}",
            marks=[pytest.mark.xfail(strict=True, reason=reason)]
            if (reason := NOT_YET.get((attack.name, name)))
            else [],
        )
        for attack in ATTACKS
        for name in attack.cases
    ]


@pytest.mark.parametrize(("attack", "name"), _cases())
def test_it_is_survived(
    attack: Attack, name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    if (attack.name, name) in NOT_YET:
        monkeypatch.setattr(PATIENCE, "seconds", 12.0)  # who waits in vain need not wait for long
    tally = Tally(attack.fault)
    tally.strike(name, attack.cases[name], Ground(tmp_path, 1, attack.few))
    assert tally.lost == []
    assert tally.survived > 0


def test_every_case_that_is_not_survived_yet_is_there() -> None:
    there = {(attack.name, name) for attack in ATTACKS for name in attack.cases}
    assert set(NOT_YET) <= there
