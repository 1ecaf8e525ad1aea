"""Fairground March: new, cut time, E flat with a trio in A flat, level 2 1/2, endings and D.C. al Fine."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

A = "[E4] E4. F8 G4 B | C4 B G2 | A4. G8 F4 A | G4 B, E2 | E4. F8 G4 B | C4 B E2 |"
FIRST, SECOND = "D4 B C An | B2 B4 r", "C4 B A D, | E2 E4 r"
A_BASS = "[E3] E2 B | E G, | F B | E G | E B | A C |"
A_CHORDS = "Eb | Ab:1 Eb:3 | Bb7 | Eb | Eb | Ab | Bb F7 | Bb | Ab Bb7 | Eb"
TRIO = "C2( E4. D8 | C2 A) | B4( C D F | E1) | C2( E4. D8 | C4 A' G F) | E4( D C B | A1)"
TRIO_BASS = "[A2] A2 E' | A, E' | B E | A, E' | A, E' | A, D | E E | A, E'4 r"
TRIO_CHORDS = "Ab | Ab | Eb7 | Ab | Ab | Ab Bbm | Ab:1 Eb7:1 Ab:1 Eb7:1 | Ab"
OBBLIGATO = "[A5] A8( G A B C4) E, | A8( G A B C4) E, | G8( F G A B4) D | C8( B A G A4) r | A8( G A B C4) E, | C'4 C B D | C8( B A G) G( F E D) | C4 E A, r"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Fairground March", "New music", 2.5, "Eb", "C|", ("March", "half", 108),
        "trumpets; trombone, euphonium and tuba at B; clarinet 1, alto saxophone and euphonium in the trio", composer="",
        ranges=(("Bb3", "F4"), ("G3", "Eb4")), loudness="f",
    )
    s.section(
        4,
        {
            "tune": "[B4] B4> B> B> B> | E,2> G> | F4 E D C | B4> r r2", "low": "[B2] B4> B> B> B> | E2> G> | A4 G F E | B4> r r2",
        },
        "tune: t1 t2 fl+1 ob? c1 c2-1? as ml hn-1?; low: tb eu tu-1? bs bc ts", dyn="1 f",
        drums=("4> 4> 4> 4> | 2> 2> | 4 4 4 4 | 4> 8 8 4 4", "4 4 4 4 | 2 2 | 2 2 | 4 r r2"), timp="B4 B B B | E2 E | R | B4> r r2",
    )
    s.section(
        10, {"tune": A + FIRST + " | " + SECOND, "bass": A_BASS + "F2 C | B4 C D r | A'2 B4 B, | E4 B E r"},
        "tune: t1 c1 fl+1 ml; alto: t2 c2 as; tenor: hn ts; bass: tb? eu? tu-1? bs? bc?; alto2: ob",
        chords=A_CHORDS, comp={"alto": "r4 4* r 4*", "tenor": "r4 4* r 4*", "alto2": "2 2"},
        mark="A", dyn="1 mf; 5 < 7; 7 f; 9 f", drums=("4 4 8 8 4 | 4 8 8 4 4", "2 2"),
        timp="E2 B | E r | B2 B | E r | E2 B | R | R | B4 r B r | r2 B4 B | E4 B E r",
    )
    s.endings(5, (11, 12), (13, 14))
    s.section(
        8,
        {
            "low": "[C3] C4> C> B> C> | G'2> E | D4> D> C> D> | B2> r | C4> C> B> C> | E2> C | F4 E D C | B2> B4 r",
            "wind": "[G5] r1 | r4 E8( F G4) G* | r1 | r4 B,8( C D4) D* | r1 | r4 G8( F E4) C* | R | r4 B8( C D4) D*",
            "stab": "[E4] R | r2 r4 E* | R | r2 r4 D* | R | r2 r4 E* | R | D2> D4 r",
        },
        "low: tb eu tu-1? bs? bc? ts; wind: fl ob c1; stab: c2 as t1 t2",
        mark="B", dyn="1 f; 6 < 8; 8 ff", drums=("4> 4 4> 4 | 4 r r2 | 4> 4 4> 4 | 4 r r2 | 4> 4 4> 4 | 4 r r2 | 4 4 8 8 8 8 | 4> 8 8 4 r", "2 2 | 2 r"),
        timp="R | R | R | B2> r | R | R | R | B4> B B r", under="stab",
    )
    s.section(
        8, {"tune": f"[C4] {TRIO}", "bass": TRIO_BASS},
        "tune: c1 as eu-1; alto: c2; tenor: ts hn; bass: bc? bs? tu-1?",
        chords=TRIO_CHORDS, comp={"alto": "r4 4* r 4*", "tenor": "r4 4* r 4*"}, key="Ab", mark="Trio", dyn="1 p; 5 < 6; 7 > 9",
        drums=("2 2 | 4 r r2", ""),
    )
    s.section(
        8, {"tune": f"[C4] {TRIO}", "bass": TRIO_BASS, "high": OBBLIGATO},
        "tune: t1 as c1; high: fl ml-1; alto: t2 c2 ob?; tenor: ts tb hn; bass: bc? bs? tu-1? eu",
        chords=TRIO_CHORDS, comp={"alto": "r4 4* r 4*", "tenor": "2 2"}, dyn="1 mf; 5 < 6; 6 f; 8 < 9",
        drums=("4 4 8 8 4 | 4 8 8 4 4", "2 2"), timp="A2 E | A r | E2 E | A r | A2 E | R | E2 E | A4 E A r",
    )
    s.jump("fine", 14)
    s.jump("double", 22)
    s.jump("dc-fine", 38)
    s.form = "introduction 1-4 | A 5-14 | B 15-22 | Trio 23-30 | Trio 31-38"
    return s
