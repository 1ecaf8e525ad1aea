"""What makes a level, and which limits are broken, in words."""

import pytest

from planner.core.difficulty import Dimension, Measured, Quantity
from planner.core.fact import named
from planner.core.limit import Doubt, Limit, LimitResult
from planner.core.profile import Contribution
from planner.wording.study.difficulty import (
    DOUBTS,
    FIGURES,
    LIMIT_NAMES,
    LIMITS,
    MEASURED,
    allowed_words,
    limit_sentence,
    measured_words,
)
from planner.wording.study_json import study_to_dict
from tests.fakes import make_profile


def broken(limit, **values):
    return LimitResult(Limit(limit), False, **values)


@pytest.mark.parametrize(
    ("evidence", "words"),
    [
        (
            (Measured(Quantity.FIGURE, 3), Measured(Quantity.SYNCOPATED_NOTES, 0.124)),
            "beats in three or four, 12% of the notes syncopated or tied",
        ),
        ((Measured(Quantity.BAR_RHYTHMS, 6.6),), "about 7 different rhythms in sixteen bars"),
        (
            (Measured(Quantity.METER, terms=("7/8",)), Measured(Quantity.METER_CHANGES, 1)),
            "7/8, 1 change of meter",
        ),
        ((Measured(Quantity.METER),), "no meter is printed"),
        (
            (Measured(Quantity.SIGNATURE, -4, 8), Measured(Quantity.SIGNATURE_CHANGES, 2)),
            "4 flats, 2 changes of signature",
        ),
        ((Measured(Quantity.SIGNATURE, 0),), "no sharps or flats"),
        (
            (Measured(Quantity.OUTSIDE_SIGNATURE, 0.12), Measured(Quantity.DIFFERENT_ALTERED, 3)),
            "12% of the notes outside the signature, 3 different ones",
        ),
        ((Measured(Quantity.DIFFERENT_ALTERED, 1),), "always the same one"),
        ((Measured(Quantity.TRANSPOSED_BY, -2),), "read 2 semitones lower than printed"),
        ((Measured(Quantity.COMPASS, notes=("Bb3", "F#5")),), "B♭3 to F♯5"),
        ((Measured(Quantity.ABOVE_POSITION, 0.2),), "20% of the notes above first position"),
        ((Measured(Quantity.LEDGER_LINES, 0.74),), "0.7 ledger lines to a note"),
        (
            (Measured(Quantity.OTHER_CLEF, 0.3), Measured(Quantity.CLEF_CHANGES, 1)),
            "30% of the notes in a less usual clef, 1 change of clef",
        ),
        ((Measured(Quantity.ONE_NOTE, 1),), "one note"),
        (
            (Measured(Quantity.LEAPS, 0.25), Measured(Quantity.WIDEST_INTERVAL, 1)),
            "25% leaps, the widest a second",
        ),
        ((Measured(Quantity.STAFF_PLACES, 9.4),), "about 9 different notes on the staff"),
        ((Measured(Quantity.CHORDS, 0.1),), "10% of the attacks are chords"),
        ((Measured(Quantity.ATTACKS, 3.25),), "3.2 notes a second at full tempo in the busiest bars"),
        ((Measured(Quantity.QUICK_NOTES, 0.4),), "40% of the notes at four a second or quicker"),
        (
            (Measured(Quantity.UNSHARED_ATTACKS, 0.5), Measured(Quantity.ENTRANCES, 3)),
            "50% of its beats struck alone, 3 entrances after rests",
        ),
        ((Measured(Quantity.ONE_HAND, 0.5),), "50% of the attacks in one hand alone"),
        ((Measured(Quantity.JUMPS, 0),), "straight through"),
        ((Measured(Quantity.JUMPS, 1),), "1 jump"),
        ((Measured(Quantity.MARKS, 7),), "7 kinds of marks"),
        ((Measured(Quantity.LONGEST_STRETCH, 31.6),), "32 quarters without a rest"),
    ],
)
def test_what_was_measured_in_words(evidence, words):
    assert measured_words(evidence) == words


def test_every_quantity_and_every_rank_of_figure_has_words():
    assert set(MEASURED) == set(Quantity)
    assert len(FIGURES) == len(set(FIGURES)) == 7


def test_the_contract_has_the_words_beside_the_values():
    share = Contribution(Dimension.RANGE, 2.5, 0.2, (Measured(Quantity.COMPASS, notes=("C4", "G5")),))
    [plain] = study_to_dict(make_profile(contributions=(share,)))["contributions"]
    assert (plain["name"], plain["why"]) == ("range", "C4 to G5")
    [evidence] = plain["evidence"]
    assert (evidence["quantity"], evidence["notes"]) == ("compass", ("C4", "G5"))


@pytest.mark.parametrize(
    ("result", "words"),
    [
        (broken("measures", numbers=named(measures=39, least=40, most=80)),
         "39 measures, 40 to 80 are allowed"),
        (broken("minutes", numbers=named(minutes=4.04, most=3.5)),
         "It lasts 4.0 minutes, at most 3.5 are allowed"),
        (broken("bpm", numbers=named(bpm=120, least=60, most=100.5)),
         "The tempo is 120, 60 to 100.5 is allowed"),
        (broken("meters", terms=("5/8",)), "The meter 5/8 is not allowed"),
        (broken("meter_changes", numbers=named(changes=2, most=1)), "2 changes of meter, at most 1 allowed"),
        (broken("concert_keys", keys=("Eb major",)), "The piece is in E♭ major"),
        (broken("concert_keys"), "The signature belongs to no key that is allowed"),
        (broken("key_changes", numbers=named(changes=1, most=0)), "1 change of key, at most 0 allowed"),
        (broken("concert_notes", numbers=named(notes=1), terms=("Bb", "C", "D")), "1 note outside B♭ C D"),
        (broken("values", terms=("16th", "32nd")), "16th, 32nd notes are not allowed"),
        (broken("percussion_values", terms=("32nd",)), "32nd notes are not allowed"),
        (broken("eighths_in_repeated_pairs"), "Eighths that are not a repeated pair"),
        (broken("tuplets"), "Tuplets are not allowed"),
        (broken("rolls"), "Rolls are not allowed"),
        (broken("timpani_pitches", numbers=named(pitches=3, most=2)), "3 pitches, at most 2 allowed"),
        (broken("range_semitones", numbers=named(semitones=17, most=16)),
         "A range of 17 semitones, at most 16 allowed"),
        (broken("written_flats", numbers=named(most=1)), "More than 1 flat"),
        (broken("written_sharps", numbers=named(most=3)), "More than 3 sharps"),
        (broken("ranges", numbers=named(notes=2), terms=("D4", "Eb6")), "2 notes outside D4 to E♭6"),
        (broken("concert_keys", numbers=named(home=1, fifths=6), keys=("F# major",)),
         "The piece is in F♯ major, six sharps"),
        (broken("concert_keys", numbers=named(fifths=-7), keys=("Cb major",)),
         "The signature of C♭ major, seven flats, belongs to no key that is allowed"),
        (broken("concert_keys", numbers=named(fifths=0), keys=("A minor",)),
         "The signature of A minor, no sharps or flats, belongs to no key that is allowed"),
        (broken("concert_keys", numbers=named(fifths=8)),
         "The signature of eight sharps belongs to no key that is allowed"),
        (broken("written_sharps", numbers=named(most=3, fifths=6), keys=("F# major",)),
         "More than 3 sharps: F♯ major, six sharps"),
        (broken("written_flats", numbers=named(most=0, fifths=-1), keys=("D minor",)),
         "More than 0 flats: D minor, one flat"),
        (broken("bpm", numbers=named(slowest=168, fastest=200, least=60, most=108), terms=("Presto.",)),
         "“Presto” is usually 168 to 200, 60 to 108 is allowed"),
    ],
)  # fmt: skip
def test_a_broken_limit_in_words(result, words):
    assert limit_sentence(result) == f"{words}."


def test_a_broken_limit_says_its_part_and_the_first_of_its_bars():
    numbers = ("0", "1", "2", "3")
    assert limit_sentence(broken("tuplets", measures=(2,), part="Oboe"), numbers) == (
        "Oboe: tuplets are not allowed (bar 2)."
    )
    assert limit_sentence(broken("tuplets", measures=(1, 2, 3)), numbers) == (
        "Tuplets are not allowed (bar 1 and 2 more)."
    )


def test_a_limit_that_is_met_and_every_limit_have_words():
    assert limit_sentence(LimitResult(Limit.METER_CHANGES, True)) == "Meter changes as allowed."
    assert set(LIMITS) == set(LIMIT_NAMES) == set(Limit)


def doubtful(limit, doubt, **values):
    return LimitResult(Limit(limit), False, doubt=Doubt(doubt), **values)


@pytest.mark.parametrize(
    ("result", "words"),
    [
        (doubtful("measures", "no bars"), "Cannot be judged, because the score has no bars."),
        (doubtful("values", "no notes"), "Cannot be judged, because the score has no notes."),
        (doubtful("bpm", "no tempo"), "Cannot be judged, because no tempo is printed."),
        (doubtful("minutes", "no tempo", numbers=named(slowest=7.25, fastest=1.4)),
         "Cannot be judged, because no tempo is printed, and it could last 1.4 to 7.2 minutes."),
        (doubtful("bpm", "tempo in words", numbers=named(slowest=58, fastest=84), terms=("Allegretto.",)),
         "Cannot be judged, because the tempo is given only in words: “Allegretto” could be 58 to 84 beats a "
         "minute."),
        (doubtful("minutes", "tempo in words", numbers=named(slowest=3, fastest=2), terms=("Con moto",)),
         "Cannot be judged, because the tempo is given only in words: at “Con moto” it could last 2.0 to 3.0 "
         "minutes."),
        (doubtful("meters", "no meter"), "Cannot be judged, because no time signature is printed."),
        (doubtful("meters", "no meter", measures=(4,)),
         "Cannot be judged, because it has bars without a time signature (bar 5)."),
        (doubtful("concert_keys", "no pitches"), "Cannot be judged, because no part has pitches."),
        (doubtful("timpani_pitches", "no pitches", part="Timpani"),
         "Timpani: cannot be judged, because its notes have no pitches."),
        (doubtful("concert_keys", "key unclear", keys=("D major", "B minor")),
         "Cannot be judged, because the signature fits D major and B minor, and it is not clear which of the "
         "two it is in."),
        (doubtful("concert_keys", "key unclear"),
         "Cannot be judged, because no part prints a key signature and it is not clear what key the piece is "
         "in."),
        (doubtful("ranges", "instrument unknown", part="Thing"),
         "Thing: cannot be judged, because it is not known what instrument the part is for."),
        (doubtful("range_semitones", "no winds"),
         "Cannot be judged, because no part is for a wind instrument."),
        (doubtful("ranges", "instruments absent", terms=("flute", "clarinet-bflat")),
         "Cannot be judged, because no part is for Flute or B♭ Clarinet."),
        (doubtful("ranges", "instruments absent", terms=("flute", "oboe", "bassoon", "tuba")),
         "Cannot be judged, because no part is for an instrument that it names."),
        (doubtful("values", "values unknown", numbers=named(notes=1), part="Alto", measures=(0, 2)),
         "Alto: cannot be judged, because 1 note has no printed note value (bar 1 and 1 more)."),
    ],
)  # fmt: skip
def test_why_a_limit_cannot_be_judged(result, words):
    assert limit_sentence(result) == words


def test_every_doubt_has_words():
    assert set(DOUBTS) == set(Doubt)


@pytest.mark.parametrize(
    ("limit", "value", "words"),
    [
        ("measures", [40, 64], "40 to 64"), ("minutes", 2.5, "at most 2.5 minutes"),
        ("meters", ["2/4", "3/4", "4/4"], "2/4, 3/4 and 4/4"), ("key_changes", 0, "none"),
        ("meter_changes", 2, "at most 2"), ("concert_keys", ["Bb major", "G minor"], "B♭ major and G minor"),
        ("concert_notes", ["Bb", "C"], "B♭ and C"), ("tuplets", False, "none"), ("rolls", True, "allowed"),
        ("eighths_in_repeated_pairs", True, "in repeated pairs only"),
        ("eighths_in_repeated_pairs", False, "any"), ("range_semitones", 16, "at most 16 semitones"),
        ("ranges", {"flute": ["D4", "Eb6"]}, "Flute D4 to E♭6"),
    ],
)  # fmt: skip
def test_what_a_limit_allows(limit, value, words):
    assert allowed_words(Limit(limit), value) == words
