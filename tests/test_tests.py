"""No test may pass by checking nothing: asserts in a loop are reached, or the loop is over ``some`` items."""

import ast
from pathlib import Path

import pytest

FOLDER = Path(__file__).resolve().parent


def is_never_empty(items: ast.expr) -> bool:
    """Whether a loop over this runs at least once: a display, a constant, a range, or ``some``."""
    if isinstance(items, ast.Tuple | ast.List | ast.Set | ast.Dict):
        return True
    if isinstance(items, ast.Name):
        return items.id.isupper()
    if isinstance(items, ast.Call):
        name = items.func.attr if isinstance(items.func, ast.Attribute) else getattr(items.func, "id", "")
        if name in ("some", "range"):
            return True
        inner = items.func.value if isinstance(items.func, ast.Attribute) else None
        parts = [*items.args, *([inner] if inner is not None else [])]
        wrapped = ("enumerate", "zip", "sorted", "reversed", "items", "values", "product")
        return name in wrapped and any(is_never_empty(part) for part in parts)
    return False


def checks(node: ast.AST) -> bool:
    """Whether something is asserted here: a statement, an expected error, or a call of a check."""
    for inner in ast.walk(node):
        if isinstance(inner, ast.Assert):
            return True
        if isinstance(inner, ast.With) and any("raises" in ast.unparse(item) for item in inner.items):
            return True
        if isinstance(inner, ast.Call):
            name = ast.unparse(inner.func).rpartition(".")[2]
            if name.startswith(("check", "assert", "expect", "fail")):
                return True
    return False


def always_checks(body: list[ast.stmt]) -> bool:
    """Whether every run through these statements asserts something."""
    for statement in body:
        if isinstance(statement, ast.For):
            if is_never_empty(statement.iter) and always_checks(statement.body):
                return True
        elif isinstance(statement, ast.If):
            if always_checks(statement.body) and always_checks(statement.orelse):
                return True
        elif isinstance(statement, ast.With):
            if any("raises" in ast.unparse(item) for item in statement.items) or always_checks(
                statement.body
            ):
                return True
        elif isinstance(statement, ast.Try):
            if always_checks([*statement.body, *statement.orelse, *statement.finalbody]):
                return True
        elif not isinstance(statement, ast.FunctionDef | ast.While) and checks(statement):
            return True
    return False


def hollow(source: str) -> list[str]:
    """Tests of a module whose asserts may all be passed over."""
    return [
        node.name
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.FunctionDef)
        and node.name.startswith("test")
        and checks(node)
        and not always_checks(node.body)
    ]


def test_no_test_can_pass_by_checking_nothing():
    found = {}
    for path in sorted(FOLDER.rglob("test_*.py")):
        name = path.relative_to(FOLDER).as_posix()
        if names := hollow(path.read_text(encoding="utf-8")):
            found[name] = names
    assert found == {}


@pytest.mark.parametrize(
    ("body", "is_hollow"),
    [
        ("for x in found(): assert x", True),
        ("for x in some(found()): assert x", False),
        ("for x in (1, 2):\n  for y in found(): assert y", True),
        ("for x in (1, 2):\n  if x: assert x", True),
        ("if found(): assert 1\n else: assert 2", False),
        ("for x in found(): assert x\n assert found()", False),
        ("with pytest.raises(E): found()", False),
    ],
)
def test_a_hollow_test_is_seen(body, is_hollow):
    assert bool(hollow(f"def test_it():\n {body}\n")) is is_hollow
