"""Steps that are written once: repeated in rounds, or included with values. Both are plain text.

By hand: three rounds of two steps are six steps and one that begins them; an included step with a
value is the step of a text in which the value was written.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.language.plan import After, ScenarioPlan, SetValues, Step
from panelbridge.errors import ConfigError
from tests.bench.plain import plain_config

HEAD = f"""kind: scenario
format: 2
name: Test
aircraft: {plain_config("aircraft/twin_jet.yaml").as_posix()}
start: cruise clean
"""
STEPS = (
    "- { after_s: 1.5, set: { throttle_1: 0.5 }, expect: { horn: silent } }",
    "- { push: horn_silence, in_order: [horn_silenced], within_s: 2 }",
    "- { wait_for: { gear: locked_up }, limit_s: 3 }",
    "- { wait_for: { event: leg_unlocked nose }, note: wait }",
    "- { after_s: 0.25, fault: { strut_left: { how: stuck, for_s: 2 } } }",
    "- { exactly: { leg_unlocked: 3 }, for_s: 4 }",
)


def plan_of(folder: Path, steps: str, more: str = "") -> ScenarioPlan:
    path = folder / "scenario.yaml"
    path.write_text(f"{HEAD}{more}steps:\n{steps}", encoding="utf-8")
    (plan,) = load_scenarios(path)
    return plan


def without_places(steps: tuple[Step, ...]) -> list[tuple[object, ...]]:
    """What the steps do and expect, without where they stand."""
    return [
        (
            step.when,
            step.actions,
            [
                [getattr(one, name) for name in type(one).__struct_fields__ if name != "spot"]
                for one in step.expectations
            ],
            step.note,
        )
        for step in steps
    ]


def indented(lines: list[str], by: int) -> str:
    return "".join(f"{' ' * by}{line}\n" for line in lines)


@given(lines=st.lists(st.sampled_from(STEPS), min_size=1, max_size=4), times=st.integers(1, 5))
def test_law_repeat_is_so_many_copies(
    lines: list[str], times: int, tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder = tmp_path_factory.mktemp("rounds")
    block = f"  - after_s: 1\n    repeat:\n      times: {times}\n      steps:\n{indented(lines, 8)}"
    repeated = plan_of(folder, block)
    copies = plan_of(folder, "  - after_s: 1\n" + indented(lines * times, 2))
    assert without_places(repeated.steps) == without_places(copies.steps)


def test_at_s_counts_from_the_beginning_of_each_round(tmp_path: Path) -> None:
    inner = "{ at_s: 1, note: a }, { at_s: 3, note: b }"
    plan = plan_of(tmp_path, f"  - {{ at_s: 5, repeat: {{ times: 2, steps: [{inner}] }} }}\n")
    found = [(step.note, step.when) for step in plan.steps[1:]]
    one_round = [("a", After(1.0)), ("b", After(2.0))]
    assert found == one_round * 2


def test_the_step_after_the_rounds_knows_how_long_they_took(tmp_path: Path) -> None:
    rounds = "  - repeat: { times: 3, steps: [{ after_s: 2 }] }\n"
    assert plan_of(tmp_path, rounds + "  - at_s: 6\n").steps[-1].note == ""
    with pytest.raises(ConfigError, match=r"begins at 5.9 s, and the step before it at 6 s"):
        plan_of(tmp_path, rounds + "  - at_s: 5.9\n")


def test_rounds_can_stand_in_rounds_and_are_bounded(tmp_path: Path) -> None:
    inner = "{ repeat: { times: 4, steps: [{ note: x }] } }"
    plan = plan_of(tmp_path, f"  - repeat: {{ times: 3, steps: [{inner}] }}\n")
    assert sum(step.note == "x" for step in plan.steps) == 12
    bomb = "{ note: x }"
    for _ in range(6):
        bomb = f"{{ repeat: {{ times: 1000, steps: [{bomb}] }} }}"
    with pytest.raises(ConfigError, match="more than 10000 steps") as caught:
        plan_of(tmp_path, f"  - {bomb}\n")
    assert len(caught.value.problems) == 1


VALUES = st.one_of(
    st.integers(0, 1), st.floats(0.0, 1.0).map(lambda x: round(x, 3)), st.just("unknown")
)


@given(lever=VALUES, flaps=st.integers(0, 40), word=st.sampled_from(["lit", "dark"]))
def test_law_values_are_the_text_replaced(
    lever: object, flaps: int, word: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder = tmp_path_factory.mktemp("include")
    values = {"lever": lever, "flaps": flaps, "word": word, "then": "{ horn: silent }"}
    steps = (
        "  - { after_s: 1, set: { throttle_1: <lever>, flap_deg: <flaps> } }\n"
        "  - { expect: { greens: <word> }, within_s: 3 }\n  - { wait_for: <then> }\n"
    )
    replaced = steps
    for name, value in values.items():
        replaced = replaced.replace(f"<{name}>", str(value))
    given_values = ", ".join(f"{name}: {value}" for name, value in values.items())
    (folder / "part.yaml").write_text(f"{HEAD}steps:\n{steps}", encoding="utf-8")
    including = plan_of(
        folder, f"  - include: {{ file: part.yaml, values: {{ {given_values} }} }}\n"
    )
    written = plan_of(folder, f"  - note: ''\n{replaced}")
    assert without_places(including.steps) == without_places(written.steps)


def test_an_error_in_a_value_is_at_the_value_and_the_rest_where_it_stands(tmp_path: Path) -> None:
    part = tmp_path / "part.yaml"
    part.write_text(
        f"{HEAD}steps:\n  - {{ set: {{ throttle_1: <lever> }}, expect: <then> }}\n", "utf-8"
    )
    values = "{ lever: 2, then: { horn: loud } }"
    with pytest.raises(ConfigError) as caught:
        plan_of(tmp_path, f"  - include: {{ file: part.yaml, values: {values} }}\n")
    places = [(Path(p.file).name, p.line, p.column) for p in caught.value.problems]
    assert places == [("scenario.yaml", 7, 50), ("scenario.yaml", 7, 67)]
    good = "{ lever: 0, then: { horn: silent } }"
    plan = plan_of(tmp_path, f"  - include: {{ file: part.yaml, values: {good} }}\n")
    (expectation,) = plan.steps[1].expectations
    assert Path(expectation.spot.file).name == "scenario.yaml"
    assert Path(plan.steps[1].spot.file).name == "part.yaml"


def test_a_case_gives_values_of_an_included_file(tmp_path: Path) -> None:
    (tmp_path / "part.yaml").write_text(
        f"{HEAD}steps:\n  - {{ set: {{ throttle_1: <lever> }} }}\n", "utf-8"
    )
    path = tmp_path / "scenario.yaml"
    path.write_text(
        f"{HEAD}steps:\n  - include: {{ file: part.yaml, values: {{ lever: <of_case> }} }}\n"
        "cases: [{ case: one, of_case: 0.1 }, { case: two, of_case: 0.2 }]\n",
        encoding="utf-8",
    )
    found = [plan.steps[1].actions for plan in load_scenarios(path)]
    assert found == [(SetValues({"throttle_1": lever}),) for lever in (0.1, 0.2)]
