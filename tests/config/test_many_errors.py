"""Files with thousands of errors: work in proportion, and no more words than a person reads."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path
from types import FrameType

import pytest

from panelbridge.bench.language.scenario_kind import scenario_kinds
from panelbridge.config.commands import check
from panelbridge.config.shipped import shipped_config
from panelbridge.errors import MAX_SHOWN
from tests.examples import few_of

COUNTS = (300, 600, 900)
"""More than names for which a similar one is looked for."""
MOST_CALLS = 250
"""So many calls of functions may one more key cost that is unknown on the top level."""

SCENARIO = "kind: scenario\nformat: 2\nname: Test\naircraft: first_steps.yaml\n"
PLACES = {
    "a panel": ("panels/first_lamp.yaml", "", ""),
    "its switches": ("panels/first_lamp.yaml", "switches:\n", "  "),
    "its lamps": ("panels/first_lamp.yaml", "lamps:\n", "  "),
    "an aircraft": ("aircraft/twin_jet.yaml", "", ""),
    "its own lamps": ("aircraft/twin_jet.yaml", "own_lamps:\n", "  "),
    "its starts": ("aircraft/twin_jet.yaml", "starts:\n", "  "),
    "a feed": ("feeds/parked.yaml", "values:\n", "  "),
    "a scenario": (f"{SCENARIO}steps:\n  - at_s: 1\n", "", ""),
    "a step": (f"{SCENARIO}steps:\n  - at_s: 1\n", "  - at_s: 1\n", "    "),
    "values": (f"{SCENARIO}set:\nsteps:\n  - at_s: 1\n", "set:\n", "  "),
}


def written(folder: Path, place: str, count: int) -> Path:
    """A file with ``count`` unknown keys, beside those that it names."""
    for name in ("aircraft/first_steps.yaml", "feeds/parked.yaml"):
        shutil.copy(shipped_config(name), folder)
    base, mark, indent = PLACES[place]
    text = base if "\n" in base else shipped_config(base).read_text("utf-8")
    text = text.replace("../aircraft/", "").replace("../feeds/", "")
    keys = "".join(f"{indent}key_{number}: 1\n" for number in range(count))
    assert mark in text
    path = folder / "many.yaml"
    path.write_text(text.replace(mark, mark + keys, 1) if mark else text + keys, "utf-8")
    return path


def calls_to_check(path: Path) -> int:
    calls = 0

    def count(frame: FrameType, event: str, argument: object) -> None:
        nonlocal calls
        calls += event in ("call", "c_call")

    kinds, before = scenario_kinds(), sys.getprofile()
    sys.setprofile(count)
    try:
        assert check([path], kinds) == 2
    finally:
        sys.setprofile(before)
    return calls


@pytest.mark.parametrize("place", few_of(PLACES))
def test_the_work_is_in_proportion_and_few_are_shown(
    place: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    few, some, many = (calls_to_check(written(tmp_path, place, count)) for count in COUNTS)
    assert many - some < 1.2 * (some - few)
    said = capsys.readouterr().err.split(" errors\n")[-2]
    assert said.count("many.yaml:") == MAX_SHOWN
    assert "\n... and " in said
    assert len(said) < 100_000


@pytest.mark.parametrize("place", ["a panel", "an aircraft", "a scenario"])
@pytest.mark.thorough
def test_a_key_is_not_compared_with_all_others(place: str, tmp_path: Path) -> None:
    some, many = (calls_to_check(written(tmp_path, place, count)) for count in COUNTS[1:])
    assert (many - some) / (COUNTS[2] - COUNTS[1]) < MOST_CALLS
