"""The instrument table against published ranges, transpositions and sound ids."""

from itertools import pairwise

import pytest

from planner.core.instruments import COLUMN_SOURCES, INSTRUMENTS, LANGUAGES, get_instrument
from planner.core.pitch import Pitch

# Written to sounding in semitones. Source: standard facts, as any orchestration manual prints them.
TRANSPOSITIONS = {
    "piccolo": 12, "flute": 0, "flute-alto": -5, "english-horn": -7, "clarinet-eflat": 3,
    "clarinet-bflat": -2,
    "clarinet-a": -3, "clarinet-alto": -9, "clarinet-bass": -14, "clarinet-contra-alto": -21,
    "clarinet-contrabass": -26, "contrabassoon": -12, "saxophone-soprano": -2, "saxophone-alto": -9,
    "saxophone-tenor": -14, "saxophone-baritone": -21, "horn-f": -7, "trumpet-bflat": -2, "cornet-bflat": -2,
    "flugelhorn": -2, "euphonium": 0, "euphonium-treble": -14, "baritone-horn-treble": -14,
    "double-bass": -12,
    "xylophone": 12, "glockenspiel": 24, "crotales": 24, "celesta": 12, "guitar": -12, "bass-guitar": -12,
    "trombone": 0, "tuba": 0, "timpani": 0, "horn-d": -10, "horn-eflat": -9, "horn-c": -12,
    "horn-bflat-basso": -14, "trumpet-d": 2, "trumpet-c": 0, "trumpet-f": 5,
}  # fmt: skip

# Full written ranges. Sources: Orchestra Library reference tables (OL), studystack.com/flashcard-697185 (SS),
# trpercussion.com (TP), hansenmedia.net (HM).
FULL = {
    "piccolo": "D4 C7", "flute": "B3 D7", "flute-alto": "C4 C7", "oboe-damore": "Bb3 E6",
    "english-horn": "B3 G6",
    "clarinet-bflat": "E3 C7", "clarinet-eflat": "E3 C7", "clarinet-a": "E3 C7", "basset-horn": "C3 G6",
    "clarinet-bass": "C3 G6", "saxophone-alto": "Bb3 F#6", "saxophone-tenor": "Bb3 F#6", "horn-f": "F#2 C6",
    "trumpet-bflat": "F#3 C6", "cornet-bflat": "F#3 C6", "trombone": "E2 C5", "euphonium": "E2 Db5",
    "euphonium-treble": "F#3 C6", "tuba": "D1 D4", "xylophone": "F3 C7", "glockenspiel": "G3 C6",
    "vibraphone": "F3 F6", "marimba": "C2 C7", "timpani": "C2 C4", "violin": "G3 C7", "viola": "C3 A6",
}  # fmt: skip

# Comfortable written ranges by level: bracketed cells of two published charts, Teaching Music through
# Performance in Beginning Band (TM) and nemusicpub.com/grading (NE).
BY_LEVEL = [
    ("flute", 0.5, "Bb4 A5"), ("flute", 1, "Eb4 C6"), ("flute", 2, "C4 Eb6"),
    ("oboe", 1, "E4 A5"), ("oboe", 2, "C4 B5"),
    ("clarinet-bflat", 1, "E3 Bb4"), ("clarinet-bflat", 2, "E3 C6"),
    ("saxophone-alto", 1, "E4 A5"), ("saxophone-alto", 2, "C4 C6"), ("saxophone-tenor", 2, "C4 C6"),
    ("trumpet-bflat", 0.5, "C4 Bb4"), ("trumpet-bflat", 1, "Bb3 D5"), ("trumpet-bflat", 2, "G3 F5"),
    ("horn-f", 0.5, "C4 A4"), ("horn-f", 1, "A3 A4"), ("horn-f", 2, "G3 C5"),
    ("trombone", 0.5, "D3 Bb3"), ("trombone", 1, "Ab2 C4"), ("trombone", 2, "F2 Eb4"),
    ("tuba", 1, "Bb1 C3"), ("tuba", 2, "A1 D3"),
    ("bassoon", 1, "F2 C4"), ("bassoon", 2, "E2 Eb4"), ("bassoon", 4, "Bb1 Bb4"),
    ("clarinet-bass", 1, "E3 Bb4"), ("clarinet-bass", 2, "Eb3 G5"), ("clarinet-bass", 6, "C3 G6"),
    ("clarinet-alto", 4, "Eb3 D6"), ("saxophone-baritone", 4, "Bb3 D6"), ("saxophone-baritone", 6, "A3 F6"),
    ("euphonium", 1, "Ab2 C4"), ("euphonium", 3, "F2 F4"), ("euphonium-treble", 3, "G3 G5"),
    ("violin", 1, "G3 B5"), ("violin", 3, "G3 D6"), ("viola", 1, "C3 E5"), ("cello", 1, "C2 D4"),
    ("double-bass", 1, "E2 A3"), ("double-bass", 4, "E2 G4"), ("xylophone", 1, "G4 C6"),
    ("marimba", 4, "A2 C7"), ("vibraphone", 1, "F4 F5"), ("timpani", 4, "D2 G3"),
]  # fmt: skip

# Ids of the MusicXML 4.0 standard sounds (sounds.xml of the W3C Music Notation Community Group) used here.
_SOUNDS = """
    pitched-percussion.vibraphone drum.tom-tom
    brass.alto-horn brass.baritone-horn brass.cornet brass.cornet.soprano brass.euphonium
    brass.flugelhorn brass.french-horn brass.mellophone brass.trombone brass.trombone.alto
    brass.trombone.bass brass.trombone.tenor brass.trumpet.bflat brass.trumpet.piccolo brass.tuba
    brass.tuba.bass brass.tuba.subcontrabass drum.bass-drum drum.bongo drum.conga drum.group
    drum.group.set drum.snare-drum drum.tambourine drum.tenor-drum drum.timbale drum.timpani drum.tom-
    tom keyboard.accordion keyboard.celesta keyboard.harpsichord keyboard.organ keyboard.piano
    metal.bells.cowbell metal.bells.sleigh-bells metal.bells.wind-chimes metal.crotales
    metal.cymbal.crash metal.cymbal.suspended metal.hi-hat metal.steel-drums metal.tamtam metal.triangle
    pitched-percussion.glockenspiel pitched-percussion.marimba pitched-percussion.tubular-bells pitched-
    percussion.vibraphone pitched-percussion.xylophone pluck.banjo pluck.bass.electric pluck.guitar
    pluck.guitar.electric pluck.harp pluck.mandolin pluck.ukulele rattle.maraca rattle.ratchet
    rattle.shaker strings.cello strings.contrabass strings.viola strings.violin synth.group voice.alto
    voice.baritone voice.bass voice.mezzo-soprano voice.soprano voice.tenor voice.vocals
    wind.flutes.flute wind.flutes.flute.alto wind.flutes.flute.bass wind.flutes.flute.piccolo
    wind.flutes.recorder.alto wind.flutes.recorder.bass wind.flutes.recorder.soprano
    wind.flutes.recorder.tenor wind.reed.basset-horn wind.reed.bassoon wind.reed.clarinet
    wind.reed.clarinet.a wind.reed.clarinet.alto wind.reed.clarinet.bass wind.reed.clarinet.bflat
    wind.reed.clarinet.contra-alto wind.reed.clarinet.contrabass wind.reed.clarinet.eflat
    wind.reed.contrabassoon wind.reed.english-horn wind.reed.oboe wind.reed.oboe-damore
    wind.reed.saxophone.alto wind.reed.saxophone.baritone wind.reed.saxophone.bass
    wind.reed.saxophone.soprano wind.reed.saxophone.tenor wood.castanets wood.claves wood.guiro
    wood.slapstick wood.temple-block wood.wood-block
"""
PUBLISHED_SOUNDS = set(_SOUNDS.split())


def test_ids_are_unique_and_at_least_sixty():
    ids = [instrument.id for instrument in INSTRUMENTS]
    assert len(ids) == len(set(ids)) >= 60


def test_an_unknown_id_is_refused():
    with pytest.raises(KeyError):
        get_instrument("kazoo-choir")


@pytest.mark.parametrize(("id_", "semitones"), TRANSPOSITIONS.items())
def test_transpositions_are_the_standard_ones(id_, semitones):
    assert get_instrument(id_).transposition.semitones == semitones


@pytest.mark.parametrize("instrument", INSTRUMENTS, ids=lambda i: i.id)
def test_diatonic_and_chromatic_transposition_agree(instrument):
    """A written C must sound a pitch spelled with at most one flat or sharp."""
    sounding = instrument.transposition.to_sounding(Pitch("C", 4))
    assert abs(sounding.alter) <= 1


@pytest.mark.parametrize(("id_", "span"), FULL.items())
def test_full_ranges_are_the_published_ones(id_, span):
    cell = get_instrument(id_).full
    assert (str(cell.low), str(cell.high)) == tuple(span.split())
    assert cell.source


@pytest.mark.parametrize(("id_", "level", "span"), BY_LEVEL)
def test_ranges_by_level_are_the_published_ones(id_, level, span):
    low, high = (float(Pitch.parse(name).midi) for name in span.split())
    assert get_instrument(id_).comfortable(level) == (low, high)


@pytest.mark.parametrize("instrument", [i for i in INSTRUMENTS if i.by_level], ids=lambda i: i.id)
def test_better_players_never_reach_less_far_and_nobody_leaves_the_instrument(instrument):
    borders = [instrument.comfortable(step / 4) for step in range(2, 25)]
    assert all(low >= after_low for (low, _), (after_low, _) in pairwise(borders))
    assert all(high <= after for (_, high), (_, after) in pairwise(borders))
    assert borders[-1][0] >= instrument.full.low_midi
    assert borders[-1][1] <= instrument.full.high_midi


def test_every_column_and_every_range_states_its_source():
    assert set(COLUMN_SOURCES) == {
        "names", "family", "clefs", "transposition", "sound", "midi_program", "full", "by_level",
    }  # fmt: skip
    cells = [cell for i in INSTRUMENTS for cell in (i.full, *(c for _, c in i.by_level)) if cell]
    assert all(cell.source for cell in cells)
    assert any(cell.disputed for cell in cells)


def test_every_instrument_has_a_name_in_each_language():
    for instrument in INSTRUMENTS:
        assert all(instrument.names_in(language) for language in LANGUAGES), instrument.id


def test_sounds_are_standard_ones():
    used = {instrument.sound for instrument in INSTRUMENTS if instrument.sound}
    assert used <= PUBLISHED_SOUNDS


def test_sounding_range_of_a_crook_is_that_of_the_horn_in_f():
    horn, crook = get_instrument("horn-f"), get_instrument("horn-d")
    for end in ("low", "high"):
        a, b = (i.transposition.to_sounding(getattr(i.full, end)).midi for i in (horn, crook))
        assert a == b
