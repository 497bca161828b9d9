"""YAML text into plain values, with the place of every key and value in the text.

Stands on the parser of PyYAML and not on its loader: the loader turns ``on`` into true, ``010``
into 8 and ``12:30`` into 750, keeps the last of two equal keys in silence and forgets where
anything stood. The tree is built here, with bounds: depth, number of values, size of the file.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

import yaml

from panelbridge.config.words import listed, quoted
from panelbridge.config.yaml_positions import KeyPath, Position, Value, YamlSource
from panelbridge.config.yaml_scalars import MAX_DIGITS, Scalar, resolve_plain
from panelbridge.config.yaml_syntax import TAB, plain_syntax
from panelbridge.config.yaml_text import read_text, refuse_characters
from panelbridge.errors import ConfigError, ConfigProblem

MAX_DEPTH = 30
"""Deepest nesting; a panel file has 4 levels."""
MAX_VALUES = 20_000
"""Most values after every alias is filled in; a large panel has about 1000."""
MAX_PROBLEMS = 200
"""No more problems than these are collected from one text."""
_TAB_WIDTHS = (2, 4, 8)


@dataclass(slots=True)
class _Node:
    """A value as it stands in the text, aliases not filled in."""

    line: int
    column: int
    scalar: Scalar = None
    written: str = ""
    plain: bool = False
    pairs: list[tuple[str, int, int, _Node]] | None = None
    items: list[_Node] | None = None
    open: bool = True
    """It is still being read: an alias to it would be a circle."""


class _Stop(Exception):  # noqa: N818 - not an error of its own: the list of problems is complete
    """Nothing more can be read."""


Scanned = tuple[YamlSource | None, list[ConfigProblem]]
"""What was read, None when it cannot be read on, and the errors on the way."""


def read_yaml(path: Path) -> YamlSource:
    """Read the file at ``path``.

    Raises:
        ConfigError: it cannot be read, is not UTF-8, or is not the YAML that is allowed here.
    """
    return _whole(scan_yaml(path))


def parse_yaml(text: str, file: str) -> YamlSource:
    """Read ``text``, which stands in ``file``.

    Raises:
        ConfigError: with every error up to the first that makes the rest unreadable.
    """
    return _whole(scan_text(text, file))


def _whole(scanned: Scanned) -> YamlSource:
    source, problems = scanned
    if source is None or problems:
        raise ConfigError(problems)
    return source


def scan_yaml(path: Path) -> Scanned:
    """Read the file at ``path`` past errors behind which the rest can still be read."""
    text = read_text(path)
    return (None, [text]) if isinstance(text, ConfigProblem) else scan_text(text, str(path))


def scan_text(text: str, file: str) -> Scanned:
    """Read ``text`` past second keys of a name, and past tabs, of which one error tells."""
    refused = refuse_characters(text, file)
    if refused is not None:
        return None, [refused]
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
    for width in _TAB_WIDTHS:
        reader = _Reader(file)
        source = reader.read(text.expandtabs(width))
        if source is not None:
            return source, [found, *reader.problems]
    return None, [found]


@dataclass(slots=True)
class _Reader:
    file: str
    problems: list[ConfigProblem] = field(default_factory=list)
    anchors: dict[str, _Node] = field(default_factory=dict)
    positions: dict[KeyPath, Position] = field(default_factory=dict)
    tab: bool = False
    """It stopped at a tab."""
    broken: bool = False
    """A part is missing in the value: what is said of the rest could be wrong."""

    def read(self, text: str) -> YamlSource | None:
        """What ``text`` says; None when it cannot be read on."""
        value: Value = None
        try:
            root = self._document(_events(text))
            value = self._fill_in(root, (), root.line, root.column)
        except yaml.MarkedYAMLError as error:
            what, hint, line, column = plain_syntax(error)
            self.tab, self.broken = what == TAB, True
            line_text = text.splitlines()[line - 1] if line <= len(text.splitlines()) else ""
            if not self._refuse_invisible(line_text, line, 1):
                self.problems.append(ConfigProblem(self.file, line, column, what, hint))
        except _BadEscape as error:
            self._add(error.line, error.column, *_ESCAPE)
        except _Stop:
            self.broken = True
        return None if self.broken else YamlSource(self.file, value, self.positions)

    def _add(
        self, line: int, column: int, what: str, hint: str = "", *, readable: bool = False
    ) -> None:
        self.broken |= not readable
        self.problems.append(ConfigProblem(self.file, line, column, what, hint))
        if len(self.problems) >= MAX_PROBLEMS:
            raise _Stop

    def _stop(self, line: int, column: int, what: str, hint: str = "") -> _Stop:
        self.problems.append(ConfigProblem(self.file, line, column, what, hint))
        return _Stop()

    def _document(self, events: Iterator[yaml.Event]) -> _Node:
        root: _Node | None = None
        for event in events:
            if isinstance(event, yaml.DocumentStartEvent) and root is not None:
                raise self._stop(
                    *_place(event),
                    "a second document begins here",
                    "A file holds one document: delete the line '---' or make two files",
                )
            if isinstance(event, yaml.NodeEvent):
                root = self._node(event, events, 0)
        if root is None or (root.scalar is None and root.pairs is None and root.items is None):
            raise self._stop(1, 1, "the file is empty", "Begin with kind: and format: 2")
        return root

    def _node(self, event: yaml.Event, events: Iterator[yaml.Event], depth: int) -> _Node:
        line, column = _place(event)
        if depth > MAX_DEPTH:
            raise self._stop(line, column, f"nested deeper than {MAX_DEPTH} levels")
        if isinstance(event, yaml.AliasEvent):
            return self._alias(event.anchor, line, column)
        node = _Node(line, column)
        assert isinstance(event, yaml.ScalarEvent | yaml.CollectionStartEvent)
        if event.anchor is not None:
            self.anchors[event.anchor] = node
        if event.tag is not None:
            what = "tags (a word with ! in front) are not used here"
            self._add(line, column, what, "Delete it", readable=True)
        if isinstance(event, yaml.ScalarEvent):
            self._scalar(node, event)
        elif isinstance(event, yaml.SequenceStartEvent):
            node.items = []
            while not isinstance(event := next(events), yaml.SequenceEndEvent):
                node.items.append(self._node(event, events, depth + 1))
        else:
            self._mapping(node, events, depth)
        node.open = False
        return node

    def _alias(self, name: str | None, line: int, column: int) -> _Node:
        node = self.anchors.get(name or "")
        if node is None:
            hint = f"Write &{name} before the value it shall repeat, or put the text in quotes"
            self._add(line, column, f"*{name} repeats a value that is not there", hint)
            return _Node(line, column, open=False)
        if node.open:
            raise self._stop(line, column, f"*{name} stands inside the value that it repeats")
        return node

    def _scalar(self, node: _Node, event: yaml.ScalarEvent) -> None:
        text: str = event.value
        node.written, node.plain = text, event.style is None
        node.scalar = text
        if any("\ud800" <= c <= "\udfff" for c in text):
            self._add(node.line, node.column, *_ESCAPE)
        if node.plain:
            self._refuse_invisible(text, node.line, node.column)
            try:
                node.scalar = resolve_plain(text)
            except OverflowError:
                what = f"{quoted(text)} is too large or has more than {MAX_DIGITS} digits"
                self._add(node.line, node.column, what)

    def _refuse_invisible(self, text: str, line: int, column: int) -> bool:
        """Whether ``text``, which begins at ``line`` and ``column``, holds what nobody can see."""
        found = _INVISIBLE.search(text)
        if found is not None:
            # A text of several lines is pointed at where it begins.
            ahead = found.start() if "\n" not in text[: found.start()] else 0
            self._add(line, column + ahead, *_UNSEEN)
        return found is not None

    def _mapping(self, node: _Node, events: Iterator[yaml.Event], depth: int) -> None:
        node.pairs = []
        seen: dict[str, tuple[int, int]] = {}
        while not isinstance(event := next(events), yaml.MappingEndEvent):
            line, column = _place(event)
            name = self._key(event, events, depth)
            value = self._node(next(events), events, depth + 1)
            if name is None:
                continue
            if name in seen:
                first = "line {}, column {}".format(*seen[name])
                what = f"the key {quoted(name)} stands here a second time; the first is at {first}"
                self._add(line, column, what, "Delete one of the two", readable=True)
                continue
            seen[name] = (line, column)
            node.pairs.append((name, line, column, value))

    def _key(self, event: yaml.Event, events: Iterator[yaml.Event], depth: int) -> str | None:
        """The key's text; None when it is none and the problem is noted."""
        line, column = _place(event)
        if not isinstance(event, yaml.ScalarEvent):
            self._node(event, events, depth + 1)
            what = "a key must be a single word, not a list, a group or a repeated value"
            self._add(line, column, what, "A text with { } or [ ] in it needs quotes")
            return None
        key = self._node(event, events, depth + 1)
        if key.plain and key.written == "<<":
            what = "merge keys (<<) are not used here"
            self._add(line, column, what, "Write the keys out in each place")
            return None
        if not isinstance(key.scalar, str):
            what = (
                "a ':' without a key in front of it"
                if key.written == ""
                else f"the key {quoted(key.written)} is not a text"
            )
            hint = f'As a name it needs quotes: "{key.written[:40]}":' if key.written else ""
            if isinstance(key.scalar, int) and not isinstance(key.scalar, bool):
                hint += ". As part of a number it needs a point and no comma: 0.8"
            self._add(line, column, what, hint)
            return None
        return key.scalar

    def _fill_in(self, node: _Node, path: KeyPath, key_line: int, key_column: int) -> Value:
        if len(self.positions) >= MAX_VALUES or len(path) > MAX_DEPTH:
            raise self._stop(
                node.line,
                node.column,
                f"more than {MAX_VALUES} values, or nested deeper than {MAX_DEPTH} levels, when "
                "each * is filled in",
                "Write out fewer repeats",
            )
        self.positions[path] = Position(
            node.line, node.column, key_line, key_column, node.written, node.plain
        )
        if node.pairs is not None:
            return {
                name: self._fill_in(value, (*path, name), line, column)
                for name, line, column, value in node.pairs
            }
        if node.items is not None:
            return [
                self._fill_in(item, (*path, place), item.line, item.column)
                for place, item in enumerate(node.items)
            ]
        return node.scalar


_ESCAPE = (
    "a backslash and numbers in double quotes that are no character",
    "Write / instead of \\ in paths, or use single quotes",
)


_INVISIBLE = re.compile("[\xa0\xad\u200b-\u200d\u2060]")
_UNSEEN = (
    "an invisible character that looks like a space, or like nothing",
    "It often comes along when copying from a web page: type the line anew",
)


class _BadEscape(Exception):  # noqa: N818 - carries a place only
    def __init__(self, line: int, column: int) -> None:
        super().__init__(line, column)
        self.line = line
        self.column = column


def _place(event: yaml.Event) -> tuple[int, int]:
    mark = event.start_mark
    return (mark.line + 1, mark.column + 1) if mark is not None else (1, 1)


def _events(text: str) -> Iterator[yaml.Event]:
    """The parser's events. Raises: yaml.MarkedYAMLError, _BadEscape."""
    loader = yaml.SafeLoader(text)
    try:
        while loader.check_event():
            event: yaml.Event = loader.get_event()  # type: ignore[no-untyped-call]
            yield event
    except (ValueError, OverflowError) as error:
        # The scanner hands \\U numbers to chr() and %YAML versions to int() without a look.
        raise _BadEscape(loader.line + 1, loader.column + 1) from error
    finally:
        loader.dispose()
