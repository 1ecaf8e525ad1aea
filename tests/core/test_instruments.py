"""The instrument table against published ranges, transpositions and sound ids."""

import pytest

from planner.core.instruments import COLUMN_SOURCES, INSTRUMENTS, LANGUAGES, get_instrument
from planner.core.pitch import Pitch, Transposition

# Written to sounding: staff steps, semitones and octaves of the MusicXML ``transpose`` element. Source:
# standard facts, as any orchestration manual prints them; MusicXML 4.0 gives the sign.
_TRANSPOSITIONS = """
    piccolo 0 0 1 | flute 0 0 0 | oboe 0 0 0 | bassoon 0 0 0 | trombone 0 0 0 | euphonium 0 0 0 | tuba 0 0 0
    timpani 0 0 0 | marimba 0 0 0 | vibraphone 0 0 0 | violin 0 0 0 | viola 0 0 0 | cello 0 0 0
    flute-alto -3 -5 0 | english-horn -4 -7 0 | clarinet-eflat 2 3 0 | clarinet-bflat -1 -2 0
    clarinet-a -2 -3 0 | clarinet-alto -5 -9 0 | clarinet-bass -1 -2 -1 | clarinet-contra-alto -5 -9 -1
    clarinet-contrabass -1 -2 -2 | contrabassoon 0 0 -1 | saxophone-soprano -1 -2 0 | saxophone-alto -5 -9 0
    saxophone-tenor -1 -2 -1 | saxophone-baritone -5 -9 -1 | horn-f -4 -7 0 | trumpet-bflat -1 -2 0
    cornet-bflat -1 -2 0 | flugelhorn -1 -2 0 | euphonium-treble -1 -2 -1 | baritone-horn-treble -1 -2 -1
    double-bass 0 0 -1 | xylophone 0 0 1 | glockenspiel 0 0 2 | crotales 0 0 2 | celesta 0 0 1
    guitar 0 0 -1 | bass-guitar 0 0 -1 | horn-d -6 -10 0 | horn-eflat -5 -9 0 | horn-c 0 0 -1
    horn-bflat-basso -1 -2 -1 | trumpet-c 0 0 0 | trumpet-d 1 2 0 | trumpet-eflat 2 3 0 | trumpet-e 2 4 0
    trumpet-f 3 5 0
"""
TRANSPOSITIONS = [row.split() for line in _TRANSPOSITIONS.strip().splitlines() for row in line.split("|")]

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


@pytest.mark.parametrize(("id_", "steps", "semitones", "octaves"), TRANSPOSITIONS)
def test_transpositions_are_the_standard_ones(id_, steps, semitones, octaves):
    standard = Transposition(int(steps), int(semitones), int(octaves))
    assert get_instrument(id_).transposition == standard


@pytest.mark.parametrize("instrument", INSTRUMENTS, ids=lambda i: i.id)
def test_diatonic_and_chromatic_transposition_agree(instrument):
    """A written C must sound a pitch spelled with at most one flat or sharp."""
    sounding = instrument.transposition.to_sounding(Pitch("C", 4))
    assert abs(sounding.alter) <= 1


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
