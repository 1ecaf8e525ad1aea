"""Who can know which piece on which day of a term."""

from dataclasses import replace
from datetime import timedelta

import pytest

from planner.core.ensemble import Ensemble, Exposure, Player, Section
from planner.core.term import Plan, Result, Slot, Term
from planner.services.plan.freshness import Knowing, known_by_day, linked_pieces, unlogged_slots
from tests.services.term.library_for_plans import TUESDAY, make_library

DAYS = tuple(TUESDAY + timedelta(days=7 * n) for n in range(3))


@pytest.fixture
def room():
    library, ensemble_id, term_id = make_library(4, players=True)
    with library() as work:
        yield work, work.ensembles.get(ensemble_id), work.terms.get(term_id)


def known(work, ensemble, term=None, today=TUESDAY, days=DAYS):
    found = known_by_day(work, ensemble, days, term=term, today=today)
    return [sorted((piece, each.how) for piece, each in found[on].items()) for on in days]


def test_players_who_come_and_go_take_what_they_know_with_them(room):
    work, ensemble, _ = room
    jazz = work.ensembles.add(Ensemble(0, "Jazz"))
    seat = work.ensembles.add_section(jazz, Section(0, "Flute", "flute"))
    for name in ("Early", "Late"):
        work.ensembles.add_player(seat, Player(0, name))
    work.ensembles.add_exposure(Exposure(jazz, 2, "heard"))
    flutes = ensemble.sections[0].id
    work.ensembles.add_player(flutes, Player(0, "Early", left=DAYS[1]))
    work.ensembles.add_player(flutes, Player(0, "Late", joined=DAYS[2]))
    met = [(2, Knowing.MET)]
    assert known(work, work.ensembles.get(ensemble.id)) == [met, [], met]


def test_what_was_planned_for_a_past_day_and_not_logged_counts_as_known(room):
    work, ensemble, term = room
    slots = (Slot(DAYS[0], 0, 1, "key"), Slot(DAYS[1], 0, 2, "key"), Slot(DAYS[2], 0, 3, "key"))
    plan = Plan(term.id, slots)
    work.terms.save_plan(plan)
    today = DAYS[1] + timedelta(days=1)
    section = ensemble.sections[0].id
    work.results.put(Result(ensemble.id, section, 1, DAYS[0], 0.8))
    assert known(work, ensemble, term, today)[2] == [(1, Knowing.MET), (2, Knowing.UNLOGGED)]
    assert unlogged_slots(plan.slots, work.results.list_results(), today) == (slots[1],)


def test_another_term_of_the_ensemble_means_to_read_its_pieces(room):
    work, ensemble, term = room
    extra = work.terms.add(Term(0, ensemble.id, "Extra", DAYS[0], DAYS[2], (3,)))
    work.terms.save_plan(Plan(extra, (Slot(DAYS[2], 0, 3, "key"),)))
    work.terms.save_plan(Plan(term.id, (Slot(DAYS[2], 0, 4, "key"),)))
    assert known(work, ensemble, term) == [[(3, Knowing.PLANNED)]] * 3, "its own plan is left aside"


def test_what_shared_players_will_read_elsewhere_is_known(room):
    work, ensemble, _ = room
    choirs = []
    for name, player in (("Choir", ensemble.sections[0].players[0].name), ("Strangers", "Somebody Else")):
        other = work.ensembles.add(Ensemble(0, name))
        seat = work.ensembles.add_section(other, Section(0, "Alto", "alto"))
        work.ensembles.add_player(seat, Player(0, player))
        choirs.append(work.terms.add(Term(0, other, "Autumn", DAYS[0], DAYS[2], (1,))))
    for term_id, piece in zip(choirs, (1, 2), strict=True):
        work.terms.save_plan(Plan(term_id, (Slot(DAYS[1], 0, piece, "key"),)))
    assert known(work, ensemble) == [[(1, Knowing.PLANNED)]] * 3


def test_files_of_one_piece_are_known_together_however_they_are_linked(room):
    work, ensemble, _ = room
    work.pieces.put_link(2, 1)
    work.pieces.put_link(3, 2)
    work.ensembles.add_exposure(Exposure(ensemble.id, 3, "performed"))
    assert linked_pieces(work) == {1: {2, 3}, 2: {1, 3}, 3: {1, 2}}
    found = known_by_day(work, ensemble, DAYS[:1], today=TUESDAY)[DAYS[0]]
    assert {piece: each.through for piece, each in found.items()} == {1: 3, 2: 3, 3: None}
    work.pieces.put_link(3, None)
    assert linked_pieces(work) == {1: {2}, 2: {1}}


def test_what_was_met_is_told_before_what_is_planned(room):
    work, ensemble, term = room
    extra = work.terms.add(replace(term, id=0, name="Extra"))
    work.terms.save_plan(Plan(extra, (Slot(DAYS[2], 0, 3, "key"),)))
    work.ensembles.add_exposure(Exposure(ensemble.id, 3, "heard", TUESDAY - timedelta(days=30)))
    assert known(work, ensemble, term)[0] == [(3, Knowing.MET)]
