"""Errors are sentences for people, told apart by a stable name."""

import inspect

from planner import errors
from planner.adapters.cli.context import exit_code_of
from planner.adapters.web.errors import status_of
from planner.core.question import Question
from planner.scheduling.answer import Conflict, ConflictKind

CONFLICT = Conflict(ConflictKind.RULES, ("no piece twice", "all filled"), ())
KINDS = [
    kind for _, kind in inspect.getmembers(errors, inspect.isclass) if issubclass(kind, errors.PlannerError)
]
EXAMPLES = [
    errors.InputError("That is not a date."),
    errors.ScoreReadError("march.xml", "it ends in the middle of bar 12"),
    errors.UnsupportedScoreError("march.mid", "MIDI has no spelling"),
    errors.SettingsError("port must be a whole number."),
    errors.NotFoundError("piece", 7),
    errors.ConflictError("That piece is in a plan."),
    errors.InfeasiblePlanError(CONFLICT),
    errors.PlanTimeoutError(20),
    errors.ExportError("plan.pdf", "the disk is full"),
    errors.TooFewPiecesError(CONFLICT),
    errors.PinFailsError(CONFLICT),
    errors.QuestionError("There is an Ida already. Is this the same person?"),
    errors.OddEntryError([Question("read", "September 1, 2016 is 10 years ago.")]),
]


def test_every_slug_is_its_own():
    slugs = [kind.slug for kind in KINDS]
    assert len(set(slugs)) == len(slugs)


def test_every_error_says_what_it_means():
    assert all(kind.__doc__ for kind in KINDS)


def test_messages_are_sentences_that_keep_their_facts():
    for error in EXAMPLES:
        assert error.message[0].isupper() or error.message.startswith(("march", "plan", "port"))
        assert error.message.endswith((".", "?"))
    assert EXAMPLES[1].message == "march.xml: it ends in the middle of bar 12."
    assert EXAMPLES[6].message == "No plan can meet these rules together: no piece twice; all filled."
    assert EXAMPLES[6].conflict is CONFLICT


def test_exit_codes_and_statuses_follow_the_class():
    assert [exit_code_of(e) for e in EXAMPLES] == [2, 2, 2, 2, 3, 4, 5, 6, 7, 9, 10, 16, 16]
    statuses = [422, 422, 422, 422, 404, 409, 422, 503, 500, 422, 422, 409, 409]
    assert [int(status_of(e)) for e in EXAMPLES] == statuses
