"""What could somebody have written wrong in a module of the calculation? One small change at a time.

Left out is what no test should hold: docstrings and type annotations, texts, `__all__`, the words of a check's
explanation, the sentence of an error, and ``strict`` of a `zip`, which is a guard and no figure.
"""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import islice

__all__ = ["Mutant", "mutants_of"]

SWAPPED: dict[type[ast.AST], type[ast.AST]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.Pow: ast.Mult,
    ast.And: ast.Or,
    ast.Or: ast.And,
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
}
TWINS = {
    "min": "max",
    "minimum": "maximum",
    "sin": "cos",
    "floor": "ceil",
    "any": "all",
    "argmin": "argmax",
    "at_least_zero": "finite",
    "above_zero": "finite",
}
TWINS |= {second: first for first, second in TWINS.items() if second != "finite"}
LEFT_OUT = ("Explanation", "TypeVar", "Literal", "cast")


Change = Callable[[ast.AST], None]


@dataclass(frozen=True)
class Mutant:
    """One change of a module's text: the line and column it is at, and what it does."""

    text: str
    line: int
    column: int
    what: str
    number: int
    change: Change

    def source(self) -> str:
        """The whole module with the change."""
        tree = ast.parse(self.text)
        self.change(next(islice(ast.walk(tree), self.number, None)))
        return ast.unparse(tree)


def mutants_of(text: str) -> list[Mutant]:
    """Every change of a module."""
    tree = ast.parse(text)
    numbered = {id(node): number for number, node in enumerate(ast.walk(tree))}
    return [
        Mutant(text, line, column, what, numbered[id(node)], change)
        for node, line, column in _nodes(tree)
        for what, change in _changes_of(node)
    ]


def _nodes(node: ast.AST) -> Iterator[tuple[ast.AST, int, int]]:
    """The nodes whose change would be a mistake in the calculation, with their lines and columns."""
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "decorator_list", "bases"):
            continue
        for child in value if isinstance(value, list) else [value]:
            if not isinstance(child, ast.AST) or _is_left_out(child):
                continue
            if hasattr(child, "lineno"):
                yield child, child.lineno, child.col_offset
            yield from _nodes(child)


def _is_left_out(node: ast.AST) -> bool:
    if isinstance(node, (ast.Raise, ast.JoinedStr, ast.Import, ast.ImportFrom, ast.Assert)):
        return True
    if isinstance(node, ast.Assign) and any(
        isinstance(target, ast.Name) and target.id == "__all__" for target in node.targets
    ):
        return True
    if isinstance(node, ast.keyword):
        return node.arg == "strict"
    named = (
        node.func if isinstance(node, ast.Call) else node.value if isinstance(node, ast.Subscript) else None
    )
    return isinstance(named, ast.Name) and named.id in LEFT_OUT


def _changes_of(node: ast.AST) -> Iterator[tuple[str, Change]]:
    match node:
        case ast.Compare(ops=ops):
            for place, op in enumerate(ops):
                if type(op) in SWAPPED:
                    yield _swap(op), _setter("ops", SWAPPED[type(op)], place)
        case ast.BinOp(op=op) | ast.BoolOp(op=op) | ast.AugAssign(op=op) if type(op) in SWAPPED:
            yield _swap(op), _setter("op", SWAPPED[type(op)])
        case ast.UnaryOp(op=ast.USub()):
            yield "-x -> x", _setter("op", ast.UAdd)
        case ast.UnaryOp(op=ast.Invert()):
            yield "~x -> x", _setter("op", ast.UAdd)
        case ast.If(test=test) | ast.IfExp(test=test) | ast.While(test=test):
            yield f"not ({ast.unparse(test)})", _turned
        case ast.Constant(value=bool(value)):
            yield f"{value} -> {not value}", _valued(not value)
        case ast.Constant(value=int(value)):
            yield f"{value} -> {value + 1}", _valued(value + 1)
        case ast.Constant(value=float(value)):
            other = value * 1.25 + 1e-3 if value else 1.0
            yield f"{value} -> {other:g}", _valued(other)
        case ast.Name(id=name) if name in TWINS:
            yield f"{name} -> {TWINS[name]}", _named("id", TWINS[name])
        case ast.Attribute(attr=name) if name in TWINS:
            yield f"{name} -> {TWINS[name]}", _named("attr", TWINS[name])
        case ast.Continue():
            yield "continue -> break", lambda found: setattr(found, "__class__", ast.Break)
        case ast.Break():
            yield "break -> continue", lambda found: setattr(found, "__class__", ast.Continue)


def _swap(op: ast.AST) -> str:
    return f"{type(op).__name__} -> {SWAPPED[type(op)].__name__}"


def _setter(field: str, kind: type[ast.AST], place: int | None = None) -> Change:
    def act(node: ast.AST) -> None:
        if place is None:
            setattr(node, field, kind())
        else:
            getattr(node, field)[place] = kind()

    return act


def _valued(value: object) -> Change:
    return lambda node: setattr(node, "value", value)


def _named(field: str, name: str) -> Change:
    return lambda node: setattr(node, field, name)


def _turned(node: ast.AST) -> None:
    assert isinstance(node, (ast.If, ast.IfExp, ast.While))
    node.test = ast.UnaryOp(ast.Not(), node.test)
