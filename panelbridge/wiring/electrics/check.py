"""Everything that is electrically wrong with a panel, as problems of its file."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from panelbridge.config.panel_file import PanelFile
from panelbridge.config.yaml_positions import YamlSource
from panelbridge.errors import ConfigProblem
from panelbridge.wiring.electrics.findings.contacts import contact_findings
from panelbridge.wiring.electrics.findings.finding import Finding, FindingLevel
from panelbridge.wiring.electrics.findings.lamps import lamp_findings
from panelbridge.wiring.electrics.findings.loads import load_findings
from panelbridge.wiring.electrics.findings.sums import sum_findings
from panelbridge.wiring.electrics.wired import WiredPanel
from panelbridge.wiring.electrics.wired_panel import wired_panel


def findings(panel: WiredPanel) -> list[Finding]:
    """Everything that is electrically wrong or worth knowing, part by part, then the sums."""
    found: list[Finding] = []
    for board in panel.boards.values():
        for part in board.parts:
            if part.kind == "switch":
                found.extend(contact_findings(board, part))
            elif part.kind == "lamp":
                found.extend(lamp_findings(panel, board, part))
            else:
                found.extend(load_findings(panel, board, part))
    return [*found, *sum_findings(panel)]


def check_electrics(panel: PanelFile, source: YamlSource) -> Iterator[ConfigProblem]:
    """Errors and warnings of a panel file; ``source`` is the file in its long form."""
    for one in findings(wired_panel(panel)):
        if one.level is not FindingLevel.NOTE:
            problem = source.at_single(one.place, one.what, one.hint)
            yield replace(problem, is_warning=one.level is FindingLevel.WARNING)
