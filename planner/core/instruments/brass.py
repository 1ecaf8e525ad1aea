"""Brass: horns and trumpets with their crooks, cornets, trombones, euphoniums, tubas."""

from dataclasses import replace

from planner.core.instruments.model import Instrument, cell, level_cells, moved
from planner.core.pitch import CONCERT, Transposition

_B_FLAT = Transposition(-1, -2)
_B_FLAT_LOW = Transposition(-1, -2, -1)
_TRUMPET_FULL = "F#3-C6 SS ! professional players go to D6 and above"
_TRUMPET = (
    "0.5 C4-Bb4 NE | 1 Bb3-D5 TM ! the publisher's chart gives C4 to C5 | 2 G3-F5 TM "
    "! the publisher's chart gives A3 to E5 | 3 G3-G5 M | adv G3-Bb5 M | pro F#3-C6 SS"
)
_TROMBONE_FULL = "E2-C5 SS ! pedal notes and a trigger reach lower"
_TROMBONE = (
    "0.5 D3-Bb3 NE | 1 Ab2-C4 TM ! the publisher's chart gives B♭2 to B♭3 | 2 F2-Eb4 TM "
    "! the publisher's chart gives G2 to D4 | 3 F2-F4 M | adv E2-G4 M | pro E2-C5 SS"
)
_BARITONE_TREBLE = "beg Bb3-D5 M | int G3-G5 M | adv F#3-A5 M | pro F#3-C6 SS"
_BARITONE_BASS = "beg Ab2-C4 M | int F2-F4 M | adv E2-G4 M | pro E2-Db5 SS"
_TUBA = (
    "beg Bb1-C3 NE | 2 A1-D3 NE ! a common intermediate range is F1 to E♭3 | 3 F1-Eb3 M "
    "| adv F1-G3 M | pro D1-D4 SS"
)


def _brass(
    id_: str, name: str, move: Transposition, sound: str, midi: int, full: str, levels: str, *,
    clefs: tuple[str, ...] = ("treble",), group: str = "",
) -> Instrument:  # fmt: skip
    return Instrument(
        id_, name, "brass", clefs, move, sound, midi, cell(full), level_cells(levels), group=group or id_
    )


def _crook(base: Instrument, id_: str, name: str, move: Transposition) -> Instrument:
    """The same instrument read from a part in another key: it sounds the same, so the written range moves."""
    assert base.full
    cells = tuple((level, moved(c, base.transposition, move)) for level, c in base.by_level)
    full = moved(base.full, base.transposition, move)
    return replace(base, id=id_, name=name, transposition=move, full=full, by_level=cells, group=base.id)


_HORN = _brass(
    "horn-f", "Horn in F", Transposition(-4, -7), "brass.french-horn", 61, "F#2-C6 SS",
    "0.5 C4-A4 NE | 1 A3-A4 NE | 2 G3-C5 NE | 3 G3-E5 M | adv F3-G5 M | pro F#2-C6 SS", clefs=("treble",
          "bass"),
)  # fmt: skip
_TRUMPET_B_FLAT = _brass(
    "trumpet-bflat", "B♭ Trumpet", _B_FLAT, "brass.trumpet.bflat", 57, _TRUMPET_FULL, _TRUMPET
)

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
TRUMPET_CROOKS: tuple[tuple[str, str, Transposition], ...] = (
    ("trumpet-c", "C Trumpet", CONCERT),
    ("trumpet-d", "D Trumpet", Transposition(1, 2)),
    ("trumpet-eflat", "E♭ Trumpet", Transposition(2, 3)),
    ("trumpet-e", "Trumpet in E", Transposition(2, 4)),
    ("trumpet-f", "Trumpet in F", Transposition(3, 5)),
    ("trumpet-g", "Trumpet in G", Transposition(-3, -5)),
    ("trumpet-a", "Trumpet in A", Transposition(-2, -3)),
)

BRASS: tuple[Instrument, ...] = (
    _HORN,
    *(_crook(_HORN, *row) for row in HORN_CROOKS),
    _TRUMPET_B_FLAT,
    *(_crook(_TRUMPET_B_FLAT, *row) for row in TRUMPET_CROOKS),
    _brass("trumpet-piccolo-bflat", "Piccolo Trumpet in B♭", Transposition(6, 10),
          "brass.trumpet.piccolo", 57,
           "F#3-G5 M", "adv C4-E5 M | pro F#3-G5 M"),
    _brass("trumpet-piccolo-a", "Piccolo Trumpet in A", Transposition(5, 9), "brass.trumpet.piccolo", 57,
           "F#3-G5 M", "adv C4-E5 M | pro F#3-G5 M", group="trumpet-piccolo-bflat"),
    _brass("cornet-bflat", "B♭ Cornet", _B_FLAT, "brass.cornet", 57, _TRUMPET_FULL, _TRUMPET),
    _brass("cornet-a", "A Cornet", Transposition(-2, -3), "brass.cornet", 57, _TRUMPET_FULL, _TRUMPET,
           group="cornet-bflat"),
    _brass("cornet-eflat", "E♭ Cornet", Transposition(2, 3), "brass.cornet.soprano", 57,
           "F#3-C6 M", "int G3-G5 M | adv G3-B5 M | pro F#3-C6 M"),
    _brass("flugelhorn", "Flugelhorn", _B_FLAT, "brass.flugelhorn", 57, "F#3-C6 SS",
           "int G3-F5 M | adv G3-A5 M | pro F#3-C6 SS"),
    _brass("tenor-horn-eflat", "E♭ Tenor Horn", Transposition(-5, -9), "brass.alto-horn", 61, "F#3-C6 M",
           "beg Bb3-D5 M | int G3-G5 M | adv F#3-A5 M | pro F#3-C6 M"),
    _brass("mellophone-f", "Mellophone in F", Transposition(-4, -7), "brass.mellophone", 61, "F#3-C6 M",
           "beg Bb3-D5 M | int G3-G5 M | adv F#3-A5 M | pro F#3-C6 M"),
    _brass("trombone-alto", "Alto Trombone", CONCERT, "brass.trombone.alto", 58, "A2-Eb5 M",
           "int C3-G4 M | adv A2-C5 M | pro A2-Eb5 M", clefs=("alto", "tenor", "bass")),
    _brass("trombone", "Trombone", CONCERT, "brass.trombone.tenor", 58, _TROMBONE_FULL, _TROMBONE,
           clefs=("bass", "tenor", "alto")),
    _brass("trombone-treble", "Trombone (treble clef)", _B_FLAT_LOW, "brass.trombone", 58, "F#3-D6 M",
           "beg Bb3-D5 M | int G3-G5 M | adv F#3-A5 M | pro F#3-D6 M"),
    _brass("trombone-bass", "Bass Trombone", CONCERT, "brass.trombone.bass", 58,
           "Bb1-Bb4 M ! a double trigger and pedals reach lower",
           "int E2-D4 M | adv C2-F4 M | pro Bb1-Bb4 M", clefs=("bass",)),
    _brass("euphonium", "Euphonium", CONCERT, "brass.euphonium", 59, "E2-Db5 SS", _BARITONE_BASS,
           clefs=("bass", "tenor")),
    _brass("euphonium-treble", "Euphonium (treble clef)", _B_FLAT_LOW, "brass.euphonium", 59,
           "F#3-C6 SS ! professional players go higher", _BARITONE_TREBLE),
    _brass("baritone-horn", "Baritone", CONCERT, "brass.baritone-horn", 59, "E2-Bb4 M",
          _BARITONE_BASS.replace("Db5 SS", "Bb4 M"),
           clefs=("bass",), group="euphonium"),
    _brass("baritone-horn-treble", "Baritone (treble clef)", _B_FLAT_LOW, "brass.baritone-horn", 59,
          "F#3-C6 SS",
           _BARITONE_TREBLE, group="euphonium-treble"),
    _brass("tuba", "Tuba", CONCERT, "brass.tuba", 59,
           "D1-D4 SS ! the source prints D to d1; other tables end at F4", _TUBA, clefs=("bass",)),
    _brass("tuba-eflat-treble", "E♭ Bass (treble clef)", Transposition(-5, -9, -1), "brass.tuba.bass", 59,
           "F#3-C6 M", "beg C4-C5 M | int A3-E5 M | adv F#3-G5 M | pro F#3-C6 M", group="tuba"),
    _brass("tuba-bflat-treble", "B♭ Bass (treble clef)", Transposition(-1, -2, -2),
          "brass.tuba.subcontrabass",
           59, "F#3-C6 M", "beg C4-C5 M | int A3-E5 M | adv F#3-G5 M | pro F#3-C6 M", group="tuba"),
)  # fmt: skip
"""Source: transpositions are standard facts; ranges cell by cell."""
