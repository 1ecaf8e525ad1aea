"""Small faults planted into a module's syntax tree, one at a time."""

import ast
import copy
import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
TARGETS = (
    "planner/scheduling/**/*.py",
    "planner/levels/*.py",
    "planner/matching/*.py",
    "planner/marks/*.py",
    "planner/services/day/gradebook.py",
    "planner/adapters/exports/gradebook/*.py",
    "planner/core/freshness.py",
    "planner/study/roadmap/*.py",
    "planner/study/time/*.py",
)
"""Where faults are planted: the rooms whose figures decide what an ensemble reads and how it is marked."""

LOOKS = frozenset({"set_widths", "width_for", "fit_height", "for_printing"})
"""Calls that only set out a page for the eye; faults inside them are not planted."""

_COMPARISONS: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip
_ARITHMETIC: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult, ast.Pow: ast.Mult, ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Mutant:
    """One fault.

    Attributes:
        file: The module, from the project's folder.
        number: Which of the module's faults it is, in order of the source.
        line: Line of the fault.
        lines: First and last line of the statement that holds it, without its body.
        place: Qualified name of the function or class it stands in; empty at the module's level.
        before: The expression or statement as it stands.
        after: What it becomes.
        is_on_import: Whether its line runs once, when the module is loaded.
        copy: Which of several equal faults in the same place.
    """

    file: str
    number: int
    line: int
    lines: tuple[int, int]
    place: str
    before: str
    after: str
    is_on_import: bool
    copy: int = 0

    @property
    def name(self) -> str:
        """What tells it from every other, wherever its line moves to."""
        nth = f" #{self.copy + 1}" if self.copy else ""
        return f"{self.file} {self.place or '(module)'}: {self.before} → {self.after}{nth}"

    def rank(self, seed: int) -> str:
        """Its place in the draw: the same whatever stands in other modules."""
        return hashlib.sha256(f"{seed} {self.name}".encode()).hexdigest()


def target_files() -> list[Path]:
    """The modules of ``TARGETS``."""
    return sorted({path for pattern in TARGETS for path in ROOT.glob(pattern) if path.name != "__init__.py"})


def mutants_of(path: Path) -> list[Mutant]:
    """Every fault that can be planted into a module."""
    tree, file = ast.parse(path.read_text(encoding="utf-8")), path.relative_to(ROOT).as_posix()
    found: list[Mutant] = []
    seen: dict[tuple[str, str, str], int] = {}
    for number, change in enumerate(_changes(tree)):
        before, after = (_text(node) for node in (change.shown, change.shown_after()))
        key = (change.place, before, after)
        seen[key] = seen.get(key, -1) + 1
        found.append(
            Mutant(
                file,
                number,
                change.node_line,
                _span(change.statement),
                *key,
                is_on_import=change.is_on_import,
                copy=seen[key],
            )
        )
    return found


def planted(path: Path, number: int) -> ast.Module:
    """The module's tree with one fault in it."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for at, change in enumerate(_changes(tree)):
        if at == number:
            change.make()
            return ast.fix_missing_locations(tree)
    raise IndexError(number)


@dataclass
class _Change:
    """A field of a node and its other value."""

    node: ast.AST
    field: str
    at: int | None
    value: object
    shown: ast.AST
    statement: ast.stmt
    place: str
    is_on_import: bool = False

    @property
    def node_line(self) -> int:
        """Line of what changes."""
        return getattr(self.shown, "lineno", self.statement.lineno)

    def make(self) -> None:
        if self.at is None:
            setattr(self.node, self.field, self.value)
        else:
            getattr(self.node, self.field)[self.at] = self.value

    def shown_after(self) -> ast.AST:
        """What is shown, changed; the tree itself stays as it is."""
        if isinstance(self.value, ast.AST) and getattr(self.node, self.field) is self.shown:
            return self.value
        if self.at is not None and getattr(self.node, self.field)[self.at] is self.shown:
            return self.value  # type: ignore[return-value]
        old = getattr(self.node, self.field) if self.at is None else getattr(self.node, self.field)[self.at]
        self.make()
        changed = copy.deepcopy(self.shown)
        if self.at is None:
            setattr(self.node, self.field, old)
        else:
            getattr(self.node, self.field)[self.at] = old
        return changed


def _text(node: ast.AST) -> str:
    text = " ".join(ast.unparse(node).split())
    return text if len(text) <= 110 else f"{text[:80]} … {text[-25:]}"


def _span(statement: ast.stmt) -> tuple[int, int]:
    """Lines of a statement without its body."""
    body = getattr(statement, "body", None)
    last = body[0].lineno - 1 if body else (statement.end_lineno or statement.lineno)
    return statement.lineno, max(statement.lineno, last)


def _changes(tree: ast.Module) -> Iterator[_Change]:
    yield from _block(tree.body, tree, "body", "", is_on_import=True)


def _block(
    body: list[ast.stmt], owner: ast.AST, field: str, place: str, *, is_on_import: bool
) -> Iterator[_Change]:
    for at, statement in enumerate(body):
        for change in _statement(statement, owner, field, at, place):
            change.is_on_import = change.is_on_import or (is_on_import and not _is_in_function(statement))
            yield change


def _is_in_function(statement: ast.stmt) -> bool:
    return isinstance(statement, ast.FunctionDef | ast.ClassDef)


def _statement(node: ast.stmt, owner: ast.AST, field: str, at: int, place: str) -> Iterator[_Change]:
    if isinstance(node, ast.Import | ast.ImportFrom | ast.Assert | ast.Pass | ast.Raise):
        return
    if isinstance(node, ast.ClassDef):
        inner = f"{place}.{node.name}" if place else node.name
        yield from _block(node.body, node, "body", inner, is_on_import=True)
        return
    if isinstance(node, ast.FunctionDef):
        inner = f"{place}.{node.name}" if place else node.name
        for change in _expressions(node.args, node.args, node, inner):
            change.is_on_import = True
            yield change
        yield from _block(node.body, node, "body", inner, is_on_import=False)
        return
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        return
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Call) and not _is_for_the_eye(node.value):
        yield _Change(owner, field, at, ast.Pass(), node, node, place)
    if isinstance(node, ast.Return) and node.value is not None and not _is_none(node.value):
        yield _Change(node, "value", None, ast.Constant(None), node, node, place)
    if isinstance(node, ast.If | ast.While) and _can_be_negated(node.test):
        yield _Change(node, "test", None, ast.UnaryOp(ast.Not(), node.test), node.test, node, place)
    if isinstance(node, ast.AugAssign) and type(node.op) in _ARITHMETIC:
        yield _Change(node, "op", None, _ARITHMETIC[type(node.op)](), node, node, place)
    if isinstance(node, ast.Break | ast.Continue):
        other = ast.Continue() if isinstance(node, ast.Break) else ast.Break()
        yield _Change(owner, field, at, other, node, node, place)
    for name, value in ast.iter_fields(node):
        if name in ("body", "orelse", "finalbody") and isinstance(value, list):
            yield from _block(value, node, name, place, is_on_import=False)
        elif name in ("handlers", "cases"):
            for part in value:
                yield from _block(part.body, part, "body", place, is_on_import=False)
        elif name not in ("annotation", "returns", "type_comment"):
            for child in value if isinstance(value, list) else [value]:
                if isinstance(child, ast.AST):
                    yield from _expressions(child, node, node, place)


def _expressions(root: ast.AST, parent: ast.AST, statement: ast.stmt, place: str) -> Iterator[_Change]:
    """Faults in an expression, outermost first."""
    if isinstance(root, ast.arg) or (isinstance(root, ast.Call) and _is_for_the_eye(root)):
        return
    if (
        isinstance(root, ast.keyword) and root.arg == "strict"
    ):  # of zip: it states what must hold, as an assertion does
        return
    if isinstance(root, ast.expr):
        yield from _own(root, parent, statement, place)
    if isinstance(root, ast.comprehension):
        for at, test in enumerate(root.ifs):
            if _can_be_negated(test):
                yield _Change(root, "ifs", at, ast.UnaryOp(ast.Not(), test), test, statement, place)
    if isinstance(root, ast.JoinedStr):
        inner = [part.value for part in root.values if isinstance(part, ast.FormattedValue)]
    else:
        inner = list(ast.iter_child_nodes(root))
    for child in inner:
        yield from _expressions(child, root, statement, place)


def _own(node: ast.expr, parent: ast.AST, statement: ast.stmt, place: str) -> Iterator[_Change]:
    def change(field: str, value: object, at: int | None = None, shown: ast.AST = node) -> _Change:
        return _Change(node, field, at, value, shown, statement, place)

    match node:
        case ast.Compare():
            for at, operator in enumerate(node.ops):
                if type(operator) in _COMPARISONS:
                    yield change("ops", _COMPARISONS[type(operator)](), at)
        case ast.BinOp() if type(node.op) in _ARITHMETIC:
            yield change("op", _ARITHMETIC[type(node.op)]())
        case ast.BoolOp():
            yield change("op", ast.Or() if isinstance(node.op, ast.And) else ast.And())
        case ast.UnaryOp(op=ast.Not()):
            yield change("operand", ast.UnaryOp(ast.Not(), node.operand))
        case ast.UnaryOp(op=ast.USub()):
            yield change("op", ast.UAdd())
        case ast.IfExp() if _can_be_negated(node.test):
            yield change("test", ast.UnaryOp(ast.Not(), node.test))
        case ast.Constant(value=bool() as value):
            yield change("value", not value, shown=parent)
        case ast.Constant(value=int() as value):
            yield change("value", value + 1, shown=parent)
        case ast.Constant(value=float() as value):
            yield change("value", value * 1.5 if value else 1.0, shown=parent)
        case _:
            pass


def _can_be_negated(test: ast.expr) -> bool:
    """Whether the opposite is no other fault already."""
    turned = isinstance(test, ast.UnaryOp) and isinstance(test.op, ast.Not)
    exact = ast.Eq | ast.NotEq | ast.In | ast.NotIn | ast.Is | ast.IsNot
    compared = isinstance(test, ast.Compare) and len(test.ops) == 1 and isinstance(test.ops[0], exact)
    return not turned and not compared


def _is_for_the_eye(call: ast.Call) -> bool:
    return isinstance(call.func, ast.Name) and call.func.id in LOOKS


def _is_none(node: ast.expr) -> bool:
    return isinstance(node, ast.Constant) and node.value is None
