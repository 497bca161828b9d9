"""Where keys and values of a YAML text begin and end, as indices into the text."""

from __future__ import annotations

import re
from contextlib import suppress

import yaml
from msgspec import Struct

from panelbridge.config.yaml_nodes import PythonNodes, nodes_in_c
from panelbridge.config.yaml_positions import KeyPath

_LINE_END = re.compile(r"\r\n|\r|\n|$")


class Entry(Struct, frozen=True):
    """A value with what stands in front of it.

    Attributes:
        node: the value.
        key: its key; None for an item of a list.
        around: the group or list in which it stands.
    """

    node: yaml.Node
    key: yaml.Node | None
    around: yaml.Node


class NodePlaces(Struct, frozen=True):
    """A YAML text with its tree of nodes; it must be one that ``scan_text`` reads."""

    text: str
    root: yaml.Node

    @classmethod
    def of(cls, text: str) -> NodePlaces:
        """The places of ``text``, without a byte-order mark."""
        with suppress(yaml.YAMLError, ValueError):  # some texts are for the other one
            fast = nodes_in_c(text)
            if fast is not None:
                return cls(text, fast)
        root = PythonNodes(text).get_single_node()
        assert root is not None
        return cls(text, root)

    @property
    def line_end(self) -> str:
        """How lines of the file end."""
        found = _LINE_END.search(self.text)
        return (found.group() if found else "") or "\n"

    def node(self, path: KeyPath) -> yaml.Node | None:
        """The value at ``path``."""
        if not path:
            return self.root
        entry = self.entry(path)
        return entry.node if entry else None

    def entry(self, path: KeyPath) -> Entry | None:
        """The value at ``path`` with its key; None when it is not there."""
        around = self.node(path[:-1])
        last = path[-1]
        if isinstance(around, yaml.MappingNode):
            for key, node in around.value:
                if key.value == last:
                    return Entry(node, key, around)
            return None
        is_item = isinstance(around, yaml.SequenceNode) and last in range(len(around.value))
        return Entry(around.value[int(last)], None, around) if around and is_item else None

    def end(self, node: yaml.Node) -> int:
        """Where a value ends, without the blank lines and comments behind it."""
        if isinstance(node, yaml.CollectionNode) and not node.flow_style:
            last = node.value[-1]
            return self.end(last[1] if isinstance(last, tuple) else last)
        end: int = node.end_mark.index
        if isinstance(node, yaml.ScalarNode) and node.style in ("|", ">"):
            return len(self.text[:end].rstrip())
        return end

    def after_colon(self, entry: Entry) -> int:
        """Where the colon of an entry's key, or the dash of an item, is over."""
        if entry.key is not None:
            end: int = entry.key.end_mark.index
            return self.text.index(":", end) + 1
        return self.text.rindex("-", 0, entry.node.start_mark.index + 1) + 1

    def line_begin(self, index: int) -> int:
        """Where the line of ``index`` begins."""
        return max(self.text.rfind("\n", 0, index), self.text.rfind("\r", 0, index)) + 1

    def line_stop(self, index: int) -> int:
        """Where the text of the line of ``index`` stops, in front of its line end."""
        found = _LINE_END.search(self.text, index)
        assert found is not None
        return found.start()

    def next_line(self, index: int) -> int:
        """Where the line after that of ``index`` begins, or the text ends."""
        found = _LINE_END.search(self.text, index)
        assert found is not None
        return found.end()


def is_empty(node: yaml.Node) -> bool:
    """A key with nothing behind it."""
    return isinstance(node, yaml.ScalarNode) and not node.style and not node.value


def is_flow(node: yaml.Node) -> bool:
    """A group in { } or a list in [ ]."""
    return isinstance(node, yaml.CollectionNode) and bool(node.flow_style)


def is_block(node: yaml.Node) -> bool:
    """A group or list whose parts stand on lines of their own."""
    return isinstance(node, yaml.CollectionNode) and not node.flow_style
