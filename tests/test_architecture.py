"""The layer table of DEVELOPERS.md, enforced: who may import what."""

import ast
import re
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "planner"

INSIDE = {
    "core", "study", "levels", "marks", "matching", "scheduling", "wording", "services", "errors", "config",
}  # fmt: skip
INWARD = {
    "core": {"core", "errors"},
    "study": {"core", "study", "errors"},
    "levels": {"core", "study", "levels", "errors"},
    "matching": {"core", "study", "levels", "matching", "errors"},
    "marks": {"core", "marks", "errors"},
    "scheduling": {"core", "levels", "scheduling", "errors"},
    "wording": {"core", "levels", "marks", "matching", "scheduling", "wording", "errors"},
    "services": INSIDE,
    "adapters": {*INSIDE, "adapters"},
}
OUTSIDE = {
    "core": set(),
    "study": {"numpy"},
    "levels": {"numpy"},
    "matching": {"numpy"},
    "marks": set(),
    "scheduling": {"numpy"},
    "wording": set(),
    "services": set(),
}
SHARED = ("children", "drawing")
"""The adapters that others may use: one knows the operating system, the other plain shapes of pictures."""
SOLVER_FILES = {"rules.py", "explain.py", "bound.py", "refill.py", "trade.py"}
HOMES = {
    "music21": "scores", "converter21": "scores", "verovio": "engraving", "svglib": "exports",
    "reportlab": "exports", "openpyxl": "exports", "xlsxwriter": "exports", "icalendar": "exports",
    "sqlalchemy": "db", "alembic": "db", "flask": "web", "flask_wtf": "web", "flask_login": "web",
    "waitress": "web", "click": "cli", "rich": "cli", "distributed": "cluster", "dask": "cluster",
    "argon2": "passwords", "cryptography": "tls", "cheroot": "web", "uharfbuzz": "exports", "bidi": "exports",
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
            if (
                layer == "adapters"
                and target == "adapters"
                and name.split(".")[2] not in (relative.parts[1], *SHARED)
            ):
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
        ("adapters/children/guard.py", "from planner.adapters.scores import reader"),
        ("adapters/cli/main.py", "import music21"),
        ("scheduling/check.py", "from ortools.sat.python import cp_model"),
    ],
)
def test_a_planted_breach_is_caught(where, source):
    assert breaches(Path(where), source)


FACT_ROOMS = ("core", "study", "levels", "marks", "matching", "scheduling")
"""Layers that deal in values: what people read is worded in ``planner/wording`` or further out."""
DATA_TABLES = {
    "core/instruments": "names of instruments, and the sources of their ranges",
    "core/mark_scheme.py": "words of the usual scale, which the director changes",
    "core/published_forms.py": "names and words of published scoring forms, which the director changes",
    "core/glossary": "terms printed in scores, with their meaning",
    "core/procedures.py": "published procedures, with the source of each",
    "study/roadmap/jump_words.py": "words printed in scores that send the reader elsewhere",
    "study/time/tempo_words.py": "words printed in scores that give a tempo",
    "scheduling/check.py": "names of the planning rules: a rule is known by the name the director sees",
}
"""Where three words in a row are data and no sentence, with the reason."""
SLUG = re.compile(r"[a-z0-9]+(?:[ /-][a-z0-9]+){0,4}")
"""What the value of an enum's member may look like: a name, never a sentence."""


def _not_for_people(tree: ast.Module) -> set[int]:
    """Ids of nodes that hold no sentence for people: docstrings, errors, patterns, names of enum members."""
    passed: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Raise | ast.Assert):
            passed |= {id(inner) for inner in ast.walk(node)}
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            if isinstance(node.func.value, ast.Name) and node.func.value.id == "re":
                passed |= {id(inner) for inner in ast.walk(node)}
        elif isinstance(node, ast.ClassDef) and any("Enum" in ast.unparse(base) for base in node.bases):
            passed |= {
                id(inner)
                for member in node.body
                if isinstance(member, ast.Assign)
                for inner in ast.walk(member.value)
                if isinstance(inner, ast.Constant) and SLUG.fullmatch(str(inner.value))
            }
        body = getattr(node, "body", None)
        for statement in body if isinstance(body, list) else ():
            if isinstance(statement, ast.Expr) and isinstance(statement.value, ast.Constant):
                passed.add(id(statement.value))
    return passed


def _joined(node: ast.expr) -> str | None:
    """The text a node makes, with ``{}`` for what is not known; None when it makes none."""
    if isinstance(node, ast.Constant):
        return node.value if isinstance(node.value, str) else None
    if isinstance(node, ast.JoinedStr):
        return "".join(_joined(value) or "{}" for value in node.values)
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add):
        sides = [_joined(side) for side in (node.left, node.right)]
        return None if sides == [None, None] else "".join(side or "{}" for side in sides)
    return None


def sentences_in(source: str) -> list[str]:
    """Texts of three words or more that a module makes and that are not plainly for programs.

    Alternatives parted by ``|`` are a pattern.
    """
    tree = ast.parse(source)
    passed = _not_for_people(tree)
    found = []
    for node in ast.walk(tree):
        text = _joined(node) if isinstance(node, ast.expr) and id(node) not in passed else None
        if text is not None and "|" not in text:
            passed |= {id(inner) for inner in ast.walk(node)}
            if sum(any(letter.isalpha() for letter in word) for word in text.split()) >= 3:
                found.append(text)
    return found


def test_rooms_that_deal_in_values_build_no_english():
    found = []
    for room in FACT_ROOMS:
        for path in sorted((PACKAGE / room).rglob("*.py")):
            name = path.relative_to(PACKAGE).as_posix()
            if not any(name.startswith(table) for table in DATA_TABLES):
                found += [f"{name}: {text!r}" for text in sentences_in(path.read_text(encoding="utf-8"))]
    assert not found, "\n".join(found)


@pytest.mark.parametrize(
    "source",
    [
        "why = 'leaps of a sixth'",
        "why = f'{count} notes of {total} are leaps'",
        "why = 'two bars ' + name + ' move as one'",
        "why = '{} bars of {} here'.format(1, 2)",
        "TABLE = {1: ('a', 'the hands cross here')}",
        "def f(x='the hands cross here'): pass",
        "class Kind(StrEnum):\n    LEAP = 'Leap of more than a sixth.'",
        "class Kind(StrEnum):\n    LEAP = 'leap of more than a sixth in one line'",
    ],
)
def test_a_planted_sentence_is_caught(source):
    assert sentences_in(source)


@pytest.mark.parametrize(
    "source",
    [
        "'''A module of many words.'''\nX = 1\n'''Words about it.'''",
        "raise ValueError(f'{name} is not a key')",
        "PATTERN = re.compile('in the key of')",
        "class Kind(StrEnum):\n    LEAP = 'wide leap up'",
        "key = 'Bb major'",
        "names = ('rhythm', 'meter', 'key')",
    ],
)
def test_what_is_for_programs_is_passed(source):
    assert sentences_in(source) == []


def rooms_of_the_study() -> dict[str, set[str]]:
    """Which rooms of the study each room imports from; a module beside the rooms counts as one."""
    study, rooms = PACKAGE / "study", {}
    for path in sorted(study.rglob("*.py")):
        room = path.relative_to(study).parts[0].removesuffix(".py")
        reached = rooms.setdefault(room, set())
        for name in imports_of(path.read_text(encoding="utf-8")):
            if name.startswith("planner.study."):
                reached.add(name.split(".")[2])
        reached.discard(room)
    return rooms


def circle_in(rooms: dict[str, set[str]]) -> list[str]:
    """Rooms that import each other in a circle; empty when there is none."""
    left = {room: set(reached) for room, reached in rooms.items()}
    while free := [room for room, reached in left.items() if not reached & set(left)]:
        for room in free:
            del left[room]
    return sorted(left)


def test_the_rooms_of_the_study_import_each_other_in_no_circle():
    rooms = rooms_of_the_study()
    assert {
        "notes",
        "time",
        "roadmap",
        "tonal",
        "form",
        "page",
        "lines",
        "difficulty",
        "spots",
        "fit",
    } <= set(rooms)
    assert rooms["tonal"] >= {"notes"}
    assert circle_in(rooms) == []


def test_a_planted_circle_is_found():
    assert circle_in({"a": {"b"}, "b": {"c"}, "c": {"a", "d"}, "d": set()}) == ["a", "b", "c"]


NOT_OUR_WORDS = ("clue", "clues", "strand", "strands", "taste", "talk", "cuts", "by_hand", "said", "told")
"""Words no director would use for what they named: no identifier holds one."""


def odd_names(relative: Path, source: str) -> list[str]:
    """Identifiers of a module, and its own name, that hold such a word; ``home`` is no name of a module."""
    names = {relative.stem, *relative.parts[:-1]} if "migrations" not in relative.parts else set()
    found = [f"{relative}: home is the home folder"] if "home" in names else []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            names.add(node.name)
        elif isinstance(node, ast.Name):
            names.add(node.id)
        elif isinstance(node, ast.Attribute):
            names.add(node.attr)
        elif isinstance(node, ast.arg | ast.keyword):
            names.add(node.arg or "")
        elif isinstance(node, ast.alias):
            names.add(node.asname or "")
    for name in sorted(names):
        words = "_".join(re.findall(r"[A-Z]?[a-z]+|[A-Z]+(?![a-z])|\d+", name)).lower()
        found += [f"{relative}: {name}" for odd in NOT_OUR_WORDS if f"_{odd}_" in f"_{words}_"]
    return found


def test_names_are_those_of_the_trade():
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        found += odd_names(path.relative_to(PACKAGE), path.read_text(encoding="utf-8"))
    assert not found, "\n".join(found)


@pytest.mark.parametrize(
    ("where", "source"),
    [
        ("study/clues.py", ""),
        ("study/home.py", ""),
        ("study/time/meter.py", "def study_by_hand(): ..."),
        ("study/time/meter.py", "class KeyStrand: ..."),
        ("study/time/meter.py", "def f(said): ..."),
        ("study/time/meter.py", "f(told=1)"),
        ("study/time/meter.py", "x.taste = 1"),
        ("study/time/meter.py", "_CUTS = 1"),
        ("study/time/meter.py", "import talk as small_talk"),
    ],
)
def test_a_planted_odd_name_is_found(where, source):
    assert odd_names(Path(where), source)


LONG_WORK = {
    "demo", "import_scores", "import_job", "undo_import", "plan_term", "plan_job", "correct", "run", "worker",
    "restudy", "sign_in", "restore_backup", "forget", "under_way", "guides_job",
}  # fmt: skip
"""Modules that read files, study, search, compare passwords, replace the library or write it anew.

They do so between transactions.

Every other service is given an open one.
"""


def ways_around_the_door(name: str, source: str) -> list[str]:
    """Where a service opens or commits a unit of work although that is for its caller to do."""
    found = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call) and ast.unparse(node.func).endswith(".commit"):
            found.append(f"{name}: commits")
        elif isinstance(node, ast.arg | ast.AnnAssign) and node.annotation is not None:
            kind = ast.unparse(node.annotation)
            if name not in LONG_WORK and re.search(r"OpenWork|Toolbox|Callable\[\[\], UnitOfWork\]", kind):
                found.append(f"{name}: takes {kind}")
    return found


def test_a_service_is_given_an_open_unit_of_work_and_leaves_the_commit_to_the_door():
    every = [p for p in (PACKAGE / "services").rglob("*.py") if p.parent.name != "ports"]
    modules = [p for p in every if p.stem != "toolbox"]
    found = [each for p in modules for each in ways_around_the_door(p.stem, p.read_text("utf-8"))]
    assert len(modules) > 20
    assert not found, "\n".join(found)
    assert ways_around_the_door("roster", "def add(work: OpenWork): ...")
    assert ways_around_the_door("roster", "def add(work: UnitOfWork): work.commit()")


VALUES = {
    "str", "int", "bool", "float", "None", "type", "Any", "tuple", "Transposition", "Clef", "BarNames",
    "PartPage",
}  # fmt: skip
"""What a function with a memory may be asked about: values that are equal when they say the same."""


def hidden_memories(name: str, source: str) -> list[str]:
    """Functions that remember their answers by which object they were asked about."""
    found = []
    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, ast.FunctionDef):
            continue
        kept = [ast.unparse(mark).split("(")[0].split(".")[-1] for mark in node.decorator_list]
        if {"cache", "lru_cache"} & set(kept):
            every = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
            asked = " ".join(ast.unparse(arg.annotation) if arg.annotation else "?" for arg in every)
            found += [f"{name}: {node.name}" for kind in re.findall(r"[\w?]+", asked) if kind not in VALUES]
    return found


def test_what_is_remembered_is_remembered_of_values():
    modules = list(PACKAGE.rglob("*.py"))
    found = [each for path in modules for each in hidden_memories(path.stem, path.read_text("utf-8"))]
    assert len(modules) > 100
    assert not found, "\n".join(found)
    assert hidden_memories("keys", "@lru_cache(maxsize=1)\ndef path_of(columns: Columns): ...")
    assert not hidden_memories("terms", "@cache\ndef terms_in(text: str) -> int: ...")


def test_top_level_is_as_agreed():
    agreed = {
        "README.md", "DEVELOPERS.md", "pyproject.toml",
        "planner", "templates", "tests", "sample_library", "exports",
    }  # fmt: skip
    tracked = {p.name for p in ROOT.iterdir() if not p.name.startswith(".")}
    assert tracked - {"planner.egg-info", "build", "dist"} <= agreed
