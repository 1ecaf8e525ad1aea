"""What a piece trains these sections in, whom it features, what it has in common with others."""

from dataclasses import replace

import pytest

from planner.core.difficulty import FOCUSES
from planner.core.fact import Fact, FactKind
from planner.core.profile import Contribution, Excerpt, MelodySpan
from planner.matching.outlook import outlook_of
from planner.services.plan.demands import (
    Ladder,
    doubled_bars,
    features,
    skill_shares,
    telling_traits,
    traits,
    tune_bars,
)
from tests.fakes import FakeLibrary, make_source
from tests.services.term.library_for_plans import BAND, TUESDAY, make_piece_profile


@pytest.fixture
def meet():
    """Puts a profile into a library and says how the band of four meets it."""
    library = FakeLibrary()
    with library() as work:
        ensemble = work.ensembles.get(work.ensembles.add(BAND))

        def as_met(profile, seed, **words):
            piece = replace(work.pieces.get(work.pieces.add(make_source(seed), profile, TUESDAY)), **words)
            return outlook_of(piece, profile, ensemble)

        yield as_met


def of_parts(profile, *contributions):
    """The profile with these contributions in its parts, in order; the rest of the parts has none."""
    parts = [
        replace(part, contributions=own) for part, own in zip(profile.parts, contributions, strict=False)
    ]
    return replace(profile, parts=(*parts, *profile.parts[len(parts) :]))


def ladder_of(outlooks):
    return Ladder({outlook.piece.id: skill_shares(outlook) for outlook in outlooks})


def test_a_skill_s_share_is_what_it_makes_of_the_level_of_each_part_read_every_section_counting_once(meet):
    """Rhythm makes 0.3 of 0.6 levels of one part and 0.1 of 0.4 of the other: a half and a quarter."""
    one = (
        Contribution("rhythm", 2.0, 0.1),
        Contribution("syncopation", 2.0, 0.1),
        Contribution("key", 3.5, 0.1),
    )
    other = (Contribution("rhythm", 1.5, 0.1), Contribution("key", 3.5, 0.1))
    profile = of_parts(make_piece_profile(1, 2.0, "key"), one, other, (), ())
    assert skill_shares(meet(profile, "one")) == {"rhythm": 0.375, "key": 0.625}


def test_about_a_third_of_the_pieces_trains_a_skill_strongly_and_a_third_somewhat(meet):
    outlooks = []
    for number in range(30):
        own = tuple(
            Contribution(skill, 1.0 + ((7 * number + 3 * at) % 30) / 10, 0.1)
            for at, skill in enumerate(FOCUSES)
        )
        outlooks.append(meet(of_parts(make_piece_profile(number, 2.0, "key"), *[own] * 4), str(number)))
    ladder = ladder_of(outlooks)
    trains = [dict(ladder.trains(outlook.piece.id)) for outlook in outlooks]
    for skill in FOCUSES:
        assert sum(own.get(skill) == 2 for own in trains) == 10
        assert sum(own.get(skill) == 1 for own in trains) == 10


def test_pieces_that_are_all_alike_still_train_something(meet):
    outlooks = [meet(make_piece_profile(0, 2.0, "key"), str(number)) for number in range(5)]
    ladder = ladder_of(outlooks)
    assert {ladder.trains(outlook.piece.id) for outlook in outlooks} == {(("key", 1),)}


def test_a_skill_that_makes_nearly_nothing_of_the_level_is_not_trained(meet):
    small = (Contribution("meter", 0.5, 0.1), Contribution("key", 3.0, 0.1))
    large = (Contribution("meter", 0.6, 0.01), Contribution("key", 3.0, 0.1))
    outlooks = [
        meet(of_parts(make_piece_profile(n, 2.0, "key"), *[own] * 4), str(n))
        for n, own in enumerate((small, small, large))
    ]
    assert "meter" not in dict(ladder_of(outlooks).trains(outlooks[2].piece.id))


TUNE = (
    MelodySpan(0, 0.0, "Flute"),
    MelodySpan(16, 0.0, "Trumpet"),
    MelodySpan(20, 0.0, ""),
    MelodySpan(22, 0.0, "Clarinet 1"),
)
"""Of 24 bars the flutes have the tune in 16, the trumpets in 4, the clarinets in 2, and nobody in 2."""


def tuneful():
    return replace(make_piece_profile(1, 2.0, "key"), measures=24, melody=TUNE)


def test_a_section_is_featured_where_it_has_the_tune_and_fully_where_it_has_most_of_it(meet):
    outlook = meet(tuneful(), "tuneful")
    flute, clarinet, _, trumpet = (section.id for section in outlook.sections)
    assert tune_bars(outlook.profile) == {"Flute": 16, "Trumpet": 4, "Clarinet 1": 2}
    assert features(outlook) == ((flute, 2), (trumpet, 1)), "the clarinets have 2 of 22 bars"
    assert clarinet not in dict(features(outlook))


def test_of_a_passage_its_own_tune_counts(meet):
    outlook = meet(tuneful(), "tuneful")
    trumpet = outlook.sections[3].id
    assert features(outlook, Excerpt(16, 23, 1.0)) == ((trumpet, 2),)


DOUBLED = (
    Fact(FactKind.DOUBLES_TUNE, "Clarinet 2", ((2, 9), (12, 15)), ("Flute",)),
    Fact(FactKind.DOUBLES_TUNE, "Clarinet 2", ((14, 15), (16, 17)), ("Trumpet",)),
    Fact(FactKind.DOUBLES_TUNE, "Clarinet 1", ((16, 17),), ("Trumpet",)),
    Fact(FactKind.HAS_TUNE, "Trumpet", ((0, 23),)),
)
"""The second clarinets double 14 of the 22 bars, the first ones 2 beside the 2 that are their own."""


def test_a_section_that_doubles_the_tune_plays_it_and_is_featured(meet):
    outlook = meet(replace(tuneful(), facts=DOUBLED), "doubled")
    flute, first, second, trumpet = (section.id for section in outlook.sections)
    assert doubled_bars(outlook.profile) == {"Clarinet 2": 14, "Clarinet 1": 2}
    assert dict(features(outlook)) == {flute: 2, first: 1, second: 2, trumpet: 1}
    passage = Excerpt(16, 23, 1.0)
    assert doubled_bars(outlook.profile, passage) == {"Clarinet 2": 2, "Clarinet 1": 2}
    assert dict(features(outlook, passage)) == {first: 2, trumpet: 2}, (
        "two bars are too few to be featured in"
    )


def test_without_a_melody_nobody_is_featured(meet):
    assert features(meet(replace(tuneful(), melody=()), "silent")) == ()


def test_what_most_pieces_share_sets_none_apart(meet):
    common = {n: traits(meet(make_piece_profile(n, 2.0, "key"), str(n))) for n in range(3)}
    assert common[0] == {"composer ada weir", "key Bb major", "meter 4/4"}
    march = traits(meet(make_piece_profile(9, 2.0, "key"), "march", composer="Bo Lind", tags=("March",)))
    assert telling_traits({**common, 9: march})[9] == {"composer bo lind", "tag march"}
    assert telling_traits({**common, 9: march})[0] == frozenset()
