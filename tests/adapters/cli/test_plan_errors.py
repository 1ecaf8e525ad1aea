"""Out of time, too few pieces, rules that conflict, a pin that fails: each has its code and its sentence."""

import pytest

from planner.adapters.cli.main import main
from planner.errors import PlanTimeoutError
from planner.scheduling.explanation.explain import find_conflict, impossible_plan
from planner.scheduling.problem import PlanWish
from tests.scheduling.small_problems import FIRST, make_problem

FEW = make_problem(days=3, pieces=2)
BANNED = make_problem(days=2, pieces=2, bans=(PlanWish(1),))
PINNED = make_problem(days=1, pins=(PlanWish(1, FIRST),), bans=(PlanWish(1),))


def refusal(problem):
    return impossible_plan(find_conflict(problem))


@pytest.mark.parametrize(
    ("error", "code", "sentence", "hint"),
    [
        (PlanTimeoutError(20), 6, "No plan was found within 20 seconds, and none was ruled out.", "Allow"),
        (refusal(FEW), 9, "There are too few fresh pieces for Sep 1, Sep 2 and Sep 3.", "Add one"),
        (refusal(BANNED), 5, "The rules together leave too few pieces for Sep 1 and Sep 2.", "Add one"),
        (refusal(PINNED), 10, "“Piece 1” cannot be pinned to Sep 1. You keep", "Take back"),
    ],
)
def test_each_ends_with_its_code_its_sentence_and_what_to_do(error, code, sentence, hint, capsys, tmp_path):
    def build(_settings):
        raise error

    assert main(["changes", "--home", str(tmp_path)], build=build, serve=lambda *_: None) == code
    printed = " ".join(capsys.readouterr().err.split())
    assert printed.startswith(sentence)
    assert f" {hint}" in printed
