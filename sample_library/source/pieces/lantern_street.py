"""Lantern Street: new music in 7/8 (2+2+3), G minor, level 3 1/2, with D.S. al Coda."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

GROOVE = "[G2] G4_ D'* G,8 A B | G4_ D'* G,8 A F#"
A_TUNE = (
    "[G4] G8( A) B4_ A8( B C) | D4_ C8( B) A( G) A | A( B) C4_ B8( A G) | A4 F#* D4. |"
    "G8( A) B4_ A8( B C) | D4_ F D8( C B) | C( B) A4_ G8( A F#) | G4* G* G4."
)
A_BASS = (
    "[G2] G4* D'* G,4. | B4* F* B4. | C4* G* C4. | D4* A* D8 C A |"
    "G4* D'* G,4. | B4* F* B4. | C4* C* D4. | G,4* D'* G,4."
)
A_CHORDS = "Gm | Bb | Cm | D | Gm | Bb | Cm:2 D7:1.5 | Gm"
COUNTER = (
    "[D4] R | r2 F8( E D) | E4. r8 r4. | r2 F#8( G A) | B,4. r8 r4. | r2 F'8( E D) | E4 E D4. | D4* D* D4."
)
B_TUNE = (
    "[B3] B4_( D) F4. | G4( F) D4. | E4( D) C8( D E) | D2~ D4. |"
    "B4_( D) F4. | G4( F) E4. | D4( C) A8( B C) | B2~ B4."
)
B_BASS = "[B2] B2~ B4. | G2~ G4. | C2~ C4. | F,4 F F8 E D | B2~ B4. | E2~ E4. | F2~ F4. | B4 F B,4."
B_CHORDS = "Bb | Gm | Cm | F | Bb | Eb | F7 | Bb"
DRUM = "4 4 8 8 8 | 4 8 8 8 8 8"
LOW_DRUM = "4 r 4."


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Lantern Street", "New music", 3.5, "Gm", "7/8:2+2+3", ("With a lilt", "quarter", 108),
        "oboe, clarinet 1 and alto saxophone; trumpet and flute at B; horn and euphonium at C", composer="",
        ranges=(("Bb3", "F4"), ("F3", "D4")), loudness="mf", mallets="Xylophone",
    )  # fmt: skip
    s.section(
        4,
        {"groove": f"{GROOVE} | {GROOVE}", "stab": "[D4] R | R | R | r2 D8> C A"},
        "groove: tu bs bc eu; stab: as c2",
        dyn="1 mf; 3 < 5", drums=(DRUM, LOW_DRUM), timp="G4 r G4. | G4 r D4.",
    )  # fmt: skip
    s.section(
        8, {"tune": A_TUNE, "bass": A_BASS},
        "tune: c1 as-1? ob; alto: c2 t2; tenor: hn ts tb; bass: tu bs bc eu",
        chords=A_CHORDS, comp={"alto": "r4 4* r4.", "tenor": "r4 4* r8 8* 8*"}, mark="A", dyn="1 mf; 7 < 9",
        drums=(DRUM, LOW_DRUM), timp="G4 r G4. | R | R | D4 r D4.",
    )  # fmt: skip
    s.section(
        8, {"tune": A_TUNE, "bass": A_BASS, "counter": COUNTER},
        "tune: t1 fl+1 ob ml+1; counter: c1 as; alto: c2 t2; tenor: hn ts tb; bass: tu bs bc eu",
        chords=A_CHORDS, comp={"alto": "r4 4* r8 8* 8*", "tenor": "r4 4* r4."}, mark="B", dyn="1 f",
        drums=("4 8 8 8 8 8 | 4> 4 8> 8 8", "4 4 4."), timp="G4 r G4. | R | R | D4 r D4.", under="counter",
    )  # fmt: skip
    s.section(
        8, {"tune": B_TUNE, "bass": B_BASS},
        "tune: hn eu-1; alto: c1 c2; tenor: as ts; bass: tu bs? bc?",
        chords=B_CHORDS, comp={"alto": "4 4 4.", "tenor": "2~ 4."}, mark="C", dyn="1 mp; 5 < 7; 7 > 9",
        drums=("R", "R"), timp="R",
    )  # fmt: skip
    s.section(
        8, {"tune": B_TUNE, "bass": B_BASS, "echo": "[F4] R | r2 D8( E F) | R | r4 F8( G) A( B A) | R | r2 G8( A B) | R | F4_ D_ B4."},
        "tune: t1 hn eu-1 c1; alto: c2 t2; tenor: as ts tb; bass: tu bs? bc?; echo: fl+1 ob+1 ml+1",
        chords=B_CHORDS, comp={"alto": "4 4 4.", "tenor": "2~ 4."}, dyn="1 mf; 7 < 9",
        drums=("4 r r4.", "4 r r4."), timp="R | R | R | R | B4 r B4. | R | F4 r F4. | F4 r F4.",
    )  # fmt: skip
    s.section(
        6,
        {
            "tune": "[G4] G8( A) B4_ A8( B C) | D4_ C8( B) A( G) A | B( A) G4_ A8( G F#) | G4* G* G8> F E | D4 D C8 A F# | G2>~ G4.",
            "bass": "[G2] G4* D'* G,4. | B4* F* B4. | E4* E* D4. | G,4* G* G8> F E | D4 D D8 D D | G2>~ G4.",
        },
        "tune: t1 fl+1 ob? ml+1 c1 as; alto: c2 t2; tenor: hn ts tb; bass: tu? bs? bc? eu?",
        chords="Gm | Bb | Eb:2 D:1.5 | Gm | D7 | Gm", comp={"alto": "4* 4* 4.", "tenor": "4* 4* 4."}, mark="D",
        dyn="1 f; 4 ff", drums=("4 8 8 8 8 8 | 4> 4 8> 8 8 | 4 8 8 8 8 8 | 4 4 8> 8> 8> | 4> 4> 8> 8> 8> | 4>^ r r4.", "4 4 4. | 4 4 4. | 4 4 4. | 4 4 4. | 4 4 4. | 4 r r4."),
        timp="G4 r G4. | R | r2 D4. | G4 G r4. | D4 D D8 D D | G4 r r4.",
    )  # fmt: skip
    s.jump("segno", 5)
    s.jump("to-coda", 20)
    s.jump("ds-coda", 36)
    s.jump("coda", 37)
    s.form = "introduction 1-4 | A 5-12 | A 13-20 | B 21-28 | B 29-36 | coda 37-42"
    return s
