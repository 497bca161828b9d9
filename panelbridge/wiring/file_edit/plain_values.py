"""The same edits on plain values: what an edited text must say."""

from __future__ import annotations

from copy import deepcopy

from panelbridge.config.yaml_positions import KeyPath, Value


def value_at(root: Value, path: KeyPath) -> Value:
    """The value at ``path``; None when there is nothing."""
    for step in path:
        if isinstance(root, dict) and step in root:
            root = root[str(step)]
        elif isinstance(root, list) and isinstance(step, int) and 0 <= step < len(root):
            root = root[step]
        else:
            return None
    return root


def is_there(root: Value, path: KeyPath) -> bool:
    """Whether there is a key or an item at ``path``, be it without a value."""
    around = value_at(root, path[:-1])
    if isinstance(around, list):
        return isinstance(path[-1], int) and 0 <= path[-1] < len(around)
    return isinstance(around, dict) and path[-1] in around


def with_set(root: Value, path: KeyPath, value: Value) -> Value:
    """``root`` with ``value`` at ``path``, whose group or list is there or empty."""
    root = deepcopy(root)
    around = value_at(root, path[:-1])
    if around is None:
        return with_set(root, path[:-1], {str(path[-1]): value})
    if isinstance(around, list) and path[-1] == len(around):
        around.append(value)
    else:
        assert isinstance(around, dict | list)
        around[path[-1]] = value  # type: ignore[index]
    return root


def with_deleted(root: Value, path: KeyPath) -> Value:
    """``root`` without what is at ``path``, and without what that leaves empty."""
    root = deepcopy(root)
    around = value_at(root, path[:-1])
    assert isinstance(around, dict | list)
    if len(around) == 1 and len(path) > 1:
        return with_deleted(root, path[:-1])
    del around[path[-1]]  # type: ignore[arg-type]
    return root
