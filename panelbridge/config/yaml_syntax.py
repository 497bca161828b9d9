"""The YAML parser's complaints in plain words, each with a hint."""

from __future__ import annotations

import re

import yaml

_INDENT = "Keys of one group start in the same column; indent with spaces, two for each level"
TAB = "a tab stands where only spaces may stand"
_QUOTES = 'Put the text in quotes: "..."'

# Pattern of the parser's problem -> what to say, what to do, and whether the place where the
# parser began to read the thing (its context) helps more than the place where it gave up.
_TABLE: tuple[tuple[str, str, str, bool], ...] = (
    (
        r"found character '\\t' that cannot start|found a tab character",
        TAB,
        "Replace the tab by spaces; most editors can insert spaces when you press Tab",
        False,
    ),
    (
        r"found character '(?P<c>.)' that cannot start",
        "a text cannot begin with {c}",
        _QUOTES,
        False,
    ),
    (
        r"mapping values are not allowed",
        "a ':' stands where no key can be",
        "Compare its indentation with the line above: keys of one group start in the same column. "
        "A text with ': ' in it needs quotes",
        False,
    ),
    (
        r"could not find expected ':'",
        "a key without its ':'",
        "Write it as key: value, with a space after the colon; in a list as - value, with a space",
        True,
    ),
    (
        r"found unexpected (end of stream|document separator)",
        "a text in quotes begins here and does not end",
        "Add the closing quote",
        True,
    ),
    (
        r"unknown escape character|expected escape sequence",
        "a backslash in double quotes that means nothing",
        "Write / instead of \\ in paths, or use single quotes",
        False,
    ),
    (
        r"expected ',' or '\]'",
        "a list in [ ] is not closed, or lacks a comma",
        "Check the brackets and commas of the list that begins here",
        True,
    ),
    (
        r"expected ',' or '\}'",
        "a group in { } is not closed, or lacks a comma",
        "Check the brackets and commas of the group that begins here",
        True,
    ),
    (
        r"expected <block end>, but found '<scalar>'",
        "text stands here after a value that has ended already",
        "A text with quotes inside needs quotes of the other kind around it, or none",
        False,
    ),
    (
        r"expected <block end>, but found '(-|<block sequence start>)'|sequence entries are not",
        "a '- ' stands where no list can be",
        "Put the items of a list below its key, each on a line of its own, all in one column",
        False,
    ),
    (
        r"expected <block end>, but found",
        "this line does not fit to the lines above it",
        _INDENT,
        False,
    ),
    (
        r"incompatible YAML document",
        "the %YAML line names a version that is not known",
        "Delete the line",
        False,
    ),
    (
        r"alphabetic or numeric character, but found",
        "a text cannot begin with & or *",
        _QUOTES,
        False,
    ),
    (
        r"expected the node content|expected the document start|did not find expected",
        "something stands here that YAML does not allow",
        f"{_INDENT}. A text with one of : # [ ] {{ }} , & * ! | > % @ in it needs quotes",
        False,
    ),
)
_OTHER = (
    "this is not valid YAML",
    "Look at this line and the one above it: indentation, quotes, brackets and colons",
)


def plain_syntax(error: yaml.MarkedYAMLError) -> tuple[str, str, int, int]:
    """What is wrong, what to do, and the 1-based line and column."""
    problem = error.problem or ""
    what, hint, use_context = *_OTHER, False
    for pattern, text, advice, at_context in _TABLE:
        match = re.search(pattern, problem, re.DOTALL)
        if match:
            what, hint, use_context = text, advice, at_context
            what = what.replace("{c}", match.groupdict().get("c", ""))
            break
    marks = (error.context_mark, error.problem_mark)
    mark = next((m for m in (marks if use_context else marks[::-1]) if m is not None), None)
    if mark is None:
        return what, hint, 1, 1
    return what, hint, mark.line + 1, mark.column + 1
