"""Sakura: the Japanese song on C, D, E flat, G and A flat, level 2: long dynamic lines, mallets and flute; the low bells of B in open fifths."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

SONG = (
    "[C5] C4_ C_ D2 | C4_ C_ D2 | C4( D E D | C D8 C A2) | G4( E G A | G G8 E D2) |"
    "C'4( D E D | C D8 C A2) | G4( E G A | G G8 E D2) | C'4_ C_ D2 | C4_ C_ D2 | G,4( A D8 C A4 |"
)
BASS = "[C3] C2 G | C G | C1 | A'2 F | E C | C G | C1 | A'2 F | E C | C G | C G | C G | C F, |"
CHORDS = "Cm:2 G5:2 | Cm:2 G5:2 | C5 | Ab:2 Fm:2 | Cm:3 Fm:1 | Cm:2 G5:2 | C5 | Ab:2 Fm:2 | Cm:3 Fm:1 | Cm:2 G5:2 | Cm:2 G5:2 | Cm:2 G5:2 | Cm:1 Fm:3 | "
WAVE = (
    "[C4] C8( G E G D G D G) | C8( G E G D G D G) | C8( G E G D G D G) | C8( A E A C A C A) | C8( G E G C G E G) | C8( G E G D G D G) |"
    "C8( G E G D G D G) | C8( A E A C A C A) | C8( G E G C G E G) | C8( G E G D G D G) | C8( G E G D G D G) | C8( G E G D G D G) | C8( G C A C A C A) |"
)
EVEN = "2 2 | 2 2 | 2 2 | 2 2 | 2 4 4 | 2 2 | 2 2 | 2 2 | 2 4 4 | 2 2 | 2 2 | 2 2 | 4 2. | 1"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Sakura", "Japanese song, 19th century or older; from memory", 2.0, "Cm", "4/4", ("Still and clear", "quarter", 88),
        "flute and mallets; clarinets with moving eighths; horn, euphonium and trumpets in the second verse", ranges=(("C4", "G4"), ("Eb3", "D4")), loudness="p",
    )
    s.section(
        4, {"drop": "[G5] G4 r D r | E r C r | G r D r | G2. r4", "hum": "[G3] R | R | G1( | G)", "low": "[C3] C1 | C | C | G2. r4"}, "drop: ml; hum: c2; low: bc",
        dyn="1 p; 3 < 4; 4 > 5", timp="C1 | R | C | R",
    )
    s.section(
        14, {"tune": SONG + "G1)", "bass": BASS + "G,1"}, "tune: fl ml; alto: c1 c2 ob; tenor: as ts; bass: bc! bs! eu!",
        chords=CHORDS + "G5", comp={"alto": EVEN, "tenor": EVEN}, mark="A", dyn="1 mp; 3 < 4; 4 > 5; 7 mf; 7 < 8; 8 > 9; 9 mp; 11 p; 13 > 15",
        timp="C1 | R | R | R | R | R | C1 | R | R | R | R | R | R | R",
    )
    s.section(
        4, {"gong": "[C3] C4_ C_ G'2 | C,4_ C_ G'2 | C,4( D E D | G1)", "gong2": "[G3] G4_ G_ D'2 | G,4_ G_ D'2 | G,2( C4 G~ | G1)", "drop": "[C5] R | r4 D8 E G4 r | R | r4 G8 E D4 C"},
        "gong: eu tb tu-1! bs! bc; gong2: hn ts t1 t2; drop: fl ml", mark="B", dyn="1 mf; 3 > 5", drums=("R", "2 r"), timp="C2 G | C G | R | R",
    )
    s.section(
        14, {"tune": SONG + "G1)", "bass": BASS + "G,1", "wave": WAVE + "D8( G D G D2)", "high": "[G5] R | R | R | R*3 | G2( G4 D | E2 F) | C2( E4 F | E2 D) | R | R | R | R"},
        "tune: hn-1 eu-1 t1 as; wave: c1; high: fl ob-1!; alto: t2 c2; tenor: ts tb; bass: bc! bs! tu!",
        chords=CHORDS + "G5", comp={"alto": EVEN, "tenor": EVEN}, mark="C", dyn="1 mf; 3 < 4; 4 > 5; 5 mf; 6 < 7; 7 f; 9 > 11; 11 mp; 13 > 15", under="wave high",
        drums=("R", "2 r | R | R | R | R | 2 4 4 | 2 r | 2 r | R | R | R | R | R | R"), timp="C1 | R | R | R | R | G2 G | C2 C | R | R | R | C2 G | R | R | R",
    )
    s.section(
        4, {"tune": "[C5] C4_ C_ D2 | C4_ C_ D2 | G,4( A D8 C A4 | G1)@", "drop": "[G5] r2 G4 D | r2 G4 D | R | G,1@", "hum": "[C4] C1( | C) | C2( F) | D1@", "hum2": "[G3] G1( | G) | G4( A2.) | G1@", "low": "[C3] C1 | C | E2 F | G,1@"},
        "tune: fl; drop: ml; hum: c1; hum2: c2 as; low: bc eu", mark="D", dyn="1 p; 2 > 4; 4 pp",
    )
    s.say(39, "slower")
    s.form = "introduction 1-4 | A 5-18 | B 19-22 | A 23-36 | coda 37-40"
    return s
