"""Why there is no plan, and what would help, read as a director would."""

from dataclasses import replace
from datetime import date

import pytest

from planner.core.term import Station
from planner.errors import InputError
from planner.scheduling import check
from planner.scheduling.answer import Cause, Mend, MendKind
from planner.scheduling.explanation.explain import find_conflict, impossible_plan
from planner.scheduling.problem import PartAsked, PlanWish
from planner.wording.director.conflict import error_words, mend_sentences, obstacle_sentences
from tests.scheduling.small_problems import FIRST, day, make_problem, piece

SECOND = day(1).on
ROOMS = (Station("High", (1,)), Station("Low", (2,)))
STALE = frozenset({0})


def words_of(problem):
    return error_words(impossible_plan(find_conflict(problem)))


def test_other_errors_keep_their_words():
    assert error_words(InputError("That is not a date.", hint="Write it so.")) == (
        "That is not a date.",
        "Write it so.",
    )


def test_too_few_pieces():
    message, hint = words_of(make_problem(days=3, pieces=2))
    assert message == (
        "There are too few fresh pieces for Sep 1, Sep 2 and Sep 3. No section reads a piece twice. "
        "Three slots need a piece, and only “Piece 1” and “Piece 2” are left."
    )
    assert hint.startswith("Add one fresh piece of about level 2.0, at most 10 minutes, for ")
    assert "; or let one slot stay open (" in hint


def test_a_section_that_would_be_lost():
    parts = (PartAsked(1, 2.0), PartAsked(2, 5.0))
    message, hint = words_of(replace(make_problem(days=1), pieces=(piece(1, parts=parts),)))
    assert message == (
        "The rules together leave too few pieces for Sep 1. Tuba would likely be lost in “Piece 1” on Sep 1. "
        "One slot needs a piece, and none is left."
    )
    assert hint.endswith("or pin “Piece 1” to Sep 1 all the same.")


def test_minutes_that_no_two_pieces_share():
    problem = replace(make_problem(pieces=2), days=(day(0, slots=2, minutes=14.2),))
    message, hint = words_of(problem)
    assert message == (
        "The rules together leave too few pieces for Sep 1. Two slots need a piece; “Piece 1” and “Piece 2” "
        "are left, but together they take more minutes than there are."
    )
    assert "give Sep 1 another 2 minutes" in hint


def test_a_folder_wanted_in_two_rooms():
    message, hint = words_of(replace(make_problem(pieces=1), days=(day(0, minutes=20.0, stations=ROOMS),)))
    assert message.endswith("Two slots need a piece, and only “Piece 1” is left.")
    assert "have the folders of “Piece 1” back, or a second set, on Sep 1" in hint


@pytest.mark.parametrize(
    ("changes", "sentences"),
    [
        ({"pins": (PlanWish(1, FIRST),), "bans": (PlanWish(1),)},
         "“Piece 1” cannot be pinned to Sep 1. You keep “Piece 1” out of the term."),
        ({"pins": (PlanWish(1, FIRST), PlanWish(2, FIRST))},
         "These pins cannot hold together: “Piece 1” on Sep 1; “Piece 2” on Sep 1. "
         "There are more pinned pieces than slots."),
        ({"pins": (PlanWish(1, FIRST), PlanWish(1, SECOND))},
         "These pins cannot hold together: “Piece 1” on Sep 1; “Piece 1” on Sep 2. "
         "“Piece 1” already has another day, and no section reads a piece twice."),
        ({"pins": (PlanWish(1, date(2026, 12, 24)),)},
         "“Piece 1” cannot be pinned to Dec 24. That is not a reading day of the term."),
        ({"pins": (PlanWish(77),)},
         "The pinned piece cannot be placed in this term. "
         "That piece is not among those that this ensemble can be given."),
        ({"pins": (PlanWish(1, FIRST),), "days": (day(0, is_settled=True), day(1))},
         "“Piece 1” cannot be pinned to Sep 1. Sep 1 is past or announced and stays as it is."),
    ],
)  # fmt: skip
def test_a_pin_that_cannot_hold(changes, sentences):
    assert words_of(replace(make_problem(days=2), **changes))[0] == sentences


def test_a_pin_that_keeps_another_day_from_being_filled_is_named():
    pieces = (piece(1), piece(2, stale_on=STALE))
    message, hint = words_of(replace(make_problem(days=2, pins=(PlanWish(1, SECOND),)), pieces=pieces))
    assert message.startswith(
        "The rules together leave too few pieces for Sep 1, with “Piece 1” on Sep 2 pinned."
    )
    assert "take back the pin of “Piece 1” to Sep 2" in hint


def test_mends_that_are_enough_come_first_and_apart():
    days = (day(0, minutes=5.0), day(1, minutes=5.0))
    conflict = find_conflict(replace(make_problem(), days=days))
    enough, other = mend_sentences(conflict)
    assert enough.startswith("Add two fresh pieces")
    assert (
        other
        == "Also possible, though something else may still stand in the way: give Sep 1 another 3 minutes."
    )
    alone = replace(conflict, mends=(Mend(MendKind.ADD_MINUTES, (FIRST,), minutes=1.0),))
    assert mend_sentences(alone) == (
        "This would help, though more may still stand in the way: give Sep 1 one more minute.",
    )


def test_a_search_for_the_cause_that_did_not_end_says_so():
    conflict = replace(find_conflict(make_problem(days=3, pieces=2)), is_minimal=False)
    assert error_words(impossible_plan(conflict))[0].endswith("not all of this need be to blame.")


def test_why_a_piece_does_not_stand_on_a_day():
    titles, sections = {7: "“Air”"}, {1: "Flute", 2: "Tuba"}
    rows = {
        Cause(check.FRESH, FIRST, (7,)): "Somebody in the room knows “Air” by Sep 1.",
        Cause(check.FOLDERS, FIRST, (7,)): "The folders of “Air” are elsewhere or in another room on Sep 1.",
        Cause(check.MINUTES, FIRST, (7,), minutes=1.0): "“Air” is 1 minute too long for Sep 1.",
        Cause(check.READABLE, FIRST, (7,), (1, 2)): "Flute and Tuba would likely be lost in “Air” on Sep 1.",
        Cause(check.FORCES, FIRST, (7,)): "The players there on Sep 1 cannot read “Air” together.",
        Cause(check.FOCUSED, None, (7,)): "“Air” trains none of the skills of the term.",
        Cause(check.BANS, FIRST, (7,)): "You keep “Air” off Sep 1.",
        Cause(check.SETTLED, FIRST, (7,)): "Sep 1 is past or announced and stays as it is.",
    }
    assert obstacle_sentences(rows, titles, sections) == tuple(rows.values())
