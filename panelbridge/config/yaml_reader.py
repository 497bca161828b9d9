"""From PyYAML's tree of nodes to plain values with their places; errors on the way are noted."""

from __future__ import annotations

import re

import yaml
from msgspec import Struct, field

from panelbridge.config.file_format import FORMAT
from panelbridge.config.words import quoted
from panelbridge.config.yaml_nodes import MAX_DEPTH, PythonNodes
from panelbridge.config.yaml_positions import KeyPath, Position, Value, YamlSource
from panelbridge.config.yaml_scalars import MAX_DIGITS, Scalar, resolve_plain
from panelbridge.config.yaml_syntax import ALIAS_AS_KEY, TAB, TOO_DEEP, plain_syntax
from panelbridge.errors import ConfigProblem
from panelbridge.printing.clean_text import clean_line

MAX_VALUES = 20_000
"""Most values after every alias is filled in; a large panel has about 1000."""
MAX_PROBLEMS = 200
"""No more problems than these are collected from one text."""
_SENT_AS_IT_IS = (("message",), ("ask",), ("targets",))
"""Parts of a feed file whose texts a simulator gets or sends: line feeds in them are meant."""
_ESCAPE = (
    "a backslash and numbers in double quotes that are no character",
    "Write / instead of \\ in paths, or use single quotes",
)
_INVISIBLE = re.compile("[\xa0\xad\u200b-\u200d\u2060]")
_UNSEEN = (
    "an invisible character that looks like a space, or like nothing",
    "It often comes along when copying from a web page: type the line again",
)


class StopReading(Exception):  # noqa: N818 - not an error of its own: the list of problems is complete
    """Nothing more can be read."""


class YamlReader(Struct):
    """Reads one text.

    Attributes:
        file: its name, for errors.
        found: the errors, each once.
        positions: where every key and value stands.
        tab: it stopped at a tab.
        broken: a part is missing in the value: what is said of the rest could be wrong.
    """

    file: str
    found: dict[ConfigProblem, None] = field(default_factory=dict)
    positions: dict[KeyPath, Position] = field(default_factory=dict)
    tab: bool = False
    broken: bool = False

    @property
    def problems(self) -> list[ConfigProblem]:
        """The errors in their order."""
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
        except StopReading:
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
            raise StopReading

    def _value(self, node: yaml.Node, path: KeyPath, key_place: tuple[int, int]) -> Value:
        place = _place(node)
        if len(self.positions) >= MAX_VALUES or len(path) > MAX_DEPTH:
            what = f"more than {MAX_VALUES} values, or {TOO_DEEP}, when each * is filled in"
            self._add(place, what, "Write out fewer repeats")
            raise StopReading
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


def _in_one_line(text: str) -> str:
    """Line feeds, but for those at the end, and what nobody can see become ``?``."""
    if text.isprintable():
        return text
    body = text.rstrip("\n")
    return "".join([c if clean_line(c) == c else "?" for c in body]) + text[len(body) :]


def _place(node: yaml.Node) -> tuple[int, int]:
    """1-based line and column."""
    return node.start_mark.line + 1, node.start_mark.column + 1
