"""Market Bells: new music in 2/4, B flat, level 1: short against long notes, a break for the drums."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

TUNE = "[B3] B4* D* | F* D* | E8( F) E( D) | C2_ | C4* E* | G* E* | F8( G) F( E) |"
BASS = "[B2] B4* F'* | D* D* | C2 | F | C4* G'* | E* C* | F2 |"
CHORDS = "Bb | Bb | Cm | F | Cm | Eb | F7 |"
SONG = "[G4] G4( F) | E( G) | F( E) | D2 | E4( F) | G( E) | F2~ | F4 r"
SONG_BASS = "[E3] E2 | C | D4 B | G'2 | C, | E | F | F4 r"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Market Bells", "New music", 1.0, "Bb", "2/4", ("Busily", "quarter", 100),
        "mallets and flute; alto and tenor saxophone with horn at A; snare and bass drum at B", composer="",
        ranges=(("Bb3", "F4"), ("F3", "D4")), loudness="mf",
    )
    s.section(
        4, {"ring": "[F5] F4 D | F D | F8 F D4 | F8 F D4", "low": "[B2] R | R | B4* F'* | B,* r"},
        "ring: ml; low: tb eu tu-1! bs! bc-1!", drums=("R | R | 4 8 8 | 4 r", ""), timp="R | R | B4 F | B r",
    )
    s.section(
        9, {"tune": TUNE + "D4_ C_ | D2_", "bass": BASS + "B4* F* | B2"},
        "tune: fl+1 c1 ml+1; alto: c2; tenor: ts; bass: bc-1! bs!",
        chords=CHORDS + "Bb F | Bb", comp={"alto": "r4 4*", "tenor": "2"}, dyn="1 mp; 5 < 7; 7 mf",
        drums=("4 r", ""),
    )
    s.endings(5, (12, 12), (13, 13))
    s.section(
        8, {"tune": SONG, "bass": SONG_BASS, "ring": "[G5] R | r4 B8 G | R | r4 B8 F | R | R | r4 A8 B | C4 r"},
        "tune: as ts-1 hn-1; alto: c1; tenor: c2; bass: eu tu-1 bc-1! bs!; ring: ml",
        chords="Eb | Cm | Bb | Gm | Cm | Cm | F | F7", comp={"alto": "2 || 4 r", "tenor": "2 || 4 r"},
        mark="A", dyn="1 p; 5 < 7; 7 mf; 7 > 9",
    )
    s.section(
        8,
        {"hit": "[D4] D4> r | R | C4> r | R | D4> r | C> r | D8* D* C4* | D4> r",
         "low": "[B2] B4> r | R | F'4> r | R | B,4> r | F'> r | B,8* B* F'4* | B,4> r",
         "top": "[B3] B4> r | R | A4> r | R | B4> r | A> r | B8* B* A4* | B4> r",
         "mid": "[F3] F4> r | R | F4> r | R | F4> r | F> r | F8* F* F4* | F4> r"},
        "hit: t1 c1; low: tb eu tu-1! bs! bc-1!; top: fl+1 ob+1 ml+1 as t2; mid: c2 hn ts",
        mark="B", dyn="1 f", drums=("4 8 8 | 8 8 4 | 4 8 8 | 8 8 8 8 | 4> 8 8 | 4> 8 8 | 8 8 4 | 4> r", "4 r | r 4 | 4 r | 4 4 | 4 r | 4 r | 4 4 | 4 r"),
        timp="B4 r | R | F4 r | R | B4 r | F r | B F | B r",
    )
    s.section(
        8, {"tune": TUNE + "D4_ F_", "bass": BASS + "B4* B*", "ring": "[F5] F4 D | F D | R | C4 F | R | E4 G | R | B4 r"},
        "tune: t1 c1 fl+1 ob+1; ring: ml; alto: c2 as t2; tenor: hn ts; bass: tb eu tu-1! bs! bc-1!",
        chords=CHORDS + "Bb", comp={"alto": "4* 4*", "tenor": "2"}, mark="C", dyn="1 f",
        drums=("4 8 8 | 4 4", "4 4 | 4 r"), timp="B4 F | B r | R | F F | R | R | F F | B r",
    )
    s.section(
        4, {"tune": "[F4] G4_ E_ | F8( E) D( C) | B4* D* | B4> r", "bass": "[E3] E2 | F4 F | B,* F'* | B,> r"},
        "tune: t1 c1 fl+1 ob+1 ml+1; alto: c2 as t2; tenor: hn ts; bass: tb eu tu-1! bs! bc-1!",
        chords="Eb | Bb:1 F7:1 | Bb | Bb", comp={"alto": "4 4 | 4 4 | 4* 4* | 4> r", "tenor": "2 | 4 4 | 4* 4* | 4> r"},
        dyn="1 mf; 1 < 4; 4 f", drums=("4 8 8 | 4 8 8 | 4 4 | 4> r", "4 r | 4 r | 4 4 | 4 r"), timp="R | F4 F | B F | B r",
    )
    s.form = "introduction 1-4 | A 5-13 | B 14-21 | C 22-29 | A' 30-37 | coda 38-41"
    return s
