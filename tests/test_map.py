"""DEVELOPERS.md: the tree of the package is the tree, and every file it names is there."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parent.parent
TEXT = (ROOT / "DEVELOPERS.md").read_text("utf-8")
_NAME = re.compile(r"[\w.]+/?(?=\s|$)")


def drawn() -> Iterator[str]:
    """Every folder and file of the package that the tree draws."""
    tree = TEXT.split("## Rooms")[1].split("```")[1]
    above = ["panelbridge/"]
    for line in tree.partition("panelbridge/\n")[2].split("\nconfigs/")[0].splitlines():
        depth = (len(line) - len(line.lstrip())) // 2
        if depth > len(above):  # the rest of a text
            continue
        names = line.split("    ")[0] if depth == 0 else line.strip().partition("    ")[0]
        for name in names.split():
            if not _NAME.fullmatch(name) or not name.endswith(("/", ".py")):
                break
            above[depth:] = [name]
            yield "".join(above)


def test_the_tree_is_the_tree() -> None:
    package = ROOT / "panelbridge"
    folders = {f"{p.parent.relative_to(ROOT).as_posix()}/" for p in package.rglob("__init__.py")}
    files = {f"panelbridge/{p.name}" for p in package.glob("*.py") if not p.name.startswith("_")}
    assert set(drawn()) == (folders - {"panelbridge/"}) | files


def test_every_path_that_it_names_exists() -> None:
    named = set(re.findall(r"`((?:\w+/)+[\w.]*)`", TEXT))
    named = {name for name in named if "NAME" not in name}
    assert len(named) > 30
    sketch = ROOT / "firmware_examples/panelbridge_board"
    places = (ROOT, ROOT / "panelbridge", sketch)
    missing = {name for name in named if not any((place / name).exists() for place in places)}
    assert not missing
