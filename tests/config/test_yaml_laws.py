"""Laws of the YAML reader: places are right, and any text is read or refused."""

from __future__ import annotations

import re

from hypothesis import example, given, settings
from hypothesis import strategies as st

from panelbridge.config import yaml_text
from panelbridge.config.yaml_positions import KeyPath, Value
from panelbridge.config.yaml_scalars import resolve_plain
from panelbridge.errors import ConfigError
from tests.config.texts import parse_yaml
from tests.examples import examples


@given(st.text(max_size=12) | st.from_regex(r"[-+0-9._:eExX]{1,10}", fullmatch=True))
@example("1e5")
@example("-0")
def test_law_a_number_is_what_json_calls_a_number(text: str) -> None:
    is_number = re.fullmatch(r"-?(0|[1-9][0-9]*)(\.[0-9]+)?([eE][-+]?[0-9]+)?", text, re.ASCII)
    try:
        value = resolve_plain(text)
    except OverflowError:
        assert is_number
        return
    assert (type(value) in (int, float)) == bool(is_number)
    if is_number:
        assert value == float(text)
    elif text not in ("true", "false", "null", "~", ""):
        assert value == text


NAMES = st.text("abcdefgh_", min_size=1, max_size=8)
SCALARS = (
    st.booleans()
    | st.integers(-(10**9), 10**9)
    | st.floats(-1e6, 1e6).map(lambda x: round(x, 3))
    | st.sampled_from(["on", "no", "010", "12:30", "D2", "socket://a:1", "it's", ""])
    | st.text("abc XYZ-#:é☃😀", max_size=12)
)


def plain_or_quoted(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int | float):
        return repr(value) if "e" not in repr(value) else f"{value:f}"
    assert isinstance(value, str)
    if re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9:/]*", value) and resolve_plain(value) == value:
        return value if not value.endswith(":") else f"'{value}'"
    return "'" + value.replace("'", "''") + "'"


class Writer:
    """Writes a value as block or flow YAML and notes where it put each part."""

    def __init__(self) -> None:
        self.lines: list[str] = [""]
        self.starts: dict[KeyPath, tuple[int, int]] = {}
        self.keys: dict[KeyPath, tuple[int, int]] = {}

    @property
    def here(self) -> tuple[int, int]:
        return len(self.lines), len(self.lines[-1]) + 1

    def put(self, text: str) -> None:
        self.lines[-1] += text

    def scalar(self, value: Value, path: KeyPath) -> None:
        self.starts[path] = self.here
        self.put(plain_or_quoted(value))

    def block(self, value: Value, path: KeyPath, indent: int) -> None:
        if isinstance(value, dict) and value:
            for place, (key, part) in enumerate(value.items()):
                if place or path:
                    self.lines.append(" " * indent)
                if not place:
                    self.starts[path] = self.here
                self.keys[(*path, key)] = self.here
                self.put(f"{key}:")
                nested = isinstance(part, dict) and bool(part)
                self.put("" if nested else " ")
                self.block(part, (*path, key), indent + 2)
        elif isinstance(value, dict | list):
            self.flow(value, path)
        else:
            self.scalar(value, path)

    def flow(self, value: Value, path: KeyPath) -> None:
        self.starts[path] = self.here
        if isinstance(value, dict):
            self.put("{ ")
            for key, part in value.items():
                self.keys[(*path, key)] = self.here
                self.put(f"{key}: ")
                self.flow(part, (*path, key))
                self.put(", ")
            self.put("}")
        elif isinstance(value, list):
            self.put("[")
            for place, part in enumerate(value):
                self.flow(part, (*path, place))
                self.put(",  ")
            self.put("]")
        else:
            self.scalar(value, path)


VALUES: st.SearchStrategy[Value] = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(NAMES, inner, max_size=4),
    max_leaves=12,
)


@given(st.dictionaries(NAMES, VALUES, min_size=1, max_size=5))
def test_law_every_value_is_found_at_its_place(value: dict[str, Value]) -> None:
    writer = Writer()
    writer.block(value, (), 0)
    source = parse_yaml("\n".join(writer.lines) + "\n", "f")
    assert source.value == value
    assert {p: (s.line, s.column) for p, s in source.positions.items()} == writer.starts
    for path, place in writer.keys.items():
        position = source.positions[path]
        assert (position.key_line, position.key_column) == place
        assert writer.lines[place[0] - 1][place[1] - 1 :].startswith(str(path[-1]))


YAML_LIKE = st.text("ab:-#&*!|>%@`'\"[]{},?<\\ \n\t\r01~", max_size=60)


@settings(max_examples=examples(150))
@given(st.text(max_size=60) | YAML_LIKE)
def test_law_any_text_is_read_or_refused(text: str) -> None:
    read_or_refused(text)


def read_or_refused(text: str) -> None:
    try:
        source = parse_yaml(text, "f.yaml")
    except ConfigError as error:
        for problem in error.problems:
            assert problem.what
            assert 1 <= problem.line <= len(re.split("\r\n|\r|\n", text))
            assert problem.column >= 1
    else:
        assert () in source.positions


@settings(max_examples=examples(200))
@given(st.binary(max_size=80) | YAML_LIKE.map(str.encode))
def test_law_any_bytes_are_read_or_refused(data: bytes) -> None:
    text = yaml_text.decode(data, "f.yaml")
    if isinstance(text, str):
        read_or_refused(text)
    else:
        assert text.line >= 1
