"""Matching a library with an ensemble."""

from dataclasses import replace

import pytest

from planner.core.ensemble import Exposure
from planner.core.profile import PartProfile
from planner.core.term import Plan, Slot
from planner.errors import NotFoundError
from planner.levels.curve import expected_share
from planner.levels.readable import EASY_ABOVE, HARD_BELOW, Verdict
from planner.matching.casting import Remedy, Uncovered
from planner.matching.outlook import BeyondComfort
from planner.services.levels.correct import correct_level
from planner.services.term.match_pieces import MatchFilter, match
from tests.checks import some
from tests.fakes import BY, at_a_door, make_source
from tests.services.term.library_for_plans import PARTS, TUESDAY, make_library, make_piece_profile


def matched(library, ensemble_id):
    with library() as work:
        return match(work, ensemble_id, TUESDAY)


def add(library, profile, seed):
    with library() as work:
        piece_id = work.pieces.add(make_source(seed), profile, TUESDAY)
        work.commit()
    return piece_id


def test_each_section_gets_the_pieces_it_can_just_read_and_the_rest_is_counted():
    library, ensemble_id, _ = make_library(13)
    easy, hard = (make_piece_profile(n, level, "key") for n, level in ((90, 0.5), (91, 4.5)))
    add(library, easy, "easy")
    add(library, hard, "hard")
    view = matched(library, ensemble_id)
    assert len(view.candidates) == 15
    for row in view.sections:
        assert len(row.just_readable) + row.too_easy + row.too_hard + row.without_part == 15
        assert row.too_easy >= (row.section.name != "Clarinet 2"), "its part lies just one level below it"
        assert row.too_hard >= 1
        shares = [
            fit.share
            for c in view.candidates
            for fit in c.fits
            if fit.section.id == row.section.id and c.piece in row.just_readable
        ]
        assert all(HARD_BELOW <= share <= EASY_ABOVE for share in shares)


def test_the_expected_share_is_the_curve_at_the_two_levels():
    library, ensemble_id, _ = make_library(3)
    for candidate in some(matched(library, ensemble_id).candidates):
        for fit in some(candidate.fits):
            assert fit.share == pytest.approx(expected_share(fit.section.level, fit.level))


def test_candidates_are_ranked_with_the_verdict_of_each_section():
    library, ensemble_id, _ = make_library(12)
    add(library, make_piece_profile(91, 4.5, "key"), "hard")
    view = matched(library, ensemble_id)
    costs = [c.outlook.cost for c in view.candidates]
    assert costs == sorted(costs)
    last = view.candidates[-1]
    assert last.piece.title == "Piece 91"
    assert [fit.verdict for fit in last.fits] == [Verdict.TOO_HARD] * 4
    hardest = last.outlook.hardest
    assert (hardest.section.name, round(hardest.level, 1), hardest.section.level) == ("Clarinet 2", 4.7, 1.7)


def test_pieces_already_met_are_left_out_and_counted_by_kind():
    library, ensemble_id, _ = make_library(8)
    ids = sorted(library.state.pieces)
    with library() as work:
        for piece_id, how in ((ids[0], "heard"), (ids[1], "performed"), (ids[2], "performed")):
            work.ensembles.add_exposure(Exposure(ensemble_id, piece_id, how))
        work.commit()
    view = matched(library, ensemble_id)
    assert view.met == 3
    assert not {c.piece.id for c in view.candidates} & set(ids[:3])


def test_the_directors_correction_of_a_piece_moves_its_parts():
    library, ensemble_id, _ = make_library(1)
    before = matched(library, ensemble_id).candidates[0]
    at_a_door(library, correct_level, before.piece.id, before.piece.level + 1.0, by=BY)
    after = matched(library, ensemble_id).candidates[0]
    for one, other in zip(some(before.fits), after.fits, strict=True):
        assert other.level == pytest.approx(one.level + 1.0, abs=0.05), "all by the same, to make that level"


def test_parts_nobody_reads_and_sections_without_a_part_are_named():
    library, ensemble_id, _ = make_library(0)
    profile = make_piece_profile(1, 2.0, "key")
    tuba = PartProfile("Tuba", "tuba", 0, 40, ("Bb1", "Bb2"), ("Bb1", "Bb2"), 2.0)
    add(library, replace(profile, parts=(*profile.parts[:3], tuba)), "no trumpet")
    only = matched(library, ensemble_id).candidates[0]
    assert [section.name for section in only.outlook.idle] == ["Trumpet"]
    assert only.outlook.uncovered == (Uncovered("Tuba", "tuba", Remedy.NONE),)


def test_a_part_beyond_a_sections_comfortable_range_is_named_with_the_note():
    library, ensemble_id, _ = make_library(0)
    profile = make_piece_profile(1, 2.0, "key")
    high = replace(profile.parts[3], written_range=("C4", "C6"), sounding_range=("Bb3", "Bb5"))
    add(library, replace(profile, parts=(*profile.parts[:3], high)), "high")
    only = matched(library, ensemble_id).candidates[0]
    assert [(f.section.name, f.beyond) for f in only.outlook.beyond_comfort] == [
        ("Trumpet", BeyondComfort(up_to="C6"))
    ]


def test_pieces_without_a_level_are_counted_not_guessed():
    library, ensemble_id, _ = make_library(2)
    add(library, replace(make_piece_profile(9, 2.0, "key"), level=None), "unknown")
    view = matched(library, ensemble_id)
    assert view.unlevelled == 1
    assert len(view.candidates) == 2


def test_an_unknown_ensemble_is_refused():
    library, _, _ = make_library(1)
    with library() as work, pytest.raises(NotFoundError):
        match(work, 999, TUESDAY)


def test_the_library_of_these_tests_casts_every_part():
    library, ensemble_id, _ = make_library(1)
    only = matched(library, ensemble_id).candidates[0]
    assert len(only.fits) == len(PARTS)
    assert only.outlook.uncovered == only.outlook.idle == ()


def test_the_grid_has_every_piece_against_every_section_known_ones_too():
    library, ensemble_id, term_id = make_library(6)
    with library() as work:
        work.ensembles.add_exposure(Exposure(ensemble_id, 1, "heard"))
        work.terms.save_plan(Plan(term_id, (Slot(TUESDAY, 0, 2, "key"),)))
        work.commit()
    view = matched(library, ensemble_id)
    assert {row.piece.id for row in view.rows} == set(range(1, 7))
    assert [row.cost for row in view.rows] == sorted(row.cost for row in view.rows)
    by_id = {row.piece.id: row for row in view.rows}
    assert by_id[1].known is not None
    assert by_id[2].known is None, "what the ensemble's own plan has is fresh until it is read"
    assert by_id[2].planned_on == TUESDAY
    for candidate in some(view.candidates):
        row = by_id[candidate.piece.id]
        for cell, fit in zip(row.cells, candidate.fits, strict=True):
            assert (cell.share, cell.verdict, cell.part) == (fit.share, fit.verdict, fit.cast.part)


def test_the_grid_is_narrowed_by_focus_minutes_key_freshness_and_verdict():
    library, ensemble_id, _ = make_library(16)
    add(library, replace(make_piece_profile(90, 4.5, "key"), home_key="D minor"), "hard")
    add(library, make_piece_profile(91, 2.0, "key", playing_seconds=900.0), "long")
    with library() as work:
        work.ensembles.add_exposure(Exposure(ensemble_id, 1, "heard"))
        work.commit()
    view = matched(library, ensemble_id)

    def titles(**which):
        return {row.piece.title for row in view.filtered(MatchFilter(**which))}

    every = titles()
    assert len(every) == 18
    assert titles(is_fresh=False) == {"Piece 1"}
    assert titles(is_fresh=True) == every - {"Piece 1"}
    assert titles(minutes=12.0) == every - {"Piece 91"} - {r.piece.title for r in view.rows if r.minutes > 12}
    assert titles(key="D minor") == {"Piece 90"}
    assert titles(focus="key") == {r.piece.title for r in view.rows if "key" in dict(r.trains)} < every
    hard = {r.piece.title for r in view.rows if any(c.verdict is Verdict.TOO_HARD for c in r.cells)}
    assert titles(verdict=Verdict.TOO_HARD) == hard
    flute = view.ensemble.sections[0].id
    assert "Piece 90" in titles(verdict=Verdict.TOO_HARD, section_id=flute) < hard
