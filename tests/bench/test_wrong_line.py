"""One line of the logic's text is changed, as by a slip: what ``panelbridge bench`` then says.

In a copy of the package and in a process of its own, with a shipped scenario.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

import pytest

import panelbridge

PACKAGE = Path(panelbridge.__file__).parent
SCENARIOS = Path(__file__).parents[2] / "configs" / "scenarios"
_PROGRAM = """
import sys
from pathlib import Path
import panelbridge
assert Path(panelbridge.__file__).is_relative_to(sys.argv[1]), panelbridge.__file__
from panelbridge.cli import main
main(["bench", sys.argv[2]])
"""


class Slip(NamedTuple):
    """A wrong line.

    Attributes:
        module: in ``panelbridge/logic``.
        right: what stands there, once.
        wrong: what is put there.
        rule: name of the rule that decided wrongly, as it is told.
        told: a condition of it, as it is told.
        scenario: that finds it.
    """

    module: str
    right: str
    wrong: str
    rule: str
    told: str
    scenario: str


SLIPS = {
    "flaps at the limit count as beyond": Slip(
        "gear_warning.py",
        "flap_deg > self._parameters.flap_limit_deg",
        "flap_deg >= self._parameters.flap_limit_deg",
        "holds rule: flaps beyond approach and gear not locked down",
        "holds flaps beyond approach - 22.00",
        "horn_table",
    ),
    "a red for a leg that is locked up": Slip(
        "gear_lamps.py",
        '"leg not locked", (("is_down", False), ("is_up", False))',
        '"leg not locked", (("is_down", False),)',
        "holds rule: leg not locked",
        "does not hold nose leg locked down - down-lock not made, up-lock made",
        "three_patterns",
    ),
    "a silence that does nothing": Slip(
        "warning_rules.py",
        '(*_THROTTLE_NEEDS, ("silenced", False), ',
        "(*_THROTTLE_NEEDS, ",
        "holds rule: throttle closed and gear not locked down",
        "holds a throttle closed",
        "horn_rearms_at_second_lever",
    ),
    "the handle on the ground warns of nothing": Slip(
        "warning_rules.py",
        '(("handle_up_on_ground", True),)',
        '(("handle_up_on_ground", True), ("any_closed", True))',
        "does not hold rule: gear handle up on the ground",
        "holds gear handle up and refused - handle up",
        "squat_switch_holds_the_gear",
    ),
    "steering in the air": Slip(
        "steering.py",
        '        ("has_weight", True),\n',
        "",
        "holds rule: steering button held on the ground with the leg locked down",
        "holds steering button held",
        "steering_on_the_ground",
    ),
}


@pytest.mark.parametrize("slip", SLIPS.values(), ids=SLIPS)
def test_a_wrong_line_fails_scenarios_and_its_rule_is_named(tmp_path: Path, slip: Slip) -> None:
    copy = tmp_path / "panelbridge"
    shutil.copytree(PACKAGE, copy, ignore=shutil.ignore_patterns("__pycache__"))
    line = copy / "logic" / slip.module
    text = line.read_text(encoding="utf-8")
    assert text.count(slip.right) == 1, f"{slip.module} was changed: choose its line anew"
    line.write_text(text.replace(slip.right, slip.wrong), encoding="utf-8")
    ended = subprocess.run(
        [sys.executable, "-c", _PROGRAM, str(tmp_path), str(SCENARIOS / f"{slip.scenario}.yaml")],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(tmp_path), "PYTHONDONTWRITEBYTECODE": "1"},
        capture_output=True,
        encoding="utf-8",
        timeout=240,
        check=False,
    )
    assert ended.returncode == 1, ended.stdout[-2000:] + ended.stderr
    assert ended.stderr == ""
    words = " ".join(ended.stdout.split())
    assert slip.rule in words
    assert slip.told in words
