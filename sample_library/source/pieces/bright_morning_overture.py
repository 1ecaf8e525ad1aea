"""Bright Morning Overture: new, level 4: changing meters in F major, a slow middle in F minor (new signature)."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

TURNS = "4/4 4/4 4/4 3/4"
FANFARE = (
    "[F4] F4.> C8 F4> G> | A4> G8 F C2 | F4.> C8 F4> A> | G4> F> G> |"
    "A4.> F8 A4> B> | C4> B8 A G2 | A8 B C D E4> C> | F2> r4"
)
F_SECOND = (
    "[C4] C4.> A8 C4> E> | F4> E8 D A2 | C4.> A8 C4> F> | E4> D> E> |"
    "F4.> C8 F4> G> | A4> G8 F E2 | F8 G A B C4> G> | A2> r4"
)
F_BASS = (
    "[F2] F2> F4> C'> | F,4> G8 A F2 | F2> F4> F> | C'4> D> C> |"
    "F,2> D'4> B> | F4> G8 A C2 | F,4> C'> G> C> | F,2> r4"
)
SPARK = (
    "[C5] R | r2 r8 C16( D E8) C* | R | r4 C16( D E F G8) E* | R | r2 r8 C16( D E8) C* | R | F16( G A B C8) A* F4*"
)
A = (
    "[F4] F8* A4> C8~ C D C A | B8( A) G* A* F2 | G8* B4> D8~ D E D B | C4( A B) |"
    "F8* A4> C8~ C D C A | D8( C) B* C* A4 F8 G | A8( G) F* D* E4 G | F2 r4"
)
A_CHORDS = "F | Gm:2 F:2 | Gm | F:2 C7:1 | F | Bb:2 F:2 | Dm:2 C7:2 | F"
A_BASS = (
    "[F2] F4* C'* F,* C'* | B* C* F,* A* | G* D'* G,* B* | A* F* C'* |"
    "F,* C'* F,* A* | B* C* F,* C'* | D* A* C* E* | F* C* F,*"
)
OFF = "r8 8* r 8* r 8* r 8* | r8 8* r 8* r 8* r 8* | r8 8* r 8* r 8* r 8* | r8 8* r 8* r 8*"
SLOW = "[C4] C4( F4. G8 | A2 G4) | F4( E D | C2.) | F4( A4. B8 | C2 B4) | A4( G En | F2.)"
SLOW_CHORDS = "Fm | Fm:2 C:1 | Db:2 Bbm:1 | C | Fm | Ab:2 Bbm:1 | Fm:1 C:2 | Fm"
SLOW_BASS = "[F2] F2. | F2 C'4 | D2 B4 | C2( B4) | A2 F4 | A2 B4 | F4 C'2 | F,2."


def _half(line: str, near: str) -> str:
    """The second half of an eight-bar line."""
    return f"[{near}] " + "|".join(line.split("|")[4:])


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Bright Morning Overture", "New music", 4.0, "F", TURNS, ("Bright and quick", "quarter", 138),
        "trumpets; woodwinds with sixteenths; horn and euphonium in the slow section", composer="",
        ranges=(("C4", "A4"), ("F3", "E4")), loudness="f", mallets="Xylophone",
    )
    s.section(
        8, {"tune": FANFARE, "second": F_SECOND, "bass": F_BASS, "spark": SPARK},
        "tune: t1 as; second: t2 hn; bass: tb eu tu bs? bc?; spark: fl ob c1 ml+1; second: ts c2", dyn="1 f; 7 < 8; 8 ff",
        drums=("4> 8 8 4> 8 16 16 | 4> 8 8 2 | 4> 8 8 4> 8 16 16 | 4> 4> 4>", "2 2 | 2 2 | 2 2 | 4 4 4"), timp="F4 r F C | F r r2 | F4 r F r | C C C | F4 r r2 | R | r2 r4 C | F2 r4",
    )
    s.section(
        8, {"tune": A, "bass": A_BASS}, "tune: c1 fl+1; alto: c2 as; tenor: ts hn; bass: bc bs? eu tu",
        chords=A_CHORDS, comp={"alto": OFF, "tenor": OFF}, mark="A", dyn="1 mf; 3 < 4; 7 < 9",
        drums=("8 8 8 16 16 8 8 8 8 | 8 8 8 16 16 8 8 8 8 | 8 8 8 16 16 8 8 8 8 | 8 8 8 16 16 8 8", "4 r 4 r | 4 r 4 r | 4 r 4 r | 4 r r"),
    )
    s.section(
        8,
        {
            "tune": A, "bass": A_BASS,
            "high": "[F5] R | r2 F16( G A B C8) A* | R | C,16( D E F G8) E* C4* | R | r2 F16( G A B C8) A* | F16( E F G A8) F* G16( F E D E8) C* | F16( G A B C4*) r",
        },
        "tune: t1 as ob?; high: fl c1 ml+1; alto: t2 c2; tenor: hn ts tb; bass: tu bc bs? eu",
        chords=A_CHORDS, comp={"alto": OFF, "tenor": "4 4 2 | 2 2 | 4 4 2 | 4 4 4"}, mark="B", dyn="1 f; 3 < 4; 5 mf; 7 < 9", under="high",
        drums=("8 8 8 16 16 8 8 8 8 | 8 8 8 16 16 8 8 8 8 | 8 8 8 16 16 8 8 8 8 | 8 8 8 16 16 8 8", "4 r 4 r | 4 r 4 r | 4 r 4 r | 4 r r"), timp="F4 r C r | R | R | F4 r C | F4 r C r | R | r2 C4 C | F2 r4",
    )
    s.section(
        6,
        {
            "tune": "[A4] A8( G F) C'4> | B8( A G) D'4> | C8( B A) E'4> | F8( E C) A4> | G2> G4.>( F8 | En1)@",
            "second": "[F4] F8( E C) A'4> | G8( F D) B'4> | A8( G F) C'4> | A8( G F) F4> | D2> D4.>( D8 | C1)@",
            "bass": "[F2] F4.> F4> | G4.> G4> | A4.> A4> | D,4.> D4> | G2> B> | C1@",
        },
        "tune: t1 c1 fl ob as; second: t2 c2 hn ts; bass: tb? eu? tu bs? bc", meter="5/8:3+2 5/8:3+2 5/8:3+2 5/8:3+2 4/4 4/4",
        mark="C", dyn="1 mf; 1 < 5; 5 ff; 6 > 7", drums=("8 8 8 4> | 8 8 8 4> | 8 8 8 4> | 8 8 8 8> 8 | 2> 2> | 1@", "4. 4 | 4. 4 | 4. 4 | 4. 4 | 2 2 | 1@"),
        timp="R | R | R | R | r2 r4 C | C1@",
    )
    s.section(
        8, {"tune": SLOW, "bass": SLOW_BASS}, "tune: hn eu-1; alto: c1 c2; tenor: as ts; bass: bc bs? tu", key="Fm", meter="3/4",
        chords=SLOW_CHORDS, comp={"alto": "2.", "tenor": "2 4"}, mark="D", dyn="1 p; 1 < 2; 3 > 4; 5 mp; 5 < 6; 7 > 9", tempo=("Slow, singing", "quarter", 72),
    )
    s.section(
        10,
        {
            "tune": SLOW + " | [C5] C4( A F | En2.)@", "bass": SLOW_BASS + " | F2 D'4 | C2.@",
            "counter": "[A3] A2( C4) | C2( En4) | F2( D4) | En2( G4) | F2( C4) | E4( C D) | C2( B4) | A2. | C2( B4) | C2.@",
        },
        "tune: ob fl+1; counter: as hn ts; alto: c1 c2; tenor: t2; bass: bc bs? eu tu",
        chords=SLOW_CHORDS + " | Fm:2 Bbm:1 | C", comp={"alto": "4 4 4 | 2 4 | 4 4 4 | 2. | 4 4 4 | 2 4 | 4 2 | 2. | 2 4 | 2.@", "tenor": "2. || 2.@"},
        mark="E", dyn="1 mp; 1 < 2; 3 > 4; 5 mf; 5 < 6; 7 > 9; 9 p; 9 > 11", under="counter",
    )
    s.section(
        8,
        {
            "tune": A, "bass": A_BASS,
            "high": "[F5] F16( G A B C8) A* F4* r | r4 F16( G A B C8) A* F4* | G,16( A B C D8) B* G4* r | C16( D E F G8) E* C4* | F16( G A B C8) A* F4* r | r2 F16( G A B C8) A* | F16( E F G A8) F* G16( F E D E8) C* | F16( G A B C4*) r",
        },
        "tune: t1 as; high: fl c1 ml+1 ob?; alto: t2 c2; tenor: hn ts tb; bass: tu bc bs? eu", key="F", meter=TURNS,
        chords=A_CHORDS, comp={"alto": OFF, "tenor": "4 4 2 | 2 2 | 4 4 2 | 4 4 4"}, mark="F", dyn="1 f; 3 < 4; 5 mf; 7 < 9", under="high",
        drums=("8 8 8 16 16 8 8 8 8 | 8 8 8 16 16 8 8 8 8 | 8 8 8 16 16 8 8 8 8 | 8 8 8 16 16 8 8", "4 r 4 r | 4 r 4 r | 4 r 4 r | 4 r r"), timp="F4 r C r | R | R | F4 r C | F4 r C r | R | r2 C4 C | F2 r4",
        tempo=("In the first tempo", "quarter", 138),
    )
    s.section(
        4, {"tune": _half(FANFARE, "A4"), "second": _half(F_SECOND, "F4"), "bass": _half(F_BASS, "F3"), "spark": _half(SPARK, "C5")},
        "tune: t1 as; second: t2 hn; bass: tb eu tu bs? bc?; spark: fl ob c1 ml+1; second: ts c2", mark="G", dyn="1 f; 1 < 4; 4 ff",
        drums=("4> 8 8 4> 8 16 16 | 4> 8 8 2 | 4> 8 8 4> 8 16 16 | 4> 4> 4>", "2 2 | 2 2 | 2 2 | 4 4 4"), timp="F4 r r2 | R | r2 r4 C | F2 r4",
    )
    s.section(
        3, {"tune": "[C5] C8> C r C> r C> D> E> | F2.>~ | F4^ r r", "second": "[A4] A8> A r A> r A> B> G> | A2.>~ | A4^ r r", "bass": "[F2] F8> F r F> r F> B> C> | F,2.>~ | F4^ r r"},
        "tune: t1 fl+1 c1 ml; second: t2 ob as c2; bass: tb eu tu bs? bc?; tenor: hn ts", meter="4/4 3/4 3/4",
        chords="F:3 Bb:0.5 C:0.5 | F | F", comp={"tenor": "8> 8 r 8> r 8> 8> 8> | 2.>~ | 4^ r r"}, dyn="1 ff", drums=("8> 8 r 8> r 8> 8> 8> | 4> 8 8 8 8 | 4^ r r", "4 r 4 r | 4 r r | 4^ r r"),
        timp="F8 F r F r F r C | F2.~ | F4^ r r",
    )
    s.form = "introduction 1-8 | A 9-16 | A 17-24 | B 25-30 | C 31-38 | C' 39-48 | A 49-56 | coda 57-63"
    return s
