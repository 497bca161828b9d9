"""The YAML parser's errors in plain words, each with a hint."""

from __future__ import annotations

import re

import yaml

TAB = "a tab stands where only spaces may stand"
TOO_DEEP = "nested deeper than 30 levels"
ALIAS_AS_KEY = "a key must be a single word, not a list, a group or a repeated value"
CIRCLE = "a circle of"
_INDENT = "Keys of one group start in the same column; indent with spaces, two for each level"
_QUOTES = 'Put the text in quotes: "..."'
_BRACKETS = "Check the brackets and commas of the {} that begins here"

_TABLE = (
    (r"found character '\\t' that cannot start|found a tab character", TAB,
     "Replace the tab by spaces; most editors can insert spaces when you press Tab"),
    (r"found character '(?P<c>.)' that cannot start", "a text cannot begin with {c}", _QUOTES),
    (r"mapping values are not allowed", "a ':' stands where no key can be",
     "Compare its indentation with the line above: keys of one group start in the same column. "
     "A text with ': ' in it needs quotes"),
    (r"could not find expected ':'", "a key without its ':'",
     "Write it as key: value, with a space after the colon; in a list as - value, with a space"),
    (r"found unexpected (end of stream|document separator)",
     "a text in quotes begins here and does not end", "Add the closing quote"),
    (r"unknown escape character|expected escape sequence",
     "a backslash in double quotes that means nothing",
     "Write / instead of \\ in paths, or use single quotes"),
    (r"expected ',' or '\]'", "a list in [ ] is not closed, or lacks a comma",
     _BRACKETS.format("list")),
    (r"expected ',' or '\}'", "a group in { } is not closed, or lacks a comma",
     _BRACKETS.format("group")),
    (r"expected <block end>, but found '<scalar>'",
     "text stands here after a value that has ended already",
     "A text with quotes inside needs quotes of the other kind around it, or none"),
    (r"expected <block end>, but found '(-|<block sequence start>)'|sequence entries are not",
     "a '- ' stands where no list can be",
     "Put the items of a list below its key, each on a line of its own, all in one column"),
    (r"expected <block end>, but found", "this line does not fit to the lines above it", _INDENT),
    (r"incompatible YAML document", "the %YAML line names a version that is not known",
     "Delete the line"),
    (r"alphabetic or numeric character, but found", "a text cannot begin with & or *", _QUOTES),
    (r"found undefined alias '(?P<c>.*)'", "*{c} repeats a value that is not there",
     "Write &{c} before the value it shall repeat, or put the text in quotes"),
    (r"second occurrence", "a name with & in front stands here a second time",
     "Give each repeated value a name of its own"),
    (r"found another document", "a second document begins here",
     "A file holds one document: delete the line '---' or make two files"),
    (TOO_DEEP, TOO_DEEP, ""),
    (ALIAS_AS_KEY, ALIAS_AS_KEY, "Write it out"),
    (rf"{CIRCLE} (?P<c>.*)", "*{c} stands inside the value that it repeats", ""),
    (r"expected the node content|expected the document start|did not find expected",
     "something stands here that YAML does not allow",
     f"{_INDENT}. A text with one of : # [ ] {{ }} , & * ! | > % @ in it needs quotes"),
    ("", "this is not valid YAML",
     "Look at this line and the one above it: indentation, quotes, brackets and colons"),
)  # fmt: skip
"""Pattern of the parser's problem, what is wrong, what to do."""
_AT_CONTEXT = re.compile(r"expected ':'|expected ','|unexpected (end of stream|document separator)")
"""For these the place where the parser began helps more than the place where it gave up."""


def plain_syntax(error: yaml.MarkedYAMLError) -> tuple[str, str, int, int]:
    """What is wrong, what to do, and the 1-based line and column."""
    problem = error.problem or ""
    found = ((re.search(row[0], problem, re.DOTALL), row) for row in _TABLE)
    match, (_, what, hint) = next((match, row) for match, row in found if match)
    thing = match.groupdict().get("c", "")
    marks = (error.context_mark, error.problem_mark)
    marks = marks if _AT_CONTEXT.search(problem) else marks[::-1]
    mark = next((m for m in marks if m is not None), None)
    place = (mark.line + 1, mark.column + 1) if mark is not None else (1, 1)
    return what.replace("{c}", thing), hint.replace("{c}", thing), *place
