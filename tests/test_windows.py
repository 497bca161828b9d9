"""The package runs where POSIX terminals do not exist (Windows).

The modules are masked in a process of its own. pyserial picks its own back end by ``os.name`` and
would load its POSIX one here, so that one is replaced by an empty stand-in: no native port exists
in the process, only URLs, as the simulated board uses them.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from panelbridge.bench.scenario_search import find_scenarios
from panelbridge.cli.app import run_app
from panelbridge.config.load import load_panel
from panelbridge.link.ports import board_urls

REPOSITORY = Path(__file__).parent.parent

MASK = """
import sys, types
for name in ("termios", "fcntl", "pty", "tty", "posix_openpt", "resource", "grp", "pwd"):
    sys.modules[name] = None
from importlib.machinery import ModuleSpec
import importlib.util
spec = importlib.util.find_spec("serial")
# The stand-in for pyserial's POSIX back end must be there before pyserial picks it.
back_end = types.ModuleType("serial.serialposix")
class Serial:
    def __init__(self, *a, **k):
        raise OSError("no native ports in this process")
back_end.Serial = back_end.PosixPollSerial = back_end.VTIMESerial = Serial
sys.modules["serial.serialposix"] = back_end
"""


def _run(code: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", MASK + code],
        capture_output=True,
        text=True,
        cwd=REPOSITORY,
        check=False,
    )


def test_the_mask_works() -> None:
    """Guard of this file: a POSIX-only import must fail in the masked process."""
    done = _run("import termios")
    assert done.returncode != 0
    assert "ModuleNotFoundError" in done.stderr


def test_every_module_but_the_screen_imports() -> None:
    """The screen's library chooses a driver for its system by itself and imports termios here."""
    screens = {"panelbridge.cli.screen", "panelbridge.cli.viewer_screen"}
    modules = [
        ".".join(path.relative_to(REPOSITORY).with_suffix("").parts).removesuffix(".__init__")
        for path in sorted((REPOSITORY / "panelbridge").rglob("*.py"))
        if path.name != "__main__.py" and "dashboard" not in path.parts
    ]
    wanted = [name for name in modules if name not in screens]
    assert len(wanted) > 30
    done = _run(f"import importlib\nfor name in {wanted!r}:\n    importlib.import_module(name)")
    assert done.returncode == 0, done.stderr


def test_files_are_checked() -> None:
    done = _run(
        "from panelbridge.cli import main\n"
        "main(['check', 'configs/panels/demo_panel.yaml', 'configs/aircraft/twin_jet.yaml'])"
    )
    assert done.returncode == 0, done.stderr


@pytest.mark.thorough
def test_the_demonstration_flies_to_its_end() -> None:
    done = _run(
        "from panelbridge.cli import main\nmain(['demo', '--headless', '--speed', '10000'])"
    )
    assert done.returncode == 0, done.stderr
    assert "gear_locked_up" in done.stdout
    assert "feed_finished" in done.stdout


def test_a_pty_is_refused_with_what_to_use_instead() -> None:
    done = _run("from panelbridge.cli import main\nmain(['simboard', '--kind', 'uno'])")
    assert done.returncode == 2, done.stderr
    assert "Traceback" not in done.stderr
    assert "demo" in done.stderr


# -- consoles: code pages of Windows in place of UTF-8 ---------------------------------------------

NAME = "Übung → Ω ✈"
SCENARIO = f"""kind: scenario
format: 2
name: "{NAME}"
aircraft: {(REPOSITORY / "configs/aircraft/first_steps.yaml").as_posix()}
steps:
  - {{ at_s: 1, note: "{NAME}", expect: {{ gear: locked_up }} }}
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A panel and a scenario with a name that few code pages can show."""
    text = (REPOSITORY / "configs/panels/first_lamp.yaml").read_text("utf-8")
    text = text.replace("../", (REPOSITORY / "configs").as_posix() + "/")
    lines = [f'name: "{NAME}"' if n.startswith("name:") else n for n in text.splitlines()]
    (tmp_path / "Mein Übungs-panel.yaml").write_text("\n".join(lines), "utf-8")
    (tmp_path / "scenario.yaml").write_text(SCENARIO, "utf-8")
    return tmp_path


CHECK = (0, ["check", "Mein Übungs-panel.yaml", "scenario.yaml"])
CHECK_OF_NOTHING = (2, ["check", "Übung.yaml"])
BENCH = (1, ["bench", "scenario.yaml"])
RUN = (0, ["run", "Mein Übungs-panel.yaml", "--simulate", "--headless", "--seconds", "1"])


@pytest.mark.parametrize(
    ("encoding", "code", "arguments"),
    [
        *[("cp1252", *command) for command in (CHECK, CHECK_OF_NOTHING, BENCH, RUN)],
        # Every command and every code page: all of them print through the same lines.
        *[
            pytest.param(encoding, *command, marks=pytest.mark.thorough)
            for encoding, command in (
                *(("cp437", CHECK), ("cp850", BENCH)),
                *(("ascii", CHECK_OF_NOTHING), ("ascii", RUN)),
            )
        ],
    ],
    ids=lambda value: value[0] if isinstance(value, list) else None,
)
def test_a_console_that_cannot_show_a_character(
    encoding: str, code: int, arguments: list[str], folder: Path
) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "panelbridge", *arguments],
        capture_output=True,
        cwd=folder,
        env={**os.environ, "PYTHONIOENCODING": encoding, "PYTHONPATH": str(REPOSITORY)},
        check=False,
    )
    assert done.returncode == code, done.stderr
    assert b"Error" not in done.stderr
    said = (done.stdout + done.stderr).decode(encoding)
    assert "bung" in said


# -- files -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("command", ["check", "bench"])
def test_a_pattern_that_no_shell_has_expanded(
    command: str, folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(folder)
    for name in ("b.yaml", "a.yaml", "[1].yml"):
        (folder / name).write_text(SCENARIO.replace("locked_up", "locked_down"), "utf-8")
    assert run_app([command, "?.yaml", "[1].yml"]) == 0
    assert run_app([command, "*.toml"]) == 2
    assert "*.toml: no file fits this pattern" in capsys.readouterr().err
    assert [path.name for path in find_scenarios(["?.yaml"])] == ["a.yaml", "b.yaml"]


@pytest.mark.parametrize("data", [b"\xef\xbb\xbf%s", b"%s"], ids=["BOM", "no BOM"])
def test_files_of_windows_editors(data: bytes, folder: Path) -> None:
    """A byte order mark and CR LF; a name with spaces, an umlaut and backslashes before it."""
    panel = folder / "Mein Übungs-panel.yaml"
    aircraft = folder / "Meine Flugzeuge" / "erstes ü.yaml"
    aircraft.parent.mkdir()
    shipped = (REPOSITORY / "configs/aircraft/first_steps.yaml").read_bytes()
    aircraft.write_bytes(data % shipped.replace(b"\n", b"\r\n"))
    lines = panel.read_text("utf-8").splitlines()
    named = "aircraft: Meine Flugzeuge\\erstes ü.yaml"
    lines = [named if line.startswith("aircraft:") else line for line in lines]
    panel.write_bytes(data % "\r\n".join(lines).encode())
    assert load_panel(panel).aircraft_path == aircraft


# -- the console's window --------------------------------------------------------------------------

CLOSED = """
import ctypes, threading
from panelbridge.cli.terminal import stopped_by_signals

stopped = threading.Event()
with stopped_by_signals(stopped.set):
    routine, closed = ctypes.WinDLL("kernelbase").CtrlRoutine, ctypes.c_void_p(2)
    handlers = threading.Thread(target=routine, args=(closed,), daemon=True)
    handlers.start()
    while not stopped.wait(0.1):
        pass
print("stopped, and Windows waits:", handlers.is_alive())
"""


@pytest.mark.skipif(sys.platform != "win32", reason="elsewhere it is SIGHUP")
def test_a_window_that_is_closed_stops_a_run_and_waits_for_its_end() -> None:
    """Windows calls the handlers in a thread, and ends the process when they return."""
    done = subprocess.run(
        [sys.executable, "-c", CLOSED], capture_output=True, text=True, cwd=REPOSITORY, check=False
    )
    assert (done.returncode, done.stdout) == (0, "stopped, and Windows waits: True\n"), done.stderr


# -- ports -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("port", ["COM5", "COM10", "com10", r"\\.\COM10"])
def test_names_of_ports_reach_the_library_as_they_are(port: str) -> None:
    """It opens COM10 and up by their full names, and takes those too."""
    panel = load_panel(REPOSITORY / "configs/panels/first_lamp.yaml").panel
    (board,) = panel.boards
    assert board_urls(panel, [port]) == {board: port}
    assert board_urls(panel, [f"{board}={port}"]) == {board: port}
