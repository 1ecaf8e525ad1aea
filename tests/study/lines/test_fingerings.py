"""Notes that readers of a part's level may not know how to finger."""

from dataclasses import replace

import pytest

from planner.core.fact import FactKind
from planner.core.pitch import Pitch, Transposition
from planner.study.lines.fingering_tables import UNCOMMON, Way, left_hand_way
from planner.study.lines.fingerings import fingering_facts
from planner.study.lines.slide import positions_of
from planner.study.lines.technique import valves_for
from planner.study.lines.technique_tables import READS_LIKE_TRUMPET
from tests.builders import make_part, make_score

B_FLAT = Transposition(-1, -2)


def fingered(music, instrument, level=1.0, transposition=None, kind=FactKind.FINGERINGS):
    shift = {"trumpet-bflat": B_FLAT, "clarinet-bflat": B_FLAT}.get(instrument, Transposition())
    part = make_part(music, instrument=instrument, transposition=transposition or shift)
    return [fact for fact in fingering_facts(make_score(part), [level]) if fact.kind is kind]


def test_low_trumpet_notes_need_the_third_slide():
    """Source: Newell, Bandworld 10/4 (1995)."""
    [fact] = fingered("C5 D4 C#4 D5 | D4 E4 F4 G4", "trumpet-bflat")
    assert fact.notes == ("D4", "C#4")
    assert fact.terms == (Way.VALVES_13_SLIDE, Way.VALVES_123_SLIDE)
    assert (fact.places, fact.each("octave")) == (((0, 0), (0, 0)), (-1, 0))


@pytest.mark.parametrize(
    ("music", "instrument", "level", "transposition"),
    [
        ("C5 D4 C#4 D5", "trumpet-bflat", 4.5, None),
        ("C5 D4 C#4 D5", "trumpet-bflat", None, None),
        ("C5 D4 C#4 D5", "trumpet-bflat", 1.0, Transposition(1, 2)),
        ("C5 D4 C#4 D5", "trumpet-d", 1.0, Transposition(1, 2)),
        ("C5 E4 F4 G4", "trumpet-bflat", 1.0, None),
        ("D4 C#4 Bb4 A4", "piano", 1.0, None),
        ("D4 C#4 Bb4 A4", "", 1.0, None),
    ],
    ids=["high level", "no level", "another page", "no table", "usual notes", "keys", "unknown"],
)
def test_nothing_where_readers_know_or_no_table_stands_behind_it(music, instrument, level, transposition):
    assert fingered(music, instrument, level, transposition) == []


def test_the_clarinet_has_a_throat_and_a_break():
    [fact] = fingered("G4 A4 Bb4 B4", "clarinet-bflat", 1.5)
    assert (fact.notes, fact.terms) == (("Bb4", "B4"), (Way.THROAT_B_FLAT, Way.ABOVE_BREAK))


def test_octaves_that_are_played_alike_are_named_once():
    [fact] = fingered("G#4 A4 G#5 A5", "saxophone-alto", 2.0, Transposition(-5, -9))
    assert (fact.notes, fact.each("octave")) == (("G#4",), (0,))


def test_strings_name_low_and_high_fingers_from_the_letter():
    [fact] = fingered("F#4 F4 G#4 Bb4", "violin")
    assert dict(zip(fact.notes, fact.terms, strict=True)) == {
        "F4": Way.LOW_2, "G#4": Way.HIGH_3, "Bb4": Way.LOW_1,
    }  # fmt: skip
    assert left_hand_way("violin", 68, Pitch.parse("Ab4").diatonic) is None, "A♭ is no high third finger"
    assert left_hand_way("cello", 58, Pitch.parse("Bb3").diatonic) is Way.STRETCH_BACK


def test_fingerings_on_the_page_go_before_ours():
    part = make_part("F#4 F4 G#4 Bb4", instrument="violin")
    marked = replace(part, notes=(replace(part.notes[0], technical=("fingering",)), *part.notes[1:]))
    assert list(fingering_facts(make_score(marked), [1.0])) == []


def test_all_in_first_position():
    inside, above = "G3 B3 D4 F#4 | A4 C#5 E5 B5", "G3 B3 D4 F#4 | A4 C#5 E5 C6"
    assert fingered(inside, "violin", 2.0, kind=FactKind.FIRST_POSITION)
    assert fingered(above, "violin", 2.0, kind=FactKind.FIRST_POSITION) == []
    assert fingered(inside, "violin", 1.0, kind=FactKind.FIRST_POSITION) == [], "nobody leaves it at level 1"
    assert fingered(inside + " | G3+D4*4", "violin", 2.0, kind=FactKind.FIRST_POSITION) == [], "two at once"
    assert fingered(inside, "double-bass", 2.0, kind=FactKind.FIRST_POSITION) == []


def test_valves_and_positions_are_those_of_the_harmonic_series():
    """Source: valves as in any chart, positions as in en.wikibooks.org/wiki/Trombone/Slide_Positions."""
    for instrument in ("trumpet-bflat", "cornet-bflat", "euphonium"):
        for one in UNCOMMON[instrument]:
            valves = valves_for(one.note + READS_LIKE_TRUMPET[instrument])
            assert one.way.value.split("-")[1] == valves, one
    for one in UNCOMMON["trombone"]:
        assert one.way == f"position {positions_of(one.note)[0].position}", one
    for note, position in ((40, 2), (47, 2), (41, 1), (48, 1)):
        with_trigger = [each for each in positions_of(note, attachment=True) if each.with_attachment]
        assert with_trigger[0].position == position
