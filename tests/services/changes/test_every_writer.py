"""Whatever service writes into the library is journaled, by itself or by all who call it, or has a reason."""

import ast
import re
from dataclasses import dataclass, field
from pathlib import Path

from tests.checks import some

SERVICES = Path(__file__).resolve().parents[3] / "planner" / "services"
VERBS = re.compile(
    r"^(add|put|remove|update|save|set|move|rename|store|keep|replace|note|mark|begin|end|forget)(_|$)"
)
REPOSITORIES = {
    "pieces", "likenesses", "corrections", "ensembles", "terms", "results", "published", "accounts",
}  # fmt: skip
RECORDERS = {"recorded", "record_new", "roster_changed"}

BESIDE = {
    "sign_in._forgive": "who may try a password again",
    "sign_in": "who is logged in, and tries to be",
    "restudy._keep_old": "the study as an older version made it, kept so that it can be looked at",
    "index._store_for": "worked out from what is journaled",
    "index_levels": "worked out from what is journaled",
    "days._save": "part of a change of a day, journaled where that begins",
    "compare_new": "worked out from what is journaled: which pieces are alike",
    "refresh_levels": "worked out from what is journaled",
    "note_guides": "that guides are printed is a fact which no undo takes back",
    "update_calendar": "what was sent to calendars is a fact which no undo takes back",
    "remove_piece": "its score file goes with it: it is added again from where it came from",
}
"""Services that write and leave no entry, with the reason."""


@dataclass
class Function:
    """What one function calls and writes; ``puts_back``: in the room of the journal; ``adds``: an entry."""

    puts_back: bool
    calls: set[str] = field(default_factory=set)
    writes: set[str] = field(default_factory=set)
    adds: bool = False


def read(source: str, module: str, *, puts_back: bool) -> dict[str, Function]:
    """Every function of a module; a private one is named with its module, as no other calls it."""
    found: dict[str, Function] = {}

    def named(name: str) -> str:
        return f"{module}.{name}" if name.startswith("_") else name

    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, ast.FunctionDef):
            continue
        one = found.setdefault(named(node.name), Function(puts_back))
        for call in ast.walk(node):
            if not isinstance(call, ast.Call):
                continue
            if isinstance(call.func, ast.Name):
                one.calls.add(named(call.func.id))
            elif isinstance(call.func, ast.Attribute):
                one.calls.add(named(call.func.attr))
                asked = call.func.value
                of = asked.attr if isinstance(asked, ast.Attribute) else ""
                if of in REPOSITORIES and VERBS.match(call.func.attr):
                    one.writes.add(f"{of}.{call.func.attr}")
                if of == "changes" and call.func.attr == "add":
                    one.calls.add("recorded")
                    one.adds = True
    return found


def unjournaled(functions: dict[str, Function]) -> set[str]:
    """Functions that write and are called, somewhere, without an entry in the journal."""
    writers = {name for name, one in functions.items() if "recorded" in one.calls}
    entries = RECORDERS | {name for name in writers if functions[name].adds}
    callers: dict[str, set[str]] = {}
    for name, one in functions.items():
        for called in one.calls - {name}:
            callers.setdefault(called, set()).add(name)

    def is_covered(name: str, seen: tuple[str, ...] = ()) -> bool:
        if functions[name].puts_back or functions[name].calls & entries or name in seen:
            return True
        above = callers.get(name, set()) - {name}
        return bool(above) and all(is_covered(each, (*seen, name)) for each in above)

    return {name for name, one in functions.items() if one.writes and not is_covered(name)}


def test_the_reader_finds_what_is_not_journaled():
    planted = """
def kept(work):
    with recorded(work): helper(work)
def helper(work): work.pieces.update(1)
def loose(work): work.terms.update(1)
def half(work): work.results.put(1)
def sure(work):
    with recorded(work): half(work)
def unsure(work): half(work)
"""
    assert unjournaled(read(planted, "planted", puts_back=False)) == {"loose", "half"}


def test_every_service_that_writes_is_journaled_or_has_a_reason():
    functions: dict[str, Function] = {}
    for path in some(SERVICES.rglob("*.py")):
        puts_back = path.parent.name == "changes"
        for name, one in read(path.read_text(encoding="utf-8"), path.stem, puts_back=puts_back).items():
            there = functions.setdefault(name, Function(one.puts_back))
            there.puts_back &= one.puts_back
            there.calls |= one.calls
            there.writes |= one.writes
            there.adds |= one.adds
    assert sum(bool(one.writes) for one in functions.values()) > 40
    assert unjournaled(functions) == set(BESIDE)
