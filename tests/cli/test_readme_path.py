"""The README's path from an empty folder to a panel, followed literally.

What stands in for the builder: ``ask`` answers yes to ``plan``, simulated boards are at the ports,
and there is no screen. Everything else is typed as it stands there.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from panelbridge.cli.app import run_app
from panelbridge.config.boards import BOARDS
from panelbridge.config.load import load_panel

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text("utf-8")
PATH = README[README.index("## From an empty folder") : README.index("### Your aircraft")]
BLOCKS = re.findall(r"^```\n(.*?)^```$", PATH, re.DOTALL | re.MULTILINE)
STEPS = ["new", "plan", "check", "run", "wiring", "ports", "bench", "bring-up", "run"]
WINDOWS, ELSEWHERE = "COM5", "/dev/ttyACM0"
STAND_INS = {
    f"--port {ELSEWHERE}": "--simulate",
    "run panel.yaml --simulate": "run panel.yaml --simulate --headless --seconds 1.5",
    "bring-up panel.yaml --simulate": "bring-up panel.yaml --simulate --headless",
}


def commands(block: str) -> Iterator[str]:
    """The command lines of a block, without what stands beside them."""
    for line in block.splitlines():
        if line.startswith(("panelbridge ", "cd ")):
            yield line.split("  ")[0]


def move_up(path: Path, block: str) -> None:
    """Write the lines of a block under their heading, and delete their names under not_fitted."""
    heading, *names = block.splitlines()
    text = path.read_text("utf-8")
    for name in names:
        text, count = re.subn(rf"^  - {name.strip(' :')}\b.*\n", "", text, flags=re.MULTILINE)
        assert count == 1
    assert text.count(f"\n{heading}\n") == 1
    text = text.replace(f"\n{heading}\n", f"\n{block}")
    path.write_text(text, "utf-8")


def test_followed_literally_every_step_works(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("panelbridge.wiring.pin_plan.command.ask", lambda _: "y")
    done = []
    for block in BLOCKS:
        if not any(commands(block)):
            move_up(Path("panel.yaml"), block)
            assert run_app(["check", "panel.yaml"]) == 2
            assert "Run 'panelbridge plan panel.yaml'" in capsys.readouterr().err
        for line in commands(block):
            if WINDOWS in line:
                assert line.replace(WINDOWS, ELSEWHERE) in [*commands(block)]
                continue
            if line.startswith("cd "):
                monkeypatch.chdir(line.removeprefix("cd "))
                continue
            typed = line
            for literal, instead in STAND_INS.items():
                typed = typed.replace(literal, instead)
            assert run_app(typed.split()[1:]) == 0, line
            assert capsys.readouterr().err == "", line
            done.append(line.split()[1])
    assert done == STEPS
    assert load_panel("panel.yaml").panel.switches.lever_horn_silence.pin in BOARDS["uno"].pins
    files = {path.name for path in Path().iterdir()}
    assert {"panel.yaml.old-1", "panel_wiring.html"} <= files
    assert any(name.startswith("panel.bring-up-") and name.endswith(".html") for name in files)
    assert run_app(["check", *(name for name in files if name.endswith(".yaml"))]) == 0


def test_check_says_what_is_shown(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    (new,) = [line for line in commands(BLOCKS[0]) if " new " in line]
    assert run_app(new.split()[1:]) == 0
    monkeypatch.chdir("my_panel")
    path = Path("panel.yaml")
    move_up(path, BLOCKS[1])
    assert run_app(["plan", "panel.yaml", "--yes"]) == 0
    (wrong,) = re.findall(r"With `(horn_silence: \w+)`:", PATH)
    text = re.sub(r"(?<= )horn_silence: \w+", wrong, path.read_text("utf-8"))
    path.write_text(text, "utf-8")
    (block,) = [block for block in BLOCKS if block.startswith("panelbridge check")]
    capsys.readouterr()
    assert run_app(["check", "panel.yaml"]) == 2
    shown = "".join(block.splitlines(keepends=True)[1:])
    assert capsys.readouterr().err == f"{shown}1 error\n"


def test_every_file_and_heading_that_it_names_is_there() -> None:
    for target in re.findall(r"\]\(([^)]+)\)|src=\"([^\"]+)\"", README):
        link = "".join(target).replace("%5B", "[").replace("%5D", "]")
        file, _, heading = link.partition("#")
        assert (ROOT / file).exists(), link
        words = heading.replace("-", " ")
        assert not heading or re.search(rf"^#+ {words}$", README, re.MULTILINE | re.IGNORECASE)
    for folder in re.findall(r"`(firmware_examples/[^`]*)`", README):
        assert (ROOT / folder).exists(), folder


def test_hands_are_warned_where_they_meet_power() -> None:
    """Each caution stands in the step that needs it."""
    words = " ".join(PATH.split())
    steps = dict(enumerate(words.split("**")[2::2], 1))
    for caution in (
        "Unplug the board and every other supply first",
        "A coil, servo, motor or bulb gets the driver and the fused supply",
        "can become hot",
        "A battery can burn a wire: fuse it",
        "Never use mains voltage",
    ):
        assert caution in steps[5]
    assert "which may reset its board" in steps[6]
    assert "Turn the horn down first" in steps[8]
    assert "keep your fingers away" in steps[8]
    everywhere = " ".join(README.split())
    assert "Local electrical codes override anything written here" in everywhere
    assert "licensed person" in everywhere
    assert "never for a real aircraft" in everywhere
