"""Surprise: Haydn's famous strain in B flat, 2/4, level 1 1/2, with new continuations: soft, softer, and loud."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

A = "B8* B* D* D* | F* F* D4_ | E8* E* C* C* | A* A* F4_ | B8* B* D* D* | F* F* D4_ | B8* B* En* En* |"
A_BASS = "[B2] B4* D* | F* B* | F* A* | C* A* | B4* D* | F* B* | G* C,* |"
A_CHORDS = "Bb | Bb | F7 | F7 | Bb | Bb | Gm C7 |"
B = "C8* C* E* C* | D( E) F4_ | G8* G* E* C* | F( E) D4_ | E8* E* G* E* | D( E) F4_ | E8( D) C( A) | B4 r"
B_BASS = "[F2] F4 C' | B D | E E | D D | C C | F D | F F, | B r"
B_CHORDS = "F7 | Bb | Cm | Bb | Cm | Bb | F7 | Bb"
MINOR = "G8> G B B | D> D B4 | C8> C A A | F#> F# D4 | G8> G B B | D> D B4 | C8 A G F# | G4> r"
MINOR_BASS = "[G2] G4 G | G G | F# D | D F# | G B | G E | C D | G, r"
MINOR_CHORDS = "Gm | Gm | D7 | D7 | Gm | Gm:1 Eb:1 | Cm:0.5 D7:0.5 Gm:0.5 D:0.5 | Gm"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Surprise", "Joseph Haydn, Symphony no. 94 (1791), second movement, first strain; from memory; the other strains new",
        1.5, "Bb", "2/4", ("Strolling", "quarter", 88), "clarinets; flute and oboe at B; low reeds in G minor; timpani",
        composer="Joseph Haydn", ranges=(("Bb3", "F4"), ("F3", "D4")), loudness="p",
    )
    s.section(
        8, {"tune": f"[B4] {A} F4* r", "bass": A_BASS + "F4* r"}, "tune: c1; alto: c2; bass: bc-1! bs!",
        chords=A_CHORDS + "F", comp={"alto": "8* r 8* r"}, dyn="1 p",
    )
    s.section(
        8,
        {"tune": f"[B4] {A} F8* r F4^", "bass": A_BASS + "F8* r F4^", "bang": "[C4] R*7 | r4 C^", "bang2": "[F3] R*7 | r4 F^"},
        "tune: c1 fl; alto: c2; bass: bc-1! bs!; bang: t1 t2 as ob+1 ml+1; bang2: tb eu tu-1 hn ts",
        chords=A_CHORDS + "F", comp={"alto": "8* r 8* r || 8* r 4^"}, mark="A", dyn="1 pp; 8@1 ff",
        drums=("R | R | R | R | R | R | R | r4 4^", "R | R | R | R | R | R | R | r4 4"), timp="R | R | R | R | R | R | R | r4 F^",
    )
    s.section(
        8, {"tune": f"[C5] {B}", "bass": B_BASS}, "tune: fl ob; alto: c1; tenor: c2; bass: bc-1! ts+1! eu!",
        chords=B_CHORDS, comp={"alto": "r8 8* r 8* || 4 r", "tenor": "r8 8* r 8* || 4 r"}, mark="B", dyn="1 mp; 5 < 7; 7 > 9",
    )
    s.section(
        8, {"tune": f"[C5] {B}", "bass": B_BASS}, "tune: fl ob c1-1 ml; alto: t1 t2 as c2; tenor: hn ts; bass: tb! eu! tu-1! bs! bc-1!",
        chords=B_CHORDS, comp={"alto": "4* 4* | 4* 4_", "tenor": "4* 4* | 4* 4_"}, dyn="1 mf; 3 mp; 5 < 7; 7 f",
        drums=("4 4 | 8 8 4", "4 r"), timp="F4 r | B r | R | R | R | F4 r | F F | B r",
    )
    s.section(
        8, {"tune": f"[G3] {MINOR}", "bass": MINOR_BASS, "sigh": "[D5] R | r4 D8( C) | R | r4 A8( B) | R | r4 D8( C) | R | G4> r"},
        "tune: bs ts c2; sigh: fl ob ml; alto: as t1 t2; tenor: hn; bass: tu-1! bc-1! eu! tb!",
        chords=MINOR_CHORDS, comp={"alto": "4* 4*", "tenor": "4* 4*"}, mark="C", dyn="1 ff; 5 mf; 7 < 9",
        drums=("8> 8 8 8 | 4> 8 8 | 8> 8 8 8 | 4> 4", "4 4"), timp="G4 r | G r | D D | D r | G r | G r | R | G r",
    )
    s.section(
        8,
        {"tune": f"[B4] {A} F8* r F4^", "bass": A_BASS + "F8* r F4^", "bang": "[C4] R*7 | r4 C^", "bang2": "[F3] R*7 | r4 F^"},
        "tune: fl c1 ob; alto: c2; tenor: as; bass: bc-1! bs! eu!; bang: t1 t2 ml+1; bang2: tb tu-1 hn ts",
        chords=A_CHORDS + "F", comp={"alto": "8* r 8* r || 8* r 4^", "tenor": "r8 8* r 8* || r4 4^"}, mark="D", dyn="1 p; 5 pp; 8@1 ff",
        drums=("R | R | R | R | R | R | R | r4 4^", "R | R | R | R | R | R | R | r4 4"), timp="R | R | R | R | R | R | R | r4 F^",
    )
    s.section(
        4, {"tune": "[B4] B8* B* D* D* | F* F* D4 | E8( D) C( A) | B4^ r", "bass": "[B2] B4* D* | B* G* | F F, | B4^ r"},
        "tune: fl c1 ob! t1-1! ml; alto: c2 as t2; tenor: hn ts; bass: tb! eu! tu-1! bs! bc-1!",
        chords="Bb | Bb Gm | F7 | Bb", comp={"alto": "4* 4* | 4* 4* | 4 4 | 4^ r", "tenor": "4* 4* | 4* 4* | 4 4 | 4^ r"}, dyn="1 mf; 1 < 4; 4 ff",
        drums=("4 8 8 | 4 8 8 | 8 8 8 8 | 4^ r", "4 r | 4 r | 4 4 | 4 r"), timp="B4 r | B r | F F | B^ r",
    )
    s.form = "A 1-8 | A 9-16 | B 17-24 | B 25-32 | A' 33-40 | A 41-48 | coda 49-52"
    return s
