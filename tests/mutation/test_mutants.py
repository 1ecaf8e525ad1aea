"""The planted faults themselves: each changes one thing, has a name of its own, and the draw is the same."""

import ast

import pytest

from tests.mutation.__main__ import drawn, equivalents, nearness
from tests.mutation.mutants import ROOT, mutants_of, planted

SOURCE = '''"""Words."""

LEAST = 2


def at_least(found, *, least=LEAST):
    """Words."""
    assert found is not None
    if found >= least and not (found == 7):
        note(found)
        return found + 1
    return None
'''
FAULTS = {
    "(module): LEAST = 2 → LEAST = 3",
    "at_least: found >= least and (not found == 7) → not (found >= least and (not found == 7))",
    "at_least: found >= least and (not found == 7) → found >= least or not found == 7",
    "at_least: found >= least → found > least",
    "at_least: not found == 7 → not not found == 7",
    "at_least: found == 7 → found != 7",
    "at_least: found == 7 → found == 8",
    "at_least: note(found) → pass",
    "at_least: return found + 1 → return None",
    "at_least: found + 1 → found - 1",
    "at_least: found + 1 → found + 2",
}


@pytest.fixture
def module(tmp_path, monkeypatch):
    monkeypatch.setattr("tests.mutation.mutants.ROOT", tmp_path)
    path = tmp_path / "module.py"
    path.write_text(SOURCE, encoding="utf-8")
    return path


def test_every_kind_of_fault_is_planted_once_and_nothing_in_words_or_assertions(module):
    assert {mutant.name.removeprefix("module.py ") for mutant in mutants_of(module)} == FAULTS


def test_a_planted_fault_changes_just_its_own_place(module):
    sound = ast.unparse(ast.parse(SOURCE))
    seen = {ast.unparse(planted(module, mutant.number)) for mutant in mutants_of(module)}
    assert len(seen) == len(FAULTS)
    assert sound not in seen
    assert ast.unparse(planted(module, 0)) == sound.replace("LEAST = 2", "LEAST = 3")


def test_what_runs_on_import_is_told_from_what_runs_when_called(module):
    assert [mutant.place for mutant in mutants_of(module) if mutant.is_on_import] == [""]


def test_the_draw_is_seeded_and_leaves_out_what_changes_nothing(monkeypatch):
    few = [ROOT / "planner" / "levels" / name for name in ("curve.py", "history.py", "forecast.py")]
    monkeypatch.setattr("tests.mutation.__main__.target_files", lambda: few)
    first = drawn(20, 7, {})
    assert first == drawn(20, 7, {})
    assert first != drawn(20, 8, {})
    assert first[0] not in drawn(20, 7, {first[0].name: "why"})
    assert len({mutant.name for mutant in first}) == 20


def test_every_fault_left_out_has_its_reason():
    assert all(reason.endswith(".") for reason in equivalents().values())


def test_tests_of_a_modules_own_room_come_first():
    assert nearness("planner/levels/belief.py", "tests/levels/test_belief.py::test_x") == 2
    assert nearness("planner/levels/belief.py", "tests/levels/test_refit.py::test_x") == 1
    assert nearness("planner/levels/belief.py", "tests/core/test_freshness.py::test_x") == 0
    assert (ROOT / "planner" / "levels").is_dir()
