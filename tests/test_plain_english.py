"""Plain English: words of a private dialect, each with what to say instead."""

from __future__ import annotations

import ast
import re
import tokenize
from collections.abc import Iterator
from io import StringIO
from pathlib import Path

import pytest

REPOSITORY = Path(__file__).parent.parent
PACKAGE = REPOSITORY / "panelbridge"
PAGES = ("README.md", "DEVELOPERS.md")
TEXT_FILES = (".py", ".md", ".json")
PLACES = [*sorted({path.relative_to(PACKAGE).parts[0] for path in PACKAGE.rglob("*.py")}), *PAGES]

BANNED = {
    r"happenings?": "event",
    r"can not": "cannot",
    r"anew": "again; rising edge",
    r"somebody|anybody|whoever": "none, any, a person",
    r"so long": "while; for that time",
    r"told|tells|telling": "reports, returns, publishes; reasons",
    r"crew": "worker pool",
    r"desks?": "reading context",
    r"calm": "unchanged",
    r"mistakes?": "error",
    r"flutters?|fluttering": "hysteresis",
    r"nothing to speak of|taken for nothing": "unchanged, none",
    r"is not to be": "may not, must not",
    r"thing to break": "fault target",
    r"stands here already": "is defined twice",
}
BANNED_WORDS = {
    re.compile(rf"\b(?:{words.replace(' ', chr(92) + 's+')})\b", re.IGNORECASE): instead
    for words, instead in BANNED.items()
}


def _texts(path: Path) -> Iterator[tuple[int, str]]:
    """Line and text of what people read in a file.

    A whole page; of a module its docstrings, comments, messages, and the names of files, classes
    and functions, word by word.
    """
    text = path.read_text(encoding="utf-8")
    if path.suffix == ".md":
        yield 1, text
        return
    yield 1, _words_of(path.stem)
    for token in tokenize.generate_tokens(StringIO(text).readline):
        if token.type == tokenize.COMMENT:
            yield token.start[0], token.string
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.lineno, node.value
        elif isinstance(node, ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef):
            yield node.lineno, _words_of(node.name)


def _words_of(name: str) -> str:
    return re.sub(r"(?<=[a-z])(?=[A-Z])", " ", name).replace("_", " ")


def _banned_in(path: Path) -> list[tuple[int, str, str]]:
    """Line, word and what to say instead, from the top of the file."""
    return sorted(
        (line + text.count("\n", 0, found.start()), " ".join(found.group().split()), instead)
        for line, text in _texts(path)
        for words, instead in BANNED_WORDS.items()
        for found in words.finditer(text)
    )


@pytest.mark.parametrize("place", PLACES)
def test_a_place_is_written_in_plain_english(place: str) -> None:
    root = REPOSITORY / place if place in PAGES else PACKAGE / place
    found = [
        f"{path.relative_to(REPOSITORY)}:{line}: {word!r}, say {instead}"
        for path in ([root] if root.is_file() else sorted(root.rglob("*.py")))
        for line, word, instead in _banned_in(path)
    ]
    assert not found, "\n".join(found)


# A number of a document: capital letters, a hyphen or space, digits.
DOCUMENT = re.compile(r"\b([A-Z]+(?:-[A-Z]+)*)[- ]\d[\w.()-]*|\bUS (?:Army|Navy|Air Force)\b")
NO_MANUALS = {"CFR", "CS", "AC", "MIL-STD", "FAA-H", "WCAG", "UTF", "FILE", "LIT"}
"""Rules, standards and handbooks, and words of our own."""


def _shown_texts(path: Path) -> Iterator[str]:
    """What a user can read of a file: a page, or the texts of a module but for its docstrings.

    Docstrings of parameters are read in the pages that are made from them.
    """
    text = path.read_text(encoding="utf-8")
    if path.suffix != ".py":
        yield text
        return
    nodes = [*ast.walk(ast.parse(text))]
    unread = {node.value for node in nodes if isinstance(node, ast.Expr)}
    for node in nodes:
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and node not in unread:
            yield node.value


def _manuals_in(path: Path) -> list[str]:
    return [
        found.group()
        for text in _shown_texts(path)
        for found in DOCUMENT.finditer(text)
        if found[1] not in NO_MANUALS
    ]


@pytest.mark.parametrize("place", ["panelbridge", "configs/schemas"])
def test_no_number_of_an_aircrafts_manual_is_shown(place: str) -> None:
    """Schemas, key references, rules, events and labels; sources stand in comments beside them."""
    files = [path for path in (REPOSITORY / place).rglob("*") if path.suffix in TEXT_FILES]
    found = [
        f"{path.relative_to(REPOSITORY)}: {one}" for path in files for one in _manuals_in(path)
    ]
    assert len(files) >= 8
    assert not found, "\n".join(sorted(found))


def test_a_manual_is_found_in_what_is_shown_and_may_stand_in_a_comment(tmp_path: Path) -> None:
    """Guard of this file."""
    module, page = tmp_path / "module.py", tmp_path / "page.md"
    module.write_text(
        '"""From XM 1-2345-678-90."""\nRULE = "lit, XM 1-2345-678-90"  # XM 1-2345-678-90\n'
        'EVENT = f"{RULE}: US Navy"\nOTHER = "14 CFR 25.729(e)"\n'
    )
    page.write_text("| `rest_s` | MIL-STD-1472E asks for 0.5, X-307 for 1. |\n")
    assert _manuals_in(module) == ["XM 1-2345-678-90", "US Navy"]
    assert _manuals_in(page) == ["X-307"]


def test_a_word_is_found_wherever_people_read_it(tmp_path: Path) -> None:
    """Guard of this file: a docstring, a comment, a message over two lines, a name, a page."""
    module, page = tmp_path / "crew_work.py", tmp_path / "page.md"
    module.write_text(
        '"""A file\n\nTold as it was."""\n'
        "class Desk:  # seen anew\n"
        "    def pressed_anew(self) -> str:\n"
        "        return 'it can '\\\n"
        "            f'not {self} be'\n",
        encoding="utf-8",
    )
    page.write_text("Fine.\n\nThis file can\nnot be read.\n", encoding="utf-8")
    assert [(line, word) for line, word, _ in _banned_in(module)] == [
        *((1, "crew"), (3, "Told"), (4, "Desk"), (4, "anew"), (5, "anew"), (6, "can not")),
    ]
    assert [(line, word) for line, word, _ in _banned_in(page)] == [(3, "can not")]
