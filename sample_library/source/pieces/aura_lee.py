"""Aura Lee: F major, level 2, with a middle section in D minor told by its C sharps."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

VERSE = "[C4] C4( F E F | G D G2) | F4( E D E | F1) |"
CHORDS = "F | G7 | C7 | F |"
CHORUS = "[A4] A4_ A_ A2 | A4_ A_ A2 | A4( G F G | A1) | A4( A B A | G D G2) | F4( E A4. G8 | F2.) r4"
CHORUS_CHORDS = "F | Dm | F:2 Bb:1 C:1 | F | F:2 Bb:1 F:1 | G7 | C5:1 C7:1 F:1 C7:1 | F"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Aura Lee",
        "George R. Poulton, 1861; from memory",
        2.0,
        "F",
        "4/4",
        ("Moderately, tenderly", "quarter", 92),
        "alto saxophone and clarinet 1; horn and euphonium in the D minor section",
        composer="George R. Poulton",
        ranges=(("Bb3", "F4"), ("F3", "D4")),
        loudness="mp",
    )
    s.section(
        8,
        {
            "tune": VERSE + VERSE,
            "bass": "[F3] F2 C' | Bn G | C, C | F1 | F2 C' | Bn G | C, C | F2 C4 r",
        },
        "tune: as c1; alto: c2; tenor: ts; bass: bc-1? bs?",
        chords=CHORDS + CHORDS,
        comp={"alto": "2 2", "tenor": "1"},
        dyn="3 < 4; 4 > 5",
    )
    s.section(
        8,
        {
            "tune": CHORUS,
            "bass": "[F3] F2 A | D, F | A D,4 C | F2 F | F B4 F | G2 Bn | C4 B A C, | F2. r4",
            "counter": "[C4] C2 A | D4( F, A D) | C2 F4( E | C2) C4( A) | C2 D4( C) | Bn2 D | C4 C C B | A2. r4",
        },
        "tune: t1 fl+1 ob c1; counter: hn eu? ts; alto: c2 t2 as; tenor: tb; bass: tu-1 bc-1? bs?",
        chords=CHORUS_CHORDS,
        comp={"alto": "2 4 4", "tenor": "2 2"},
        dyn="1 mf; 4 < 5; 5 f; 7 > 8; 8 mf",
        mark="A",
        drums=("R", "2 r"),
        timp="F4 r r2 | R | R | F4 r r2 | R | R | r2 r4 C | F2 r",
    )
    s.section(
        8,
        {
            "tune": "[D4] D4( F A, D | C#2 A) | D4( A D F | E2.) r4 | F4( E D A | B2 G) | A4( D E C# | D2.) r4",
            "bass": "[D3] D1 | A2 G | F D | A2. r4 | D1 | G | A2 A | D2. r4",
            "answer": "[A4] R | r2 r4 A8( G | F4) r r2 | r4 C#8( D E4) r | R | r2 r4 D8( E | F4) r r2 | r4 A8( G F4) r",
        },
        "tune: hn eu; alto: c1 c2; tenor: ts; bass: bc? bs? tu; answer: ob fl+1",
        chords="Dm | A A7 | Dm | A | Dm | Gm | Dm:2 A7:2 | Dm",
        comp={"alto": "2 2", "tenor": "1"},
        dyn="1 mp; 3 < 4; 4 > 5; 5 mf; 6 > 9",
        mark="B",
        under="answer",
        timp="R",
    )
    s.section(
        4,
        {
            "tune": "[F4] F4( G A F | G2 C4) r | A4( C F, A | B4 A G2)",
            "bass": "[B3] B2 F | E C | F D | G C,",
        },
        "tune: c1 as fl+1; alto: c2 t2; tenor: ts hn; bass: bc-1? bs? tu-1 tb",
        chords="Bb F | C7 | F Dm | Gm:2 C7:2",
        comp={"alto": "2 2", "tenor": "2 2"},
        dyn="1 mp; 3 < 5",
        mark="C",
    )
    s.section(
        8,
        {
            "tune": VERSE + "[A4] A4( A B A | G D G2) | F4( E A4. G8 | F1)@",
            "bass": "[F3] F2 C' | Bn G | C, C | F C | F B4 F | G2 Bn | C4 B A C, | F1@",
            "counter": "[A4] A1 | Bn2 D | G,4 B E, G | A2 C4( A) | C2 D4( C) | Bn2 D | G,4 C C B | A1@",
        },
        "tune: t1 t2 c1 ob fl+1; counter: as ml; alto: c2; tenor: hn ts; bass: tb? eu? tu-1 bc-1? bs?",
        chords=CHORDS + "F:2 Bb:1 F:1 | G7 | C5:1 C7:1 F:1 C7:1 | F",
        comp={"alto": "2 4 4 || 1@", "tenor": "2 2 || 1@"},
        dyn="1 f; 5 < 6; 7 > 8; 8 mp",
        mark="D",
        drums=("R | R | R | R | R | R | R | R", "2 r | R | R | 2 r | 2 r | R | r2 r4 4 | 1@"),
        timp="F4 r r2 | R | R | F4 r C r | F4 r r2 | R | r2 r4 C | F1@",
    )
    s.say(35, "rit.")
    s.form = "A 1-8 | B 9-16 | C 17-24 | D 25-28 | A' 29-36"
    return s
