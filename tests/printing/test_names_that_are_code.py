"""Names from files that are control functions of a terminal: no printed line holds one."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from panelbridge.cli.app import run_app
from panelbridge.config.shipped import shipped_config

EVIL = '"' + r"\e[2J\e]0;title\a\u009b31m\u202e" + '"'
"""As a double-quoted scalar of YAML writes it."""
UNSEEN = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202e]")
SCENARIO = f"""kind: scenario
format: 2
name: {EVIL}
aircraft: aircraft.yaml
steps:
- at_s: 0
  expect: {{ nose_green: dark }}
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A panel, its aircraft, its feed and a scenario, all with such names."""
    renamed = {
        "aircraft/first_steps.yaml": "aircraft.yaml",
        "panels/first_lamp.yaml": "panel.yaml",
        "feeds/parked.yaml": "feed.yaml",
    }
    for shipped, name in renamed.items():
        text = shipped_config(shipped).read_text("utf-8")
        text = re.sub(r"^name:.*$", lambda _: f"name: {EVIL}", text, flags=re.M)
        text = re.sub(r"^aircraft:.*$", "aircraft: aircraft.yaml", text, flags=re.M)
        text = re.sub(r"^feed:.*$", "feed: feed.yaml", text, flags=re.M)
        (tmp_path / name).write_text(text, "utf-8")
    (tmp_path / "scenario.yaml").write_text(SCENARIO, "utf-8")
    return tmp_path


@pytest.mark.parametrize(
    ("command", "code"),
    [
        (["check", "panel.yaml", "aircraft.yaml", "feed.yaml", "scenario.yaml"], 0),
        (["names", "panel.yaml"], 0),
        (["bench", "scenario.yaml"], 1),
        (
            [
                "run",
                "panel.yaml",
                "--feed",
                "feed.yaml",
                "--simulate",
                "--headless",
                "--seconds",
                "1",
            ],
            0,
        ),
        (
            [
                "run",
                "panel.yaml",
                "--port",
                "no\x1b[31m\x9b1mport",
                "--headless",
                "--seconds",
                "0.5",
            ],
            1,  # the board never came
        ),
        (["check", "no\x1b[31mfile.yaml"], 2),
        (["bench", "no\x1b[31mfile.yaml"], 2),
    ],
)
def test_no_printed_line_has_a_control_character(
    folder: Path,
    command: list[str],
    code: int,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(folder)
    assert run_app(command) == code
    printed = "".join(capsys.readouterr())
    assert "title" in printed or "31m" in printed or command[0] in ("check", "names")
    assert UNSEEN.search(printed) is None
