"""The layer table of DEVELOPERS.md, enforced: who may import what."""

import ast
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "planner"

INSIDE = {"core", "study", "levels", "matching", "scheduling", "wording", "services", "errors", "config"}
INWARD = {
    "core": {"core", "errors"},
    "study": {"core", "study", "errors"},
    "levels": {"core", "study", "levels", "errors"},
    "matching": {"core", "study", "levels", "matching", "errors"},
    "scheduling": {"core", "levels", "scheduling", "errors"},
    "wording": {"core", "levels", "matching", "wording", "errors"},
    "services": INSIDE,
    "adapters": {*INSIDE, "adapters"},
}
OUTSIDE = {
    "core": set(),
    "study": {"numpy"},
    "levels": {"numpy"},
    "matching": {"numpy"},
    "scheduling": set(),
    "wording": set(),
    "services": set(),
}
SOLVER_FILES = {"rules.py", "solve.py", "explain.py", "relax.py", "grid.py"}
HOMES = {
    "music21": "scores", "converter21": "scores", "verovio": "engraving", "svglib": "exports",
    "reportlab": "exports", "openpyxl": "exports", "icalendar": "exports", "sqlalchemy": "db",
    "alembic": "db", "flask": "web", "flask_wtf": "web", "flask_login": "web", "waitress": "web",
    "click": "cli", "rich": "cli",
}  # fmt: skip


def imports_of(source: str) -> list[str]:
    names = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            names += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            names += [f"{node.module}.{alias.name}" for alias in node.names]
    return names


def breaches(relative: Path, source: str) -> list[str]:
    """Imports of one module of the package that the table forbids."""
    layer = relative.parts[0] if len(relative.parts) > 1 else relative.stem
    found = []
    for name in imports_of(source):
        top = name.split(".")[0]
        if top == "planner":
            target = name.split(".")[1] if "." in name else ""
            if layer in INWARD and target not in INWARD[layer] and target != "__version__":
                found.append(f"{relative}: {name}")
            if layer == "adapters" and target == "adapters" and name.split(".")[2] != relative.parts[1]:
                found.append(f"{relative}: {name} is another adapter")
        elif top in HOMES and relative.parts[:2] != ("adapters", HOMES[top]):
            found.append(f"{relative}: {top} lives in adapters/{HOMES[top]}")
        elif top == "ortools" and not (layer == "scheduling" and relative.name in SOLVER_FILES):
            found.append(f"{relative}: ortools lives in scheduling")
        elif layer in OUTSIDE and top not in sys.stdlib_module_names | OUTSIDE[layer] | {"ortools"}:
            found.append(f"{relative}: {top}")
    return found


def test_every_module_keeps_to_its_layer():
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        if "migrations" not in path.parts:
            found += breaches(path.relative_to(PACKAGE), path.read_text(encoding="utf-8"))
    assert not found, "\n".join(found)


@pytest.mark.parametrize(
    ("where", "source"),
    [
        ("core/score.py", "import numpy"),
        ("study/time/meter.py", "from planner.services import ports"),
        ("services/plan_term.py", "import sqlalchemy"),
        ("adapters/web/app.py", "from planner.adapters.db import orm"),
        ("adapters/cli/main.py", "import music21"),
        ("scheduling/check.py", "from ortools.sat.python import cp_model"),
    ],
)
def test_a_planted_breach_is_caught(where, source):
    assert breaches(Path(where), source)


def test_top_level_is_as_agreed():
    agreed = {
        "README.md", "DEVELOPERS.md", "pyproject.toml",
        "planner", "templates", "tests", "sample_library", "exports",
    }  # fmt: skip
    tracked = {p.name for p in ROOT.iterdir() if not p.name.startswith(".")}
    assert tracked - {"planner.egg-info", "build", "dist"} <= agreed
