"""Fingerings, partials, breath and time: the facts behind the technical checks."""

VALVES: tuple[str, ...] = ("0", "1", "2", "3", "12", "13", "23", "123")
VALVE_COST: tuple[tuple[float, ...], ...] = (
    (0.0, 1.0, 1.0, 1.9, 1.5, 3.0, 3.0, 3.5),
    (1.0, 0.0, 2.0, 3.0, 2.0, 4.5, 7.5, 6.0),
    (1.0, 1.5, 0.0, 5.3, 3.0, 9.5, 6.0, 9.0),
    (2.5, 4.0, 4.5, 0.0, 7.0, 4.0, 4.0, 5.5),
    (1.5, 1.5, 2.3, 7.5, 0.0, 6.0, 6.0, 5.0),
    (3.5, 4.0, 9.5, 1.5, 5.5, 0.0, 6.0, 4.0),
    (2.5, 6.0, 5.5, 4.0, 5.0, 5.5, 0.0, 3.8),
    (3.0, 4.0, 8.5, 3.5, 6.0, 5.0, 5.0, 0.0),
)
"""Mean difficulty of going from one valve combination (row) to another, in the order of ``VALVES``.

Source: measured on two trumpet players; Huron, "Musical Idiomaticism", talk at the Ohio State University
2001, page 13 (music-cog.ohio-state.edu/Huron/Talks/CIS.OSU.2001).
"""

OPEN_NOTES: tuple[int, ...] = (60, 67, 72, 76, 79, 84, 88)
"""Written MIDI numbers of the open notes of a trumpet in standard fingering: C4 G4 C5 E5 G5 C6 E6."""
LOWERED: tuple[str, ...] = ("0", "2", "1", "12", "23", "13", "123")
"""Valves for so many semitones below an open note. Source: every fingering chart (common practice)."""

READS_LIKE_TRUMPET: dict[str, int] = {
    "trumpet-bflat": 0, "cornet-bflat": 0, "cornet-eflat": 0, "flugelhorn": 0, "tenor-horn-eflat": 0,
    "mellophone-f": 0, "euphonium-treble": 0, "euphonium": 14, "tuba": 26, "trumpet-piccolo-bflat": 0,
}  # fmt: skip
"""By instrument group: semitones from its written note to the trumpet note with the same valves; the tuba is
taken as a B♭ tuba. Source: common practice, from memory."""
HORN_PARTIALS: tuple[int, ...] = (48, 55, 60, 64, 67, 70, 72, 74, 76, 78, 79, 81, 82, 83, 84)
"""Written MIDI numbers of partials 2 to 16 of the F side of a horn. Source: harmonic series."""

BREAK: dict[str, int] = {
    "clarinet-bflat": 71, "clarinet-alto": 71, "clarinet-bass": 71, "basset-horn": 71,
    "clarinet-contra-alto": 71, "clarinet-contrabass": 71,
}  # fmt: skip
"""Written MIDI number of the first note above the break, B4. Source: common practice."""

POSITION_LEVEL: dict[str, tuple[tuple[float, float], ...]] = {
    "violin": ((1.5, 1), (2.0, 3), (4.0, 5), (6.0, 8)), "viola": ((1.5, 1), (2.0, 3), (4.0, 3), (6.0, 7)),
    "cello": ((1.5, 1), (2.0, 3), (4.0, 4), (6.0, 7)),
    "double-bass": ((0.5, 1), (1.0, 3), (2.0, 4), (4.0, 5), (6.0, 7)),
}  # fmt: skip
"""By level, the highest position expected. Source: string charts (docslib.org/doc/12446430: first position
up to 1½, with third for the double bass, and third at 2 to 2½, fourth for the bass; zicatomusic.com and
kendormusic.com: at 4 fifth for first violins and basses, third for violas, fourth for cellos; the former has
first position alone at 2); level 6 from memory."""

REFILL_SECONDS = 0.25
"""A player refills in any longer rest. Source: Huron & Berec 2009, Empirical Musicology Review 4(3)."""
FULL_INHALE_SECONDS = 1.3
"""Source: the same."""
LEAST_FILL = 0.75
"""Share of a breath that is there after the quickest refill. House choice: players go ahead of time, and the
seconds that a breath lasts leave a reserve."""
CLIPPED_NOTE = 1 / 3
"""Share of a note that must sound where its end is given up for a breath. House choice: a quarter becomes a
triplet eighth, so that there is room for a refill in quarters up to 160."""
CLIPPED_STACCATO = 1 / 4
"""The same of a note with a staccato dot, which sounds for half of its length anyway. House choice."""
BREATH_WORTH = 0.1
"""Share of the playing time without a place to breathe from which it is worth a word. House choice."""
BREATH_SECONDS: tuple[tuple[float, float], ...] = ((0.5, 5.0), (2.0, 8.0), (4.0, 12.0), (6.0, 16.0))
"""Seconds one breath lasts, by level. Source: common practice, from memory; loud low notes take more."""
BREATH_SHARE: dict[str, float] = {
    "flute": 0.75,
    "tuba": 0.7,
    "trombone-bass": 0.8,
    "oboe": 1.6,
    "english-horn": 1.4,
}
"""Instruments that spend a breath faster or slower. From memory."""

PERCUSSION_CHANGE_SECONDS = 1.5
"""Seconds to lay down one instrument and take up the next. Source: house choice."""
EASY_PARTIALS: tuple[tuple[float, float], ...] = ((1.0, 1.0), (2.0, 2.0), (4.0, 3.0), (6.0, 5.0))
"""By level, the partials that may be skipped without a second thought. Source: house choice."""
QUICK_SECONDS: tuple[tuple[float, float], ...] = ((0.5, 0.6), (2.0, 0.45), (4.0, 0.3), (6.0, 0.2))
"""By level, the seconds from one note to the next below which an awkward motion catches a reader. House
choice: quarters at 100 for beginners, sixteenths at 72 for the best."""
