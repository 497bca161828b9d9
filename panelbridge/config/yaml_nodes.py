"""PyYAML's tree of nodes without its guesses, from its scanner in C or from that in Python.

The one in C is ten times faster and is missing in some installations. It serves for texts without
errors, in which both find the same (``tests/config/test_yaml_nodes.py``); ``yaml_syntax`` knows the
errors of the one in Python.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import yaml
from yaml.composer import Composer

from panelbridge.config.yaml_syntax import ALIAS_AS_KEY, CIRCLE, TOO_DEEP

MAX_DEPTH = 30
"""Deepest nesting; a panel file has 4 levels."""
_READ_OTHERWISE = re.compile(r"[\t?]|[|>]\S*#")
"""What only one of the two allows: tabs, ``?`` in a word, a comment close behind ``|`` or ``>``."""


class _Nodes(Composer):
    """Nodes only: no tag is guessed from a word, and the depth has a bound."""

    inside: list[str | None]
    """Anchors of what is being read; None for what has none."""

    def compose_node(self, parent: yaml.Node | None, index: Any) -> yaml.Node | None:
        event: Any = self.peek_event()  # type: ignore[attr-defined]
        problem = TOO_DEEP if len(self.inside) > MAX_DEPTH else ""
        if isinstance(event, yaml.AliasEvent):
            if isinstance(parent, yaml.MappingNode) and index is None:
                problem = ALIAS_AS_KEY
            elif event.anchor in self.inside:
                problem = f"{CIRCLE} {event.anchor}"
        if problem:
            raise yaml.MarkedYAMLError(problem=problem, problem_mark=event.start_mark)
        self.inside.append(event.anchor)
        node = super().compose_node(parent, index)
        self.inside.pop()
        return node

    def resolve(self, kind: type[yaml.Node], value: Any, implicit: Any) -> str:
        return ""


class PythonNodes(_Nodes, yaml.SafeLoader):
    """Reads any text, or says why not."""

    def __init__(self, text: str) -> None:
        yaml.SafeLoader.__init__(self, text)
        self.inside = []


CNodes: Callable[[str], _Nodes] | None = None
if yaml.__with_libyaml__:

    class _CNodes(_Nodes, yaml.CSafeLoader):
        """Reads most texts without errors."""

        def __init__(self, text: str) -> None:
            yaml.CSafeLoader.__init__(self, text)
            self.anchors, self.inside = {}, []

    CNodes = _CNodes


def nodes_in_c(text: str) -> yaml.Node | None:
    """The root of ``text``; None when there is none, or when ``PythonNodes`` must read it.

    Raises:
        yaml.YAMLError, ValueError: it has errors.
    """
    if CNodes is None or _READ_OTHERWISE.search(text):
        return None
    return CNodes(text).get_single_node()
