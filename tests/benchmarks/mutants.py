"""Small faults made in code: one changed operator, number or branch each.

The operators are the usual ones of mutation testing (Offutt and others, "An experimental determination of sufficient
mutant operators", 1996; from memory): relational, arithmetic and logical operators, constants, and returns. Texts are
left alone, for words are tested by what reads them; so are annotations, decorators and docstrings.
"""

from __future__ import annotations

import ast
import copy
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

_COMPARISONS: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
}
_ARITHMETIC: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
}
_SKIPPED_FIELDS = {"annotation", "returns", "decorator_list", "type_params"}


@dataclass(frozen=True, slots=True)
class Mutant:
    """The fault number `index` of a module: where it is, and what it changes."""

    path: Path
    index: int
    line: int
    what: str

    @property
    def module(self) -> str:
        """The module's dotted name, the path being relative to the root."""
        return ".".join(self.path.with_suffix("").parts).removesuffix(".__init__")

    def tree(self) -> ast.Module:
        """The module's code with the fault in it."""
        tree = ast.parse(self.path.read_text(encoding="utf-8"))
        for index, (node, changed) in enumerate(_changes(tree)):
            if index == self.index:
                _put(tree, node, changed)
                return ast.fix_missing_locations(tree)
        raise IndexError(f"{self.path} has no fault {self.index}")


def mutants_of(path: Path) -> list[Mutant]:
    """Every fault that can be made in a module."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return [
        Mutant(path, index, getattr(node, "lineno", 0), f"{ast.unparse(node)}  ->  {ast.unparse(changed)}")
        for index, (node, changed) in enumerate(_changes(tree))
    ]


def _changes(tree: ast.Module) -> Iterator[tuple[ast.AST, ast.AST]]:
    for node in _code(tree):
        for changed in _faults(node):
            yield node, ast.copy_location(changed, node)


def _code(node: ast.AST) -> Iterator[ast.AST]:
    """The nodes that do something, in order."""
    yield node
    for name, value in ast.iter_fields(node):
        if name in _SKIPPED_FIELDS:
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST):
                yield from _code(child)


def _faults(node: ast.AST) -> Iterator[ast.AST]:
    if isinstance(node, ast.Compare):
        changed = copy.deepcopy(node)
        changed.ops[0] = _COMPARISONS[type(node.ops[0])]()
        yield changed
    elif isinstance(node, ast.BinOp | ast.AugAssign) and type(node.op) in _ARITHMETIC:
        other = copy.deepcopy(node)
        other.op = _ARITHMETIC[type(node.op)]()
        yield other
    elif isinstance(node, ast.BoolOp):
        yield ast.BoolOp(ast.Or() if isinstance(node.op, ast.And) else ast.And(), node.values)
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
        yield node.operand
    elif isinstance(node, ast.IfExp):
        yield ast.IfExp(node.test, node.orelse, node.body)
    elif isinstance(node, ast.Constant):
        yield from _constants(node)
    elif isinstance(node, ast.Return) and node.value is not None and not _is_none(node.value):
        yield ast.Return(ast.Constant(None))


def _constants(node: ast.Constant) -> Iterator[ast.AST]:
    value = node.value
    if isinstance(value, bool):
        yield ast.Constant(not value)
    elif isinstance(value, int):
        yield ast.Constant(value + 1)
    elif isinstance(value, float):
        yield ast.Constant(value * 1.5 if value else 1.0)


def _is_none(node: ast.expr) -> bool:
    return isinstance(node, ast.Constant) and node.value is None


def _put(tree: ast.Module, old: ast.AST, new: ast.AST) -> None:
    """`new` in the place of `old`."""
    for parent in ast.walk(tree):
        for name, value in ast.iter_fields(parent):
            if value is old:
                setattr(parent, name, new)
            elif isinstance(value, list):
                value[:] = [new if each is old else each for each in value]
