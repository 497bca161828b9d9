"""What the keys of a model are, in words: the texts under its fields, read when they are needed.

Pydantic reads them while it makes the model (``use_attribute_docstrings``), which took a third of
the time in which the program starts, though only errors and schemas show them.
"""

from __future__ import annotations

import ast
import inspect
import sys
from functools import cache
from itertools import pairwise

from pydantic import BaseModel


@cache
def key_descriptions(model: type[BaseModel]) -> dict[str, str]:
    """The text of every key of ``model`` that has one, by key."""
    texts: dict[str, str] = {}
    for part in reversed(model.__mro__):
        if issubclass(part, BaseModel) and part is not BaseModel:
            texts |= _texts_of(part.__module__).get(part.__qualname__, {})
    own = {name: info.description for name, info in model.model_fields.items()}
    return texts | {name: text for name, text in own.items() if text}


@cache
def _texts_of(module: str) -> dict[str, dict[str, str]]:
    """The texts under the fields of every class of a module, by the class's name."""
    try:
        source = inspect.getsource(sys.modules[module])
    except OSError:  # shipped without its source
        return {}
    found: dict[str, dict[str, str]] = {}
    waiting: list[tuple[str, ast.stmt]] = [("", one) for one in ast.parse(source).body]
    while waiting:
        outer, statement = waiting.pop()
        if isinstance(statement, ast.ClassDef):
            name = f"{outer}{statement.name}"
            found[name] = dict(_texts_in(statement))
            waiting += [(f"{name}.", one) for one in statement.body]
    return found


def _texts_in(body: ast.ClassDef) -> list[tuple[str, str]]:
    return [
        (field.target.id, inspect.cleandoc(text.value.value))
        for field, text in pairwise(body.body)
        if isinstance(field, ast.AnnAssign)
        and isinstance(field.target, ast.Name)
        and isinstance(text, ast.Expr)
        and isinstance(text.value, ast.Constant)
        and isinstance(text.value.value, str)
    ]
