"""Panel files for electrical checks, made from a few lines and without an aircraft."""

from __future__ import annotations

from collections.abc import Mapping

from panelbridge.config.model_problems import json_text
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.panel_short_forms import in_long_form
from panelbridge.config.yaml_positions import YamlSource
from panelbridge.errors import ConfigProblem
from panelbridge.wiring.electrics import WiredPanel, wired_panel
from panelbridge.wiring.electrics.budget import BudgetLine, budget
from panelbridge.wiring.electrics.check import check_electrics, findings
from panelbridge.wiring.electrics.findings.finding import Finding
from tests.config.texts import parse_yaml

HEAD = "kind: panel\nformat: 2\nname: Test\naircraft: a.yaml\n"


def read(text: str) -> tuple[PanelFile, YamlSource]:
    """A panel file of these lines, and its text in the long form."""
    source = in_long_form(parse_yaml(HEAD + text, "panel.yaml"))
    return PanelFile.model_validate_json(json_text(source.value)), source


def wired(text: str) -> WiredPanel:
    """What these lines wire."""
    return wired_panel(read(text)[0])


def problems(text: str) -> list[ConfigProblem]:
    """What ``check`` says of the currents."""
    return list(check_electrics(*read(text)))


def found(text: str) -> list[Finding]:
    """Everything that is electrically wrong or worth knowing."""
    return findings(wired(text))


def line(text: str, subject: str) -> BudgetLine:
    """The one sum of the budget whose subject begins with ``subject``."""
    (one,) = (one for one in budget(wired(text)) if one.subject.startswith(subject))
    return one


def lamps(pins: Mapping[str, float], more: str = "") -> str:
    """Lamps that take exactly these currents, mA, from their pins: the model's bulbs."""
    entries = "".join(
        f"  one_{number}_red: {{ pin: {pin}, light: bulb, current_ma: {ma}{more} }}\n"
        for number, (pin, ma) in enumerate(pins.items())
    )
    return f"lamps:\n{entries}"


def board(kind: str, more: str = "") -> str:
    """A board named main."""
    return f"boards:\n  main: {{ board: {kind}{more} }}\n"
