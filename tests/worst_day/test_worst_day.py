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
from tests.worst_day.attacks import ATTACKS

pytestmark = pytest.mark.thorough


@pytest.mark.parametrize(
    ("attack", "name"),
    [
        pytest.param(attack, name, id=f"{attack.name}: {name}")
        for attack in ATTACKS
        for name in attack.cases
    ],
)
def test_it_is_survived(attack: Attack, name: str, tmp_path: Path) -> None:
    tally = Tally(attack.fault)
    tally.strike(name, attack.cases[name], Ground(tmp_path, 1, attack.few))
    assert tally.lost == []
    assert tally.survived > 0
