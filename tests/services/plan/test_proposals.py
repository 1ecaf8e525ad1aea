"""The plan in force keeps its word: what stays, what is proposed, what is taken."""

from dataclasses import replace
from datetime import timedelta

import pytest

from planner.core.ensemble import Exposure, Player
from planner.core.term import ReasonKind, Wish
from planner.errors import ConflictError, InputError, NotFoundError
from planner.scheduling import check, solve
from planner.scheduling.answer import Ended
from planner.services.changes.undo import undo_change
from planner.services.day.log_results import log_results
from planner.services.day.result_entry import ResultEntry
from planner.services.plan.plan_term import Outcome, plan_term
from planner.services.plan.proposals import (
    ChangeWhy,
    drop_proposal,
    places,
    proposal_view,
    take_proposal,
)
from planner.wording.director import proposal as words
from tests.checks import some
from tests.fakes import BY, within
from tests.services.term.library_for_plans import TUESDAY, make_library

STEPS = 60


def plan(work, term_id, today=TUESDAY, **how):
    return plan_term(within(work), term_id, today, by=BY, **{"steps": STEPS, "leave_open": True, **how})


@pytest.fixture
def planned():
    """A band known by name with a plan of ten days; the work stays open."""
    library, ensemble_id, term_id = make_library(24, players=True)
    with library() as work:
        view = plan(work, term_id)
        yield work, ensemble_id, term_id, view


def never(*_, **__):
    raise AssertionError("a search although nothing has changed")


def meet(work, ensemble_id, piece_id):
    work.ensembles.add_exposure(Exposure(ensemble_id, piece_id, "heard"))


def standing(work, term_id):
    return {slot.on: slot.piece_id for slot in work.terms.plan(term_id).slots}


def test_the_first_plan_is_stored(planned):
    work, _, term_id, view = planned
    assert view.outcome is Outcome.STORED
    assert view.proposal is None
    assert work.terms.plan(term_id) == view.plan


def test_nothing_new_changes_nothing_and_searches_nothing_however_much_time_goes_by(planned, monkeypatch):
    work, _, term_id, view = planned
    monkeypatch.setattr(solve, "solve", never)
    for days in (0, 1, 8):
        again = plan(work, term_id, TUESDAY + timedelta(days=days))
        assert again.outcome is Outcome.UNCHANGED
        assert again.notes[0] == words.UNCHANGED
        assert again.plan == view.plan


def test_a_pin_where_the_piece_stands_changes_nothing(planned, monkeypatch):
    work, _, term_id, view = planned
    monkeypatch.setattr(solve, "solve", never)
    slot = view.plan.slots[7]
    work.terms.set_wishes(term_id, (Wish("pinned", slot.piece_id, slot.on),))
    assert plan(work, term_id).outcome is Outcome.UNCHANGED


def test_a_search_that_finds_nothing_better_leaves_the_plan_and_is_not_done_again(planned, monkeypatch):
    work, ensemble_id, term_id, view = planned
    used = {slot.piece_id for slot in view.plan.slots}
    meet(work, ensemble_id, next(p for p in work.pieces.titles() if p not in used))
    kept = plan(work, term_id, steps=0)
    assert kept.outcome is Outcome.KEPT
    assert kept.plan.slots == view.plan.slots
    monkeypatch.setattr(solve, "solve", never)
    assert plan(work, term_id).outcome is Outcome.UNCHANGED


def test_what_somebody_knows_by_now_is_proposed_away_and_the_plan_waits_for_the_director(planned):
    work, ensemble_id, term_id, view = planned
    known = view.plan.slots[8]
    meet(work, ensemble_id, known.piece_id)
    again = plan(work, term_id)
    assert again.outcome is Outcome.PROPOSED
    assert standing(work, term_id) == {slot.on: slot.piece_id for slot in view.plan.slots}
    proposal = again.proposal
    assert proposal == proposal_view(work, term_id)
    assert proposal.against is None, "the plan in force breaks a rule"
    change = next(change for change in proposal.changes if change.on == known.on)
    assert (change.why, change.rule, change.piece_id) == (ChangeWhy.RULE, check.FRESH, known.piece_id)
    assert [slot.piece_id for slot in change.before] == [known.piece_id]
    assert known.piece_id not in {slot.piece_id for slot in change.after}


def test_a_day_that_is_announced_is_opened_only_where_a_rule_breaks_and_is_named(planned):
    work, ensemble_id, term_id, view = planned
    known = view.plan.slots[1]
    assert known.on < TUESDAY + timedelta(days=14)
    meet(work, ensemble_id, known.piece_id)
    again = plan(work, term_id)
    assert [(b.on, b.rule, b.piece_id) for b in again.breaches] == [(known.on, check.FRESH, known.piece_id)]
    changed = {change.on for change in again.proposal.changes}
    assert known.on in changed
    others = {on for on in view.term.reading_dates() if on < TUESDAY + timedelta(days=14)} - {known.on}
    assert not changed & others


def test_a_newcomer_makes_a_piece_stale_from_the_day_they_join(planned):
    work, _, term_id, view = planned
    known = view.plan.slots[6]
    jazz = work.ensembles.add(replace(view.ensemble, id=0, name="Jazz", sections=()))
    seat = work.ensembles.add_section(jazz, replace(view.ensemble.sections[0], id=0, players=(), size=1))
    newcomer = work.ensembles.add_person("Newcomer")
    work.ensembles.add_player(seat, Player(0, "Newcomer", person=newcomer))
    work.ensembles.add_exposure(Exposure(jazz, known.piece_id, "performed"))
    work.ensembles.add_player(
        view.ensemble.sections[0].id,
        Player(0, "Newcomer", joined=known.on + timedelta(days=1), person=newcomer),
    )
    assert plan(work, term_id).outcome is not Outcome.PROPOSED, "they join a day later"
    work.ensembles.add_player(
        view.ensemble.sections[0].id, Player(0, "Newcomer", joined=known.on, person=newcomer)
    )
    assert plan(work, term_id).proposal.changes[0].on == known.on


def test_days_with_printed_guides_stay_beyond_the_horizon(planned):
    work, ensemble_id, term_id, view = planned
    late = view.plan.slots[9]
    work.terms.note_printed(term_id, late.on, [late.piece_id])
    sections = view.ensemble.sections
    log_results(
        work, ensemble_id, TUESDAY,
        [ResultEntry(s.id, view.plan.slots[0].piece_id, 0.99) for s in sections], by=BY,
        today=TUESDAY,
    )  # fmt: skip
    changed = {change.on for change in some(plan(work, term_id, steps=300).proposal.changes)}
    assert late.on not in changed
    assert all(on >= TUESDAY + timedelta(days=14) for on in changed)


def test_taking_a_proposal_puts_it_in_force_and_undo_puts_the_plan_back(planned):
    work, ensemble_id, term_id, view = planned
    meet(work, ensemble_id, view.plan.slots[8].piece_id)
    proposal = plan(work, term_id).proposal
    taken = take_proposal(work, term_id, None, TUESDAY, by=BY)
    assert [places([s]) for s in taken.slots] == [places([s]) for s in proposal.slots]
    assert work.terms.plan(term_id) == taken
    assert proposal_view(work, term_id) is None
    assert plan(work, term_id).outcome is Outcome.UNCHANGED
    undo_change(work, work.changes.list_changes(1)[0].id, BY, None)
    assert standing(work, term_id) == {slot.on: slot.piece_id for slot in view.plan.slots}


def test_a_day_can_be_taken_alone_and_what_goes_together_is_not_taken_apart(planned):
    work, ensemble_id, term_id, view = planned
    one, other = view.plan.slots[7], view.plan.slots[9]
    work.terms.set_wishes(
        term_id, (Wish("pinned", one.piece_id, other.on), Wish("pinned", other.piece_id, one.on))
    )
    meet(work, ensemble_id, view.plan.slots[5].piece_id)
    changes = {change.on: change for change in plan(work, term_id).proposal.changes}
    assert other.on in changes[one.on].together
    with pytest.raises(ConflictError, match=check.ONCE):
        take_proposal(work, term_id, [one.on], TUESDAY, by=BY)
    assert standing(work, term_id)[one.on] == one.piece_id
    alone = view.plan.slots[5].on
    if not changes[alone].together:
        take_proposal(work, term_id, [alone], TUESDAY, by=BY)
        assert standing(work, term_id)[alone] == changes[alone].after[0].piece_id
        assert alone not in {change.on for change in proposal_view(work, term_id).changes}
    take_proposal(work, term_id, None, TUESDAY, by=BY)
    assert standing(work, term_id)[one.on] == other.piece_id
    assert standing(work, term_id)[other.on] == one.piece_id


def test_a_day_that_the_proposal_does_not_change_cannot_be_taken(planned):
    work, ensemble_id, term_id, view = planned
    with pytest.raises(NotFoundError):
        take_proposal(work, term_id, None, TUESDAY, by=BY)
    meet(work, ensemble_id, view.plan.slots[8].piece_id)
    plan(work, term_id)
    with pytest.raises(InputError):
        take_proposal(work, term_id, [TUESDAY], TUESDAY, by=BY)


def test_what_was_dropped_is_not_proposed_again_before_something_changes(planned, monkeypatch):
    work, ensemble_id, term_id, view = planned
    meet(work, ensemble_id, view.plan.slots[8].piece_id)
    plan(work, term_id)
    drop_proposal(work, term_id, by=BY)
    assert proposal_view(work, term_id) is None
    monkeypatch.setattr(solve, "solve", never)
    assert plan(work, term_id).outcome is Outcome.UNCHANGED
    undo_change(work, work.changes.list_changes(1)[0].id, BY, None)
    assert proposal_view(work, term_id) is not None


def test_a_proposal_that_waits_is_shown_again_without_a_search(planned, monkeypatch):
    work, ensemble_id, term_id, view = planned
    meet(work, ensemble_id, view.plan.slots[8].piece_id)
    first = plan(work, term_id)
    monkeypatch.setattr(solve, "solve", never)
    again = plan(work, term_id)
    assert (again.outcome, again.proposal) == (Outcome.PROPOSED, first.proposal)


@pytest.mark.parametrize(
    ("ended", "note"),
    [(Ended.TIME, words.OUT_OF_TIME), (Ended.ASKED, words.STOPPED), (Ended.WORK, ""), (Ended.PROVEN, "")],
)
def test_a_search_cut_short_leaves_the_plan_and_only_then_says_so(planned, monkeypatch, ended, note):
    work, ensemble_id, term_id, view = planned
    used = {slot.piece_id for slot in view.plan.slots}
    meet(work, ensemble_id, next(p for p in work.pieces.titles() if p not in used))
    found = solve.solve
    monkeypatch.setattr(solve, "solve", lambda *given, **how: replace(found(*given, **how), ended=ended))
    cut = plan(work, term_id, progress=lambda *_: False)
    assert cut.outcome is Outcome.KEPT
    assert cut.plan.slots == view.plan.slots
    assert [each for each in cut.notes if each in (words.OUT_OF_TIME, words.STOPPED)] == [note] * bool(note)


def test_after_taking_every_day_still_says_when_its_section_was_last_featured(planned):
    work, ensemble_id, term_id, view = planned
    meet(work, ensemble_id, view.plan.slots[8].piece_id)
    plan(work, term_id)
    taken = take_proposal(work, term_id, None, TUESDAY, by=BY)
    last, spoken, true = {}, [], []
    for slot in taken.slots:
        for reason in (each for each in slot.reasons if each.kind is ReasonKind.FEATURES):
            spoken.append(reason.last_on)
            true.append(last.get(reason.section_id))
        last[slot.featured_section_id] = slot.on
    assert len(spoken) == 10
    assert spoken == true


@pytest.mark.parametrize(("ended", "pieces", "goes_on"), [
    (Ended.ASKED, 24, True), (Ended.TIME, 6, True), (Ended.TIME, 24, False), (Ended.WORK, 6, False),
])  # fmt: skip
def test_only_a_search_cut_short_before_it_was_full_is_gone_on_with(monkeypatch, ended, pieces, goes_on):
    library, _, term_id = make_library(pieces)
    found, searches = solve.solve, []

    def cut(*given, **how):
        searches.append(given)
        return replace(found(*given, **how), ended=ended)

    monkeypatch.setattr(solve, "solve", cut)
    with library() as work:
        first = plan(work, term_id)
        assert bool(first.open_days) == (pieces < 10)
        again = plan(work, term_id)
    assert len(searches) == 1 + goes_on
    assert again.plan.slots == first.plan.slots
