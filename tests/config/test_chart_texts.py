"""The drawings of the charts show every state and every transition, and nothing by another name."""

from __future__ import annotations

import re

import pytest

from panelbridge.cli.app import run_app
from panelbridge.config.chart_texts import charts_text
from panelbridge.errors import UsageError
from panelbridge.logic.kit.chart import states_of, transitions_of
from panelbridge.logic.systems import CHARTS


def test_the_diagrams_show_every_state_and_every_transition() -> None:
    text = charts_text()
    assert text.count("```mermaid\nstateDiagram-v2\n") == text.count("### ") == len(CHARTS)
    drawn = re.findall(r'^    state ".+" as (\w+)$', text, re.MULTILINE)
    assert sorted(drawn) == sorted(state for _, state in states_of(CHARTS))
    arrows = re.findall(r"^    (\w+) --> (\w+) : (.+)$", text, re.MULTILINE)
    assert sorted((before, name.lower(), after) for before, after, name in arrows) == sorted(
        (before, trigger.replace("_", " "), after)
        for _, before, trigger, after in transitions_of(CHARTS)
    )


def test_the_tables_have_a_row_for_every_transition() -> None:
    text = charts_text(form="table")
    rows = re.findall(r"^\| ([a-z ]+) \| ([a-z ]+) \| ([a-z ]+) \|$", text, re.MULTILINE)
    assert len(rows) == len(transitions_of(CHARTS))
    assert text.count("| State | Trigger | Next state |") == len(CHARTS)


def test_one_chart_has_its_heading_its_system_and_what_it_is_of(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert run_app(["charts", "steering", "--format", "table"]) == 0
    assert capsys.readouterr().out == (
        "### steering\n\nSteering.\n\n| State | Trigger | Next state |\n| --- | --- | --- |\n"
        "| engaged | release | off |\n| off | engage | engaged |\n"
    )
    text = charts_text("takeoff")
    assert text.startswith("### takeoff\n\nCold weather. After the take-off.\n\n```mermaid\n")
    assert text in charts_text()


@pytest.mark.parametrize(
    ("name", "form", "what", "hint"),
    [
        ("aux_pmup", "mermaid", "no chart is named 'aux_pmup'", "Did you mean 'aux_pump'?"),
        ("xyz", "mermaid", "no chart is named 'xyz'", "The charts are air_ground, aux_pump, "),
        (None, "dot", "charts cannot be drawn as 'dot'", "It can be mermaid or table"),
    ],
)
def test_a_wrong_name_is_a_user_error_with_a_hint(
    name: str | None, form: str, what: str, hint: str
) -> None:
    with pytest.raises(UsageError) as caught:
        charts_text(name, form)
    assert caught.value.what == what
    assert caught.value.hint.startswith(hint)
