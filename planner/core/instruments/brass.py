"""Brass: horns and trumpets with their crooks, cornets, trombones, euphoniums, tubas."""

from planner.core.instruments.model import Instrument, RangeCell, alike, cell, level_cells, rewritten
from planner.core.pitch import CONCERT, Transposition

_B_FLAT = Transposition(-1, -2)
_B_FLAT_LOW = Transposition(-1, -2, -1)
_B_FLAT_LOWEST = Transposition(-1, -2, -2)


def _brass(
    id_: str, name: str, move: Transposition, sound: str, midi: int, full: str,
    levels: str | tuple[tuple[float, RangeCell], ...], *,
    clefs: tuple[str, ...] = ("treble",), group: str = "",
) -> Instrument:  # fmt: skip
    cells = level_cells(levels) if isinstance(levels, str) else levels
    return Instrument(id_, name, "brass", clefs, move, sound, midi, cell(full), cells, group=group or id_)


_HORN = _brass(
    "horn-f", "Horn in F", Transposition(-4, -7), "brass.french-horn", 61,
    "B1-F6 M ! the published table gives F♯2 to C6",
    "0.5 C4-A4 NE | 1 A3-A4 NE | 1.5 A3-B4 NE | 2 G3-C5 NE | 3 G3-E5 M | 4 C3-G5 M | 5 C3-A5 M "
    "| 6 F#2-C6 SS", clefs=("treble", "bass"),
)  # fmt: skip
_TRUMPET_B_FLAT = _brass(
    "trumpet-bflat", "B♭ Trumpet", _B_FLAT, "brass.trumpet.bflat", 57,
    "F#3-E6 PB ! other published tables end at C6",
    "0.5 C4-Bb4 NE | 1 Bb3-D5 TM ! the publisher's chart gives C4 to C5 "
    "| 1.5 Bb3-D5 TM+NE ! the publisher's chart gives B3 to D5 "
    "| 2 G3-F5 TM ! the publisher's chart gives A3 to E5 | 3 G3-G5 M | adv G3-Bb5 M "
    "| 6 F#3-C6 SS ! professional players go to D6 and above",
)  # fmt: skip
_CORNET = (
    "0.5 C4-Bb4 M | 1 Bb3-D5 M | 2 G3-F5 M | 3 G3-G5 M | adv G3-Bb5 M "
    "| 6 F#3-C6 M ! professional players go to D6 and above"
)
_TROMBONE = _brass(
    "trombone", "Trombone", CONCERT, "brass.trombone.tenor", 58,
    "C2-F5 M ! the published table gives E2 to C5; C2 needs a trigger, and pedal notes lie lower still",
    "0.5 D3-Bb3 NE | 1 Ab2-C4 TM ! the publisher's chart gives B♭2 to B♭3 "
    "| 1.5 Ab2-C4 TM+NE ! the publisher's chart gives A2 to C4 "
    "| 2 F2-Eb4 TM ! the publisher's chart gives G2 to D4 | 3 F2-F4 M | 4 E2-G4 M | 5 E2-Bb4 M | 6 E2-C5 SS",
    clefs=("bass", "tenor", "alto"),
)  # fmt: skip
_EUPHONIUM = _brass(
    "euphonium", "Euphonium", CONCERT, "brass.euphonium", 59,
    "Bb1-F5 M ! the published table gives E2 to D♭5; notes below E2 need a fourth valve",
    "0.5 D3-Bb3 NE | 1 Ab2-C4 M ! the publisher's chart gives B♭2 to B♭3 "
    "| 1.5 Ab2-C4 M+NE ! the publisher's chart gives A2 to C4 "
    "| int F2-F4 M ! the publisher's chart gives G2 to D4 at level 2 | 4 E2-G4 M | 5 E2-Bb4 M | 6 E2-Db5 SS",
    clefs=("bass", "tenor"),
)  # fmt: skip
_BARITONE = _brass(
    "baritone-horn", "Baritone", CONCERT, "brass.baritone-horn", 59,
    "E2-Bb4 M",
    "0.5 D3-Bb3 NE | 1 Ab2-C4 M ! the publisher's chart gives B♭2 to B♭3 "
    "| 1.5 Ab2-C4 M+NE ! the publisher's chart gives A2 to C4 "
    "| int F2-F4 M ! the publisher's chart gives G2 to D4 at level 2 | adv E2-G4 M | 6 E2-Bb4 M",
    clefs=("bass",), group="euphonium",
)  # fmt: skip
_TUBA = _brass(
    "tuba", "Tuba", CONCERT, "brass.tuba", 59,
    "D1-F4 SS+M ! the source prints D to d1, read as D1 to D4",
    "0.5 D2-Bb2 NE | 1 Bb1-C3 NE | 1.5 Bb1-D3 NE | 2 A1-D3 NE ! a common intermediate range is F1 to E♭3 "
    "| 3 F1-Eb3 M | 4 F1-G3 M | 5 Eb1-Bb3 M | 6 D1-D4 SS", clefs=("bass",),
)  # fmt: skip

HORN_CROOKS: tuple[tuple[str, str, Transposition], ...] = (
    ("horn-bflat-alto", "Horn in high B♭", _B_FLAT),
    ("horn-a", "Horn in A", Transposition(-2, -3)),
    ("horn-aflat", "Horn in A♭", Transposition(-2, -4)),
    ("horn-g", "Horn in G", Transposition(-3, -5)),
    ("horn-e", "Horn in E", Transposition(-5, -8)),
    ("horn-eflat", "Horn in E♭", Transposition(-5, -9)),
    ("horn-d", "Horn in D", Transposition(-6, -10)),
    ("horn-c", "Horn in C", Transposition(0, 0, -1)),
    ("horn-bflat-basso", "Horn in low B♭", _B_FLAT_LOW),
    ("horn-a-basso", "Horn in low A", Transposition(-2, -3, -1)),
)
"""Parts for crooks of the natural horn, read on the horn in F."""
TRUMPET_CROOKS: tuple[tuple[str, str, Transposition], ...] = (
    ("trumpet-g", "Trumpet in G", Transposition(-3, -5)),
    ("trumpet-a", "Trumpet in A", Transposition(-2, -3)),
)
"""Parts for low crooks of the natural trumpet, read on the trumpet in B♭."""

_HIGH_TRUMPET = "0.5 C4-A4 M | 1 C4-C5 M | 2 G3-D5 M | 3 G3-E5 M | 4 G3-G5 M | 5 G3-A5 M | 6 F#3-C6 M"
_HIGHEST_TRUMPET = "0.5 C4-G4 M | 1 C4-A4 M | 2 G3-C5 M | 3 G3-E5 M | 4 G3-G5 M | 5 G3-G5 M | 6 F#3-A5 M"
"""The smaller the instrument, the lower the written note at which the lip gives out."""

BRASS: tuple[Instrument, ...] = (
    _HORN,
    *(rewritten(_HORN, *row) for row in HORN_CROOKS),
    _TRUMPET_B_FLAT,
    _brass("trumpet-c", "C Trumpet", CONCERT, "brass.trumpet.bflat", 57,
           "F#3-E6 PB ! method books end at C6", alike(_TRUMPET_B_FLAT), group="trumpet-bflat"),
    _brass("trumpet-d", "D Trumpet", Transposition(1, 2), "brass.trumpet.bflat", 57,
           "F#3-E6 PB ! method books end at C6", _HIGH_TRUMPET, group="trumpet-bflat"),
    _brass("trumpet-eflat", "E♭ Trumpet", Transposition(2, 3), "brass.trumpet.bflat", 57,
           "F#3-E6 PB ! method books end at C6", _HIGH_TRUMPET, group="trumpet-bflat"),
    _brass("trumpet-e", "Trumpet in E", Transposition(2, 4), "brass.trumpet.bflat", 57,
           "C3-C6 M+NB ! below F♯3 it is played on the B♭ trumpet", _HIGHEST_TRUMPET, group="trumpet-bflat"),
    _brass("trumpet-f", "Trumpet in F", Transposition(3, 5), "brass.trumpet.bflat", 57,
           "B2-C6 M+NB ! below F♯3 it is played on the B♭ trumpet", _HIGHEST_TRUMPET, group="trumpet-bflat"),
    *(rewritten(_TRUMPET_B_FLAT, *row) for row in TRUMPET_CROOKS),
    _brass("trumpet-piccolo-bflat", "Piccolo Trumpet in B♭", Transposition(6, 10), "brass.trumpet.piccolo",
           57, "C#3-A5 M ! below F♯3 a fourth valve is needed",
           "beg C4-A4 M | int C4-D5 M | 4 C4-E5 M | 5 A3-F5 M | 6 F#3-G5 M"),
    _brass("trumpet-piccolo-a", "Piccolo Trumpet in A", Transposition(5, 9), "brass.trumpet.piccolo", 57,
           "C#3-A5 M ! below F♯3 a fourth valve is needed",
           "beg C4-A4 M | int C4-D5 M | 4 C4-E5 M | 5 A3-F5 M | 6 F#3-G5 M", group="trumpet-piccolo-bflat"),
    _brass("cornet-bflat", "B♭ Cornet", _B_FLAT, "brass.cornet", 57,
           "F#3-E6 PB ! method books end at C6", _CORNET),
    _brass("cornet-a", "A Cornet", Transposition(-2, -3), "brass.cornet", 57,
           "F#3-E6 PB ! method books end at C6", _CORNET, group="cornet-bflat"),
    _brass("cornet-eflat", "E♭ Cornet", Transposition(2, 3), "brass.cornet.soprano", 57,
           "F#3-E6 PB ! method books end at C6",
           "beg C4-C5 M | 2 G3-F5 M | 3 G3-G5 M | adv G3-Bb5 M | 6 F#3-C6 M"),
    _brass("flugelhorn", "Flugelhorn", _B_FLAT, "brass.flugelhorn", 57,
           "F#3-E6 PB ! method books end at C6", "beg C4-C5 M | int G3-F5 M | adv G3-A5 M | 6 F#3-C6 M"),
    _brass("tenor-horn-eflat", "E♭ Tenor Horn", Transposition(-5, -9), "brass.alto-horn", 61, "F#3-C6 M",
           "0.5 C4-Bb4 M | 1 Bb3-D5 M | int G3-G5 M | adv F#3-A5 M | 6 F#3-C6 M"),
    _brass("mellophone-f", "Mellophone in F", Transposition(-4, -7), "brass.mellophone", 61, "F#3-C6 M",
           "0.5 C4-Bb4 M | 1 Bb3-D5 M | int G3-G5 M | adv F#3-A5 M | 6 F#3-C6 M"),
    _brass("trombone-alto", "Alto Trombone", CONCERT, "brass.trombone.alto", 58, "A2-F5 M",
           "beg F3-D4 M | int C3-G4 M | adv A2-C5 M | 6 A2-Eb5 M", clefs=("alto", "tenor", "bass")),
    _TROMBONE,
    rewritten(_TROMBONE, "trombone-treble", "Trombone (treble clef)", _B_FLAT_LOW, sound="brass.trombone",
              clefs=("treble",), group="trombone-treble"),
    _brass("trombone-bass", "Bass Trombone", CONCERT, "brass.trombone.bass", 58,
           "C1-C5 M ! notes below B♭1 are pedal notes; B1 needs a second trigger",
           "0.5 D3-Bb3 M | 1 Ab2-C4 M | int E2-D4 M | 4 Bb1-F4 AF+M | 5 Bb1-G4 AF+M | 6 Bb1-Bb4 M",
           clefs=("bass",)),
    _EUPHONIUM,
    rewritten(_EUPHONIUM, "euphonium-treble", "Euphonium (treble clef)", _B_FLAT_LOW, clefs=("treble",),
              group="euphonium-treble"),
    _BARITONE,
    rewritten(_BARITONE, "baritone-horn-treble", "Baritone (treble clef)", _B_FLAT_LOW, clefs=("treble",),
              group="euphonium-treble"),
    _TUBA,
    _brass("tuba-eflat-treble", "E♭ Bass (treble clef)", Transposition(-5, -9, -1), "brass.tuba.bass", 59,
           "F#3-C6 M", "beg C4-C5 M | int A3-E5 M | 4 F#3-G5 M | 5 F#3-A5 M | 6 F#3-C6 M", group="tuba"),
    rewritten(_TUBA, "tuba-bflat-treble", "B♭ Bass (treble clef)", _B_FLAT_LOWEST,
              sound="brass.tuba.subcontrabass", clefs=("treble",)),
)  # fmt: skip
"""Source: transpositions are standard facts; ranges cell by cell."""
