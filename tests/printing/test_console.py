"""Nobody reads what the bench prints any more: files and the exit code count all the same."""

from __future__ import annotations

import io
import os
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from panelbridge.cli.app import run_app
from panelbridge.config.shipped import shipped_config
from panelbridge.printing import say
from tests.bench.stub_bench import write

_PROGRAM = """
import sys
from pathlib import Path
from panelbridge.bench.command import bench_command
from tests.bench import stub_bench

folder, *more = sys.argv[1:]
options = {}
if more:
    options = {"junit": Path(folder, "out.xml"), more[0]: [Path(folder, "out.svg")]}
if __name__ == "__main__":
    sys.exit(
        bench_command([folder], load=stub_bench.load, run=stub_bench.run, **options)
    )
"""


def _unread(folder: Path, *arguments: str, errors_too: bool = False) -> tuple[int, str]:
    """Run the bench into a pipe whose reader has gone; its exit code and its errors."""
    program = folder / "program.py"
    program.write_text(_PROGRAM, "utf-8")
    reader, writer = os.pipe()
    os.close(reader)
    try:
        ended = subprocess.run(
            [sys.executable, str(program), str(folder), *arguments],
            stdout=writer,
            stderr=writer if errors_too else subprocess.PIPE,
            env=_surroundings(),
            text=True,
            timeout=120,
            check=False,
        )
    finally:
        os.close(writer)
    return ended.returncode, ended.stderr or ""


def _surroundings() -> dict[str, str]:
    """As a user has them: output that is buffered fails once more at the very end."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONUNBUFFERED"}
    return {**kept, "PYTHONPATH": str(Path(__file__).parents[2])}


def _passing(folder: Path, count: int) -> None:
    for number in range(count):
        write(folder, f"{number}.yaml", "case: one passes")


def test_files_are_written_whole_and_a_failure_stays_one(tmp_path: Path) -> None:
    _passing(tmp_path, 3)
    write(tmp_path, "z.yaml", "case: last fails")
    assert _unread(tmp_path, "timelines") == (1, "")
    assert [path.name for path in sorted(tmp_path.glob("*.svg"))] == [
        "out-2.svg",
        "out-3.svg",
        "out-4.svg",
        "out.svg",
    ]
    suite = ET.parse(tmp_path / "out.xml").getroot()
    assert (suite.get("tests"), suite.get("failures")) == ("4", "1")


def test_what_passed_has_passed(tmp_path: Path) -> None:
    _passing(tmp_path, 3)
    assert _unread(tmp_path) == (0, "")


def test_an_error_stays_one_when_its_words_are_not_read(tmp_path: Path) -> None:
    write(tmp_path, "a.yaml", "error: no lamp 'x'")
    assert _unread(tmp_path, errors_too=True) == (2, "")


class _Full(io.StringIO):
    def write(self, text: str) -> int:
        raise OSError(28, "No space left on device")


def test_a_full_disk_is_said_once_on_stderr(capsys: pytest.CaptureFixture[str]) -> None:
    say("words", _Full())
    said = "panelbridge: the output is lost, it cannot be written: No space left on device\n"
    assert capsys.readouterr() == ("", said)


class _Gone(io.StringIO):
    """As Windows reports of a closed pipe; a stream of no file."""

    def write(self, text: str) -> int:
        raise OSError(22, "Invalid argument")


def test_a_stream_without_a_file_falls_silent_too() -> None:
    gone = _Gone()
    say("words", gone)
    say("more", gone)


def test_what_a_console_cannot_show_becomes_a_question_mark_unless_it_has_a_way() -> None:
    shown = {}
    for errors in ("strict", "backslashreplace"):
        raw = io.BytesIO()
        stream = io.TextIOWrapper(raw, encoding="ascii", errors=errors, newline="\n")
        say("a Ж b", stream)
        shown[errors] = raw.getvalue()
    assert shown == {"strict": b"a ? b\n", "backslashreplace": b"a \\u0416 b\n"}


@pytest.mark.parametrize(
    ("command", "code"),
    [(["check", str(shipped_config("panels/first_lamp.yaml"))], 0), (["schema", "panel"], 1)],
)
def test_a_full_disk_ends_no_command_with_a_traceback(
    command: list[str],
    code: int,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """A text that is lost is a failure where the text is all that was asked for."""
    monkeypatch.setattr("sys.stdout", _Full())
    assert run_app(command) == code
    assert "the output is lost" in capsys.readouterr().err


@pytest.mark.thorough
def test_scenarios_run_in_one_process() -> None:
    """A pool would leave its workers behind when this process is killed."""
    code = (
        "import sys\n"
        "from panelbridge.bench.command import bench_command\n"
        "code = bench_command(['configs/scenarios/examples'])\n"
        "assert code == 0 and 'multiprocessing' not in sys.modules, code\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        cwd=Path(__file__).parents[2],
        check=False,
    )
    assert done.returncode == 0, done.stderr
