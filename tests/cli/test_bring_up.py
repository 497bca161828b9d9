"""The command bring-up without a screen: options, exit codes, and files that it makes."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelbridge.cli.app import run_app
from panelbridge.config.load import check_file
from tests.wiring.bring_up.robot import copy_of


def test_a_panel_with_faults_is_proven_corrected_and_reported(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = copy_of("first_lamp.yaml", tmp_path)
    before = path.read_text("utf-8")
    copy_of("first_lamp.yaml", tmp_path / "wired")
    wired = tmp_path / "wired" / "panels" / "first_lamp.yaml"
    command = ["bring-up", str(path), "--simulate", "--headless", "--wired-as", str(wired)]
    command += ["--fault", "exchanged=nose_green/left_green"]
    assert run_app(command) == 0
    output = capsys.readouterr().out
    assert "lights left leg locked down green" in output
    assert "7 of 7 parts do what the panel file says" in output
    (report,) = path.parent.glob("*.html")
    assert f"wrote {report}" in output
    assert path.with_name("first_lamp.yaml.old-1").read_text("utf-8") == before
    check_file(path)
    assert run_app(command) == 0
    assert len([*path.parent.glob("*.html")]) == 2
    assert not [*path.parent.glob("*.old-2")]  # the second time there was nothing to write


def test_what_is_left_open_gives_exit_code_1(tmp_path: Path) -> None:
    path = copy_of("first_lamp.yaml", tmp_path)
    command = ["bring-up", str(path), "--simulate", "--headless", "--fault", "dead=nose_green"]
    report = tmp_path / "r.html"
    assert run_app([*command, "--report", str(report)]) == 1
    assert "lights no lamp" in report.read_text("utf-8")
    assert run_app([*command, "--report", str(report)]) == 2
    assert run_app([*command, "--only", "left_green"]) == 0


def test_progress_of_a_simulated_user_is_kept_when_it_is_asked_for(tmp_path: Path) -> None:
    path, progress = copy_of("first_lamp.yaml", tmp_path), tmp_path / "p.json"
    command = ["bring-up", str(path), "--simulate", "--headless"]
    assert run_app([*command, "--progress", str(progress), "--only", "lamp_test"]) == 2
    assert run_app([*command, "--progress", str(progress), "--only", "horn"]) == 0
    assert '"horn:horn"' in progress.read_text("utf-8")
    assert run_app([*command]) == 0
    assert not [*path.parent.glob("*.json")]


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--headless"], "--headless needs --simulate"),
        (["--fault", "dead=nose_green"], "--fault needs --simulate"),
        (["--wired-as", "x.yaml"], "--wired-as needs --simulate"),
        (["--simulate", "--port", "COM5"], "--simulate and --port exclude each other"),
        (["--simulate", "--headless", "--only", "nose"], "no part 'nose'"),
        (["--simulate", "--headless", "--fault", "x=y"], "no wiring fault is named 'x'"),
        (["--simulate"], "there is no terminal for the screen"),
        (["--port", "COM5"], "there is no terminal for the screen"),
    ],
)
def test_errors_of_options(
    options: list[str], words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = copy_of("first_lamp.yaml", tmp_path)
    assert run_app(["bring-up", str(path), *options]) == 2
    error = capsys.readouterr().err
    assert words in error
    assert "Traceback" not in error
