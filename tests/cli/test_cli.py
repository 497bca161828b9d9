from __future__ import annotations

import sys
from contextlib import ExitStack
from pathlib import Path

import pytest

from panelbridge import __version__
from panelbridge.cli.app import run_app
from panelbridge.cli.live import _frame_log
from panelbridge.signals import Event, Level

needs_pty = pytest.mark.skipif(sys.platform == "win32", reason="there is no pseudo-terminal")

SHIPPED = Path(__file__).parent.parent.parent / "configs"
DEMO = str(SHIPPED / "panels" / "demo_panel.yaml")
TWO = str(SHIPPED / "panels" / "two_boards.yaml")
SCENARIO = str(SHIPPED / "scenarios" / "handle_contacts_fail.yaml")


def test_help_names_every_command(capsys: pytest.CaptureFixture[str]) -> None:
    assert run_app(["--help"]) == 0
    text = capsys.readouterr().out
    for command in ("check", "schema", "charts", "run", "demo", "simboard", "ports"):
        assert command in text
    assert "simulation only" in text


@pytest.mark.parametrize(
    "command", ["check", "schema", "charts", "run", "demo", "simboard", "ports"]
)
def test_every_command_has_help(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run_app([command, "--help"]) == 0
    assert "Usage: panelbridge " + command in capsys.readouterr().out


@pytest.mark.parametrize("command", ["run", "demo"])
def test_help_says_what_a_run_writes_at_its_end(
    command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run_app([command, "--help"]) == 0
    text = " ".join(capsys.readouterr().out.replace("│", " ").split())
    for option, about in (
        ("--timeline FILE", "Write a timeline at the end: a picture (.svg) or a waveform (.vcd)"),
        ("--vcd FILE.vcd", "Write a waveform"),
        ("--signals NAME,...", "Show these signals in the timeline"),
    ):
        assert text.partition(option)[2].lstrip().startswith(about), option


def test_version(capsys: pytest.CaptureFixture[str]) -> None:
    assert run_app(["--version"]) == 0
    assert capsys.readouterr().out == f"panelbridge {__version__}\n"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["fly"], "No such command"),
        (["check"], "Missing argument"),
        (["schema", "pannel"], "panel"),
        (["charts", "gear_pover"], "Did you mean 'gear_power'?"),
        (["charts", "--format", "tble"], "Did you mean 'table'?"),
        (["run", "nowhere.yaml"], "nowhere.yaml"),
        (["run", DEMO, "--headless"], "no port for the board gear_panel"),
        (["run", TWO, "--port", "COM5"], "does not say which board"),
        (["bench", SCENARIO, "--port", "COM5", "--port", "COM6"], "two ports"),
        (["run", TWO, "--port", "gear_panel=A", "--port", "gear_panel=B"], "two ports"),
        (["run", DEMO, "--simulate", "--port", "COM5"], "exclude each other"),
        (["run", DEMO, "--simulate", "--feed", DEMO], "kind panel"),
        (["demo", "--speed", "0"], "speed"),
        (["demo", "--speed", "nan"], "speed"),
        (["demo", "--headless", "--panel", "nowhere.yaml"], "nowhere.yaml"),
        pytest.param(["simboard", "--kind", "abacus"], "abacus", marks=needs_pty),
        pytest.param(["simboard", "--fault", "gremlins=1"], "gremlins", marks=needs_pty),
    ],
    ids=lambda value: " ".join(value)[-40:] if isinstance(value, list) else None,
)
def test_a_user_error_ends_with_2_and_no_traceback(
    arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run_app(arguments) == 2
    streams = capsys.readouterr()
    assert said in streams.err
    assert "Traceback" not in streams.err


@pytest.mark.thorough
def test_every_shipped_file_checks(capsys: pytest.CaptureFixture[str]) -> None:
    files = sorted(str(path) for path in SHIPPED.rglob("*.yaml"))
    assert len(files) >= 6
    assert run_app(["check", *files]) == 0
    assert capsys.readouterr().out.count("good") == len(files)


def test_a_panel_runs_with_simulated_boards(capsys: pytest.CaptureFixture[str]) -> None:
    assert run_app(["run", TWO, "--simulate", "--headless", "--seconds", "2"]) == 0
    out = capsys.readouterr().out
    assert out.count("board_connected") == 2
    assert f"panelbridge {__version__}" in out.splitlines()[0]


def test_a_missing_port_is_reported_once_with_what_to_do(
    capsys: pytest.CaptureFixture[str],
) -> None:
    port = "/dev/there-is-no-such-port"
    assert run_app(["run", DEMO, "--port", port, "--headless", "--seconds", "1.5"]) == 1
    out = capsys.readouterr().out
    assert out.splitlines()[-1] == "never live in 1.5 s: gear_panel"
    lines = [line for line in out.splitlines() if port in line and " x " in line]
    assert len(lines) == 1
    assert "plug" in lines[0]


def test_the_file_of_frames_is_named_at_the_end(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "frames.txt"
    options = ["--simulate", "--headless", "--seconds", "0.1", "--frames", str(path)]
    run_app(["run", DEMO, *options])
    assert capsys.readouterr().out.splitlines()[-1] == f"wrote {path}: no link failed"
    with ExitStack() as stack:
        frame_log = _frame_log(path, Path(DEMO), stack)
        assert frame_log is not None
        for _ in range(2):
            frame_log.dump(Event(1.0, "board_lost", Level.FAULT, "the board is lost"), [])
    assert capsys.readouterr().out == f"wrote {path}: 2 failed links\n"
    assert path.read_text("utf-8").count("the board is lost") == 2


def test_check_takes_folders(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name in ("b.yaml", "inside/a.yml", ".hidden/c.yaml", "notes.txt"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(Path(SCENARIO).read_text("utf-8"), "utf-8")
    (tmp_path / "b.yaml").write_text("kind: nonsense\n", "utf-8")
    assert run_app(["check", str(tmp_path), DEMO]) == 2
    streams = capsys.readouterr()
    assert "b.yaml" in streams.err
    assert "a.yml" in streams.out + streams.err
    assert DEMO in streams.out
    assert "c.yaml" not in streams.out + streams.err
    assert "notes" not in streams.out + streams.err


def test_a_folder_without_files_to_check_is_an_error(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run_app(["check", str(tmp_path)]) == 2
    assert "this folder holds no YAML file" in capsys.readouterr().err


def test_the_program_alone_says_where_to_begin(capsys: pytest.CaptureFixture[str]) -> None:
    assert run_app([]) == 0
    said = capsys.readouterr().out
    places = [said.index(f"panelbridge {command} ") for command in ("demo", "check", "run")]
    assert places == sorted(places)
    assert "--help" in said


@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        ("panelbridge w", {"watch", "web", "wiring"}),
        ("panelbridge run --sim", {"--simulate"}),
        ("panelbridge run --si", {"--simulate", "--signals"}),
        ("panelbridge demo --si", {"--signals"}),
        ("panelbridge demo --t", {"--timeline"}),
        ("panelbridge run --v", {"--vcd"}),
    ],
)
def test_the_shell_completes_commands_and_options(
    typed: str,
    offered: set[str],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setenv("_PANELBRIDGE_COMPLETE", "complete_bash")
    monkeypatch.setenv("COMP_WORDS", typed)
    monkeypatch.setenv("COMP_CWORD", str(typed.count(" ")))
    assert run_app([]) == 0
    assert set(capsys.readouterr().out.split()) == offered
