"""YAML text into plain values, with the place of every key and value in the text.

Stands on PyYAML's tree of nodes and not on its values: those turn ``on`` into true, ``010`` into 8
and ``12:30`` into 750, keep the last of two equal keys in silence and forget where anything stood.
Depth, number of values and size of the file have bounds.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import yaml

from panelbridge.config.file_format import FORMAT
from panelbridge.config.words import listed, quoted
from panelbridge.config.yaml_nodes import MAX_DEPTH, PythonNodes, nodes_in_c
from panelbridge.config.yaml_positions import KeyPath, Position, Value, YamlSource
from panelbridge.config.yaml_scalars import MAX_DIGITS, Scalar, resolve_plain
from panelbridge.config.yaml_syntax import ALIAS_AS_KEY, TAB, TOO_DEEP, plain_syntax
from panelbridge.config.yaml_text import read_text, refuse_characters
from panelbridge.errors import ConfigError, ConfigProblem
from panelbridge.printing.clean_text import clean_line

MAX_VALUES = 20_000
"""Most values after every alias is filled in; a large panel has about 1000."""
MAX_PROBLEMS = 200
"""No more problems than these are collected from one text."""
_TAB_WIDTHS = (2, 4, 8)


Scanned = tuple[YamlSource | None, list[ConfigProblem]]
"""What was read, None when it cannot be read on, and the errors on the way."""


def read_yaml(path: Path) -> YamlSource:
    """Read the file at ``path``.

    Raises:
        ConfigError: it cannot be read, is not UTF-8, or is not the YAML that is allowed here.
    """
    source, problems = scan_yaml(path)
    if source is None or problems:
        raise ConfigError(problems)
    return source


def scan_yaml(path: Path) -> Scanned:
    """Read the file at ``path`` past errors behind which the rest can still be read."""
    text = read_text(path)
    return (None, [text]) if isinstance(text, ConfigProblem) else scan_text(text, str(path))


def scan_text(text: str, file: str) -> Scanned:
    """Read ``text`` past second keys of a name, and past tabs, which are one error."""
    refused = refuse_characters(text, file)
    if refused is not None:
        return None, [refused]
    source = _without_errors(text, file)
    if source is not None:
        return source, []
    reader = _Reader(file)
    source = reader.read(text)
    if not reader.tab:
        return source, reader.problems
    lines = [n for n, line in enumerate(text.splitlines(), 1) if re.match("[ \t]*\t", line)]
    found = reader.problems[-1]
    others = [n for n in lines if n != found.line]
    if others:
        also = f"Replace it by spaces, also in line{'s' * (len(others) > 1)} "
        shown = listed([*others[:8], "others"] if len(others) > 8 else others, "and")
        found = replace(found, hint=f"{also}{shown}; most editors can do that")
    for width in sorted(
        _TAB_WIDTHS, key=lambda width: -_level_lines(text.expandtabs(width), lines)
    ):
        reader = _Reader(file)
        source = reader.read(text.expandtabs(width))
        if source is not None:
            return source, [found, *reader.problems]
    return None, [found]


def _without_errors(text: str, file: str) -> YamlSource | None:
    """What ``text`` says; None when it has errors, or cannot be read in C."""
    reader = _Reader(file)
    try:
        source = reader.source(nodes_in_c(text))
    except (yaml.YAMLError, ValueError, _Stop):
        return None
    # In { } the one in C puts an empty value behind the space that follows the colon.
    empty = any(place.plain and not place.written for place in reader.positions.values())
    return None if reader.found or empty else source


def _level_lines(text: str, numbers: Sequence[int]) -> int:
    """How many of the lines ``numbers`` begin in the column of the line above them."""
    starts = [len(line) - len(line.lstrip(" ")) for line in text.splitlines()]
    return sum(starts[n - 1] == starts[n - 2] for n in numbers if n > 1)


def _in_one_line(text: str) -> str:
    """Line feeds, but for those at the end, and what nobody can see become ``?``."""
    if text.isprintable():
        return text
    body = text.rstrip("\n")
    return "".join([c if clean_line(c) == c else "?" for c in body]) + text[len(body) :]


_SENT_AS_IT_IS = (("message",), ("ask",), ("targets",))
"""Parts of a feed file whose texts a simulator gets or sends: line feeds in them are meant."""


class _Stop(Exception):  # noqa: N818 - not an error of its own: the list of problems is complete
    """Nothing more can be read."""


@dataclass(slots=True)
class _Reader:
    file: str
    found: dict[ConfigProblem, None] = field(default_factory=dict)
    positions: dict[KeyPath, Position] = field(default_factory=dict)
    tab: bool = False
    """It stopped at a tab."""
    broken: bool = False
    """A part is missing in the value: what is said of the rest could be wrong."""

    @property
    def problems(self) -> list[ConfigProblem]:
        return [*self.found]

    def read(self, text: str) -> YamlSource | None:
        """What ``text`` says; None when it cannot be read on."""
        loader = PythonNodes(text)
        try:
            return self.source(loader.get_single_node())
        except yaml.MarkedYAMLError as error:
            what, hint, line, column = plain_syntax(error)
            self.tab = what == TAB
            line_text = text.splitlines()[line - 1] if line <= len(text.splitlines()) else ""
            if not self._refuse_invisible(line_text, (line, 1)):
                self._add((line, column), what, hint)
        except (ValueError, OverflowError):
            # The scanner hands \\U numbers to chr() and %YAML versions to int() without a look.
            self._add((loader.line + 1, loader.column + 1), *_ESCAPE)
        except _Stop:
            pass
        return None

    def source(self, root: yaml.Node | None) -> YamlSource | None:
        """What the tree of nodes says; None when a part of it is missing."""
        value = self._value(root, (), _place(root)) if root is not None else None
        if value is None:
            self._add((1, 1), "the file is empty", f"Begin with kind: and format: {FORMAT}")
        return None if self.broken else YamlSource(self.file, value, self.positions)

    def _add(
        self, place: tuple[int, int], what: str, hint: str = "", *, readable: bool = False
    ) -> None:
        self.broken |= not readable
        self.found[ConfigProblem(self.file, *place, what, hint)] = None
        if len(self.found) >= MAX_PROBLEMS:
            raise _Stop

    def _value(self, node: yaml.Node, path: KeyPath, key_place: tuple[int, int]) -> Value:
        place = _place(node)
        if len(self.positions) >= MAX_VALUES or len(path) > MAX_DEPTH:
            what = f"more than {MAX_VALUES} values, or {TOO_DEEP}, when each * is filled in"
            self._add(place, what, "Write out fewer repeats")
            raise _Stop
        if node.tag:
            what = "tags (a word with ! in front) are not used here"
            self._add(place, what, "Delete it", readable=True)
        if isinstance(node, yaml.ScalarNode):
            plain = not node.style
            self.positions[path] = Position(*place, *key_place, node.value, plain)
            return self._scalar(node.value, plain, place, as_it_is=path[:1] in _SENT_AS_IT_IS)
        self.positions[path] = Position(*place, *key_place)
        if isinstance(node, yaml.SequenceNode):
            return [
                self._value(item, (*path, number), _place(item))
                for number, item in enumerate(node.value)
            ]
        return self._mapping(node, path)

    def _scalar(
        self, text: str, plain: bool, place: tuple[int, int], *, as_it_is: bool = False
    ) -> Scalar:
        if any("\ud800" <= c <= "\udfff" for c in text):
            self._add(place, *_ESCAPE)
        if not plain:  # its escapes may write anything, which terminals would obey
            return text if as_it_is else _in_one_line(text)
        if self._refuse_invisible(text, place):
            return text
        try:
            return resolve_plain(text)
        except OverflowError:
            self._add(place, f"{quoted(text)} is too large or has more than {MAX_DIGITS} digits")
            return text

    def _refuse_invisible(self, text: str, place: tuple[int, int]) -> bool:
        """Whether ``text``, which begins at ``place``, holds what nobody can see."""
        found = _INVISIBLE.search(text)
        if found is not None:
            # A text of several lines is pointed at where it begins.
            ahead = found.start() if "\n" not in text[: found.start()] else 0
            self._add((place[0], place[1] + ahead), *_UNSEEN)
        return found is not None

    def _mapping(self, node: yaml.Node, path: KeyPath) -> dict[str, Value]:
        value: dict[str, Value] = {}
        first: dict[str, tuple[int, int]] = {}
        for key, part in node.value:
            name = self._key(key)
            if name is None:
                continue
            if name in first:
                where = "line {}, column {}".format(*first[name])
                what = f"the key {quoted(name)} stands here a second time; the first is at {where}"
                self._add(_place(key), what, "Delete one of the two", readable=True)
                continue
            first[name] = _place(key)
            value[name] = self._value(part, (*path, name), _place(key))
        return value

    def _key(self, key: yaml.Node) -> str | None:
        """The key's text; None when it is none and the error is noted."""
        if not isinstance(key, yaml.ScalarNode):
            self._add(_place(key), ALIAS_AS_KEY, "A text with { } or [ ] in it needs quotes")
            return None
        text: str = _in_one_line(key.value)
        if not key.style and text == "<<":
            what = "merge keys (<<) are not used here"
            self._add(_place(key), what, "Write the keys out in each place")
            return None
        name = self._scalar(text, not key.style, _place(key))
        if isinstance(name, str):
            return name
        what = (
            f"the key {quoted(text)} is not a text"
            if text
            else "a ':' without a key in front of it"
        )
        hint = f'As a name it needs quotes: "{text[:40]}":' if text else ""
        if isinstance(name, int) and not isinstance(name, bool):
            hint += ". As part of a number it needs a point and no comma: 0.8"
        self._add(_place(key), what, hint)
        return None


_ESCAPE = (
    "a backslash and numbers in double quotes that are no character",
    "Write / instead of \\ in paths, or use single quotes",
)
_INVISIBLE = re.compile("[\xa0\xad\u200b-\u200d\u2060]")
_UNSEEN = (
    "an invisible character that looks like a space, or like nothing",
    "It often comes along when copying from a web page: type the line again",
)


def _place(node: yaml.Node) -> tuple[int, int]:
    """1-based line and column."""
    return node.start_mark.line + 1, node.start_mark.column + 1
