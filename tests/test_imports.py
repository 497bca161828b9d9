"""Imports point one way (DEVELOPERS.md, "Rooms"); logic is free of ports, files and screens."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "panelbridge"

# What each room may import besides itself.
ALLOWED: dict[str, set[str]] = {
    "signals": set(),
    "errors": set(),
    "clock": {"errors"},
    "logic": {"signals", "clock", "errors"},
    "config": {"signals", "errors", "logic"},
    "link": {"signals", "clock", "errors", "logic", "config"},
    "feeds": {"signals", "clock", "errors", "logic", "config"},
    "simboard": {"signals", "clock", "errors", "logic", "config", "link"},
    "engine": {"signals", "clock", "errors", "logic", "config", "link", "feeds", "simboard"},
    "bench": {
        *("signals", "clock", "errors", "logic", "config", "link", "feeds", "simboard", "engine"),
    },
    "dashboard": {"signals", "errors", "config", "link", "engine"},
    "cli": {
        *("signals", "clock", "errors", "logic", "config", "link", "feeds", "simboard"),
        *("engine", "bench", "dashboard"),
    },
    "__main__": {"cli"},
    "__init__": set(),
}


def _rooms_of(path: Path) -> set[str]:
    """Rooms that a module imports, inside functions too."""
    rooms = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            names = [node.module or ""]
            if node.module == "panelbridge":
                names = [f"panelbridge.{alias.name}" for alias in node.names]
        else:
            continue
        rooms |= {n.split(".")[1] for n in names if n.startswith("panelbridge.")}
    return rooms - {"__version__"}


@pytest.mark.parametrize(
    "path", sorted(PACKAGE.rglob("*.py")), ids=lambda p: str(p.relative_to(PACKAGE))
)
def test_a_module_imports_only_from_rooms_before_its_own(path: Path) -> None:
    room = path.relative_to(PACKAGE).parts[0].removesuffix(".py")
    back = _rooms_of(path) - ALLOWED[room] - {room}
    assert not back, f"{path.relative_to(PACKAGE)} imports {back}"


def test_only_the_clock_reads_time() -> None:
    """Also where a linter's comment would let it pass."""
    readers = []
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = []
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            if {"time", "datetime", "timeit"} & set(names):
                readers.append(path.name)
    assert readers == ["clock.py"]


def test_the_logic_pulls_in_no_screen_no_port_and_no_yaml() -> None:
    code = (
        "import sys, panelbridge.logic.panel_logic\n"
        "print(sorted({'textual', 'serial', 'yaml', 'socket', 'subprocess'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = done.stdout.strip()
    assert "textual" not in loaded
    assert "serial" not in loaded
    assert "yaml" not in loaded
