"""Small faults in a module's source, one at a time: which there are, and putting one in.

Comparisons, arithmetic and signs, conditions, numbers, calls, returned values and keywords are
changed. What no test can or should notice is left alone: docstrings, annotations, decorators,
assertions for the type checker, error texts.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, TypeGuard

_COMPARED: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}
_COMPUTED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.FloorDiv,
    ast.Pow: ast.Mult,
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
}
_NAMES = {
    "min": "max", "max": "min", "any": "all", "all": "any",
    "minimum": "maximum", "maximum": "minimum", "argmin": "argmax", "argmax": "argmin",
    "fmin": "fmax", "nanmin": "nanmax", "ceil": "floor", "floor": "ceil",
}  # fmt: skip
# Decimal numbers are made this much larger and smaller, and 0; whole ones go up and down by 1.
_STEP = 0.25
_EMPTY = ("None", "False", "True")
# Only type checkers, or a check that cannot fail, look at these.
_UNSEEN_CALLS = frozenset({"TypeVar", "ParamSpec", "cast", "field"})
_UNSEEN_KEYWORDS = frozenset({"strict"})
_UNSEEN_FIELDS = frozenset({"annotation", "returns", "decorator_list", "bases", "format_spec"})
_HEADERS = {ast.If: "test", ast.While: "test", ast.For: "iter", ast.Match: "subject"}


@dataclass(frozen=True, eq=False)
class Mutant:
    """One fault.

    Attributes
    ----------
    module : str
    line : int
    text : str
        The source line it is in, without indentation.
    change : str
        What was there, an arrow, and what is put there.
    scope : str or None
        Dotted name in the module of the outermost function it is in; None outside of functions.
    lines : range
        A test that ran none of these lines cannot notice it.
    """

    module: str
    line: int
    text: str
    change: str
    scope: str | None
    lines: range
    _tree: ast.Module = field(repr=False)
    _parent: ast.AST = field(repr=False)
    _field: str = field(repr=False)
    _index: int | None = field(repr=False)
    _new: ast.AST = field(repr=False)

    def put_in(self) -> ast.Module:
        """The module's tree with the fault. For good: the tree is the one of all its mutants."""
        if self._index is None:
            setattr(self._parent, self._field, self._new)
        else:
            getattr(self._parent, self._field)[self._index] = self._new
        return ast.fix_missing_locations(self._tree)


@dataclass(frozen=True)
class _Where:
    """The way down to a node."""

    parent: ast.AST
    field: str
    index: int | None
    scope: str | None = None
    inside: bool = False
    lines: range = range(0)
    truth: bool = False


def mutants_of(module: str, path: Path) -> list[Mutant]:
    """All faults, in the order of the source."""
    source = path.read_text(encoding="utf-8")
    tree = ast.parse(source)
    texts = source.splitlines()
    found: dict[tuple[int, int, str], Mutant] = {}
    for node, new, where in _changes(tree):
        change = f"{_short(node)} -> {_short(new)}"
        line = node.lineno
        key = (line, node.col_offset, change)
        found.setdefault(
            key,
            Mutant(
                module=module, line=line, text=texts[line - 1].strip(), change=change,
                scope=where.scope if where.inside else None, lines=where.lines, _tree=tree,
                _parent=where.parent, _field=where.field, _index=where.index,
                _new=ast.copy_location(new, node),
            ),
        )  # fmt: skip
    return sorted(found.values(), key=lambda m: m.line)


def _short(node: ast.AST) -> str:
    return " ".join(ast.unparse(node).split())


def _changes(tree: ast.Module) -> Iterator[tuple[Any, ast.AST, _Where]]:
    for i, node in enumerate(tree.body):
        yield from _walk(node, _Where(tree, "body", i))


def _walk(node: ast.AST, where: _Where) -> Iterator[tuple[Any, ast.AST, _Where]]:
    if _unseen(node):
        return
    if isinstance(node, ast.stmt):
        header = getattr(node, _HEADERS.get(type(node), ""), None)
        last = header.end_lineno if header else node.end_lineno or node.lineno
        where = replace(where, lines=range(node.lineno, last + 1))
    for new in _faults(node, where):
        yield node, new, where
    below = where
    if isinstance(node, ast.ClassDef | ast.FunctionDef) and not where.inside:
        scope = f"{where.scope}.{node.name}" if where.scope else node.name
        below = replace(where, scope=scope)
    if isinstance(node, ast.FunctionDef):
        truth = isinstance(node.returns, ast.Name) and node.returns.id == "bool"
        below = replace(below, truth=truth)
    for name, value in ast.iter_fields(node):
        if name in _UNSEEN_FIELDS or (isinstance(node, ast.Raise) and name == "exc"):
            continue
        # Default values are made where the function is, not when it runs.
        inside = where.inside or (isinstance(node, ast.FunctionDef) and name == "body")
        down = replace(below, parent=node, field=name, inside=inside)
        if isinstance(value, list):
            for i, child in enumerate(value):
                if isinstance(child, ast.AST):
                    yield from _walk(child, replace(down, index=i))
        elif isinstance(value, ast.AST):
            yield from _walk(value, replace(down, index=None))


def _unseen(node: ast.AST) -> bool:
    """Whether nothing a program does depends on it."""
    match node:
        case ast.keyword(arg=name) if name in _UNSEEN_KEYWORDS:
            return True
        case ast.Assert() | ast.Import() | ast.ImportFrom():
            return True
        case ast.Expr(value=ast.Constant()):  # docstrings, the dots of a protocol
            return True
        case ast.Call(func=ast.Name(id=name)) if name in _UNSEEN_CALLS:
            return True
        case ast.Call(func=ast.Attribute(value=ast.Name(id="log" | "logger" | "logging"))):
            return True
        case ast.If(test=ast.Name(id="TYPE_CHECKING")):
            return True
        case ast.If(test=ast.Compare(left=ast.Name(id="__name__"))):
            return True
    return False


def _faults(node: ast.AST, where: _Where) -> Iterator[ast.AST]:
    """Everything that may stand in a node's place."""
    if _condition(node, where):
        yield ast.UnaryOp(ast.Not(), node)
    match node:
        case ast.Compare(left, ops, comparators):
            for i, op in enumerate(ops):
                for other in _COMPARED[type(op)]:
                    yield ast.Compare(left, [*ops[:i], other(), *ops[i + 1 :]], comparators)
        case ast.BinOp(left, op, right) if type(op) in _COMPUTED and not _text(left, right):
            yield ast.BinOp(left, _COMPUTED[type(op)](), right)
        case ast.AugAssign(target, op, value) if type(op) in _COMPUTED:
            yield ast.AugAssign(target, _COMPUTED[type(op)](), value)
        case ast.UnaryOp(op=ast.Not() | ast.USub() | ast.Invert(), operand=operand):
            yield operand
        case ast.BoolOp(op, values):
            yield ast.BoolOp(ast.Or() if isinstance(op, ast.And) else ast.And(), values)
            for i in range(len(values)):
                rest = [*values[:i], *values[i + 1 :]]
                yield rest[0] if len(rest) == 1 else ast.BoolOp(op, rest)
        case ast.Constant(value=value):
            yield from (ast.Constant(other) for other in _other_numbers(value))
        case ast.Call(func, args, keywords):
            yield from _other_calls(func, args, keywords)
        case ast.Expr(value=ast.Call() | ast.Yield() | ast.YieldFrom()) | ast.Raise():
            yield ast.Pass()
        # None is as good as False, and False for True comes with the constants.
        case ast.Return(value=value) if value is not None and _short(value) not in _EMPTY:
            yield ast.Return(ast.Constant(None))
        case ast.Break():
            yield ast.Continue()
        case ast.Continue():
            yield ast.Break()


def _other_numbers(value: object) -> list[bool] | list[int] | list[float]:
    if isinstance(value, bool):
        return [not value]
    if isinstance(value, int):
        return [value + 1, value - 1]
    if isinstance(value, float):
        # Without the last bit of the product, which says nothing and reads badly.
        step = [float(f"{value * factor:.12g}") for factor in (1 + _STEP, 1 - _STEP)]
        return [*step, 0.0] if value else [1.0]
    return []


def _other_calls(
    func: ast.expr, args: list[ast.expr], keywords: list[ast.keyword]
) -> Iterator[ast.expr]:
    match func:
        case ast.Name(id=name) if name in _NAMES:
            yield ast.Call(ast.Name(_NAMES[name], ast.Load()), args, keywords)
        case ast.Attribute(value=value, attr=name) if name in _NAMES:
            yield ast.Call(ast.Attribute(value, _NAMES[name], ast.Load()), args, keywords)
        case ast.Name(id="abs"):
            yield args[0]
    for i, keyword in enumerate(keywords):
        if keyword.arg and keyword.arg not in _UNSEEN_KEYWORDS:
            yield ast.Call(func, args, [*keywords[:i], *keywords[i + 1 :]])


def _condition(node: ast.AST, where: _Where) -> TypeGuard[ast.expr]:
    """Whether something is decided by it that no other fault turns round."""
    decides = where.field in ("test", "ifs") or (
        where.truth and isinstance(where.parent, ast.Return)
    )
    negated = isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not)
    single = isinstance(node, ast.Compare) and len(node.ops) == 1
    return decides and not (negated or single or isinstance(node, ast.Constant))


def _text(*nodes: ast.expr) -> bool:
    return any(
        isinstance(n, ast.JoinedStr) or (isinstance(n, ast.Constant) and isinstance(n.value, str))
        for n in nodes
    )
