"""Makes the mutants: a copy of the logic in which each function stands beside its mutants.

The mutants are those of mutmut 3. It leaves out what a decorator changes, and with it every
property; here properties are mutated too. What stands outside functions (the tables of rules, the
fields of parameters and their limits) is not mutated.
"""

from __future__ import annotations

import ast
import difflib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import libcst as cst
from mutmut.mutation import file_mutation

HOOK = "from mutmut.mutation.trampoline import wrap_in_trampoline as _mutmut_mutated, MutantDict"
OWN_HOOK = "from tests.mutation.switch import wrap as _mutmut_mutated, MutantDict"


@dataclass(frozen=True, slots=True)
class Mutant:
    """One mutant.

    Attributes:
        name: module and name of the mutated copy, joined by a colon.
        function: module and qualified name of the function it is a mutant of.
        diff: the lines that differ.
    """

    name: str
    function: str
    diff: str

    @property
    def module(self) -> str:
        """The module of the logic that it is in, e.g. ``gear.legs``."""
        return self.name.partition(":")[0].removeprefix("panelbridge.logic.")


def mutate(source: Path, target: Path, module: str) -> list[Mutant]:
    """Write the mutated copy of a file; returns its mutants."""
    mutated = file_mutation.mutate_file_contents(str(source), source.read_text("utf-8"))
    code = mutated.code.replace(HOOK, OWN_HOOK)
    target.write_text(code, "utf-8")
    lines = code.splitlines()
    texts = {
        node.name: lines[node.lineno - 1 : node.end_lineno]
        for node in ast.walk(ast.parse(code))
        if isinstance(node, ast.FunctionDef) and "__mutmut_" in node.name
    }
    mutants = []
    for name in mutated.mutant_names:
        stem = name.rpartition("_")[0]
        function = stem.removesuffix("__mutmut").removeprefix("x")
        function = function.replace("ǁ", ".").lstrip(".") if "ǁ" in function else function[1:]
        diff = _diff(texts[f"{stem}_orig"], texts[name])
        mutants.append(Mutant(f"{module}:{name}", f"{module}:{function}", diff))
    return mutants


def _diff(before: list[str], after: list[str]) -> str:
    told = difflib.unified_diff(before[1:], after[1:], lineterm="", n=0)
    return "\n".join(line for line in told if not line.startswith(("---", "+++", "@@")))


def with_properties() -> None:
    """Have mutmut mutate properties as well."""
    skip = file_mutation.MutationVisitor._skip_node_and_children

    def skip_or_not(self: Any, node: cst.CSTNode) -> bool:
        if isinstance(node, cst.FunctionDef) and len(node.decorators) == 1:
            decorator = node.decorators[0].decorator
            if isinstance(decorator, cst.Name) and decorator.value == "property":
                return False
        return bool(skip(self, node))

    file_mutation.MutationVisitor._skip_node_and_children = skip_or_not
