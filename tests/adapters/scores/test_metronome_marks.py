"""Metronome marks as elements and in words, and which of several at one place is kept."""

from fractions import Fraction

import pytest
from lxml import etree

from planner.adapters.scores.files.kern_tempo import joined_tempo
from planner.adapters.scores.files.precheck import check_raw
from planner.adapters.scores.reader import read_raw
from planner.adapters.scores.reading.metronome import MetronomeMark, metronome_mark, number_in_words

QUARTER, EIGHTH, HALF = Fraction(1), Fraction(1, 2), Fraction(2)


@pytest.mark.parametrize(
    ("inner", "mark"),
    [
        ("<beat-unit>quarter</beat-unit><per-minute>80</per-minute>", MetronomeMark(QUARTER, 80.0)),
        ("<beat-unit>quarter</beat-unit><beat-unit-dot/><per-minute>c. 80</per-minute>",
         MetronomeMark(Fraction(3, 2), 80.0)),
        ("<beat-unit>half</beat-unit><beat-unit-dot/><beat-unit-dot/><per-minute>40</per-minute>",
         MetronomeMark(Fraction(7, 2), 40.0)),
        ("<beat-unit>eighth</beat-unit><per-minute>96-104</per-minute>", MetronomeMark(EIGHTH, 96.0, 104.0)),
        ("<beat-unit>eighth</beat-unit><per-minute>104 to 96</per-minute>", MetronomeMark(EIGHTH, 104.0)),
        ("<beat-unit>quarter</beat-unit><per-minute></per-minute>", MetronomeMark(QUARTER)),
        ("<beat-unit>quarter</beat-unit><per-minute>9000</per-minute>", MetronomeMark(QUARTER)),
        ("<beat-unit>quarter</beat-unit><beat-unit>quarter</beat-unit><beat-unit-dot/>",
         MetronomeMark(QUARTER, equal=Fraction(3, 2))),
        ("<beat-unit></beat-unit><per-minute>80</per-minute>", None),
        ("", None),
    ],
)  # fmt: skip
def test_a_metronome_element(inner, mark):
    assert metronome_mark(etree.fromstring(f"<metronome>{inner}</metronome>")) == mark


@pytest.mark.parametrize(
    ("text", "words", "mark"),
    [
        ("♪ about 80", "", MetronomeMark(EIGHTH, 80.0)),
        ("Andante (♩ = ca. 72)", "Andante", MetronomeMark(QUARTER, 72.0)),
        ("Allegro ♩=c.120", "Allegro", MetronomeMark(QUARTER, 120.0)),
        ("Mouvement de valse (\ueca5\uecb7 = 60–66)", "Mouvement de valse",
         MetronomeMark(Fraction(3, 2), 60.0, 66.0)),
        ("M.M. ♩ = 100", "", MetronomeMark(QUARTER, 100.0)),
        ("♩ = M.M. 100", "", MetronomeMark(QUARTER, 100.0)),
        ("(dotted quarter = 72)", "", MetronomeMark(Fraction(3, 2), 72.0)),
        ("quarter note = about 92", "", MetronomeMark(QUARTER, 92.0)),
        ("q. = 80", "", MetronomeMark(Fraction(3, 2), 80.0)),
        ("Halbe = 60", "", MetronomeMark(HALF, 60.0)),
        ("noire = 60 à 72", "", MetronomeMark(QUARTER, 60.0, 72.0)),
        ("Presto (\ueca3 = \ueca5)", "Presto", MetronomeMark(HALF, equal=QUARTER)),
        ("Andantino (about )", "Andantino", None),
        ("Adagio [ ]", "Adagio", None),
        ("a 2", "a 2", None),
        ("violino e 2", "violino e 2", None),
        ("D.C. (2nd time)", "D.C. (2nd time)", None),
        ("♩ = 9000", "♩ = 9000", None),
        (".", "", None),
    ],
)  # fmt: skip
def test_a_number_in_words(text, words, mark):
    assert number_in_words(text) == (words, mark)


def test_words_give_the_number_to_a_mark_that_has_none():
    assert number_in_words("Ruhig (ca. 76)", QUARTER) == ("Ruhig", MetronomeMark(QUARTER, 76.0))
    assert number_in_words("Ruhig (ca. 76)") == ("Ruhig (ca. 76)", None)
    assert number_in_words("Ruhig", QUARTER) == ("Ruhig", None)


def score_with(*directions, others=()):
    """A bar in two parts, each with directions."""

    def part(name, each):
        return (
            f'<part id="{name}"><measure number="1"><attributes><divisions>1</divisions><time>'
            f"<beats>4</beats><beat-type>4</beat-type></time></attributes>{''.join(each)}<note><pitch><step>C</step><octave>5"
            f"</octave></pitch><duration>4</duration><type>whole</type></note></measure></part>"
        )

    text = (
        '<score-partwise version="4.0"><part-list><score-part id="A"><part-name>A</part-name></score-part>'
        '<score-part id="B"><part-name>B</part-name></score-part></part-list>'
        f"{part('A', directions)}{part('B', others)}</score-partwise>"
    )
    return read_raw(check_raw("marks.musicxml", text.encode(), ".musicxml"))


def words(text):
    return f"<direction><direction-type><words>{text}</words></direction-type></direction>"


def number(bpm, attributes=""):
    return (
        f"<direction {attributes}><direction-type><metronome><beat-unit>quarter</beat-unit>"
        f"<per-minute>{bpm}</per-minute></metronome></direction-type></direction>"
    )


@pytest.mark.parametrize(
    ("directions", "others"),
    [
        ([words("Largo"), number(132)], []),
        ([number(132), words("Largo")], []),
        ([words("Largo")], [number(132)]),
        ([words("Largo")], [words("Largo"), number(132)]),
        ([words("Largo ♩ = 132")], []),
        ([words("Largo")], [words("Largo ♩ = 132")]),
    ],
)
def test_the_printed_number_is_kept_whichever_direction_or_part_holds_it(directions, others):
    found = score_with(*directions, others=others).tempos
    assert [mark.bpm for mark in found if mark.bpm] == [132.0]
    assert "Largo" in [mark.text for mark in found]


def test_the_topmost_of_several_numbers_is_kept():
    found = score_with(number(132), others=[number(120)]).tempos
    assert [mark.bpm for mark in found] == [132.0]


def test_a_hidden_number_is_for_playback_alone():
    (found,) = score_with(number(132, 'print-object="no"')).tempos
    assert (found.bpm, found.beat_unit_quarters, found.quarter_bpm) == (None, None, 132.0)


def test_two_numbers_and_notes_set_equal_are_in_the_score():
    (found,) = score_with(number("60-66")).tempos
    assert (found.bpm, found.bpm_high) == (60.0, 66.0)
    (found,) = score_with(words("♩ = 𝅗𝅥")).tempos
    assert (found.beat_unit_quarters, found.equal_quarters, found.bpm) == (QUARTER, HALF, None)


# Source: Humdrum, reference record OMD; the notes in brackets as its converters write them.
@pytest.mark.parametrize(
    ("head", "line"),
    [
        ("!!!OMD: Largo.\n!!!OMD: [quarter] = 72.", "!!!OMD: Largo [quarter] = 72"),
        ("!!!OMD: Met: [quarter] = 132.\n!!!COM: X\n!!!OMD: Andante",
         "!!!OMD: Andante [quarter] = 132\n!!!COM: X"),
        ("!!!OMD: Vivace.", "!!!OMD: Vivace."),
        ("!!!OMD: PRESTO.\n!!!OMD:[half-dot]=88", "!!!OMD: PRESTO [half-dot]=88"),
    ],
)  # fmt: skip
def test_a_kern_file_keeps_the_words_and_the_number(head, line):
    music = "**kern\n!!!OMD: Lento [quarter] = 40\n4c\n*-"
    assert joined_tempo(f"{head}\n{music}") == f"{line}\n{music}"
