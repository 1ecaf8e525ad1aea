"""Planning a term over a library in memory."""

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import pytest

from planner.core.difficulty import FOCUSES
from planner.core.ensemble import Ensemble, Exposure, Section
from planner.core.profile import Excerpt
from planner.core.term import Reason, ReasonKind, Term
from planner.errors import InfeasiblePlanError, InputError, PlanError
from planner.scheduling import check
from planner.services.day.log_results import log_results
from planner.services.day.result_entry import ResultEntry
from planner.services.plan.plan_term import plan_term, save_checked
from planner.services.plan.proposals import take_proposal
from planner.services.plan.term_facts import read_facts
from planner.services.plan.term_problem import build_problem
from planner.services.term.wishes import ban, pin
from tests.fakes import BY, make_source, within
from tests.services.term.library_for_plans import TUESDAY, make_library, make_piece_profile

STEPS = 300
"""Steps of the search: enough for these terms, and the same on every machine."""


def taken(work, term_id, today):
    """The plan in force after planning again and taking what is proposed."""
    view = plan_term(within(work), term_id, today, by=BY, steps=STEPS, leave_open=True)
    if view.proposal is not None:
        take_proposal(work, term_id, None, today, by=BY)
    return plan_term(within(work), term_id, today, by=BY, steps=STEPS, leave_open=True)


def test_every_day_gets_a_fresh_piece_with_a_focus_a_featured_section_and_reasons():
    library, _, term_id = make_library()
    with library() as work:
        view = plan_term(within(work), term_id, TUESDAY, by=BY, steps=STEPS)
        assert [s.slot.on for s in view.slots] == list(view.term.reading_dates())
    assert len({s.piece.id for s in view.slots}) == len(view.slots) == 10
    assert {s.slot.focus for s in view.slots} == set(FOCUSES)
    usual = [ReasonKind.AIM, ReasonKind.HARDEST, ReasonKind.TRAINS, ReasonKind.FEATURES, ReasonKind.TIME]
    assert all(s.featured and [r.kind for r in s.slot.reasons] == usual for s in view.slots)
    for at, one in enumerate(view.slots):
        reasons = {r.kind: r for r in one.slot.reasons}
        assert reasons[ReasonKind.AIM].number("aim") == pytest.approx(0.841, abs=0.001)
        assert reasons[ReasonKind.HARDEST].number("share") <= reasons[ReasonKind.AIM].number("share")
        assert reasons[ReasonKind.TRAINS].evidence.name == one.slot.focus
        assert reasons[ReasonKind.FEATURES].section_id == one.slot.featured_section_id
        before = [
            s.slot.on for s in view.slots[:at] if s.slot.featured_section_id == one.slot.featured_section_id
        ]
        assert reasons[ReasonKind.FEATURES].last_on == (before[-1] if before else None)
    assert all(s.slot.minutes <= 12.0 for s in view.slots)
    with library() as work:
        assert work.terms.plan(term_id) == view.plan


def test_levels_rise_to_the_target_the_director_sets():
    library, _, term_id = make_library(40, target_level=2.5, start_level=1.6)
    with library() as work:
        levels = [s.piece.level for s in plan_term(within(work), term_id, TUESDAY, by=BY, steps=STEPS).slots]
    assert levels[0] < 1.9
    assert levels[-1] > 2.1
    assert max(b - a for a, b in pairwise(levels)) < 0.5


def test_pieces_someone_in_the_room_knows_are_never_planned():
    library, ensemble_id, term_id = make_library(16)
    with library() as work:
        met = [p.id for p in work.pieces.list_pieces(query_all())[0]][3:9]
        for piece_id, how in zip(
            met, ("performed", "rehearsed", "read", "heard", "read", "read"), strict=True
        ):
            work.ensembles.add_exposure(Exposure(ensemble_id, piece_id, how))
        view = plan_term(within(work), term_id, TUESDAY, by=BY, steps=STEPS)
    assert view.met == 6
    assert view.candidates == 10
    assert not {s.piece.id for s in view.slots} & set(met)


def test_too_few_fresh_pieces_are_refused_by_name_or_leave_days_open_on_request():
    library, _, term_id = make_library(6)
    with library() as work:
        work.pieces.add(make_source("hard"), make_piece_profile(7, 4.5, "key"), TUESDAY)
        work.commit()
    with library() as work, pytest.raises(InfeasiblePlanError) as caught:
        plan_term(within(work), term_id, TUESDAY, by=BY, steps=STEPS)
    assert check.FILLED in caught.value.conflict.rules
    with library() as work:
        assert work.terms.plan(term_id) is None
        view = plan_term(within(work), term_id, TUESDAY, by=BY, steps=STEPS, leave_open=True)
    assert len(view.slots) == 5, "two of the seven lie out of reach of the second clarinets"
    assert len(view.open_dates) == 5
    filled = {slot.slot.on for slot in view.slots}
    assert view.open_dates == tuple(on for on in view.term.reading_dates() if on not in filled)
    assert any("5 slots stay open" in note for note in view.notes)


def test_a_pinned_piece_keeps_its_day_and_past_days_stay_when_planned_again():
    library, _, term_id = make_library()
    with library() as work:
        first = plan_term(within(work), term_id, TUESDAY, by=BY, steps=STEPS)
        used = {s.piece.id for s in first.slots}
        spare = next(p.id for p in work.pieces.list_pieces(query_all())[0] if p.id not in used)
        day = first.slots[5].slot.on
        pin(work, term_id, spare, day, TUESDAY, by=BY)
        work.commit()
    later = first.slots[3].slot.on
    with library() as work:
        again = taken(work, term_id, later)
    assert [s.slot for s in again.slots[:3]] == [s.slot for s in first.slots[:3]]
    assert [s.is_past for s in again.slots] == [True] * 3 + [False] * 7
    pinned = next(s for s in again.slots if s.slot.on == day)
    assert pinned.piece.id == spare
    assert pinned.slot.is_pinned
    assert pinned.slot.reasons[0] == Reason(ReasonKind.PINNED)


def test_a_banned_piece_leaves_its_day_or_the_term():
    library, _, term_id = make_library()
    with library() as work:
        first = plan_term(within(work), term_id, TUESDAY, by=BY, steps=STEPS)
        unwanted, other = first.slots[0].slot, first.slots[1].slot
        ban(work, term_id, unwanted.piece_id, None, TUESDAY, by=BY)
        ban(work, term_id, other.piece_id, other.on, TUESDAY, by=BY)
        again = taken(work, term_id, TUESDAY)
    assert unwanted.piece_id not in {s.piece.id for s in again.slots}
    assert other.piece_id not in {s.piece.id for s in again.slots if s.slot.on == other.on}


def test_a_term_that_is_over_has_nothing_to_plan():
    library, _, term_id = make_library()
    with library() as work, pytest.raises(InputError):
        plan_term(within(work), term_id, date(2027, 1, 1), by=BY, steps=STEPS)


def test_good_results_raise_the_levels_of_what_comes_next_and_poor_ones_lower_them():
    def levels_after(share):
        library, ensemble_id, term_id = make_library(24, weeks=3, announced_days=0)
        with library() as work:
            first = plan_term(within(work), term_id, TUESDAY, by=BY, steps=STEPS).slots[0]
            sections = work.ensembles.get(ensemble_id).sections
            log_results(
                work, ensemble_id, TUESDAY, [ResultEntry(s.id, first.piece.id, share) for s in sections],
                by=BY, today=TUESDAY,
            )  # fmt: skip
            again = taken(work, term_id, TUESDAY)
        assert again.slots[0].slot == first.slot, "a logged day is past, even today"
        ahead = [s.piece.level for s in again.slots[1:]]
        return sum(ahead) / len(ahead)

    assert levels_after(0.99) > levels_after(0.84) + 0.1
    assert levels_after(0.5) < levels_after(0.84) - 0.1


def test_a_skill_that_went_wrong_comes_up_more_often():
    def times_key(share, problems):
        library, ensemble_id, term_id = make_library(36, weeks=8, announced_days=0)
        with library() as work:
            first = plan_term(within(work), term_id, TUESDAY, by=BY, steps=STEPS).slots[0]
            sections = work.ensembles.get(ensemble_id).sections
            entries = [ResultEntry(s.id, first.piece.id, share, problems=problems) for s in sections]
            log_results(work, ensemble_id, TUESDAY, entries, by=BY, today=TUESDAY)
            again = taken(work, term_id, TUESDAY)
        return [s.slot.focus for s in again.slots[1:]].count("key")

    for share in (0.75, 0.88):
        assert times_key(share, ("key",)) > times_key(share, ())


def test_a_long_piece_is_planned_as_its_excerpt_and_says_which_bars():
    library, ensemble_id, _ = make_library(0)
    with library() as work:
        excerpt = Excerpt(8, 23, 1.2, level=2.0)
        long = make_piece_profile(1, 2.0, "rhythm", playing_seconds=600.0, excerpts=(excerpt,))
        work.pieces.add(make_source("long"), long, TUESDAY)
        term_id = work.terms.add(Term(0, ensemble_id, "One day", TUESDAY, TUESDAY, (1,), minutes=10.0))
        view = plan_term(within(work), term_id, TUESDAY, by=BY, steps=STEPS)
    (passage,) = [r for r in view.slots[0].slot.reasons if r.kind is ReasonKind.PASSAGE]
    assert passage.bars == ("9", "24")
    assert passage.number("available") == 10.0
    assert passage.number("minutes") == view.slots[0].slot.minutes


def test_what_another_ensemble_met_counts_for_the_players_both_share():
    library, ensemble_id, term_id = make_library(18, players=True)
    with library() as work:
        flute = work.ensembles.get(ensemble_id).sections[0].players[0]
        shared = replace(flute, id=0)
        other = work.ensembles.add(
            Ensemble(0, "Jazz", sections=(Section(0, "Flute", "flute", size=1, players=(shared,)),))
        )
        stranger = work.ensembles.add(Ensemble(0, "Choir", sections=(Section(0, "Alto", "alto", size=9),)))
        ids = [p.id for p in work.pieces.list_pieces(query_all())[0]]
        work.ensembles.add_exposure(Exposure(other, ids[0], "performed", TUESDAY))
        work.ensembles.add_exposure(Exposure(stranger, ids[1], "performed", TUESDAY))
        view = plan_term(within(work), term_id, TUESDAY, by=BY, steps=STEPS)
    assert view.met == 1
    assert ids[0] not in {s.piece.id for s in view.slots}


def test_two_terms_of_one_ensemble_never_share_a_piece():
    library, ensemble_id, term_id = make_library(24)
    last = TUESDAY + timedelta(days=34)
    with library() as work:
        first = plan_term(within(work), term_id, TUESDAY, by=BY, steps=STEPS)
        second_id = work.terms.add(Term(0, ensemble_id, "Extra", TUESDAY, last, (4,), minutes=12.0))
        second = plan_term(within(work), second_id, TUESDAY, by=BY, steps=STEPS)
    assert not {s.piece.id for s in first.slots} & {s.piece.id for s in second.slots}


def test_the_same_library_gives_the_same_plan():
    plans = []
    for _ in range(2):
        library, _, term_id = make_library()
        with library() as work:
            plans.append(plan_term(within(work), term_id, TUESDAY, by=BY, steps=STEPS).plan)
    assert plans[0] == plans[1]


def test_a_plan_that_breaks_a_rule_is_not_saved():
    from planner.scheduling.problem import Limits

    library, _, term_id = make_library()
    with library() as work:
        view = plan_term(within(work), term_id, TUESDAY, by=BY, steps=STEPS)
        facts = read_facts(work, term_id, TUESDAY)
        problem = build_problem(facts, Limits(), opened=view.term.reading_dates())
        twice = (view.plan.slots[1], *view.plan.slots[1:])
        edited = tuple(
            replace(s, on=d, position=0) for s, d in zip(twice, view.term.reading_dates(), strict=True)
        )
        with pytest.raises(PlanError, match=check.ONCE):
            save_checked(work, problem, replace(view.plan, slots=edited), edited)
        assert work.terms.plan(term_id) == view.plan


def test_two_pieces_a_day_share_the_minutes_and_begin_with_the_easier():
    library, _, term_id = make_library(24, weeks=4, slots=2, minutes=20.0)
    with library() as work:
        view = plan_term(within(work), term_id, TUESDAY, by=BY, steps=STEPS)
    assert len(view.slots) == 16
    for day in view.term.reading_dates():
        pieces = [s for s in view.slots if s.slot.on == day]
        assert [s.slot.position for s in pieces] == [0, 1]
        assert pieces[0].piece.level <= pieces[1].piece.level
        assert sum(s.slot.minutes for s in pieces) <= 20.0


def query_all():
    from planner.core.piece import PieceQuery

    return PieceQuery(limit=0)
