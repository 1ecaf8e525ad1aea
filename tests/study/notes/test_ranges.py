"""Compass, and what is found in parts that cannot be right."""

from dataclasses import replace

import pytest

from planner.core.issue import valued
from planner.core.pitch import Pitch, Transposition
from planner.study.notes.columns import columns_of
from planner.study.notes.ranges import measure_range
from tests.builders import make_part, make_score

B_FLAT = Transposition(-1, -2)


def range_of(music, **kwargs):
    return measure_range(columns_of(make_score(make_part(music, **kwargs))).parts[0])


def test_written_and_sounding_ends_are_spelled_as_on_the_page():
    found = range_of("C4 Bb4 F#5 r", transposition=B_FLAT, instrument="clarinet-bflat")
    assert found.written == ("C4", "F#5")
    assert found.sounding == ("Bb3", "E5")


@pytest.mark.parametrize(
    ("music", "slug", "notes", "border"),
    [("C4 C5 D6 C5 | E7*2 F7*2", "above-range", 2, "D7"), ("C5*4 | G3*4", "below-range", 1, "B3")],
)
def test_a_note_off_the_instrument_is_an_error_with_its_bar(music, slug, notes, border):
    issues = range_of(music, instrument="flute").issues
    assert [i.slug for i in issues] == [slug]
    assert issues[0].severity == "error"
    assert issues[0].measure == 1
    assert issues[0].values == valued(notes=notes, border=border, instrument="flute")


def test_a_note_inside_a_crooks_own_range_is_no_error():
    assert not range_of("C4 G5 C6 r", instrument="horn-d", transposition=Transposition(-6, -10)).issues


def test_concert_pitch_notation_is_judged_by_what_sounds():
    """A B flat trumpet's lowest written F sharp 3 sounds E3: allowed in a concert score, D3 is not."""
    assert not range_of("E3 E4 E5 r", instrument="trumpet-bflat").issues
    assert [i.slug for i in range_of("D3*4", instrument="trumpet-bflat").issues] == ["below-range"]


def test_an_unknown_instrument_is_an_issue():
    assert [i.slug for i in range_of("C4*4", instrument="").issues] == ["instrument-unknown"]
    assert [i.slug for i in range_of("C4*4", instrument="no-such-id").issues] == ["instrument-unknown"]


def test_an_impossible_transposition_is_a_warning():
    found = range_of("C5*4", instrument="flute", transposition=Transposition(3, 6))
    assert [(i.slug, i.values) for i in found.issues] == [
        ("transposition-odd", valued(instrument="flute", semitones=6, usual_semitones=0))
    ]


def test_a_drum_with_pitches_is_an_issue_and_does_not_crash():
    assert [i.slug for i in range_of("C5*4", instrument="snare-drum").issues] == ["drum-with-pitches"]


def test_empty_and_silent_parts_have_no_range():
    assert range_of("r*4").written is None
    empty = replace(make_part("r*4"), notes=())
    assert measure_range(columns_of(make_score(make_part("C4*4"), empty)).parts[1]).written is None


@pytest.mark.parametrize(
    ("lowest", "highest", "transposition"),
    [("E3", "C7", B_FLAT), ("D3", "Bb6", Transposition(0, 0))],
)
def test_a_clarinets_ends_are_its_written_ones_in_any_score(lowest, highest, transposition):
    """Written E3 to C7 on the B flat clarinet; in a score at concert pitch the same notes stand lower."""

    def slugs(music):
        found = range_of(music, instrument="clarinet-bflat", transposition=transposition)
        return [issue.slug for issue in found.issues if issue.slug.endswith("-range")]

    for name, beyond, slug in ((lowest, -1, "below-range"), (highest, 1, "above-range")):
        end = Pitch.parse(name)
        outside = next(p for p in ("Eb3", "C#3", "C#7", "B6") if Pitch.parse(p).midi == end.midi + beyond)
        assert slugs(f"{name}*4") == []
        assert slugs(f"{outside}*4") == [slug]


def test_each_end_sounds_by_the_transposition_of_its_own_bar():
    part = make_part("C4*4 | C5*4", instrument="clarinet-bflat", transposition=B_FLAT)
    part = replace(part, transpositions=((0, B_FLAT), (1, Transposition(-2, -3))))
    assert measure_range(columns_of(make_score(part)).parts[0]).sounding == ("Bb3", "A4")


A = Transposition(-2, -3)
PICCOLO = Transposition(0, 0, 1)


def changing(music, instrument, *moves):
    """Notes out of range in a part with another transposition in each bar."""
    part = replace(make_part(music, instrument=instrument), transpositions=tuple(enumerate(moves)))
    issues = measure_range(columns_of(make_score(part)).parts[0]).issues
    return [(i.slug, i.measure, i.value("instrument"), i.value("border"), i.value("notes")) for i in issues]


def test_a_clarinet_that_is_changed_for_another_keeps_its_written_ends():
    """E3 on the clarinet in A sounds lower than the clarinet in B flat can play."""
    assert changing("E3*4 | E3*4 | E3*4", "clarinet-bflat", B_FLAT, A, B_FLAT) == []
    assert changing("E3*4 | Eb3*4", "clarinet-bflat", B_FLAT, A) == [
        ("below-range", 1, "clarinet-a", "E3", 1)
    ]


def test_a_flute_that_takes_the_piccolo_is_judged_by_the_piccolo():
    """Written C7 sounds C8 there, an octave above what a flute has; written D4 is its lowest note."""
    concert = Transposition()
    assert changing("C7*4 | C7*4", "flute", concert, PICCOLO) == []
    found = changing("B3*4 | B3*4 | E7*4", "flute", concert, PICCOLO, concert)
    assert {each[:3] for each in found} == {("below-range", 1, "piccolo"), ("above-range", 2, "flute")}


def test_notes_out_of_range_on_one_instrument_are_counted_together_over_its_bars():
    assert changing("Eb3*4 | Eb3*4 | D3*4", "clarinet-bflat", B_FLAT, A, B_FLAT) == [
        ("below-range", 0, "clarinet-bflat", "E3", 2), ("below-range", 1, "clarinet-a", "E3", 1),
    ]  # fmt: skip


def test_a_transposition_that_no_instrument_of_the_family_has_is_not_judged():
    assert changing("C5*4 | C2*4", "flute", Transposition(), Transposition(-1, -1, -3)) == []


def test_a_horn_that_changes_its_crook_is_judged_by_each():
    """Written D7 in low B flat sounds C6, which a horn in F would read as G6."""
    f, low = Transposition(-4, -7), Transposition(-1, -2, -1)
    assert changing("C5*4 | C6*4", "horn-f", f, low) == []
    assert [each[:3] for each in changing("C5*4 | D7*4", "horn-f", f, low)] == [
        ("above-range", 1, "horn-bflat-basso")
    ]
