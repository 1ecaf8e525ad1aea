"""Shenandoah: F major, 4/4 and 3/4 in turn, with a pickup, level 3."""

# fmt: off
# ruff: noqa: E501
from fractions import Fraction

from ..setting import Setting

METERS = "4/4 4/4 4/4 4/4 4/4 3/4 4/4 3/4 4/4"
SONG = (
    "F4 F8( F) G4( A8 B) | D4( C2) F4 | E4.( D8 C4) D8( C) | A4( C2) D4 | D4( D8 A) C4( A8 G) |"
    "F2( G8 A) | F8( A) D2( C4) | F,4( G A) |"
)
CHORDS = "F:2 C:1 F:1 | Bb:1 F:3 | Am:2 F:2 | F:3 Bb:1 | Dm:2 F:1 C:1 | Bb:2 C:1 | F:1 Bb:2 F:1 | Dm:1 C:1 F:1 | Bb:1 C7:1 F:2"
BASS = "F2 E4 F | B A2 F4 | A2 F | F2. B4 | D,2 F4 E | D2 C4 | F B,2 A4 | D4 C A |"
COMP_A = "2 4 4 | 4 2. | 2 2 | 2. 4 | 2 4 4 | 2 4 | 4 2 4 | 4 4 4 | 4 4 2"
DESCANT = (
    "[C5] R | r2 r4 A8( B) | C2( A4 F) | C'4( A2) F4 | F8( G) A4 A G | F2( E4) | C4 F2( A4) | F4( E C) | D4 E8 F~ F4 r"
)


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Shenandoah", "American river song, 19th century; from memory", 3.0, "F", METERS, ("Freely flowing", "quarter", 66),
        "horn and euphonium; flute and clarinets; trumpets", ranges=(("C4", "A4"), ("A3", "E4")), loudness="mp", pickup=Fraction(1),
    )
    s.section(
        9, {"tune": f"[C4] {{Soli}} C4 | {SONG} F4( G8 F~ F4) r", "bass": f"[F3] r4 | {BASS} D4 C8 F,~ F4 r"},
        "tune: hn-1 eu-1; alto: c1 c2; tenor: as ts; bass: bc bs? tu-1",
        chords=f"F | {CHORDS}", comp={"alto": COMP_A, "tenor": COMP_A}, dyn="1 < 2; 2 > 3; 4 < 5; 5 mf; 6 > 8; 8 mp",
    )
    s.section(
        3, {"tune": "[A4] A4( C A2) | G4( B G2) | A4( F) C2", "bass": "[F3] F2 D | G C, | F1", "pick": "[C4] R | R | r2 r4 C4"},
        "tune: ob; alto: c1 c2; tenor: ts; bass: bc; pick: fl+1 ml",
        chords="F Dm | Gm C7 | F", comp={"alto": "2 2", "tenor": "2 2"}, dyn="1 p; 2 < 3; 3 > 4", meter="4/4",
    )
    s.section(
        9, {"tune": f"[C4] {SONG} F4( G8 F~ F4) C4", "bass": f"[F3] {BASS} D4 C8 F,~ F4 r", "descant": DESCANT},
        "tune: fl+1 ml; descant: c1; alto: c2 t2 as; tenor: hn ts; bass: bc bs? tu-1 eu", meter=METERS,
        chords=CHORDS, comp={"alto": COMP_A, "tenor": COMP_A}, mark="A", dyn="1 mp; 1 < 2; 4 < 5; 5 mf; 6 > 8; 8 mp; 9 < 10", under="descant",
    )
    s.section(
        9,
        {
            "tune": f"[C4] {SONG} F4( G8 F~ F4) r", "bass": f"[F3] {BASS} D4 C8 F,~ F4 r", "descant": DESCANT,
            "counter": "[A3] A2( C4 F) | D4( C2 A4) | C4.( B8 A4 C) | C2. D4 | A4( D2 C4) | B2( G4) | C4 D2 C4 | A4( G A) | D4 E8 F~ F4 r",
        },
        "tune: t1 c1 ml; descant: fl ob; counter: hn ts as; alto: t2 c2; tenor: tb; bass: bc bs? tu-1 eu",
        chords=CHORDS, comp={"alto": COMP_A, "tenor": COMP_A}, mark="B", dyn="1 f; 1 < 2; 2 ff; 3 > 4; 4 f; 6 > 8; 8 mf",
        drums=("R", "2 r | R | R | R | 2 r | R | R | R | R"), timp="F2 r | r2 r4 F | R | R | R | r2 C4 | F2 r | R | r2 F2", under="counter",
    )
    s.section(
        6,
        {
            "tune": "[F4] F4( G A) | F8( A) D2( C4) | F,4( G A) | F4( G2 E4) | F1~ | F@", "bass": "[B3] B2 C4 | F, B2 A4 | D C A | B2 C | F,1~ | F@",
            "horn": "[D4] D2( E4) | R | R | r4 B8( C D4 B) | A4.( B8 C4 A | F1)@",
        },
        "tune: fl c1 ob; horn: hn eu? as; alto: c2; tenor: ts; bass: bc bs? tu-1; alto2: t1", meter="3/4 4/4 3/4 4/4 4/4 4/4",
        chords="Bb:2 C:1 | F:1 Bb:2 F:1 | Dm:1 C:1 F:1 | Bb:2 C7:2 | F | F",
        comp={"alto": "2 4 | 4 2 4 | 4 4 4 | 2 2 | 1~ | 1@", "tenor": "2 4 | 4 2 4 | 4 4 4 | 2 2 | 1~ | 1@", "alto2": "2 4 | R | R | R | R | 1@"},
        mark="C", dyn="1 mf; 2 > 4; 4 p; 5 > 7", timp="R | R | R | R | R | F1@",
    )
    s.say(34, "slower")
    s.form = "A 1-12 | A' 13-21 | A' 22-30 | coda 31-36"
    return s
