"""A damaged scenario is refused in our words or can be run; nothing else ever happens."""

from __future__ import annotations

import json
import shutil
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.language.targets import Targets
from panelbridge.bench.world.virtual_world import run_scenario
from panelbridge.config.shipped import shipped_folder
from panelbridge.config.yaml_source import read_yaml
from panelbridge.errors import ConfigError
from tests.examples import examples

FOLDER = shipped_folder() / "scenarios"
SHIPPED = sorted(FOLDER.rglob("*.yaml"))
source_of = cache(read_yaml)
TARGETS = Targets()
WORDS = (
    *("unknown", "<lever>", "<case>", "end", "all", "up", "pressed", "lit", "dark", "stuck"),
    *("gear_handle", "greens", "throttles", "horn_silence", "nose_leg", "took_off", "any", "not"),
    *("bouncing_s", "above", "event", "include", "cases", "case", "wait_for", "push", "steps"),
    *("noise", "amplitude", "repeat", "times", "values", "file", "exactly", "legs", "how"),
    *("for_s", "throttle_1", "expect", "in_order", "set", "ramp", "fault", ""),
    *("gear_down.yaml", "include.yaml", "repeat.yaml", "gear_and_lever.yaml"),
)
WORD = st.sampled_from(WORDS)
JUNK: st.SearchStrategy[Any] = (
    st.none()
    | st.booleans()
    | st.integers(-(10**30), 10**30)
    | st.floats(-1e300, 1e300, allow_nan=False)
    | WORD
    | st.text(max_size=6).filter(lambda text: text.isprintable())
    | st.lists(WORD, max_size=3)
    | st.dictionaries(WORD, WORD | st.integers(0, 3), max_size=3)
)


@st.composite
def damaged(draw: st.DrawFn) -> tuple[Path, str]:
    """A shipped scenario with some values, keys or whole parts being something else."""
    path = draw(st.sampled_from(SHIPPED))
    source = source_of(path)
    value = json.loads(json.dumps(source.value))
    for _ in range(draw(st.integers(1, 4))):
        place = draw(st.sampled_from([*source.positions]))
        if place in ((), ("aircraft",), ("panel",)):
            continue
        around: Any = value
        for step in place[:-1]:
            around = around[step] if _has(around, step) else None
        last: Any = place[-1]
        if not _has(around, last):
            continue
        action = draw(st.sampled_from(["put", "put", "put", "delete", "rename"]))
        if action == "put":
            around[last] = draw(JUNK)
        elif isinstance(around, dict):
            old = around.pop(last)
            if action == "rename":
                around[draw(WORD)] = old
        else:
            del around[last]
    return path, json.dumps(value)  # which is YAML


def _has(part: Any, step: str | int) -> bool:
    if isinstance(part, dict):
        return step in part
    return isinstance(part, list) and isinstance(step, int) and step < len(part)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The shipped files, to put damaged ones among them."""
    copied = tmp_path_factory.mktemp("shipped") / "configs"
    shutil.copytree(shipped_folder(), copied)
    return copied


@settings(max_examples=examples(100))  # each runs what loads
@given(case=damaged())
def test_law_a_damaged_scenario_runs_or_is_refused_in_words(
    folder: Path, case: tuple[Path, str]
) -> None:
    path, text = case
    copied = folder / path.relative_to(shipped_folder()).with_name("damaged.yaml")
    copied.write_text(text, "utf-8")
    try:
        plans = load_scenarios(copied, TARGETS)
    except ConfigError as error:
        for problem in error.problems:
            assert problem.line >= 1
            assert problem.column >= 1
            assert problem.what
            assert "\n" not in problem.what
    else:
        assert plans
        for plan in plans:
            # Whatever loads can be run: no name or value is left to go wrong there.
            assert run_scenario(plan).trace.samples
