"""What a director's own levels teach, and what they leave alone."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.core.difficulty import DIMENSIONS, LevelCorrection
from planner.core.profile import Contribution, PartProfile
from planner.levels.adjustment import Corrected, fit_adjustment, in_force
from planner.levels.refit import PUBLISHED_ERROR
from planner.study.difficulty.difficulty import STANDARD_ERROR, WIDE_ERROR
from planner.study.difficulty.together import contributions_together, level_together
from planner.study.difficulty.weights import PLAYED
from tests.checks import some
from tests.fakes import make_profile

levels = st.floats(0.5, 6.0).map(lambda x: round(x, 2))


def contributions(found):
    return tuple(Contribution(n, found[n], PLAYED.weights[n]) for n in DIMENSIONS)


def part(name, found):
    level = round(min(6.0, max(0.5, PLAYED.total(found))), 2)
    return PartProfile(
        name, "flute", 0, 9, None, None, level, contributions(found), level_error=STANDARD_ERROR
    )


def profile_of(*parts):
    rated = tuple(part(f"Part {n}", found) for n, found in enumerate(parts, start=1))
    levels = [each.level for each in rated]
    made = contributions_together(levels, [each.contributions for each in rated])
    return make_profile(level=level_together(levels), parts=rated, contributions=made)


def flat(level, **others):
    return dict.fromkeys(DIMENSIONS, level) | others


dimensions = st.fixed_dictionaries(dict.fromkeys(DIMENSIONS, levels))
profiles = st.builds(profile_of, dimensions, dimensions)
words = st.builds(
    LevelCorrection, st.just(1), levels, st.sampled_from(["", "Part 1", "Part 2"]),
    st.sampled_from(["", *DIMENSIONS]),
)  # fmt: skip
MIDDLE = profile_of(flat(1.5), flat(1.7))


def by_place(own):
    """The last word on each place, as a library keeps it."""
    return tuple({(one.part, one.dimension): one for one in own}.values())


@given(profiles)
def test_without_corrections_every_level_is_the_studys(profile):
    found = in_force(profile, fit_adjustment(()))
    assert found.profile is profile
    assert found.profile.level == profile.level


@settings(max_examples=60)
@given(profiles, st.lists(words, min_size=1, max_size=4).map(by_place))
def test_the_directors_word_is_in_force_exactly_where_it_was_said(profile, own):
    found = in_force(profile, fit_adjustment([Corrected(profile, own)]), own).profile
    for one in some(own):
        where = found if not one.part else found.part(one.part)
        if one.dimension:
            assert {c.name: c.level for c in where.contributions}[one.dimension] == one.level
        else:
            assert where.level == one.level


@settings(max_examples=60)
@given(profiles, profiles, st.lists(words, max_size=4).map(by_place))
def test_every_level_in_force_stays_on_the_scale_and_every_weight_at_nought_or_more(profile, other, own):
    adjustment = fit_adjustment([Corrected(profile, own)])
    found = in_force(other, adjustment).profile
    seen = [found.level, *(p.level for p in found.parts)]
    seen += [c.level for p in found.parts for c in p.contributions]
    assert all(0.5 <= level <= 6.0 for level in seen)
    assert all(c.weight >= 0 for c in found.contributions)


@settings(max_examples=60)
@given(levels, st.sampled_from(DIMENSIONS), st.integers(1, 30))
def test_a_dimensions_offset_leans_the_directors_way_and_never_passes_the_correction(said, name, times):
    own = (LevelCorrection(1, said, "Part 1", name),)
    ((_, offset),) = fit_adjustment([Corrected(MIDDLE, own)] * times).offsets or ((name, 0.0),)
    gap = said - 1.5
    assert offset * gap >= 0
    assert abs(offset) <= abs(gap)
    assert offset == pytest.approx(times * gap / (times + 5), abs=6e-4)


def test_a_dimension_called_harder_makes_other_pieces_harder_in_it_and_no_other():
    own = (LevelCorrection(1, 3.5, "Part 1", "rhythm"),)
    other = profile_of(flat(2.0))
    found = in_force(other, fit_adjustment([Corrected(MIDDLE, own)] * 5)).profile
    moved = {c.name for c, old in zip(sorted(found.parts[0].contributions, key=str),
                                     sorted(other.parts[0].contributions, key=str), strict=True)
             if c.level != old.level}  # fmt: skip
    assert moved == {"rhythm"}
    assert found.level > other.level
    assert found.parts[0].level > other.parts[0].level


def test_the_more_pieces_are_called_harder_the_more_a_new_piece_moves_but_never_past_the_word():
    pieces = [profile_of(flat(level)) for level in (1.2, 1.4, 1.6, 1.8)]
    fresh = profile_of(flat(1.5))
    risen = []
    for count in range(1, 5):
        said = [Corrected(p, (LevelCorrection(n, p.level + 0.8),)) for n, p in enumerate(pieces[:count])]
        risen.append(in_force(fresh, fit_adjustment(said * 3)).profile.level - fresh.level)
    assert risen == sorted(risen)
    assert 0 < risen[0] < risen[-1] <= 1.2


@pytest.mark.parametrize(("times", "low", "high"), [(1, 0.1, 0.22), (10, 0.5, 0.8), (200, 0.9, 1.01)])
def test_one_correction_moves_others_little_and_many_that_agree_most_of_the_way(times, low, high):
    said = Corrected(MIDDLE, (LevelCorrection(1, MIDDLE.level + 1.0),))
    moved = in_force(MIDDLE, fit_adjustment([said] * times)).profile.level - MIDDLE.level
    assert low < moved < high


def test_agreeing_with_the_study_teaches_nothing_even_where_the_charts_held_it():
    held = replace(MIDDLE, level=round(MIDDLE.level + 0.7, 2))
    assert fit_adjustment([Corrected(held, (LevelCorrection(1, held.level),))]).is_neutral


def test_parts_move_with_their_corrected_piece_but_for_one_that_was_corrected_itself():
    own = (LevelCorrection(1, MIDDLE.level + 1.0), LevelCorrection(1, 1.0, "Part 2"))
    found = in_force(MIDDLE, fit_adjustment([Corrected(MIDDLE, own)]), own).profile
    assert found.part("Part 2").level == 1.0
    assert found.part("Part 1").level > MIDDLE.part("Part 1").level
    assert level_together([part.level for part in found.parts]) == pytest.approx(found.level, abs=0.011)


def test_a_harder_part_makes_the_piece_harder():
    own = (LevelCorrection(1, 4.0, "Part 1"),)
    assert in_force(MIDDLE, fit_adjustment(()), own).profile.level > MIDDLE.level


def test_a_published_grade_is_weighed_by_its_certainty_and_yields_to_the_directors_word():
    found = in_force(MIDDLE, fit_adjustment(()), (), 4.0)
    ours, theirs = STANDARD_ERROR**-2, PUBLISHED_ERROR**-2
    assert found.profile.level == pytest.approx(
        (ours * MIDDLE.level + theirs * 4.0) / (ours + theirs), abs=0.006
    )
    assert found.error < STANDARD_ERROR
    said = (LevelCorrection(1, 1.0),)
    assert in_force(MIDDLE, fit_adjustment([Corrected(MIDDLE, said)]), said, 4.0).profile.level == 1.0


def test_a_piece_without_a_level_gets_none_from_others_corrections():
    said = [Corrected(MIDDLE, (LevelCorrection(1, 4.0),))]
    empty = make_profile(level=None, parts=())
    assert in_force(empty, fit_adjustment(said), (), 3.0).profile.level is None


def test_a_piece_without_a_level_is_given_one_by_the_director_and_its_parts_stay():
    unrated = replace(MIDDLE, level=None)
    found = in_force(unrated, fit_adjustment(()), (LevelCorrection(1, 4.0),)).profile
    assert found.level == 4.0
    assert [part.level for part in found.parts] == [part.level for part in MIDDLE.parts]
    harder = fit_adjustment([Corrected(MIDDLE, (LevelCorrection(1, 3.5, "Part 1", "rhythm"),))] * 5)
    taught = in_force(unrated, harder)
    assert (taught.profile.level, taught.error) == (None, None)
    assert taught.profile.parts[0].level > MIDDLE.parts[0].level


def test_what_makes_most_of_a_level_stands_first():
    own = (LevelCorrection(1, 5.0, "", "key"), LevelCorrection(1, 0.5, "", "rhythm"))
    found = in_force(MIDDLE, fit_adjustment(()), own).profile.contributions
    shares = [each.weight * (each.level - 0.5) for each in found]
    assert shares == sorted(shares, reverse=True)
    assert [each.name for each in found if each.level == 0.5] == ["rhythm"] == [found[-1].name]


def test_the_word_on_a_part_moves_the_piece_to_what_its_parts_come_to():
    own = (LevelCorrection(1, 4.0, "Part 1"),)
    found = in_force(MIDDLE, fit_adjustment(()), own).profile
    assert found.level == level_together([4.0, MIDDLE.part("Part 2").level])


def test_a_dimension_set_for_the_whole_moves_in_every_part():
    own = (LevelCorrection(1, 3.6, "", "rhythm"),)
    found = in_force(MIDDLE, fit_adjustment(()), own).profile
    before = {each.name: each.level for each in MIDDLE.contributions}["rhythm"]
    for part_ in found.parts:
        old = {each.name: each.level for each in MIDDLE.part(part_.name).contributions}["rhythm"]
        new = {each.name: each.level for each in part_.contributions}["rhythm"]
        assert new - old == pytest.approx(3.6 - before, abs=0.011)
    assert found.level > MIDDLE.level


def test_a_level_is_as_sure_as_its_least_sure_part():
    def error_of(*errors):
        parts = tuple(replace(p, level_error=e) for p, e in zip(MIDDLE.parts, errors, strict=True))
        return in_force(replace(MIDDLE, parts=parts), fit_adjustment(())).error

    assert error_of(STANDARD_ERROR, STANDARD_ERROR) == STANDARD_ERROR
    assert error_of(STANDARD_ERROR, WIDE_ERROR) == WIDE_ERROR
    assert error_of(None, STANDARD_ERROR) == STANDARD_ERROR
    assert error_of(None, None) == WIDE_ERROR


def test_the_word_on_a_part_is_read_with_its_own_dimensions_and_not_with_anothers():
    whole = LevelCorrection(1, 3.0, "Part 1")
    agreed = LevelCorrection(1, 1.7, "Part 2", "rhythm")
    alone, beside = (fit_adjustment([Corrected(MIDDLE, own)]) for own in ((whole,), (whole, agreed)))
    assert beside.refit == alone.refit
    assert beside.corrections == 2
