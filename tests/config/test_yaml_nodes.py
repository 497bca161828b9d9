"""The scanner in C finds what the one in Python finds, or leaves the text to it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from panelbridge.config import yaml_nodes, yaml_reader
from panelbridge.config.yaml_nodes import MAX_DEPTH, nodes_in_c
from panelbridge.config.yaml_source import scan_text
from panelbridge.config.yaml_text import decode
from tests.examples import examples

ROOT = Path(__file__).parents[2]
SHIPPED = sorted((ROOT / "configs").rglob("*.yaml"))
WRITTEN = [*SHIPPED, *sorted((ROOT / "tests").rglob("*.yaml"))]
needs_c = pytest.mark.skipif(not yaml.__with_libyaml__, reason="PyYAML without its parser in C")

GOOD = {
    "words": "a: é☃😀 b\n😀: 'ü'\nb: \"\\u00e9\\x41\\\n  c\"\n",
    "line ends": "a: 1\r\nb:\r\n  - c\r\n  -   d\r\n",
    "old line ends": "a: 1\rb: [2,\r3]\r",
    "anchors": "a: &x {b: 1}\nc: *x\nd: &y\n  - e\nf: *y\ng: &z h\n",
    "block texts": "a: |\n  b\n   c\nd: >-\n  e\n  f\n\ng: |2+\n   h\n\n",
    "comments": "# a\n\na: 1 # b\n#c\nb: # d\n  - e#f\n",
    "lists under keys": "a:\n- b\n-  - c\n   - d: e\n     f: g\n- {h: [i, {j: k}]}\n",
    "flow over lines": "a: [1,\n  {b: 2,\n c: '3\n 4'}]\nd: {e: f:g, h: http://i:1/}\n",
    "document marks": "%YAML 1.1\n---\na: b\n...\n",
    "as deep as may be": "a: " + "[" * (MAX_DEPTH - 1) + "b" + "]" * (MAX_DEPTH - 1) + "\n",
    "plain over lines": "a: b\n  c\n\n  d\ne: f\n",
    "no end of line": "a: b",
}
ODD = {
    "tabs": "a:\t1\nb: 2\n",
    "tab in a list": "a: [1,\t2]\n",
    "question mark": "a: {b?c: d}\n",
    "long key": "? a\n: b\n",
    "comment at a block text": "a: |#c\n  d\n",
    "empty in braces": "a: {b: , c:   }\n",
    "empty": "a:\nb: [c, ]\n",
    "nothing": "",
    "comments alone": "# a\n",
    "too deep": "a: " + "[" * 50_000,
    "too deep in a block": "- " * 50_000,
    "two of a name": "a: 1\na: 2\n",
    "tag": "a: !!int 1\n",
    "invisible": "a: b\xa0c\n",
    "circle": "a: &x [*x]\n",
    "unknown alias": "a: *x\n",
    "two documents": "a: 1\n---\nb: 2\n",
    "no character": 'a: "\\ud800"\n',
    "too large a character": 'a: "\\UFFFFFFFF"\n',
    "surrogate": "a: \ud800\n",
    "digits": f"a: {'1' * 30}\n",
    "version": "%YAML 9.9\n---\na: 1\n",
}


def in_both(text: str) -> None:
    """Hold what is read with the scanner in C against what is read without it."""
    found = scan_text(text, "f")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(yaml_nodes, "CNodes", None)
        assert scan_text(text, "f") == found


@needs_c
@pytest.mark.parametrize("path", WRITTEN, ids=lambda path: str(path.relative_to(ROOT)))
@pytest.mark.thorough
def test_both_find_the_same_in_every_file(path: Path) -> None:
    text = decode(path.read_bytes(), "f")
    if isinstance(text, str):
        in_both(text)


@needs_c
@pytest.mark.parametrize("text", [*GOOD.values(), *ODD.values()], ids=[*GOOD, *ODD])
def test_both_find_the_same_in_odd_texts(text: str) -> None:
    in_both(text)


@needs_c
def test_texts_without_errors_are_read_in_c(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(yaml_reader, "PythonNodes", None)
    for text in GOOD.values():
        assert scan_text(text, "f")[1] == []
    read = [nodes_in_c(path.read_text("utf-8")) is not None for path in SHIPPED]
    assert sum(read) > 0.9 * len(read)


def test_an_installation_without_the_scanner_in_c() -> None:
    program = (
        "import sys; sys.modules['yaml._yaml'] = None\n"
        "from panelbridge.config import yaml_nodes, yaml_source\n"
        "assert yaml_nodes.CNodes is None\n"
        "print(yaml_source.scan_text('a: 1', 'f')[0].value)"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], check=False, capture_output=True, text=True
    )
    assert (done.stdout, done.stderr) == ("{'a': 1}\n", "")


MARKS = ["- ", ": ", "&a ", "*a ", "''", "|#", ">-\n", "|\n ", "<<: ", "---\n", "...\n", "\r\n"]
BITS = st.sampled_from(
    [*":- \n\tabé😀1~'\"[]{},#!%@`\\|>?&*", *MARKS, "\\x41", "http://a:1", "a: b\n", "{a: }"]
)


@needs_c
@settings(max_examples=examples(500))
@given(st.lists(BITS, max_size=14).map("".join))
def test_law_both_find_the_same(text: str) -> None:
    in_both(text)


@needs_c
@settings(max_examples=examples(150))
@given(st.data())
def test_law_both_find_the_same_in_a_shipped_file_that_was_changed(data: st.DataObject) -> None:
    text = data.draw(st.sampled_from(SHIPPED)).read_text("utf-8")
    place = data.draw(st.integers(0, len(text)))
    cut = data.draw(st.integers(0, 3))
    in_both(text[:place] + "".join(data.draw(st.lists(BITS, max_size=2))) + text[place + cut :])
