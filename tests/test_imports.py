"""Imports point one way (DEVELOPERS.md, "Rooms") and no class name stands twice.

Between rooms, between the folders and files of a room, and between its single modules. One thing is
apart: the folder of a system in ``logic`` shows its ``facts.py``, ``parameters.py`` and
``consumers.py`` to the folders of other systems. So two systems may read each other's facts; only
their other modules count for circles between folders.
"""

from __future__ import annotations

import ast
import subprocess
import sys
from collections import defaultdict
from collections.abc import Iterable, Mapping
from functools import cache
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "panelbridge"
LOGIC = PACKAGE / "logic"

# What each room may import besides itself.
ALLOWED: dict[str, set[str]] = {
    "signals": set(),
    "errors": set(),
    "clock": {"errors"},
    "extras": {"errors"},
    "printing": {"errors"},
    "logic": {"signals", "clock", "errors"},
    "config": {"signals", "errors", "printing", "logic"},
    "link": {"signals", "clock", "errors", "printing", "logic", "config"},
    "feeds": {"signals", "clock", "errors", "extras", "printing", "logic", "config", "link"},
    "simboard": {"signals", "clock", "errors", "printing", "logic", "config", "link"},
    "engine": {
        *("signals", "clock", "errors", "printing", "logic", "config", "link", "feeds", "simboard"),
    },
    "bench": {
        *("signals", "clock", "errors", "printing", "logic", "config", "link", "feeds", "simboard"),
        "engine",
    },
    "wiring": {
        *("signals", "clock", "errors", "printing", "logic", "config", "link", "simboard"),
        "engine",
    },
    "watch": {
        *("signals", "clock", "errors", "printing", "link", "feeds", "engine"),
    },
    "dashboard": {
        *("signals", "clock", "errors", "printing", "config", "link", "feeds", "engine", "wiring"),
    },
    "cli": {
        *("signals", "clock", "errors", "printing", "logic", "config", "link", "feeds", "simboard"),
        *("engine", "bench", "wiring", "watch", "dashboard", "extras"),
    },
    "__main__": {"cli"},
    "__init__": set(),
}


# What the folder of a system shows to the folders of others.
SHOWN = {"facts.py", "parameters.py", "consumers.py"}
MODULES = {
    ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts).removesuffix(".__init__"): path
    for path in sorted(PACKAGE.rglob("*.py"))
}
ROOMS = sorted(path.parent.name for path in PACKAGE.glob("*/__init__.py"))


@cache
def _tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


@cache
def _imports_of(path: Path) -> frozenset[str]:
    """Every module of the package that a module imports; in functions and by ``importlib`` too."""
    found = set()
    for node in ast.walk(_tree(path)):
        match node:
            case ast.Import(names):
                found |= {alias.name for alias in names}
            case ast.ImportFrom(module, names, level):
                assert level == 0, f"{path}: relative import"
                # What is no module is a name that the package itself offers.
                inside = {f"{module}.{alias.name}" for alias in names}
                found |= {name if name in MODULES else str(module) for name in inside}
            case ast.Call(
                func=ast.Name("import_module" | "__import__") | ast.Attribute(attr="import_module"),
                args=[ast.Constant(str(module)), *_],
            ):
                found.add(module)
            case _:
                pass
    return frozenset(name for name in found if name in MODULES)


def _circle(folder: Path, imports: Mapping[Path, Iterable[Path]]) -> list[str]:
    """A circle between what stands in a folder, files and folders alike; empty when there is none.

    Args:
        folder: its children are compared; what is in a child's own folders counts as the child.
        imports: the files that each file imports.
    """
    graph: dict[str, set[str]] = {}
    for path, imported in imports.items():
        if folder in path.parents:
            child = path.relative_to(folder).parts[0]
            inside = {p.relative_to(folder).parts[0] for p in imported if folder in p.parents}
            graph.setdefault(child, set()).update(inside - {child})
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as error:
        circle: list[str] = error.args[1]
        return circle
    return []


def _circles_of(root: Path, imports: Mapping[Path, Iterable[Path]]) -> list[str]:
    """A line for each folder under a root in which there is a circle, and for one of modules.

    Args:
        root: a room.
        imports: the files that each file imports.
    """
    inside = {
        path: [one for one in imported if root in one.parents]
        for path, imported in imports.items()
        if root in path.parents
    }
    counted = {
        path: [one for one in all_ if not _shown(one, path)] for path, all_ in inside.items()
    }
    folders = {one for path in inside for one in path.parents if one == root or root in one.parents}
    circles = {folder.name: _circle(folder, counted) for folder in folders}
    try:
        TopologicalSorter(inside).prepare()
    except CycleError as error:
        circles["modules"] = [str(path.relative_to(root)) for path in error.args[1]]
    return sorted(f"{where}: {' <- '.join(circle)}" for where, circle in circles.items() if circle)


def _shown(path: Path, importer: Path) -> bool:
    """The folder of a system shows it to the importer's folder."""
    systems = (path.parent.parent, importer.parent.parent)
    return path.name in SHOWN and path.parent != importer.parent and {*systems} == {LOGIC}


def _rooms_of(path: Path) -> set[str]:
    """Rooms that a module imports, inside functions too."""
    return {name.split(".")[1] for name in _imports_of(path) if "." in name}


def test_a_module_imports_only_from_rooms_before_its_own() -> None:
    back = {}
    for name, path in MODULES.items():
        room = path.relative_to(PACKAGE).parts[0].removesuffix(".py")
        back[name] = _rooms_of(path) - ALLOWED[room] - {room}
    assert len(back) > 100
    assert not any(back.values()), {name: rooms for name, rooms in back.items() if rooms}


@pytest.mark.parametrize("room", ROOMS)
def test_a_room_has_no_circle(room: str) -> None:
    imports = {path: [MODULES[name] for name in _imports_of(path)] for path in MODULES.values()}
    circles = _circles_of(PACKAGE / room, imports)
    assert not circles, "\n".join(circles)


def test_a_circle_is_found_between_files_and_between_folders(tmp_path: Path) -> None:
    """Guard of this file."""
    a, b, inside, beside = (tmp_path / name for name in ("a.py", "b.py", "c/d.py", "c/e.py"))
    assert _circle(tmp_path, {a: [b], b: [inside], inside: [], beside: []}) == []
    assert sorted(set(_circle(tmp_path, {a: [b], b: [a]}))) == ["a.py", "b.py"]
    by_folder = {a: [inside], inside: [], beside: [a]}
    assert sorted(set(_circle(tmp_path, by_folder))) == ["a.py", "c"]
    assert _circle(tmp_path / "c", by_folder) == []


def test_systems_may_read_each_other_s_facts_and_nothing_else() -> None:
    """Guard of this file: other modules, and circles between single modules, are found."""
    one, two = (LOGIC / name / "system.py" for name in ("one", "two"))
    facts, others = (path.with_name("facts.py") for path in (one, two))
    assert _circles_of(LOGIC, {one: [others], two: [facts], facts: [], others: []}) == []
    assert _circles_of(LOGIC, {one: [two], two: [facts], facts: []}) == []
    found = _circles_of(LOGIC, {one: [two], two: [one]})
    assert [line.split(":")[0] for line in found] == ["logic", "modules"]
    found = _circles_of(LOGIC, {one: [others], others: [facts], facts: [others]})
    assert [line.split(":")[0] for line in found] == ["modules"]
    elsewhere = PACKAGE / "bench"
    one, two = (elsewhere / name / "facts.py" for name in ("one", "two"))
    beside = two.with_name("rules.py")
    assert len(_circles_of(elsewhere, {one: [two], beside: [one]})) == 1


def test_imports_are_seen_wherever_they_stand(tmp_path: Path) -> None:
    """Guard of this file: at the top, in a function, as a name of a room, by a literal text."""
    path = tmp_path / "all.py"
    path.write_text(
        "import panelbridge.clock\n"
        "def f():\n    from panelbridge import errors\n    from panelbridge.signals import Event\n"
        "    importlib.import_module('panelbridge.config.load')\n",
        encoding="utf-8",
    )
    wanted = {"clock", "errors", "signals", "config.load"}
    assert _imports_of(path) == {f"panelbridge.{name}" for name in wanted}


def test_no_class_name_stands_twice() -> None:
    places = defaultdict(list)
    for name, path in MODULES.items():
        for node in ast.walk(_tree(path)):
            if isinstance(node, ast.ClassDef):
                places[node.name].append(name)
    double = {name: where for name, where in places.items() if len(where) > 1}
    assert not double, double


def test_only_the_clock_reads_time() -> None:
    """Also where a linter's comment would let it pass."""
    readers = []
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(_tree(path)):
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
