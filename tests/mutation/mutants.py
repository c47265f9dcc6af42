"""Small wrongs, each made in one place of a module: what the tests should notice.

A mutant is named by its module, the function it stands in, its kind and which of its kind it is
there, so that the same one is found again after lines above it have moved.
"""

from __future__ import annotations

import ast
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
ROOMS = ("survey", "layout", "checks", "cuts")

# An order turned round where it is equal, and the whole order turned.
AT_THE_TIE = {ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt}
TURNED = {
    ast.Lt: ast.GtE, ast.LtE: ast.Gt, ast.Gt: ast.LtE, ast.GtE: ast.Lt,
    ast.Eq: ast.NotEq, ast.NotEq: ast.Eq, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
    ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
SUMS = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
    ast.FloorDiv: ast.Div, ast.Mod: ast.Mult, ast.Pow: ast.Mult, ast.BitOr: ast.BitAnd,
}  # fmt: skip
# Two functions alike in what they take, one way and the other.
CALLS = {
    "min": "max", "max": "min", "floor": "ceil", "ceil": "floor", "sin": "cos", "cos": "sin",
    "tan": "sin", "any": "all", "all": "any", "fmin": "fmax", "fmax": "fmin",
    "minimum": "maximum", "maximum": "minimum", "bisect_left": "bisect_right",
    "bisect_right": "bisect_left", "argmin": "argmax", "argmax": "argmin",
}  # fmt: skip
# Calls whose place their own first argument can take.
PASSED_ON = {"abs", "fabs", "round", "sorted", "reversed", "radians", "degrees", "sqrt"}
# Words of the trade that stand over against each other in names.
OVER_AGAINST = (
    ("low", "high"), ("lower", "upper"), ("top", "bottom"), ("start", "end"), ("first", "last"),
    ("left", "right"), ("width", "depth"), ("least", "greatest"), ("rise", "run"),
    ("before", "after"), ("up", "down"), ("inner", "outer"),
)  # fmt: skip
OPPOSITE = {a: b for pair in OVER_AGAINST for a, b in (pair, pair[::-1])}


@dataclass(frozen=True)
class Mutant:
    """One small wrong.

    `module` is dotted; `place` the function or class it stands in, dotted, "" for the module;
    `kind` what is done; `nth` which of that kind in that place; `line` where it stands now, from 1;
    `was` and `now` the source before and after.
    """

    module: str
    place: str
    kind: str
    nth: int
    line: int
    was: str
    now: str

    @property
    def name(self) -> str:
        """What finds it again."""
        return f"{self.module}:{self.place}:{self.kind}:{self.nth}"


def modules() -> list[str]:
    """The dotted names of the solving rooms' modules, sorted."""
    files = [path for room in ROOMS for path in (ROOT / "railsheet" / room).rglob("*.py")]
    return sorted(".".join(path.relative_to(ROOT).with_suffix("").parts) for path in files)


def source_of(module: str) -> Path:
    """The file of a dotted module."""
    return ROOT.joinpath(*module.split(".")).with_suffix(".py")


def mutants_of(module: str) -> list[Mutant]:
    """All of a module's mutants, in order of the file."""
    return [mutant for mutant, _ in _all(module)]


def tree_with(mutant: Mutant) -> ast.Module | None:
    """The module's tree with that mutant in it; None where it is found no more."""
    return next((tree for other, tree in _all(mutant.module) if other.name == mutant.name), None)


def _all(module: str) -> Iterator[tuple[Mutant, ast.Module]]:
    """Each mutant with the tree that has it: the tree is mended again before the next."""
    tree = ast.parse(source_of(module).read_text(encoding="utf-8"))
    attributes = {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)}
    seen: Counter[tuple[str, str]] = Counter()
    for node, holder, field, at, place in _nodes(tree):
        for kind, new in _wrongs(node, attributes):
            ast.copy_location(new, node)
            ast.fix_missing_locations(new)
            key = (place, kind)
            mutant = Mutant(
                module, place, kind, seen[key], node.lineno, ast.unparse(node), ast.unparse(new)
            )
            seen[key] += 1
            _put(holder, field, at, new)
            yield mutant, tree
            _put(holder, field, at, node)


Spot = tuple[ast.expr | ast.stmt, ast.AST, str, int | None, str]


def _nodes(tree: ast.Module) -> Iterator[Spot]:
    """Every node that may be made wrong, with where it hangs and the function it stands in."""
    waiting: list[tuple[ast.AST, str]] = [(tree, "")]
    while waiting:
        holder, place = waiting.pop()
        below: list[tuple[ast.AST, str]] = []
        for field, value in ast.iter_fields(holder):
            if field in ("annotation", "returns", "decorator_list", "type_params", "format_spec"):
                continue
            for at, node in enumerate(value) if isinstance(value, list) else [(None, value)]:
                if not isinstance(node, ast.AST) or _beside_the_point(node):
                    continue
                inside = place
                if isinstance(node, ast.FunctionDef | ast.ClassDef):
                    inside = f"{place}.{node.name}".lstrip(".")
                if isinstance(node, ast.expr | ast.stmt):
                    yield node, holder, field, at, place
                below.append((node, inside))
        waiting.extend(reversed(below))


def _beside_the_point(node: ast.AST) -> bool:
    """What a message says, what is imported, and what only a type checker reads."""
    if isinstance(node, ast.Raise | ast.Import | ast.ImportFrom):
        return True
    return isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"


def _put(holder: ast.AST, field: str, at: int | None, node: ast.AST) -> None:
    if at is None:
        setattr(holder, field, node)
    else:
        getattr(holder, field)[at] = node


def _wrongs(node: ast.expr | ast.stmt, attributes: set[str]) -> Iterator[tuple[str, ast.AST]]:
    """The wrongs of one node, as their kind and what stands in its place."""
    match node:
        case ast.Compare(ops=[*ops]):
            for i, op in enumerate(ops):
                for kind, table in (("tie", AT_THE_TIE), ("turned", TURNED)):
                    if type(op) in table:
                        new = [*ops[:i], table[type(op)](), *ops[i + 1 :]]
                        yield kind, ast.Compare(node.left, new, node.comparators)
        case ast.BinOp(op=op) if type(op) in SUMS and not _is_text(node):
            yield "sum", ast.BinOp(node.left, SUMS[type(op)](), node.right)
        case ast.UnaryOp(op=ast.USub() | ast.Not(), operand=operand):
            yield "sign", operand
        case ast.BoolOp(op=op):
            other = ast.Or() if isinstance(op, ast.And) else ast.And()
            yield "logic", ast.BoolOp(other, node.values)
        case ast.Constant(value=bool(value)):
            yield "truth", ast.Constant(not value)
        case ast.Constant(value=int(value)):
            yield "number", ast.Constant(value + 1)
        case ast.Constant(value=float(value)):
            # A tolerance a tenth wider is no wrong; one of a whole millimetre is.
            yield "number", ast.Constant(1.0 if abs(value) < 1e-3 else value * 1.25)
        case ast.Call():
            yield from _wrong_calls(node)
        case ast.IfExp():
            yield "choice", ast.IfExp(node.test, node.orelse, node.body)
        case ast.If(test=test) if not isinstance(test, ast.Compare | ast.UnaryOp | ast.BoolOp):
            yield "choice", ast.If(ast.UnaryOp(ast.Not(), test), node.body, node.orelse)
        case ast.AugAssign() | ast.Expr(value=ast.Call()):
            yield "left out", ast.Pass()
        case ast.Continue():
            yield "loop", ast.Break()
        case ast.Break():
            yield "loop", ast.Continue()
        case ast.Attribute(attr=attr, ctx=ast.Load()):
            for other in _opposites(attr):
                if other in attributes:
                    yield "name", ast.Attribute(node.value, other, ast.Load())
        case _:
            return


def _wrong_calls(node: ast.Call) -> Iterator[tuple[str, ast.AST]]:
    name = getattr(node.func, "attr", getattr(node.func, "id", ""))
    if name in CALLS:
        func = node.func
        if isinstance(func, ast.Attribute):
            yield (
                "call",
                ast.Call(
                    ast.Attribute(func.value, CALLS[name], ast.Load()), node.args, node.keywords
                ),
            )
        else:
            # The other may not be imported by its bare name; its module always can be.
            library = "builtins" if name in ("min", "max", "any", "all") else "math"
            library = "bisect" if name.startswith("bisect") else library
            yield "call", ast.Call(_from(library, CALLS[name]), node.args, node.keywords)
    if name in PASSED_ON and node.args:
        yield "call left out", node.args[0]


def _from(library: str, name: str) -> ast.expr:
    bring = ast.Call(ast.Name("__import__", ast.Load()), [ast.Constant(library)], [])
    return ast.Attribute(bring, name, ast.Load())


def _opposites(attr: str) -> Iterator[str]:
    words = attr.split("_")
    for i, word in enumerate(words):
        if word in OPPOSITE:
            yield "_".join([*words[:i], OPPOSITE[word], *words[i + 1 :]])


def _is_text(node: ast.BinOp) -> bool:
    """Whether a sum joins texts: a wrong there is a traceback, no wrong number."""
    sides = (node.left, node.right)
    return any(
        isinstance(side, ast.JoinedStr)
        or (isinstance(side, ast.Constant) and isinstance(side.value, str))
        for side in sides
    )
