"""Crosswind: new music in 7/8 (3+2+2), D minor, level 4, with bars of 3/4 between."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

A = (
    "[D4] D8( E F) A4* G8 F | E4.> C4* D* | E8( F G) B4* A8 G | A4.>~ A2 |"
    "D,8( E F) A4* G8 F | E4.> G4* F8 E | D8( C B) A4* C#* |"
)
A_CHORDS = "Dm | C | Gm | A | Dm | C | Bb:1.5 A:2 |"
A_BASS = "[D3] D4.> A4* D* | C4.> G4* C* | G4.> D'4* G,* | A4.> E'4* A,* | D4.> A4* D* | C4.> G4* C* | B4.> A4* A* |"
B = "[F4] F4.( A4 C) | D4.( C2) | B4.( A4 G) | A4.~ A2 | F4.( A4 C) | E4.( D4 C) | D8( C B A4 G) | A4.~ A2"
B_CHORDS = "F | Bb:1.5 F:2 | Gm:1.5 C7:2 | F | F | C | Gm:1.5 C7:2 | A"
B_BASS = "[F2] F4.~ F2 | B4.( A2) | G4.( C2) | F,4.( C'4 A) | F4.~ F2 | C'4.~ C2 | B4.( C2) | A4. E'4 C#"
C = (
    "[A4] A8( B C) D4> A> | B8( A) G4 A | G8( A B) C4> G> | A8( G) F4 G |"
    "F8( G A) B4> F> | G8( F) E4 F | E8( F G) A4> E> | C#8( D) E4 G"
)
C_CHORDS = "F:1.5 Dm:2 | Gm | Gm:1.5 C:2 | F | F:1.5 Bb:2 | C:2 F:1 | C:1.5 A:2 | A7"
C_BASS = "[F2] F4. D'4> D> | G,2. | G4. C4> C> | F,2. | F4. B4> B> | C2. | C4. A4> A> | A2."
DRUM = "8> 8 8 4> 4> | 8> 8 8 8> 8 8> 8"
STAB = "r4. 4> 4>"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Crosswind", "New music", 4.0, "Dm", "7/8:3+2+2", ("Driving", "quarter", 126),
        "trumpets and trombone; flute and oboe in F major; oboe, clarinet 1 and alto saxophone at C", composer="",
        ranges=(("C4", "A4"), ("F3", "E4")), loudness="f", mallets="Xylophone",
    )
    s.section(
        4,
        {
            "low": "[D3] D4.> A4* D* | D4.> A4* D* | D4.> A4* D* | C4.> B4> A>", "clash": "[A4] R | R | A4.> A4* A* | A4.> B4> C#>",
            "clash2": "[D4] R | R | D4.> D4* D* | D4.> D4> E>",
        },
        "low: tu? bc bs eu tb; clash: t1 c1 as; clash2: t2 c2 hn", dyn="1 mf; 1 < 3; 3 f", drums=(DRUM, "4. 4 4"), timp="D4. A4 A | D4. A4 A | D4. A4 A | R",
    )
    s.section(
        8, {"tune": A + "D4.> D4> r4", "bass": A_BASS + "D4.> D4> r4"},
        "tune: t1 c1 ml+1; alto: t2 c2 as; tenor: hn ts tb; bass: tu? bc bs? eu; alto2: ob",
        chords=A_CHORDS + "Dm", comp={"alto": STAB, "tenor": STAB, "alto2": "r8 8 8 r8 8 r8 8"}, mark="A", dyn="1 f; 3 < 4; 5 mf; 6 < 8; 8 f",
        drums=(DRUM, "4. 4 4"), timp="D4. A4 D | R | R | A4. A4 A | D4. A4 D | R | r4. A4 A | D4. D4 r4",
    )
    s.repeat(5, 12)
    s.section(
        8, {"tune": B, "bass": B_BASS, "counter": "[C4] C4.( F2) | F4.( A,2) | D4.( E2) | C8( D E F2) | C4.( F2) | G4.( E2) | D4.( E2) | E4.( C#2)"},
        "tune: fl+1 ob; counter: hn ts; alto: c1; tenor: c2 as; bass: bc bs? eu",
        chords=B_CHORDS, comp={"alto": "8 8 8 8 8 8 8", "tenor": "4. 2"}, mark="B", dyn="1 mp; 3 > 5; 5 < 7; 7 > 9", drums=("R", "R"),
    )
    s.section(
        8, {"tune": B, "bass": B_BASS, "counter": "[C4] C4.( F2) | F4.( A,2) | D4.( E2) | C8( D E F2) | C4.( F2) | G4.( E2) | D4.( E2) | E4.( C#2)"},
        "tune: t1 c1 as-1 fl+1; counter: hn ts; alto: t2 c2; alto2: ob ml+1; bass: bc bs? eu tu? tb",
        chords=B_CHORDS, comp={"alto": "4. 4 4", "alto2": "8* 8* 8* 8* 8* 8* 8*"}, dyn="1 mf; 3 > 5; 5 f; 7 < 9",
        drums=("4. 4 4 | 4. 8 8 8 8", "4. 2"), timp="F4. r2 | R | r4. C2 | F4. F2 | R | C4. C2 | r4. C2 | A4. A4 A", under="counter",
    )
    s.section(
        8, {"tune": C, "bass": C_BASS}, "tune: c1 ob as; alto: c2 t2; tenor: hn ts; bass: tu bc bs? eu tb; alto2: t1",
        chords=C_CHORDS, comp={"alto": "4. 4> 4> | 4 4 4", "alto2": "r4. 4> 4> | r4 4> r4", "tenor": "4. 4> 4> | 4 4 4"}, mark="C", dyn="1 mf; 5 < 8; 8 f",
        meter="7/8:3+2+2 3/4", drums=("8 8 8 4> 4> | 4 8 8 4", "4. 4 4 | 4 4 4"), timp="R | R | R | R | R | R | r4. A4 A | A4 A A",
    )
    s.section(
        8,
        {
            "tune": A + "D4.> D4> r4", "bass": A_BASS + "D4.> D4> r4",
            "run": "[D5] R | r4. G8( F E D) | R | r4. A8( B C# A) | R | r4. G8( F E D) | R | D4.> D4> r4",
        },
        "tune: t1 c1 as ml+1; run: fl ob; alto: t2 c2; tenor: hn ts tb; bass: tu? bc bs? eu", meter="7/8:3+2+2",
        chords=A_CHORDS + "Dm", comp={"alto": STAB, "tenor": STAB}, mark="D", dyn="1 f; 3 < 4; 5 mf; 6 < 8; 8 ff",
        drums=(DRUM, "4. 4 4"), timp="D4. A4 D | R | R | A4. A4 A | D4. A4 D | R | r4. A4 A | D4. D4 r4",
    )
    s.section(
        4,
        {
            "tune": "[D5] D8( C B) A4> A> | D8( C B) A4> C#> | D8( E F) E4> C#> | D4.^ r2", "bass": "[D3] D4.> A4> C#> | D4.> A4> A> | D4.> A4> A> | D4.^ r2",
        },
        "tune: t1 fl ob c1 as-1 ml; alto: t2 c2; tenor: hn ts tb; bass: tu? bc bs eu",
        chords="Bb:1.5 A:2 | Bb:1.5 A:2 | Dm:1.5 A:2 | Dm", comp={"alto": "4.> 4> 4> | 4.> 4> 4> | 4.> 4> 4> | 4.^ r2", "tenor": "4.> 4> 4> | 4.> 4> 4> | 4.> 4> 4> | 4.^ r2"},
        mark="E", dyn="1 f; 1 < 4; 4 ff", drums=("8 8 8 4> 4> | 8 8 8 8> 8 8> 8 | 8 8 8 8> 8 8> 8 | 4.^ r2", "4. 4 4 | 4. 4 4 | 4. 4 4 | 4.^ r2"),
        timp="D4. A4 A | D4. A4 A | D4. A4 A | D4.^ r2",
    )
    s.form = "introduction 1-4 | A 5-12 | B 13-20 | B 21-28 | C 29-36 | A 37-44 | coda 45-48"
    return s
