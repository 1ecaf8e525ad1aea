"""How often each instrument is met in each kind of ensemble.

A clarinet in B♭ is the rule in a band and a horn in E♭ is not; in an orchestra a viola called "Alto" is
likelier than a saxophone. The numbers are how many parts of a usual set are for the instrument, by order of
size. Source: house choices after the instrumentation printed in front of band, brass band, orchestra and
choir sets.
"""

from functools import cache

from planner.core.instruments.table import INSTRUMENTS

_BAND = """
3 clarinet-bflat trumpet-bflat
2 flute saxophone-alto horn-f trombone percussion
1 oboe bassoon clarinet-bass saxophone-tenor saxophone-baritone euphonium tuba timpani snare-drum bass-drum
  mallets
0.6 piccolo clarinet-alto euphonium-treble cornet-bflat trombone-bass glockenspiel xylophone cymbals
0.4 clarinet-eflat baritone-horn baritone-horn-treble flugelhorn double-bass drum-set english-horn chimes
  vibraphone marimba tambourine triangle clarinet-contrabass clarinet-contra-alto mellophone-f
  saxophone-soprano suspended-cymbal gong tuba-bflat-treble tuba-eflat-treble piano tenor-horn-eflat
0.25 horn-eflat
0.1 trumpet-c cornet-eflat harp bass-guitar guitar celesta contrabassoon wood-block
  sleigh-bells castanets cowbell claves tom-toms temple-blocks whip ratchet shaker maracas guiro bongos congas
  tenor-drum hi-hat crotales wind-chimes trombone-treble saxophone-bass steel-drums timbales clarinet-c
0.02 cello voice soprano alto tenor baritone-voice bass-voice trumpet-eflat clarinet-a organ synthesizer
  trombone-alto guitar-electric
"""
_BRASS_BAND = """
4 cornet-bflat
2 tenor-horn-eflat baritone-horn-treble trombone-treble percussion
1 cornet-eflat flugelhorn euphonium-treble trombone-bass tuba-eflat-treble tuba-bflat-treble timpani drum-set
0.4 snare-drum bass-drum glockenspiel xylophone
0.2 tuba trombone euphonium baritone-horn trumpet-bflat horn-f
"""
_ORCHESTRA = """
2 violin flute oboe clarinet-bflat bassoon horn-f trombone
1 viola cello double-bass trumpet-bflat trumpet-c timpani clarinet-a
0.5 percussion harp tuba piccolo trombone-bass horn-d horn-eflat horn-e horn-c trumpet-d trumpet-f
  trumpet-eflat triangle cymbals bass-drum snare-drum horn-bflat-basso english-horn clarinet-c clarinet-bass
  contrabassoon harpsichord
0.2 trombone-alto horn-g horn-a horn-bflat-alto trumpet-e trumpet-a cornet-bflat glockenspiel xylophone
  tambourine gong celesta piano organ clarinet-eflat basset-horn oboe-damore cornet-a horn-aflat chimes
  castanets marimba vibraphone clarinet-d trumpet-g horn-a-basso saxophone-alto mallets
0.05 soprano alto tenor bass-voice baritone-voice voice flute-alto mezzo-soprano euphonium
  trumpet-piccolo-bflat trumpet-piccolo-a guitar recorder-alto recorder-soprano suspended-cymbal whip
  wood-block sleigh-bells saxophone-tenor tenor-drum saxophone-soprano crotales mandolin
"""
_CHORAL = """
1.5 violin soprano alto tenor bass-voice
1 viola cello double-bass trumpet-d trumpet-c trumpet-bflat timpani oboe flute
0.5 horn-f bassoon organ harpsichord trombone trombone-alto trombone-bass voice clarinet-bflat mezzo-soprano
  baritone-voice horn-d horn-bflat-basso oboe-damore clarinet-a clarinet-c horn-eflat
0.2 tuba piccolo contrabassoon percussion harp english-horn cymbals triangle bass-drum piano recorder-alto
"""
_STRINGS = """
2 violin
1 viola cello double-bass
0.1 piano harpsichord harp bass-guitar percussion
"""
_CHOIR = """
1 soprano alto tenor bass-voice
0.4 piano voice
0.2 organ baritone-voice
0.05 harpsichord
0.03 mezzo-soprano
0.02 flute violin cello oboe trumpet-bflat double-bass percussion drum-set guitar bass-guitar harp
"""
_SONG = """
1 voice piano
0.3 soprano alto tenor mezzo-soprano baritone-voice bass-voice guitar
0.1 violin cello flute clarinet-bflat harpsichord organ horn-f harp viola
"""
_JAZZ = """
2 saxophone-alto saxophone-tenor trumpet-bflat trombone
1 saxophone-baritone piano bass-guitar double-bass drum-set guitar-electric guitar
0.4 trombone-bass voice percussion vibraphone flute clarinet-bflat saxophone-soprano flugelhorn
0.2 congas bongos timbales synthesizer tuba cowbell guiro maracas shaker
"""

KINDS: dict[str, float] = {
    "band": 0.24, "orchestra": 0.2, "choir": 0.18, "song": 0.1, "strings": 0.08, "brass band": 0.06,
    "choir and orchestra": 0.04, "jazz band": 0.05, "other": 0.05,
}  # fmt: skip
"""Kinds of ensemble, and how often a score is for each before anything is known of it. House choices."""

_ROWS = {
    "band": _BAND, "brass band": _BRASS_BAND, "orchestra": _ORCHESTRA, "choir and orchestra": _CHORAL,
    "strings": _STRINGS, "choir": _CHOIR, "song": _SONG, "jazz band": _JAZZ, "other": "",
}  # fmt: skip
_SELDOM = 0.003
"""Parts for any other instrument."""


@cache
def shares_in(kind: str) -> dict[str, float]:
    """Of the parts of an ensemble, the share that is for each instrument; they add up to 1.

    Args:
        kind: A key of ``KINDS``.

    Example:
        >>> shares_in("band")["trumpet-bflat"] > 20 * shares_in("band")["trumpet-c"]
        True
    """
    counts = {i.id: 1.0 if kind == "other" else _SELDOM for i in INSTRUMENTS}
    count = 0.0
    for word in _ROWS[kind].split():
        if word[0].isdigit():
            count = float(word)
        else:
            counts[word] = count
    total = sum(counts.values())
    return {id_: number / total for id_, number in counts.items()}
