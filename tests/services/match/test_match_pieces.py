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
from planner.services.match.match_pieces import match
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


def test_what_the_ensemble_s_own_plan_has_is_fresh_until_it_is_read():
    library, ensemble_id, term_id = make_library(6)
    with library() as work:
        work.terms.save_plan(Plan(term_id, (Slot(TUESDAY, 0, 2, "key"),)))
        work.commit()
    view = matched(library, ensemble_id)
    assert view.met == 0
    assert len(view.candidates) == 6
