"""Which parts stand in for one that nobody reads."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from planner.core.pitch import Transposition
from planner.matching.coverage import WORTH_TELLING, find_cover
from tests.builders import make_part, make_score
from tests.checks import some

TUNE = "C4 D4 E4 F4 | G4 A4 B4 C5"


def score_of(*parts):
    return make_score(*parts)


def test_a_part_that_doubles_in_another_octave_and_key_covers_everything():
    flute = make_part(TUNE, name="Flute")
    clarinet = make_part("D3 E3 F#3 G3 | A3 B3 C#4 D4", name="Clarinet")
    clarinet = replace(clarinet, transpositions=((0, Transposition(-1, -2)),))
    (missing,) = find_cover(score_of(flute, clarinet), ["Flute"], ["Clarinet"])
    assert [(each.part, each.share, each.is_cue) for each in missing.covers] == [("Clarinet", 1.0, False)]
    assert missing.together == 1.0


def test_a_part_that_shares_one_note_in_eight_is_not_worth_naming():
    low = make_part("C3 r r r | r r r r", name="Tuba")
    (missing,) = find_cover(score_of(make_part(TUNE, name="Flute"), low), ["Flute"], ["Tuba"])
    assert missing.covers == ()
    assert missing.together == 1 / 8


def test_a_part_that_shares_a_quarter_of_the_notes_is_worth_naming():
    low = make_part("C3 D3 r r | r r r r", name="Tuba")
    (missing,) = find_cover(score_of(make_part(TUNE, name="Flute"), low), ["Flute"], ["Tuba"])
    assert [(each.part, each.share) for each in missing.covers] == [("Tuba", 0.25)]


def test_cues_are_told_as_cues_and_are_not_part_of_what_sounds():
    cued = make_part(TUNE, name="Oboe")
    cued = replace(cued, notes=tuple(replace(note, is_cue=True) for note in cued.notes))
    (missing,) = find_cover(score_of(make_part(TUNE, name="Flute"), cued), ["Flute"], ["Oboe"])
    assert [(each.part, each.is_cue, each.share) for each in missing.covers] == [("Oboe", True, 1.0)]
    assert missing.together == 0.0


def test_parts_that_are_not_there_or_have_no_pitches_are_passed_over():
    score = score_of(make_part("r r r r", name="Flute"), make_part(TUNE, name="Oboe"))
    assert find_cover(score, ["Flute", "Harp"], ["Oboe", "Kazoo"]) == ()


@given(st.lists(st.sampled_from(["C4", "E4", "G4", "r"]), min_size=4, max_size=4))
def test_no_share_lies_outside_its_bounds(notes):
    other = make_part(" ".join(notes), name="Other")
    for missing in some(
        find_cover(score_of(make_part("C4 E4 G4 C5", name="Tune"), other), ["Tune"], ["Other"])
    ):
        assert all(WORTH_TELLING <= each.share <= 1.0 for each in missing.covers)
        assert 0.0 <= missing.together <= 1.0
