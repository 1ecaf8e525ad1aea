"""Five Bridges: new music in 5/4 (3+2), F major, level 3; its D minor shows by C sharps."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

A = "[A4] A4.( B8 C4) D( C) | A2( F4 G2) | B4.( A8 G4) F( E) | G2.( C2) | D4.( C8 B4) A( G) | A2( C4 B2) | A4.( G8 F4) G( E) |"
A_CHORDS = "F:3 Bb:2 | F:3 C:2 | Gm:3 C7:2 | C | Bb:3 F:2 | F:3 Gm:2 | F:3 C7:2 |"
A_BASS = "[F2] F2 A4 B2 | F2 A4 C2 | B2 G4 C2 | C2 G4 C2 | B2 D4 F,2 | F2 A4 G2 | F2 A4 C2 |"
B = "[D4] D4.( E8 F4) A2 | G4( F E C#2) | D4.( E8 F4) G( A) | A2. r2 | B4.( A8 G4) A( F) | E4( F G E2) | F4.( E8 D4) E( C#) |"
B_CHORDS = "Dm | Gm:3 A:2 | Dm:3 Gm:1 F:1 | A | Gm:3 Dm:2 | A7 | Dm:3 A:2 |"
B_BASS = "[D3] D2. D2 | B2 G4 A2 | D2 C4 G2 | A2. A4 B8 C# | G2 B4 D2 | C#2 A4 C#2 | D2 F,4 A2 |"
PULSE = "r4 4* 4* r 4*"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Five Bridges", "New music", 3.0, "F", "5/4", ("Easy swing of the arm, 3 + 2", "quarter", 126),
        "flute and clarinet 1; horn and trombone in D minor; trumpets", composer="",
        ranges=(("C4", "G4"), ("F3", "D4")), loudness="mf",
    )
    s.section(
        4,
        {
            "bass": "[F2] F2 C'4 F,2 | F2 C'4 B2 | F2 C'4 F,2 | F2 C'4 C2",
            "pulse": "[A3] R | R | r4 A4* A* r A* | r A* A* r B*", "pulse2": "[F4] R | R | r4 F4* F* r F* | r F* F* r E*",
        },
        "bass: tu bc bs eu; pulse: ts hn; pulse2: as c2", dyn="1 mp; 3 < 5",
        drums=("4 8 8 4 4 8 8", "2. 2"), timp="F2. C2",
    )
    s.section(
        9, {"tune": A + "F2.~ F4 C4 | F2.~ F4 E4", "bass": A_BASS + "F,2 A4 C2 | F,2 C'4 A2"},
        "tune: fl+1 c1; alto: c2 as; tenor: hn ts; bass: tu bc? bs? eu",
        chords=A_CHORDS + "F:3 C7:2 | F:3 A7:2", comp={"alto": PULSE, "tenor": PULSE}, mark="A", dyn="1 mp; 3 < 5; 5 mf; 7 > 8",
        drums=("4 8 8 4 4 8 8", "2. 2"), timp="F2. r2 | R | R | C2. C2 | R | R | R | F2. C2 | F2. r2",
    )
    s.endings(5, (12, 12), (13, 13))
    s.section(
        8, {"tune": B + "D2.~ D4 r", "bass": B_BASS + "D2. D4 r"},
        "tune: hn-1 tb-1 eu-1; alto: c1 as; tenor: c2 ts; bass: tu? bc bs?",
        chords=B_CHORDS + "Dm", comp={"alto": "2 4 2", "tenor": "2. 2"}, mark="B", dyn="1 mf; 3 < 4; 4 > 5; 5 mp; 6 < 8",
        drums=("R", "R"),
    )
    s.section(
        8,
        {
            "tune": B + "D2.( E2)", "bass": B_BASS + "D2. C2",
            "high": "[F5] R | r2. E8( F G E) | F4 r r r2 | r4 C#8( D E F E4 C#) | R | r4 C#8( D E G E4 C#) | D4 r r r2 | r4 A8( B C D C4 B)",
        },
        "tune: t1 hn-1 as; high: fl ob ml-1; alto: c1 c2; tenor: ts tb; bass: tu? bc bs? eu?",
        chords=B_CHORDS + "Dm:3 C7:2", comp={"alto": PULSE, "tenor": "2 4 2"}, mark="C", dyn="1 f; 3 < 4; 5 mf; 6 < 9",
        drums=("4 8 8 4 4 4 | 4 4 4 4 8 8", "2. 2"), timp="D2. r2 | R | R | A2. A2 | R | A2. A2 | D2. r2 | r2. C2", under="high",
    )
    s.section(
        8,
        {
            "tune": A + "F2.~ F2", "bass": A_BASS + "F,2 C'4 F,2",
            "counter": "[C4] C2.( D2 | C2. E2) | D4( E F) G2 | G2.( E2) | F2.( C2) | C2.( D2) | F2.( E2) | F2.~ F2",
        },
        "tune: t1 fl+1 ob c1 ml; counter: hn as ts; alto: t2 c2; tenor: tb; bass: tu bc? bs? eu",
        chords=A_CHORDS + "F", comp={"alto": PULSE, "tenor": PULSE}, mark="D", dyn="1 f; 3 < 5; 5 ff; 7 > 9",
        drums=("4> 8 8 4 4> 8 8", "2. 2"), timp="F2. B2 | F2. C2 | R | C2. C2 | R | R | F2. C2 | F2. F2", under="counter",
    )
    s.section(
        4,
        {
            "tune": "[A4] A4.( B8 C4) D( C) | A4.( B8 C4) D( E) | F2.>~ F2 | F4^ r r r2", "bass": "[F2] F2 A4 B2 | F2 A4 C2 | F,2 C'4 F,2 | F4^ r r r2",
        },
        "tune: t1 fl+1 ob c1; alto: t2 c2 as; tenor: hn ts tb; bass: tu bc bs? eu",
        chords="F:3 Bb:2 | F:3 C7:2 | F | F", comp={"alto": "4 4 4 4 4 | 4 4 4 4 4 | 2.>~ 2 | 4^ r r r2", "tenor": "4 4 4 4 4 | 4 4 4 4 4 | 2.>~ 2 | 4^ r r r2"},
        mark="E", dyn="1 mf; 1 < 3; 3 ff", drums=("4 8 8 4 4 8 8 | 4 8 8 4 8 8 8 8 | 4> 8 8 4 4 8 8 | 4^ r r r2", "2. 2 | 2. 2 | 2. 2 | 4^ r r r2"),
        timp="F2. r2 | F2. C2 | F2. F2 | F4^ r r r2",
    )
    s.form = "introduction 1-4 | A 5-13 | B 14-21 | B 22-29 | A 30-37 | coda 38-41"
    return s
