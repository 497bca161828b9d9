"""YAML into plain values with places: nothing is guessed, nothing lost, nothing without bound."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from panelbridge.config import yaml_reader, yaml_text
from panelbridge.config.yaml_nodes import MAX_DEPTH
from panelbridge.config.yaml_reader import MAX_VALUES
from panelbridge.config.yaml_scalars import MAX_DIGITS
from panelbridge.config.yaml_source import read_yaml, scan_text
from panelbridge.errors import ConfigError, ConfigProblem
from tests.config.texts import parse_yaml


def mistakes_in(text: str) -> tuple[ConfigProblem, ...]:
    with pytest.raises(ConfigError) as caught:
        parse_yaml(text, "f.yaml")
    return caught.value.problems


def places_of(problems: tuple[ConfigProblem, ...]) -> list[tuple[int, int]]:
    return [(m.line, m.column) for m in problems]


@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("true", True),
        ("false", False),
        ("null", None),
        ("~", None),
        ("", None),
        ("0", 0),
        ("-5", -5),
        ("42", 42),
        ("1.5", 1.5),
        ("1.0", 1.0),
        ("1e3", 1000.0),
        ("-2.5E-1", -0.25),
    ],
)
def test_what_plain_words_mean(written: str, value: object) -> None:
    found = parse_yaml(f"a: {written}\n", "f").value
    assert isinstance(found, dict)
    assert found["a"] == value
    assert type(found["a"]) is type(value)


KEPT = [
    "on",
    "off",
    "yes",
    "no",
    "On",
    "OFF",
    "Yes",
    "NO",
    "y",
    "n",
    "True",
    "TRUE",
    "False",
    "FALSE",
    "Null",
    "NULL",
    "010",
    "-010",
    "00",
    "0x10",
    "0o10",
    "0b1",
    "1_000",
    "12:30",
    "1:2:3",
    ".5",
    "5.",
    "+5",
    "1e",
    "1.5.2",
    ".inf",
    "-.inf",
    ".nan",
    "inf",
    "nan",
    "NaN",
    "Infinity",
    "2026-01-31",
    "2026-01-31T10:00:00",
    "0777",
    "1,5",
    "20ms",
    "COM5",
    "/dev/ttyACM0",
    "socket://localhost:5000",
    "=",
    "1__0",
    "١٢",
]


@pytest.mark.parametrize("written", KEPT)
def test_everything_else_stays_the_text_that_was_written(written: str) -> None:
    assert parse_yaml(f"a: {written}\n", "f").value == {"a": written}


@pytest.mark.parametrize("written", ["true", "null", "5", "1.5", "~", "on", ""])
@pytest.mark.parametrize("quote", ["'", '"'])
def test_quoted_is_always_text(written: str, quote: str) -> None:
    source = parse_yaml(f"a: {quote}{written}{quote}\n", "f")
    assert source.value == {"a": written}
    assert not source.positions[("a",)].plain


def test_block_text_is_text() -> None:
    assert parse_yaml("a: |\n  5\nb: >-\n  true\n", "f").value == {"a": "5\n", "b": "true"}


@pytest.mark.parametrize("written", ["1" * (MAX_DIGITS + 1), "1e999", "-1e400", "0." + "1" * 5000])
def test_numbers_that_no_computer_keeps_are_refused(written: str) -> None:
    (problem,) = mistakes_in(f"a: 1\nb: {written}\n")
    assert (problem.line, problem.column) == (2, 4)
    assert "is too large or has more than 20 digits" in problem.what


def test_a_byte_order_mark_does_not_move_the_first_column(tmp_path: Path) -> None:
    file = tmp_path / "f.yaml"
    file.write_bytes(b"\xef\xbb\xbfkind: panel\r\nformat: 2\r\n")
    source = read_yaml(file)
    assert source.value == {"kind": "panel", "format": 2}
    assert (source.positions[("kind",)].key_column, source.positions[("format",)].line) == (1, 2)


def test_all_duplicate_keys_are_told_each_with_both_places() -> None:
    text = "a: 1\nb:\n  x: 1\n  y: 2\n  x: 3\na: 2\na: 3\n"
    assert [str(m).split("\n")[0] for m in mistakes_in(text)] == [
        "f.yaml:5:3: the key 'x' stands here a second time; the first is at line 3, column 3",
        "f.yaml:6:1: the key 'a' stands here a second time; the first is at line 1, column 1",
        "f.yaml:7:1: the key 'a' stands here a second time; the first is at line 1, column 1",
    ]


@pytest.mark.parametrize(
    ("text", "place", "what"),
    [
        ("a: 1\n5: x\n", (2, 1), "the key '5' is not a text"),
        ("true: x\n", (1, 1), "the key 'true' is not a text"),
        ("~: x\n", (1, 1), "the key '~' is not a text"),
        ("? \n: x\n", (1, 2), "a ':' without a key in front of it"),
        ("[a]: x\n", (1, 1), "a key must be a single word, not a list"),
        ("a: &k v\n*k : x\n", (2, 1), "a key must be a single word, not a list"),
        ("a: {x: 1}\nb:\n  <<: 2\n", (3, 3), "merge keys (<<) are not used here"),
        ("a: !!int 5\n", (1, 4), "tags (a word with ! in front) are not used here"),
        ("a: !thing {}\n", (1, 4), "tags (a word with ! in front) are not used here"),
        ("a: 1\n---\nb: 2\n", (2, 1), "a second document begins here"),
        ("a: *nope\n", (1, 4), "*nope repeats a value that is not there"),
        ("a: &a\n  b: *a\n", (2, 6), "*a stands inside the value that it repeats"),
        ("a: &a [*a]\n", (1, 8), "*a stands inside the value that it repeats"),
        ("a:\n\tb: 1\n", (2, 1), "a tab stands where only spaces may stand"),
        ("a: 1\n b: 2\n", (2, 3), "a ':' stands where no key can be"),
        ("a: b: c\n", (1, 5), "a ':' stands where no key can be"),
        ("a:\n  b: 1\n c: 2\n", (3, 2), "this line does not fit to the lines above it"),
        ("a: 1\nb\nc: 1\n", (2, 1), "a key without its ':'"),
        ("a: 'x\nb: 1\n", (1, 4), "a text in quotes begins here and does not end"),
        ('a: "C:\\dev"\n', (1, 8), "a backslash in double quotes that means nothing"),
        ('a: "\\U00110000"\n', (1, 7), "a backslash and numbers in double quotes"),
        ('a: "\\ud800"\n', (1, 4), "a backslash and numbers in double quotes"),
        ("a: [1, 2\nb: 3\n", (1, 4), "a list in [ ] is not closed"),
        ("a: {x: 1\nb: 3\n", (1, 4), "a group in { } is not closed"),
        ("a: @x\n", (1, 4), "a text cannot begin with @"),
        ("a: 100\nb: %x\n", (2, 4), "a text cannot begin with %"),
        ("%YAML 9.9\n---\na: 1\n", (1, 1), "the %YAML line names a version"),
        ("a: &\n", (1, 5), "a text cannot begin with & or *"),
        ("a: ]\n", (1, 4), "something stands here that YAML does not allow"),
        ("a:\xa0b\n", (1, 3), "an invisible character"),
        ("a: b\u200bc\n", (1, 5), "an invisible character"),
        ("a: b\x07c\n", (1, 5), "an invisible control character (number 7 hexadecimal)"),
        ("a: 1\r\nb: \x00\r\n", (2, 4), "an invisible control character (number 0 hexadecimal)"),
        ("a: 1\u2028b: 2\n", (1, 5), "an invisible control character (number 2028 hex"),
        ("", (1, 1), "the file is empty"),
        ("# only a comment\n", (1, 1), "the file is empty"),
        ("---\n...\n", (1, 1), "the file is empty"),
    ],
)
def test_what_is_refused_and_where(text: str, place: tuple[int, int], what: str) -> None:
    problems = mistakes_in(text)
    assert places_of(problems) == [place]
    assert what in problems[0].what


def test_anchors_may_repeat_a_value() -> None:
    source = parse_yaml("a: &pin D2\nb: *pin\nc: &d {x: 1}\ne: *d\n", "f")
    assert source.value == {"a": "D2", "b": "D2", "c": {"x": 1}, "e": {"x": 1}}
    repeated = source.positions[("e", "x")]
    assert (repeated.line, repeated.column) == (3, 11)
    assert (source.positions[("e",)].key_line, source.positions[("e",)].key_column) == (4, 1)


def test_a_bomb_of_aliases_is_defused() -> None:
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 9)]
    (problem,) = mistakes_in("\n".join(lines))
    assert f"more than {MAX_VALUES} values" in problem.what


@pytest.mark.parametrize("opened", ["[", "{a: ", "- ", "? "])
def test_deep_nesting_is_refused_without_recursion(opened: str) -> None:
    (problem,) = mistakes_in(opened * 5000)
    assert f"nested deeper than {MAX_DEPTH} levels" in problem.what


def test_aliases_can_not_nest_deeper_than_the_bound() -> None:
    lines = ["a0: &a0 [x]"] + [f"a{n}: &a{n} [*a{n - 1}]" for n in range(1, 100)]
    (problem,) = mistakes_in("\n".join(lines))
    assert f"nested deeper than {MAX_DEPTH} levels" in problem.what


def test_mistakes_are_bounded_in_number() -> None:
    assert len(mistakes_in("a: 1\n" * 5000)) == yaml_reader.MAX_PROBLEMS


@pytest.mark.parametrize(
    ("data", "place", "what"),
    [
        (b"a: 1\nb: caf\xe9\n", (2, 7), "this character is not UTF-8"),
        (b"\xef\xbb\xbfa\xff", (1, 2), "this character is not UTF-8"),
        (b"a: 1\r\n\xc3", (2, 1), "this character is not UTF-8"),
        ("a: 1\n".encode("utf-16"), (1, 1), "this file is saved as UTF-16"),
        (b"\xfe\xff\0a", (1, 1), "this file is saved as UTF-16"),
        (b"x" * (yaml_text.MAX_BYTES + 1), (0, 0), "this file is larger than 256 KiB"),
        (b"\x7fELF\x02\x01", (1, 1), "an invisible control character"),
    ],
)
def test_files_that_are_no_text(
    tmp_path: Path, data: bytes, place: tuple[int, int], what: str
) -> None:
    file = tmp_path / "f.yaml"
    file.write_bytes(data)
    with pytest.raises(ConfigError) as caught:
        read_yaml(file)
    assert places_of(caught.value.problems) == [place]
    assert what in caught.value.problems[0].what


def bad_paths(folder: Path) -> Iterator[tuple[Path, str, str]]:
    yield folder, "this is a folder, not a file", "Name a .yaml file in it"
    yield folder / "demo_pannel.yaml", "there is no such file", "Did you mean 'demo_panel.yaml'?"
    yield folder / "x.yaml", "there is no such file", "Check the path and the name"
    yield folder / "no" / "x.yaml", "there is no such file", "There is no folder"
    yield folder / "a\0b", "this cannot be the name of a file", ""
    # Windows says of both that there is no such file.
    too_long = "there is no such file" if os.name == "nt" else "this file cannot be read"
    yield folder / ("x" * 5000), too_long, "Check the path"
    yield folder / "demo_panel.yaml" / "x", "", "heck the path"


@pytest.mark.parametrize("number", range(7))
def test_files_that_can_not_be_opened(tmp_path: Path, number: int) -> None:
    (tmp_path / "demo_panel.yaml").write_text("kind: panel\n")
    path, what, hint = [*bad_paths(tmp_path)][number]
    with pytest.raises(ConfigError) as caught:
        read_yaml(path)
    (problem,) = caught.value.problems
    assert what in problem.what
    assert hint in problem.hint
    assert problem.where == str(path)


def test_a_file_without_permission(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    (tmp_path / "f.yaml").touch()
    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(ConfigError) as caught:
        read_yaml(tmp_path / "f.yaml")
    assert caught.value.what == "you may not read this file"


@pytest.mark.parametrize(
    ("text", "value", "places"),
    [
        ("a: 1\na: 2\nb: 3\n", {"a": 1, "b": 3}, [(2, 1)]),
        ("a: !!int 5\n", {"a": 5}, [(1, 4)]),
        ("a:\n\tb: 1\n\tc:\n\t\td: 2\n", {"a": {"b": 1, "c": {"d": 2}}}, [(2, 1)]),
        ("a:\n  b: 1\n\tc: 2\n", {"a": {"b": 1, "c": 2}}, [(3, 1)]),
        ("a:\n    b: 1\n\tc: 2\n", {"a": {"b": 1, "c": 2}}, [(3, 1)]),
        ("a:\t1\nb: 2\nb: 3\n", {"a": 1, "b": 2}, [(1, 3), (3, 1)]),
        ("a:\n\tb: [1\nc: 2\n", None, [(2, 1)]),
        ("a: 1\na: *x\n", None, [(2, 4)]),
        ("a: 1\na: 2\n5: 3\n", None, [(2, 1), (3, 1)]),
    ],
)
def test_what_is_read_on_past(text: str, value: object, places: list[tuple[int, int]]) -> None:
    source, problems = scan_text(text, "f")
    assert (source.value if source is not None else None) == value
    assert places_of(tuple(problems)) == places


def test_one_error_names_all_lines_with_tabs() -> None:
    def hint(lines: int) -> str:
        return scan_text("a:\n" + "".join(f"\tb{n}: 1\n" for n in range(lines)), "f")[1][0].hint

    assert "also" not in hint(1)
    assert hint(2) == "Replace it by spaces, also in line 3; most editors can do that"
    assert "also in lines 3, 4, 5, 6, 7, 8, 9, 10 and others" in hint(20)
