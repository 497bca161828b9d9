"""The words that an expression of the source can be, to hold source against declarations."""

from __future__ import annotations

import ast
from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType

from panelbridge.signals import GearPosition

FILLED = {
    name: tuple(position.value for position in GearPosition)
    for name in ("position", "position.value")
}
"""What fills a formatted text, and what that can be."""
Local = Mapping[str, Sequence[ast.expr]]
"""Local variables, and everything that is assigned to each."""


def names_in(node: ast.AST, local: Local = MappingProxyType({})) -> set[str]:
    """Every word that an expression may be."""
    match node:
        case ast.Constant(value=str(text)):
            return {text}
        case ast.Name(id=name):
            return {word for value in local.get(name, ()) for word in names_in(value)}
        case ast.IfExp(body=yes, orelse=no):
            return names_in(yes, local) | names_in(no, local)
        case ast.Dict(values=values):
            return {word for value in values for word in names_in(value, local)}
        case ast.JoinedStr(values=parts):
            texts = {""}
            for part in parts:
                ends: Sequence[str] = ("{?}",)
                if isinstance(part, ast.FormattedValue):
                    ends = FILLED.get(ast.unparse(part.value), ends)
                elif isinstance(part, ast.Constant):
                    ends = (str(part.value),)
                texts = {text + end for text in texts for end in ends}
            return texts
    return set()


def calls_of(
    function: ast.AST, methods: Sequence[str]
) -> Iterator[tuple[ast.Call, list[set[str]]]]:
    """Calls of methods inside a function, each with the words that each argument can be."""
    local: dict[str, list[ast.expr]] = {}
    for node in ast.walk(function):
        if isinstance(node, ast.Assign):
            for target in node.targets:
                if isinstance(target, ast.Name):
                    local.setdefault(target.id, []).append(node.value)
    for node in ast.walk(function):
        if isinstance(node, ast.Call) and _called(node.func) in methods:
            yield node, [names_in(argument, local) for argument in node.args]


def _called(function: ast.expr) -> str:
    match function:
        case ast.Attribute(attr=name) | ast.Name(id=name):
            return name
    return ""
