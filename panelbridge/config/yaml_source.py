"""YAML text into plain values, with the place of every key and value in the text.

Stands on PyYAML's tree of nodes and not on its values: those turn ``on`` into true, ``010`` into 8
and ``12:30`` into 750, keep the last of two equal keys in silence and forget where anything stood.
Depth, number of values and size of the file have bounds.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

import yaml
from msgspec.structs import replace

from panelbridge.config.words import listed
from panelbridge.config.yaml_nodes import nodes_in_c
from panelbridge.config.yaml_positions import YamlSource
from panelbridge.config.yaml_reader import StopReading, YamlReader
from panelbridge.config.yaml_text import read_text, refuse_characters
from panelbridge.errors import ConfigError, ConfigProblem

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
    reader = YamlReader(file)
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
        reader = YamlReader(file)
        source = reader.read(text.expandtabs(width))
        if source is not None:
            return source, [found, *reader.problems]
    return None, [found]


def _without_errors(text: str, file: str) -> YamlSource | None:
    """What ``text`` says; None when it has errors, or cannot be read in C."""
    reader = YamlReader(file)
    try:
        source = reader.source(nodes_in_c(text))
    except (yaml.YAMLError, ValueError, StopReading):
        return None
    # In { } the one in C puts an empty value behind the space that follows the colon.
    empty = any(place.plain and not place.written for place in reader.positions.values())
    return None if reader.found or empty else source


def _level_lines(text: str, numbers: Sequence[int]) -> int:
    """How many of the lines ``numbers`` begin in the column of the line above them."""
    starts = [len(line) - len(line.lstrip(" ")) for line in text.splitlines()]
    return sum(starts[n - 1] == starts[n - 2] for n in numbers if n > 1)
