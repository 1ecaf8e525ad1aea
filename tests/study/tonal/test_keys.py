from fractions import Fraction

import pytest

from planner.core.fact import FactKind
from planner.core.pitch import Pitch, Transposition
from planner.core.profile import KeyRelation
from planner.core.score import Measure, Note, Part, RoadmapMark, Score, TimeSignature
from planner.study.notes.columns import columns_of
from planner.study.tonal.chords import KEYS, Key, lof_name
from planner.study.tonal.decode import fifths_of
from planner.study.tonal.home_key import key_of_title
from planner.study.tonal.keys import find_keys, relation
from tests.builders import make_part, make_score

CADENCE = "C4+E4+G4 F4+A4+C5 G4+B4+D5*2 | C4+E4+G4*4"
TO_A_MINOR = "A4+C5+E5 D4+F4+A4 E4+G#4+B4*2 | A3+C4+E4*4"


def keys_of(*parts, **kwargs):
    return find_keys(columns_of(make_score(*parts, **kwargs)))


def transposed(music, semitones_lof):
    """The same music on another place of the line of fifths (an exact transposition)."""
    steps = {2: (1, 2), -2: (-1, -2), 1: (4, 7), -1: (3, 5), 3: (5, 9), -3: (2, 3), 6: (3, 6), -6: (4, 6)}
    move = Transposition(*steps[semitones_lof])
    tokens = []
    for token in music.split():
        if token == "|":
            tokens.append(token)
            continue
        head, star, length = token.partition("*")
        tokens.append(
            "+".join(str(move.to_sounding(Pitch.parse(p))) for p in head.split("+")) + star + length
        )
    return " ".join(tokens)


def test_a_plain_cadence_is_in_its_key():
    assert keys_of(make_part(CADENCE)).home_key == "C major"


@pytest.mark.parametrize(
    ("away", "name"),
    [(2, "D major"), (-2, "Bb major"), (1, "G major"), (3, "A major"), (6, "F# major"), (-6, "Gb major")],
)
def test_spelling_tells_enharmonic_keys_apart(away, name):
    study = keys_of(make_part(transposed(CADENCE, away)))
    assert study.home_key == name


def test_a_transposing_part_is_heard_at_its_sounding_pitch():
    clarinet = make_part(CADENCE, transposition=Transposition(-1, -2), fifths=0)
    assert keys_of(clarinet).home_key == "Bb major"


def test_a_middle_in_the_relative_minor_is_found_and_named():
    music = " | ".join([CADENCE] * 3 + [TO_A_MINOR] * 3 + [CADENCE] * 3)
    study = keys_of(make_part(music))
    assert study.home_key == "C major"
    assert [(span.key, span.relation) for span in study.spans] == [
        ("C major", "home key"),
        ("A minor", "relative minor"),
        ("C major", "home key"),
    ]
    assert abs(study.spans[1].measure - 6) <= 1


def accidentals(study):
    return [f for f in study.facts if f.kind == FactKind.KEY_ACCIDENTALS]


def test_the_home_key_and_the_keys_away_from_it_are_facts():
    music = " | ".join([CADENCE] * 3 + [TO_A_MINOR] * 3 + [CADENCE] * 3)
    home, away = keys_of(make_part(music)).facts[:2]
    assert (home.kind, home.keys) == (FactKind.HOME_KEY, ("C major",))
    assert (away.kind, away.keys, away.terms) == (
        FactKind.AWAY_FROM_HOME,
        ("A minor",),
        (KeyRelation.RELATIVE_MINOR,),
    )
    [(first, last)] = away.places
    assert abs(first - 6) <= 1
    assert abs(last - 11) <= 1
    assert away.number("more") == 0


def home_fact(study):
    [fact] = [f for f in study.facts if f.kind == FactKind.HOME_KEY]
    return fact


DORIAN = "D3+F4+A4*2 G3+D4+B4*2 | A3+E4+C5*2 D3+F4+A4*2 | G3+D4+B4*2 C4+E4+G4*2 | D3+F4+A4*4"


def test_a_dorian_tune_is_said_to_be_dorian_and_minor_is_not():
    fact = home_fact(keys_of(make_part(" | ".join([DORIAN] * 4))))
    assert (fact.keys, fact.terms, fact.notes) == (("D minor",), ("Dorian",), ("B", "Bb"))
    minor = DORIAN.replace("B4", "Bb4").replace("G3+D4+Bb4*2 C4", "G3+D4+Bb4*2 A3")
    fact = home_fact(keys_of(make_part(" | ".join([minor] * 4), fifths=-1)))
    assert (fact.keys, fact.terms, fact.notes) == (("D minor",), (), ())


def test_music_that_stays_in_no_key_is_given_none():
    music = [transposed(CADENCE, away) for away in (2, -2, 3, -3, 6)]
    study = keys_of(make_part(" | ".join(music), fifths=0))
    assert (study.home_key, study.facts) == ("", ())


def test_the_key_that_the_page_names_needs_no_more_than_to_be_likeliest():
    music = [transposed(CADENCE, away) for away in (2, -2, 3, -3, 2)]
    assert keys_of(make_part(" | ".join(music), fifths=2)).home_key == "D major"


def test_the_home_key_of_a_da_capo_is_that_of_its_beginning():
    trio = " | ".join([transposed(CADENCE, -1)] * 4)
    music = " | ".join([*[CADENCE] * 4, trio])
    marks = (RoadmapMark("da-capo", 15),)
    assert keys_of(make_part(music), marks=marks).home_key == "C major"
    fine = (RoadmapMark("fine", 7), *marks)
    assert keys_of(make_part(music), marks=fine).home_key == "C major"


def test_repeated_accidentals_are_explained_by_the_key_as_written():
    music = " | ".join([CADENCE] * 3 + [TO_A_MINOR] * 3 + [CADENCE] * 3)
    horn = make_part(music, name="Horn", transposition=Transposition(-4, -7), fifths=0)
    [found] = accidentals(keys_of(horn))
    assert (found.part, found.notes, found.places) == ("Horn", ("G#",), ((6, 10),))
    assert found.keys == ("A minor", "D minor")
    assert found.numbers == (("times", 3), ("leading", 0))
    assert found.terms == ()


def test_every_explained_accidental_is_in_the_bars_it_names():
    music = " | ".join([CADENCE] * 2 + [TO_A_MINOR] * 3 + [CADENCE] * 2)
    part = make_part(music)
    found = accidentals(keys_of(part))
    sharps = [n.measure for n in part.notes if n.pitch and n.pitch.pitch_class_name == "G#"]
    assert [fact.places for fact in found] == [((min(sharps), max(sharps)),)]
    assert found[0].number("times") == len(sharps)
    assert found[0].keys == ("A minor",)


def test_a_diatonic_piece_explains_no_accidentals():
    assert not accidentals(keys_of(make_part(CADENCE)))


def test_a_score_without_pitches_has_no_key():
    drum = Part("P1", "Drum", notes=(Note(0, Fraction(0), Fraction(4), unpitched=Pitch("B", 4)),))
    study = keys_of(drum)
    assert (study.home_key, study.spans, study.facts) == ("", (), ())


def test_free_meter_is_read_without_beats():
    free = TimeSignature((), "free")
    measures = (Measure(0, "1", Fraction(0), Fraction(9), free),)
    notes = tuple(
        Note(0, Fraction(at), Fraction(1), Pitch.parse(name))
        for at, name in enumerate(["C4", "E4", "G4", "F4", "A4", "G4", "B4", "D5", "C5"])
    )
    score = Score("Chant", measures, (Part("P1", "Voice", notes=notes),))
    assert find_keys(columns_of(score)).home_key == "C major"


def test_the_same_score_gives_the_same_study():
    part = make_part(" | ".join([CADENCE, TO_A_MINOR, CADENCE]))
    assert keys_of(part) == keys_of(part)


def test_relations_follow_the_circle_of_fifths():
    home = Key(-2, False)
    assert relation(home, Key(1, True)) is KeyRelation.RELATIVE_MINOR
    assert relation(home, Key(-1, False)) is KeyRelation.DOMINANT
    assert relation(home, Key(-2, True)) is KeyRelation.PARALLEL_MINOR
    assert relation(home, Key(4, False)) is KeyRelation.DISTANT


def test_key_names_cover_seven_sharps_to_seven_flats():
    assert {key.fifths for key in KEYS} == set(range(-7, 8))
    assert lof_name(-9) == "Bbb"


@pytest.mark.parametrize(
    ("title", "name"),
    [
        ("Symphony in E-flat major", "Eb major"),
        ("Sonata in c minor op. 4", "C minor"),
        ("Sinfonie h-moll", None),
        ("Sinfonie in B-Dur", "Bb major"),
        ("The Major's March", None),
    ],
)
def test_a_title_may_name_the_key(title, name):
    found = key_of_title(title)
    assert (KEYS[found].name if found is not None else None) == name


def test_transposition_moves_along_the_line_of_fifths():
    assert fifths_of(Transposition(-1, -2)) == -2
    assert fifths_of(Transposition(-4, -7)) == -1
    assert fifths_of(Transposition(0, 0, -1)) == 0
    assert fifths_of(Transposition(2, 3)) == -3
