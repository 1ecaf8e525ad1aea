"""Who reads what."""

from planner.core.ensemble import Section
from planner.core.instruments import get_instrument
from planner.core.profile import PartProfile
from planner.matching.casting import KIN, OTHER_CLEF, Remedy, Uncovered, cast_parts


def part(name, instrument, notes=40):
    return PartProfile(name, instrument, 0, notes, None, None, 2.0)


def section(number, name, instrument, chair=1, size=2):
    return Section(number, name, instrument, chair=chair, size=size)


def cast(parts, sections):
    casting = cast_parts(parts, sections)
    return casting, {r.section_id: (r.part, r.how) for r in reversed(casting.readings)}


def test_chairs_are_read_from_the_part_names():
    parts = [part(f"Clarinet in B♭ {n}", "clarinet-bflat") for n in (1, 2, 3)]
    sections = [section(n, f"Clarinet {n}", "clarinet-bflat", n) for n in (3, 1, 2)]
    casting, read = cast(parts, sections)
    assert read == {n: (f"Clarinet in B♭ {n}", "own") for n in (1, 2, 3)}
    assert [r.section_id for r in casting.readings] == [3, 1, 2]
    assert casting.uncovered == casting.idle == ()


def test_parts_without_a_number_are_counted_in_score_order():
    parts = [part("Trumpet", "trumpet-bflat"), part("Trumpet ", "trumpet-bflat")]
    _, read = cast(parts, [section(1, "Second", "trumpet-bflat", 2), section(2, "First", "trumpet-bflat", 1)])
    assert read == {1: ("Trumpet ", "own"), 2: ("Trumpet", "own")}


def test_one_part_for_two_chairs_is_read_by_both():
    _, read = cast([part("Horns 1, 2", "horn-f")], [section(n, f"Horn {n}", "horn-f", n) for n in (1, 2)])
    assert read == {1: ("Horns 1, 2", "own"), 2: ("Horns 1, 2", "own")}


def test_one_part_for_several_singers_is_read_by_all_that_it_names():
    choir = [section(n, each, each) for n, each in enumerate(("soprano", "alto", "tenor", "bass-voice"), 1)]
    _, read = cast([part("SATB", "voice")], choir)
    assert read == dict.fromkeys((1, 2, 3, 4), ("SATB", "own"))
    _, read = cast([part("S.A.", "voice"), part("T.B.", "voice")], choir)
    assert read == {1: ("S.A.", "own"), 2: ("S.A.", "own"), 3: ("T.B.", "own"), 4: ("T.B.", "own")}


def test_a_part_for_the_whole_choir_is_read_by_every_singer():
    choir = [section(n, each, each) for n, each in enumerate(("soprano", "alto", "tenor", "bass-voice"), 1)]
    casting, read = cast([part("Choir", "voice")], choir)
    assert read == dict.fromkeys((1, 2, 3, 4), ("Choir", "substitute"))
    assert casting.idle == ()


def test_the_number_of_a_part_without_a_name_is_no_chair():
    parts = [part("Part 1", "soprano"), part("Part 2", "alto")]
    _, read = cast(parts, [section(1, "Sopranos", "soprano"), section(2, "Altos", "alto")])
    assert read == {1: ("Part 1", "own"), 2: ("Part 2", "own")}


def test_a_third_chair_is_folded_into_the_nearest():
    parts = [part(f"Clarinet {n}", "clarinet-bflat") for n in (1, 2)]
    casting, read = cast(parts, [section(3, "Clarinet 3", "clarinet-bflat", 3)])
    assert read == {3: ("Clarinet 2", "folded")}
    assert [u.part for u in casting.uncovered] == ["Clarinet 1"]
    assert casting.uncovered[0].could_read == (3,)
    assert casting.uncovered[0].remedy is Remedy.DIVIDE


def test_between_two_chairs_as_near_the_lower_part_is_taken():
    parts = [part("Trumpet 1", "trumpet-bflat"), part("Trumpet 3", "trumpet-bflat")]
    _, read = cast(parts, [section(1, "Second trumpets", "trumpet-bflat", 2)])
    assert read == {1: ("Trumpet 3", "folded")}
    _, read = cast(parts, [section(1, "Fourth trumpets", "trumpet-bflat", 4)])
    assert read == {1: ("Trumpet 3", "folded")}


def test_trumpets_read_cornet_parts_and_euphoniums_the_other_clef_only_when_they_must():
    both = [part("Euphonium", "euphonium"), part("Euphonium T.C.", "euphonium-treble")]
    sections = [section(1, "Trumpet", "trumpet-bflat"), section(2, "Euphonium", "euphonium")]
    _, read = cast([part("Cornet 1", "cornet-bflat"), *both], sections)
    assert read == {1: ("Cornet 1", "substitute"), 2: ("Euphonium", "own")}
    casting, read = cast(both[1:], sections)
    assert read == {2: ("Euphonium T.C.", "transposing")}
    assert casting.readings[0].printed_for == "euphonium-treble"
    assert casting.idle == (1,)


def test_crooks_are_read_by_the_section_of_the_instrument():
    _, read = cast([part("Horn in D", "horn-d")], [section(1, "Horn", "horn-f")])
    assert read == {1: ("Horn in D", "transposing")}


def test_drums_nobody_claims_are_shared_out_as_far_as_there_are_hands():
    parts = [part("Snare Drum", "snare-drum"), part("Bass Drum", "bass-drum"), part("Cymbals", "cymbals")]
    casting, _ = cast(parts, [section(1, "Percussion", "percussion", size=2)])
    assert [(r.part, r.how) for r in casting.readings] == [
        ("Snare Drum", "shared"),
        ("Bass Drum", "shared"),
    ]
    assert [u.part for u in casting.uncovered] == ["Cymbals"]
    casting, _ = cast(parts, [section(1, "Drums", "snare-drum", size=3)])
    assert [r.how for r in casting.readings] == ["own", "shared", "shared"]
    assert casting.part_of(1).part == "Snare Drum"


def test_empty_parts_are_left_aside():
    casting, read = cast([part("Oboe", "oboe", notes=0)], [section(1, "Oboe", "oboe")])
    assert read == {}
    assert casting.uncovered == ()
    assert casting.idle == (1,)


def test_a_part_of_an_instrument_the_ensemble_lacks_is_named():
    casting, _ = cast([part("Bassoon", "bassoon")], [section(1, "Flute", "flute")])
    assert casting.uncovered == (Uncovered("Bassoon", "bassoon", Remedy.NONE),)


def test_a_part_another_section_can_read_as_it_stands_names_that_section():
    parts = [part("Trombone", "trombone"), part("Baritone", "baritone-horn")]
    casting, _ = cast(parts, [section(4, "Trombone", "trombone")])
    assert casting.uncovered == (Uncovered("Baritone", "baritone-horn", Remedy.AS_IT_STANDS, (4,)),)


def test_instruments_that_share_parts_share_clef_and_key():
    """Same letter of transposition (octaves aside) and a clef in common, from the instrument table itself."""
    for row in KIN:
        instruments = [get_instrument(name) for name in row]
        assert len({i.transposition.semitones % 12 for i in instruments}) == 1, row
        assert set.intersection(*({clef.split("-")[0] for clef in i.clefs} for i in instruments)), row


def test_other_readings_sound_alike_once_transposed():
    for row in OTHER_CLEF:
        assert len({get_instrument(name).family for name in row}) == 1, row
