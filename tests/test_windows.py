"""The package runs where POSIX terminals do not exist (Windows).

The modules are masked in a process of its own. pyserial picks its own back end by ``os.name`` and
would load its POSIX one here, so that one is replaced by an empty stand-in: no native port exists
in the process, only URLs, as the simulated board uses them.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

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
    screens = {"panelbridge.cli.screen"}
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
