"""Edits of a YAML text that change the lines concerned and no others. Each gives the new text."""

from __future__ import annotations

from collections.abc import Sequence

import yaml

from panelbridge.config.yaml_positions import KeyPath, Value
from panelbridge.wiring.file_edit.node_places import Entry, NodePlaces, is_block, is_empty, is_flow
from panelbridge.wiring.file_edit.value_text import (
    fits_in_line,
    in_one_line,
    lines_of,
    lines_of_key,
    scalar_text,
)


def with_value(text: str, path: KeyPath, value: Value) -> str:
    """``text`` with another value at ``path``, which is there."""
    places = NodePlaces.of(text)
    entry = places.entry(path)
    assert entry is not None
    node = entry.node
    begin, end, after = node.start_mark.index, places.end(node), places.after_colon(entry)
    depth = _depth(path)
    if is_flow(entry.around) or fits_in_line(value, node.start_mark.column, depth):
        new = _in_place_of(node, value, in_group=is_flow(entry.around))
        if is_block(node):
            rest_of_line = text[after : places.line_stop(after)]
            return text[:after] + f" {new}".rstrip() + rest_of_line + text[end:]
        if not new:  # the space in front of it goes too
            begin = after
        elif is_empty(node):
            begin = end = after
            new = f" {new}"
        return text[:begin] + new + text[end:]
    if is_block(node):
        begin = places.line_stop(after)
        return text[:begin] + _block(places, entry, value, depth) + text[end:]
    # A comment behind the old value stays behind the key.
    stop = places.line_stop(end)
    return text[:after] + text[end:stop] + _block(places, entry, value, depth) + text[stop:]


def _depth(path: KeyPath) -> int:
    """How deep in its part of the file a value is; boards are always written line by line."""
    return len(path) - (9 if path[0] == "boards" else 1)


def _in_place_of(node: yaml.Node, value: Value, *, in_group: bool) -> str:
    if value is None and not in_group:
        return ""
    if isinstance(node, yaml.ScalarNode) and isinstance(value, str):
        return scalar_text(value, node.style if node.style in ("'", '"') else "")
    return in_one_line(value)


def _block(places: NodePlaces, entry: Entry, value: Value, depth: int) -> str:
    """The lines of a group below its key, each behind a line end."""
    around = entry.key or entry.around
    indent = around.start_mark.column + 2
    return "".join(places.line_end + line for line in lines_of(value, indent, depth))


def with_key(text: str, path: KeyPath, value: Value, order: Sequence[str] = ()) -> str:
    """``text`` with a new key, or a new last item of a list, at ``path``.

    Args:
        text: in which the group or list around ``path`` is there.
        path: where nothing is yet.
        value: what is written.
        order: keys that have their place in the group; one that is not among them comes last.
    """
    places = NodePlaces.of(text)
    around = places.node(path[:-1])
    assert around is not None
    name = path[-1]
    if is_empty(around):
        return with_value(text, path[:-1], {str(name): value})
    assert isinstance(around, yaml.CollectionNode)
    is_list = isinstance(around, yaml.SequenceNode)
    if is_flow(around):
        new = in_one_line(value) if is_list else f"{scalar_text(str(name))}: {in_one_line(value)}"
        is_first = not is_list and _last_before(around, str(name), order) is None
        return _into_brackets(places, around, new, is_first=is_first)
    column = around.start_mark.column
    if is_list:
        lines = [f"{' ' * column}- {in_one_line(value)}"]
    else:
        lines = [*lines_of_key(scalar_text(str(name)), value, column, _depth(path))]
    if len(path) == 1 and len(lines) > 1:
        lines.insert(0, "")
    before = _last_before(around, str(name), order)
    if before is None:
        at = around.start_mark.index
        return (
            text[:at] + (places.line_end + " " * column).join([lines[0].lstrip(), ""]) + text[at:]
        )
    at = places.line_stop(places.end(before))
    return text[:at] + "".join(places.line_end + line for line in lines) + text[at:]


def _into_brackets(
    places: NodePlaces, around: yaml.CollectionNode, new: str, *, is_first: bool
) -> str:
    text, stop = places.text, places.end(around)
    if not around.value:
        braces = text[around.start_mark.index] == "{"
        shown = f"{{ {new} }}" if braces else f"[{new}]"
        return text[: around.start_mark.index] + shown + text[stop:]
    if is_first:
        at = around.value[0][0].start_mark.index
        return text[:at] + f"{new}, " + text[at:]
    last = around.value[-1]
    at = places.end(last[1] if isinstance(last, tuple) else last)
    comma = _comma_behind(places, at, stop)
    if comma is not None:
        return text[: comma + 1] + f" {new}," + text[comma + 1 :]
    return text[:at] + f", {new}" + text[at:]


def _comma_behind(places: NodePlaces, at: int, stop: int) -> int | None:
    """The comma between the value that ends at ``at`` and what follows it."""
    while at < stop and places.text[at] in " \r\n#":
        at = places.line_stop(at) if places.text[at] == "#" else at + 1
    return at if at < stop and places.text[at] == "," else None


def _last_before(around: yaml.CollectionNode, name: str, order: Sequence[str]) -> yaml.Node | None:
    """The value behind which a new key comes; None when it comes first."""
    parts: list[yaml.Node | tuple[yaml.Node, yaml.Node]] = around.value
    if not parts:
        return None
    last = parts[-1]
    found: yaml.Node | None = last[1] if isinstance(last, tuple) else last
    if name in order:
        earlier = set(order[: order.index(name)])
        pairs = [part for part in parts if isinstance(part, tuple)]
        values = [node for key, node in pairs if key.value in earlier]
        found = values[-1] if values else None
    return found


def without(text: str, path: KeyPath) -> str:
    """``text`` without what is at ``path``; a group or list that becomes empty goes too."""
    places = NodePlaces.of(text)
    entry = places.entry(path)
    assert entry is not None
    around = entry.around
    if len(around.value) == 1 and len(path) > 1:
        return without(text, path[:-1])
    head = entry.key or entry.node
    if is_flow(around):
        return _out_of_brackets(places, entry, head)
    begin = places.line_begin(head.start_mark.index)
    end = places.end(entry.node)
    is_group = isinstance(around, yaml.MappingNode)
    if (
        is_group and text[begin : head.start_mark.index].strip()
    ):  # the first key of an item, behind its dash
        second: int = around.value[1][0].start_mark.index
        return text[: head.start_mark.index] + text[second:]
    stop, after = places.line_stop(end), places.next_line(end)
    if begin == 0:
        return text[after:]
    above = _line_end_before(text, begin)
    if len(path) == 1 and is_blank_line(places, above) and is_blank_line(places, after):
        above = _line_end_before(text, places.line_begin(above))
    return text[:above] + text[stop:]


def _line_end_before(text: str, begin: int) -> int:
    """Where the line end in front of the line that begins at ``begin`` begins."""
    return begin - (2 if text[:begin].endswith("\r\n") else 1)


def is_blank_line(places: NodePlaces, index: int) -> bool:
    """Whether the line of ``index`` has nothing on it; past the end there is nothing either."""
    return not places.text[places.line_begin(index) : places.line_stop(index)].strip()


def _out_of_brackets(places: NodePlaces, entry: Entry, head: yaml.Node) -> str:
    text, around = places.text, entry.around
    begin, end = head.start_mark.index, places.end(entry.node)
    comma = _comma_behind(places, end, places.end(around))
    parts = [part[0] if isinstance(part, tuple) else part for part in around.value]
    place = parts.index(head)
    if place == 0 and comma is not None:
        end = parts[1].start_mark.index if len(parts) > 1 else comma + 1
    elif place > 0:
        before = around.value[place - 1]
        begin = places.end(before[1] if isinstance(before, tuple) else before)
    return text[:begin] + text[end:]
