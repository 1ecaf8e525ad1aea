"""Fingerings, slide positions, strings and lungs: the facts behind the technical checks."""

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
POSITIONS: dict[str, int] = {"0": 1, "2": 2, "1": 3, "12": 4, "23": 5, "13": 6, "123": 7}
"""The slide position that lengthens a trombone as those valves do. Source: common practice."""

READS_LIKE_TRUMPET: dict[str, int] = {
    "trumpet-bflat": 0, "cornet-bflat": 0, "cornet-eflat": 0, "flugelhorn": 0, "tenor-horn-eflat": 0,
    "mellophone-f": 0, "euphonium-treble": 0, "euphonium": 14, "tuba": 26, "trumpet-piccolo-bflat": 12,
}  # fmt: skip
"""By instrument group: semitones from its written note to the trumpet note with the same valves; the tuba is
taken as a B♭ tuba. Source: common practice, from memory."""
SLIDE: dict[str, int] = {"trombone": 14, "trombone-bass": 14, "trombone-treble": 0}
"""The same for trombones."""
HORN_PARTIALS: tuple[int, ...] = (48, 55, 60, 64, 67, 70, 72, 74, 76, 78, 79, 81, 82, 83, 84)
"""Written MIDI numbers of partials 2 to 16 of the F side of a horn. Source: harmonic series."""

BREAK: dict[str, int] = {
    "clarinet-bflat": 71, "clarinet-alto": 71, "clarinet-bass": 71, "basset-horn": 71,
    "clarinet-contra-alto": 71, "clarinet-contrabass": 71,
}  # fmt: skip
"""Written MIDI number of the first note above the break, B4. Source: common practice."""

STRINGS: dict[str, tuple[int, ...]] = {
    "violin": (55, 62, 69, 76), "viola": (48, 55, 62, 69), "cello": (36, 43, 50, 57),
    "double-bass": (40, 45, 50, 55),
}  # fmt: skip
"""Written MIDI numbers of the open strings. Source: common practice."""
REACH: dict[str, tuple[int, ...]] = {
    "violin": (7, 9, 11, 12, 14, 16, 17, 19), "viola": (7, 9, 11, 12, 14, 16, 17, 19),
    "cello": (5, 7, 9, 10, 12, 14, 16), "double-bass": (4, 5, 7, 9, 10, 12, 14),
}  # fmt: skip
"""Semitones above an open string within reach of the first, second, third … position. From memory."""
POSITION_LEVEL: tuple[tuple[int, float], ...] = ((1, 0.5), (3, 2.0), (5, 4.0), (8, 6.0))
"""Highest position expected from a level. Source: string charts (docslib.org/doc/12446430: third position
with grades 2 to 2½; zicatomusic.com: fifth at 4); the end from memory."""

REFILL_SECONDS = 0.25
"""A player refills at any longer rest. Source: Huron & Berec 2009, Empirical Musicology Review 4(3)."""
FULL_INHALE_SECONDS = 1.3
"""Source: the same."""
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

DRUM_RANGES: tuple[tuple[int, int], ...] = ((36, 45), (41, 48), (46, 53), (50, 57))
"""Sounding MIDI numbers of a set of four timpani (32, 29, 26, 23 inch). From memory."""
RETUNE_SECONDS = 4.0
"""Seconds to retune one drum while counting. Source: house choice."""
PERCUSSION_CHANGE_SECONDS = 1.5
"""Seconds to lay down one instrument and take up the next. Source: house choice."""
SLIDE_MOVE = 4
"""Slide positions from which a move is long. Source: house choice: more than half of the slide."""
EASY_PARTIALS = 2
"""Partials that may be skipped without a second thought. Source: house choice."""
