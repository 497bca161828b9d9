"""Marks in the package's own code: each block of statements says that it was reached.

A mark is ``__reached__[7] = 1``, put into the syntax tree where a block begins and after whatever
branches. So a run costs about a tenth more, where a tracer of each line makes it thrice as long.
"""

from __future__ import annotations

import ast
import hashlib
import importlib.abc
import importlib.machinery
import marshal
import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from importlib.machinery import ModuleSpec, SourceFileLoader
from pathlib import Path
from types import CodeType, ModuleType

REPOSITORY = Path(__file__).parent.parent
PACKAGE = "panelbridge"
STORE = REPOSITORY / "build" / "marks"
NAME = "__reached__"


@dataclass(frozen=True)
class Mark:
    """The beginning of a block.

    Attributes:
        line: where it stands.
        statements: how many come, without a branch in between.
        is_arm: it is an arm of a branch or a loop, or what stands for the one that is not written.
    """

    line: int
    statements: int
    is_arm: bool


class _Marker:
    """Puts marks into a file's tree."""

    def __init__(self) -> None:
        self.marks: list[Mark] = []

    def block(self, body: list[ast.stmt], *, is_arm: bool = False) -> list[ast.stmt]:
        """The same statements with marks, and those inside them."""
        marked: list[ast.stmt] = []
        begins, at = True, 0
        while at < len(body):
            if begins and not _must_be_first(body[at]):
                rest = body[at:]
                simple = next((n for n, one in enumerate(rest) if _branches(one)), len(rest) - 1)
                marked.append(self._mark(body[at], simple + 1, is_arm=is_arm))
                begins = is_arm = False
            self._inside(body[at])
            marked.append(body[at])
            begins = begins or _branches(body[at])
            at += 1
        return marked

    def _mark(self, at: ast.stmt, statements: int, *, is_arm: bool) -> ast.stmt:
        self.marks.append(Mark(at.lineno, statements, is_arm))
        mark = ast.parse(f"{NAME}[{len(self.marks) - 1}] = 1").body[0]
        for node in ast.walk(mark):
            ast.copy_location(node, at)
        return mark

    def _arm(self, body: list[ast.stmt], of: ast.stmt) -> list[ast.stmt]:
        return self.block(body, is_arm=True) if body else [self._mark(of, 0, is_arm=True)]

    def _inside(self, node: ast.stmt) -> None:
        match node:
            case ast.FunctionDef() | ast.AsyncFunctionDef():
                if not _is_abstract(node.body):
                    node.body = self.block(node.body)
            case ast.ClassDef():
                for one in node.body:
                    self._inside(one)
            case ast.If(test=ast.Name(id="TYPE_CHECKING")):
                pass
            case ast.If() | ast.For() | ast.AsyncFor():
                node.body, node.orelse = self._arm(node.body, node), self._arm(node.orelse, node)
            case ast.While():
                node.body = self._arm(node.body, node)
                if not isinstance(node.test, ast.Constant):
                    node.orelse = self._arm(node.orelse, node)
            case ast.Match():
                for case in node.cases:
                    case.body = self._arm(case.body, node)
            case ast.Try() | ast.TryStar():
                node.body = self.block(node.body)
                for handler in node.handlers:
                    handler.body = self.block(handler.body)
                node.orelse, node.finalbody = self.block(node.orelse), self.block(node.finalbody)
            case ast.With() | ast.AsyncWith():
                node.body = self.block(node.body)
            case _:
                pass


def _must_be_first(node: ast.stmt) -> bool:
    """A docstring, and what comes from the future."""
    is_text = isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    return is_text or (isinstance(node, ast.ImportFrom) and node.module == "__future__")


def _branches(node: ast.stmt) -> bool:
    kinds = (ast.If, ast.For, ast.AsyncFor, ast.While, ast.Match, ast.Try, ast.TryStar)
    return isinstance(node, (*kinds, ast.With, ast.AsyncWith))


def _is_abstract(body: Sequence[ast.stmt]) -> bool:
    return all(isinstance(one, ast.Expr) and isinstance(one.value, ast.Constant) for one in body)


def marked(source: bytes, path: str) -> tuple[list[Mark], CodeType]:
    """A file's marks, and its code with them."""
    marker, tree = _Marker(), ast.parse(source)
    tree.body = marker.block(tree.body)
    return marker.marks, compile(tree, path, "exec", dont_inherit=True)


def stored(path: Path) -> tuple[list[Mark], CodeType]:
    """The same, made once for each state of the file and of this one."""
    source = path.read_bytes()
    mine = Path(__file__).read_bytes()
    key = hashlib.sha256(mine + sys.version.encode() + str(path).encode() + source).hexdigest()
    file = STORE / key[:32]
    try:
        rows, code = marshal.loads(file.read_bytes())
        return [Mark(*row) for row in rows], code
    except (OSError, EOFError, ValueError):
        marks, code = marked(source, str(path))
        STORE.mkdir(parents=True, exist_ok=True)
        new = file.with_suffix(f".{os.getpid()}")
        rows = [(mark.line, mark.statements, mark.is_arm) for mark in marks]
        new.write_bytes(marshal.dumps((rows, code)))
        new.replace(file)
        return marks, code


REACHED: dict[str, bytearray] = {}
"""What of each loaded file was reached, a byte a mark, by its path in the repository."""


class _Loader(SourceFileLoader):
    def get_code(self, fullname: str) -> CodeType:
        return stored(Path(self.get_filename(fullname)))[1]

    def exec_module(self, module: ModuleType) -> None:
        path = Path(self.path)
        reached = bytearray(len(stored(path)[0]))
        REACHED[path.relative_to(REPOSITORY).as_posix()] = reached
        vars(module)[NAME] = reached
        super().exec_module(module)


class Finder(importlib.abc.MetaPathFinder):
    """Finds the package's modules before anyone else, to load them with marks."""

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        if fullname.partition(".")[0] != PACKAGE:
            return None
        spec = importlib.machinery.PathFinder.find_spec(fullname, path, target)
        if spec is not None and isinstance(spec.loader, SourceFileLoader):
            spec.loader = _Loader(fullname, spec.loader.path)
        return spec
