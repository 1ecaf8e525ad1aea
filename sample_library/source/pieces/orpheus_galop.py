"""Orpheus Galop: Offenbach's galop in B flat, 2/4, level 2 1/2, with a new trio in E flat."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

HEAD = "B2> | C8* E* D* C* | F4* F* | F8* G* D* E* | C4* C* | C8* E* D* C* |"
GALOP = f"[B3] {HEAD} B8* B'* A* G* | F* E* D* C* | {HEAD} B8* F'* C* D* | B4> r"
BASS = (
    "[B2] B4* D* | A* C* | B* D* | B* B* | A* F'* | F* F* | B* D,* | C* F* | B,* D* | A* C* | B* D* | B* B* | A* F'* | F* F* |"
    "B* F* | B,> r"
)
CHORDS = "Bb | F7 | Bb | Bb | F7 | F7 | Bb | F7 | Bb | F7 | Bb | Bb | F7 | F7 | Bb:1 F7:1 | Bb"
TRIO = "[G4] G2( | G4 A | B2 | B4 G) | A2( | F2) | G2~ | G4 r | G2( | G4 A | B2 | E2) | C4( A | G F) | E2~ | E4 r"
TRIO_BASS = "[E3] E4 B | G B | E B | G B | B D | B D | E G | E B | E B | G B | E G | C, G | A C | B B | E B | E r"
TRIO_CHORDS = "Eb | Eb | Eb | Eb | Bb7 | Bb7 | Eb | Eb | Eb | Eb | Eb | Cm | Ab | Eb:1 Bb7:1 | Eb | Eb"
RIPPLE = (
    "[E4] E8( G B G) | E( G B G) | E( G B G) | E( G B G) | D( F A F) | D( F A F) | E( G B G) | E4 r | E8( G B G) | E( G B G) |"
    "E( G B G) | E( G C G) | E( A C A) | G( E) F( D) | E( G B G) | E4 r"
)
OFF = "r8 8* r 8*"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Orpheus Galop", "Jacques Offenbach, Orphée aux enfers (1858), the galop; from memory; introduction and trio new", 2.5, "Bb", "2/4",
        ("Headlong, but together", "quarter", 116), "clarinets and flute; alto saxophone, horn and euphonium in the trio with clarinets in eighths; xylophone",
        composer="Jacques Offenbach", ranges=(("Bb3", "F4"), ("F3", "D4")), loudness="f", mallets="Xylophone",
    )
    s.section(
        4, {"call": "[F4] F8* F* F4> | R | F8* F* F* G* | E8* C* A4>", "call2": "[C4] C8* C* C4> | R | D8* D* D* E* | C* A* F4>", "low": "[F3] F8* F* F4> | R | B8* B* B* B* | A4* F>"},
        "call: t1 c1 fl+1 ob! ml+1 as; call2: t2 c2 hn ts; low: tb eu bs! bc! tu!", dyn="1 f",
        drums=("8 8 4> | 8 16 16 4 | 8 8 8 8 | 8 8 4>", "4 4 | R | 4 4 | 4 4"), timp="F8 F F4 | r4 F8 F | B4 B | F F",
    )
    s.section(
        16, {"tune": GALOP, "bass": BASS}, "tune: c1 fl+1; alto: c2; tenor: as ts; bass: bs! bc!", chords=CHORDS,
        comp={"alto": f"{OFF} || r8 8* r 8* | 4 r", "tenor": f"{OFF} || r8 8* r 8* | 4 r"}, mark="A", dyn="1 p; 7 < 9; 9 mf; 13 < 16; 16 f", drums=("4 8 8", ""),
    )
    s.section(
        16, {"tune": TRIO, "bass": TRIO_BASS, "ripple": RIPPLE}, "tune: as hn-1 eu-1; ripple: c1; alto: c2 t1 t2; tenor: ts tb; bass: bs! bc! tu!", chords=TRIO_CHORDS,
        comp={"alto": "r4 4* || 4 r", "tenor": "r4 4* || 4 r"}, key="Eb", mark="Trio", dyn="1 mf; 3 < 5; 5 > 7; 9 mf; 9 < 12; 12 f; 13 > 15; 15 mp", under="ripple",
        drums=("4 r | R | 4 r | r4 8 8", "R"), timp="R",
    )
    s.section(
        16, {"tune": GALOP, "bass": BASS, "shake": "[F5] D2> | R | R | D4* r | R | E2> | D4* r | R | D2> | R | R | D4* r | R | E2> | D4* E* | D> r"},
        "tune: t1 c1 as ml+1 ob+1; shake: fl; alto: t2 c2; tenor: hn ts tb; bass: bs! bc! tu! eu!", chords=CHORDS,
        comp={"alto": f"{OFF} || r8 8* r 8* | 4> r", "tenor": "4* 4* || 4* 4* | 4> r"}, key="Bb", mark="B", dyn="1 f; 7 < 9; 9 ff",
        drums=("4 8 8 | 8 16 16 4", "4 4"), timp="B4 r | F r | B r | R | F r | R | B r | F F | B r | F r | B r | R | F r | R | B F | B r",
    )
    s.section(
        4, {"tune": "[B3] B8* F'* C* D* | B8* F'* C* D* | B4> F'> | B,^ r", "bass": "[B2] B4* F'* | B,* F'* | B,> D> | B^ r"},
        "tune: t1 c1 as ml+1 fl+1 ob+1; alto: t2 c2; tenor: hn ts tb; bass: bs! bc! tu! eu!", chords="Bb:1 F7:1 | Bb:1 F7:1 | Bb | Bb",
        comp={"alto": "4* 4* | 4* 4* | 4> 4> | 4^ r", "tenor": "4* 4* | 4* 4* | 4> 4> | 4^ r"}, mark="C", dyn="1 mf; 1 < 3; 3 ff", drums=("4 8 8 | 8 16 16 4 | 4> 4> | 4^ r", "4 4 | 4 4 | 4 4 | 4 r"), timp="B4 F | B F | B B | B^ r",
    )
    s.form = "introduction 1-4 | A 5-20 | Trio 21-36 | A 37-52 | coda 53-56"
    return s
