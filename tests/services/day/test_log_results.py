"""Results of a reading day: stored once, used up, and turned into levels."""

from dataclasses import replace
from datetime import timedelta

import pytest

from planner.core.ensemble import Exposure
from planner.core.term import Result
from planner.errors import InputError, NotFoundError
from planner.levels.belief import DEFAULT_ERROR
from planner.levels.history import LevelPoint, trace_level
from planner.services.day.log_results import log_results
from planner.services.day.result_entry import ResultEntry
from planner.services.entered.answers import YES_TO_ALL
from planner.services.match.match_pieces import match
from planner.services.people.exposures import record_exposures
from planner.services.people.roster import change_section
from tests.fakes import BY, at_a_door, changing
from tests.services.term.library_for_plans import TUESDAY, make_library

THURSDAY = TUESDAY + timedelta(days=2)


def sections_of(library, ensemble_id):
    with library() as work:
        return {s.name: s for s in work.ensembles.get(ensemble_id).sections}


def log(library, ensemble_id, on, piece_id, shares, **marks):
    sections = sections_of(library, ensemble_id)
    with changing(library) as work:
        entries = [ResultEntry(sections[name].id, piece_id, share, **marks) for name, share in shares.items()]
        return log_results(work, ensemble_id, on, entries, by=BY, today=on, answers=YES_TO_ALL)


def first_piece(library):
    return min(library.state.pieces)


def test_a_result_is_stored_the_piece_used_up_and_the_level_moved():
    library, ensemble_id, _ = make_library()
    piece_id = first_piece(library)
    before = sections_of(library, ensemble_id)["Flute"]
    logged = log(library, ensemble_id, TUESDAY, piece_id, {"Flute": 0.97})
    after = sections_of(library, ensemble_id)["Flute"]
    assert [(r.section_id, r.first_share) for r in logged.results] == [(before.id, 0.97)]
    part = library.state.profiles[piece_id].part("Flute")
    read = LevelPoint(TUESDAY, part.level, 0.97, part.level_error or 0.0)
    now = trace_level(before.level, None, [read]).now
    assert (after.level, after.level_error) == (now.level, now.error)
    assert (after.start_level, after.start_error) == (before.level, None)
    assert logged.changes[0].section.name == "Flute"
    assert logged.changes[0].before != logged.changes[0].after
    with library() as work:
        view = match(work, ensemble_id, THURSDAY)
        assert [(e.piece_id, e.how, e.on) for e in work.ensembles.exposures(ensemble_id)] == [
            (piece_id, "read", TUESDAY)
        ]
    assert view.met == 1
    assert piece_id not in {c.piece.id for c in view.candidates}


def test_entering_a_day_twice_counts_once():
    library, ensemble_id, _ = make_library()
    piece_id = first_piece(library)
    log(library, ensemble_id, TUESDAY, piece_id, {"Flute": 0.97, "Trumpet": 0.5})
    once = library.state
    again = log(library, ensemble_id, TUESDAY, piece_id, {"Flute": 0.97, "Trumpet": 0.5})
    assert again.changes == ()
    assert library.state == once


def test_a_corrected_result_takes_the_place_of_the_first():
    library, ensemble_id, _ = make_library()
    piece_id = first_piece(library)
    log(library, ensemble_id, TUESDAY, piece_id, {"Flute": 0.2})
    log(library, ensemble_id, TUESDAY, piece_id, {"Flute": 0.97})
    corrected = sections_of(library, ensemble_id)["Flute"]
    straight, ensemble_id, _ = make_library()
    log(straight, ensemble_id, TUESDAY, piece_id, {"Flute": 0.97})
    assert corrected == sections_of(straight, ensemble_id)["Flute"]


def test_days_entered_out_of_order_give_the_same_levels():
    def level_after(days):
        library, ensemble_id, _ = make_library()
        ids = sorted(library.state.pieces)
        facts = {TUESDAY: (ids[0], 0.95), THURSDAY: (ids[5], 0.6)}
        for on in days:
            piece_id, share = facts[on]
            log(library, ensemble_id, on, piece_id, {"Trumpet": share})
        return sections_of(library, ensemble_id)["Trumpet"]

    assert level_after((TUESDAY, THURSDAY)) == level_after((THURSDAY, TUESDAY))


def test_a_section_without_results_keeps_its_level_and_its_wide_doubt():
    library, ensemble_id, _ = make_library()
    before = sections_of(library, ensemble_id)["Clarinet 1"]
    log(library, ensemble_id, TUESDAY, first_piece(library), {"Flute": 0.97})
    after = sections_of(library, ensemble_id)
    assert after["Clarinet 1"] == before
    assert before.level_error is None
    assert after["Flute"].level_error < DEFAULT_ERROR


def test_a_level_set_by_hand_starts_the_count_anew():
    library, ensemble_id, _ = make_library()
    ids = sorted(library.state.pieces)
    log(library, ensemble_id, TUESDAY, ids[0], {"Flute": 0.2})
    with library() as work:
        flute = next(s for s in work.ensembles.get(ensemble_id).sections if s.name == "Flute")
        by_hand = replace(
            flute, level=3.0, level_error=None, start_level=3.0, start_error=None, start_on=THURSDAY
        )
        work.ensembles.update_section(by_hand)
        work.commit()
    log(library, ensemble_id, THURSDAY, ids[1], {"Flute": 0.97})
    assert sections_of(library, ensemble_id)["Flute"].level > 2.9


@pytest.mark.parametrize(
    "wrong",
    [
        {"first_share": 1.2},
        {"first_share": -0.1},
        {"second_share": 97.0},
        {"tempo_bpm": 0.0},
        {"problems": ("attitude",)},
    ],
)
def test_an_impossible_entry_is_refused_and_nothing_is_stored(wrong):
    library, ensemble_id, _ = make_library()
    flute = sections_of(library, ensemble_id)["Flute"]
    good = ResultEntry(flute.id, first_piece(library), 0.9)
    before = library.state
    with library() as work, pytest.raises(InputError, match="Flute"):
        log_results(work, ensemble_id, TUESDAY, [good, replace(good, **wrong)], by=BY, today=TUESDAY)
    assert library.state == before


def test_results_of_strangers_or_of_no_piece_are_refused():
    library, ensemble_id, _ = make_library()
    flute = sections_of(library, ensemble_id)["Flute"]
    for entry in (ResultEntry(999, first_piece(library), 0.9), ResultEntry(flute.id, 999, 0.9)):
        with library() as work, pytest.raises(NotFoundError):
            log_results(work, ensemble_id, TUESDAY, [entry], by=BY, today=TUESDAY)


def test_a_result_without_an_exposure_still_uses_the_piece_up():
    library, ensemble_id, _ = make_library()
    piece_id = first_piece(library)
    flute = sections_of(library, ensemble_id)["Flute"]
    with library() as work:
        work.results.put(Result(ensemble_id, flute.id, piece_id, TUESDAY, 0.9))
        view = match(work, ensemble_id, THURSDAY)
    assert piece_id not in {c.piece.id for c in view.candidates}


def test_a_level_changed_by_hand_is_the_directors_word_from_now_on():
    library, ensemble_id, _ = make_library()
    ids = sorted(library.state.pieces)
    log(library, ensemble_id, TUESDAY, ids[0], {"Flute": 0.2})
    flute = sections_of(library, ensemble_id)["Flute"]
    at_a_door(library, change_section, replace(flute, level=3.0), by=BY)
    by_hand = sections_of(library, ensemble_id)["Flute"]
    assert (by_hand.level, by_hand.start_level, by_hand.level_error) == (3.0, 3.0, None)
    assert by_hand.start_on == TUESDAY + timedelta(days=1)
    log(library, ensemble_id, TUESDAY, ids[0], {"Flute": 0.2})
    assert sections_of(library, ensemble_id)["Flute"].level == 3.0
    log(library, ensemble_id, THURSDAY, ids[1], {"Flute": 0.97})
    assert sections_of(library, ensemble_id)["Flute"].level > 2.9


def test_saving_a_section_with_its_level_rounded_changes_nothing():
    library, ensemble_id, _ = make_library()
    log(library, ensemble_id, TUESDAY, first_piece(library), {"Flute": 0.97})
    flute = sections_of(library, ensemble_id)["Flute"]
    at_a_door(library, change_section, replace(flute, level=round(flute.level, 1), size=5), by=BY)
    assert sections_of(library, ensemble_id)["Flute"] == replace(flute, size=5)


def test_a_result_that_does_not_count_moves_no_level_and_uses_the_piece_up():
    library, ensemble_id, _ = make_library()
    piece_id = first_piece(library)
    before = sections_of(library, ensemble_id)
    logged = log(library, ensemble_id, TUESDAY, piece_id, {"Flute": 0.2}, counts=False)
    assert logged.changes == ()
    assert [result.counts for result in logged.results] == [False]
    assert sections_of(library, ensemble_id) == before
    with library() as work:
        view = match(work, ensemble_id, THURSDAY)
    assert piece_id not in {c.piece.id for c in view.candidates}


def test_a_result_set_aside_leaves_the_level_of_the_others():
    library, ensemble_id, _ = make_library()
    ids = sorted(library.state.pieces)
    log(library, ensemble_id, TUESDAY, ids[0], {"Flute": 0.9})
    alone = sections_of(library, ensemble_id)["Flute"]
    log(library, ensemble_id, THURSDAY, ids[1], {"Flute": 0.1})
    assert sections_of(library, ensemble_id)["Flute"].level < alone.level
    log(library, ensemble_id, THURSDAY, ids[1], {"Flute": 0.1}, counts=False)
    assert sections_of(library, ensemble_id)["Flute"] == alone
    log(library, ensemble_id, THURSDAY, ids[1], {"Flute": 0.1}, counts=True)
    assert sections_of(library, ensemble_id)["Flute"].level < alone.level


def test_a_result_set_aside_stays_so_when_it_is_entered_again_without_a_word():
    library, ensemble_id, _ = make_library()
    piece_id = first_piece(library)
    log(library, ensemble_id, TUESDAY, piece_id, {"Flute": 0.1}, counts=False)
    again = log(library, ensemble_id, TUESDAY, piece_id, {"Flute": 0.3})
    assert [(result.first_share, result.counts) for result in again.results] == [(0.3, False)]


def test_a_result_is_taken_back_with_all_it_did():
    library, ensemble_id, _ = make_library()
    piece_id = first_piece(library)
    fresh = sections_of(library, ensemble_id)
    log(library, ensemble_id, TUESDAY, piece_id, {"Flute": 0.2, "Trumpet": 0.9})
    log(library, ensemble_id, TUESDAY, piece_id, {"Flute": None})
    with library() as work:
        assert {e.how for e in work.ensembles.exposures(ensemble_id)} == {"read"}, "Trumpet has read it"
    log(library, ensemble_id, TUESDAY, piece_id, {"Trumpet": None})
    log(library, ensemble_id, TUESDAY, piece_id, {"Trumpet": None})
    after = sections_of(library, ensemble_id)
    assert {name: s.level for name, s in after.items()} == {name: s.level for name, s in fresh.items()}
    assert {s.level_error for s in after.values()} == {None}
    with library() as work:
        assert work.results.list_results() == ()
        assert list(work.ensembles.exposures(ensemble_id)) == []
        assert piece_id in {c.piece.id for c in match(work, ensemble_id, THURSDAY).candidates}


def test_what_was_met_otherwise_stays_met_when_results_are_taken_back():
    library, ensemble_id, _ = make_library()
    piece_id = first_piece(library)
    noted = Exposure(ensemble_id, piece_id, "read", TUESDAY)
    at_a_door(library, record_exposures, [noted], by=BY, today=noted.on)
    log(library, ensemble_id, TUESDAY, piece_id, {"Flute": 0.2})
    log(library, ensemble_id, TUESDAY, piece_id, {"Flute": None})
    with library() as work:
        assert list(work.ensembles.exposures(ensemble_id)) == [noted]


def test_a_run_of_surprises_is_named_for_those_who_read():
    library, ensemble_id, _ = make_library()
    ids = sorted(library.state.pieces)
    days = [TUESDAY + timedelta(days=7 * n) for n in range(12)]
    for at, on in enumerate(days[:8]):
        quiet = log(library, ensemble_id, on, ids[at], {"Flute": 0.9, "Trumpet": 0.85})
        assert quiet.misfits == {}
    for at, on in enumerate(days[8:], start=8):
        last = log(library, ensemble_id, on, ids[at], {"Flute": 0.1, "Trumpet": 0.85})
    assert set(last.misfits) == {"Flute"}
    assert last.misfits["Flute"].kind == "lower"
    other = log(library, ensemble_id, days[-1], ids[11], {"Trumpet": 0.84})
    assert other.misfits == {}, "Flute was not entered this time"
