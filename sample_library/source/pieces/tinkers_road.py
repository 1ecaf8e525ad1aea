"""Tinker's Road: a new jig in G minor, 6/8, level 2 1/2, with D.S. al Fine."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

A = (
    "[G4] G4 A8 B( A G) | D'4 D8 D( C B) | C4 B8 A( G F#) | G4 A8 D,4. |"
    "G4 A8 B( A G) | D'4 D8 F4 D8 | C8( B A) G( A F#) | G4. G4 r8"
)
A_PLAIN = "[G4] G4 A8 B4 G8 | D'4 D8 D4 B8 | C4 B8 A4 F#8 | G4 A8 D,4. | G4 A8 B4 G8 | D'4 D8 B4 D8 | C4 A8 G4 F#8 | G4. G4 r8"
A_CHORDS = "Gm | Bb | Cm:1.5 D:1.5 | D | Gm | Bb | Cm:1.5 Gm:1 D:0.5 | Gm"
A_BASS = "[G2] G4. D' | B F' | C D | D A | G D' | B F' | C D | G, G4 r8"
B = (
    "[F4] F4 D8 F4 D8 | G4.( E) | E4 C8 E4 C8 | F4.( D) | F4 D8 F8( G A) | B4 A8 G4 F8 | E8( D C) F4 A,8 | B4. B4 r8"
)
B_CHORDS = "Bb | Eb | F7 | Bb | Bb | Gm:1.5 Eb:1.5 | Cm:1.5 F7:1.5 | Bb"
B_BASS = "[B2] B4. F' | E B | C F | D B | B F' | G, E' | C F | B, B4 r8"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Tinker's Road", "New music", 2.5, "Gm", "6/8", ("Striding", "quarter.", 92),
        "oboe and clarinets; alto and tenor saxophone; trombone at C", composer="",
        ranges=(("Bb3", "F4"), ("F3", "D4")), loudness="mf",
    )
    s.section(
        4, {"step": "[G2] G4.* D'* | G,* D'* | G,4 G8 D'4 D8 | G,4 A8 B4 D8", "knock": "[D4] R | D4* r8 D4* r8 | R | D4* r8 D4* r8"},
        "step: bs bc tu-1? eu; knock: c2 as", dyn="1 mp; 3 < 5", drums=("4 8 4 8 | 4 8 8 8 8", "4. 4."), timp="G4. D",
    )
    s.section(
        8, {"tune": A, "bass": A_BASS}, "tune: c1 ob; alto: c2; tenor: as ts; bass: bc bs eu",
        chords=A_CHORDS, comp={"alto": "r4 8* r4 8*", "tenor": "4. 4."}, mark="A", dyn="1 mf; 7 < 9", drums=("4 8 4 8", "4. r"),
    )
    s.section(
        8, {"tune": A, "plain": A_PLAIN, "bass": A_BASS},
        "tune: fl c1 ob; plain: t1 as-1? ml; alto: c2 t2; tenor: hn ts tb; bass: bc? bs eu tu-1?",
        chords=A_CHORDS, comp={"alto": "r4 8* r4 8*", "tenor": "4 8* 4 8*"}, mark="B", dyn="1 f", drums=("4 8 4 8 | 8 8 8 4 8", "4. 4."),
        timp="G4. D | R | R | D4. D | G4. D | R | R | G4. G4 r8",
    )
    s.section(
        8, {"tune": B, "bass": B_BASS, "answer": "[B4] R | r4. B8( A G) | R | r4. F8( G A) | R | R | R | D4 C8 B4 r8"},
        "tune: tb-1 ts eu-1; alto: c1 as; tenor: c2; bass: bc bs tu-1?; answer: fl ml",
        chords=B_CHORDS, comp={"alto": "r4 8* r4 8*", "tenor": "r4 8* r4 8*"}, mark="C", dyn="1 mf; 5 < 7; 7 f", drums=("4 r8 4 r8", "4. r"),
    )
    s.section(
        8, {"tune": B, "bass": B_BASS, "answer": "[B4] R | r4. B8( A G) | R | r4. F8( G A) | R | R | R | D4 C8 B4 r8"},
        "tune: t1 as ob?; answer: fl ml; alto: c1 t2; tenor: hn ts c2; bass: bc? bs tu-1? eu tb",
        chords=B_CHORDS, comp={"alto": "4 8* 4 8*", "tenor": "4. 4."}, dyn="1 f; 8 > 9", drums=("4 8 4 8 | 8 8 8 4 8", "4. 4."),
        timp="B4. F | R | F4. F | B4. F | B4. F | R | r4. F4. | B4. B4 r8",
    )
    s.section(
        8,
        {
            "tune": "[D4] D4. G | F# A | G4 A8 B4 G8 | A4.~ A4 r8 | B4. A | G E | D4 G8 F#4 A8 | D,4.~ D4 r8",
            "bass": "[G2] G4.~ G | D' C | B G | D'~ D4 r8 | G4. F | E C | D D | D~ D8 C B",
        },
        "tune: hn-1 eu-1; alto: c1 c2; tenor: as ts; bass: bc bs? tu-1?",
        chords="Gm | D | Gm | D | Gm F | Eb Cm | Gm:1.5 D:1.5 | D", comp={"alto": "2.", "tenor": "4. 4."},
        mark="D", dyn="1 p; 3 < 5; 5 mp; 7 < 9", timp="R | R | R | R | R | R | D4. D | D4. D4 r8",
    )
    s.jump("segno", 5)
    s.jump("fine", 20)
    s.jump("ds-fine", 44)
    s.form = "introduction 1-4 | A 5-12 | A 13-20 | B 21-28 | B 29-36 | C 37-44"
    return s
