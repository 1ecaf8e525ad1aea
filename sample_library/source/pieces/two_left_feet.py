"""Two Left Feet: new music in F, easy syncopation, level 1 1/2, with D.C. al Fine."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

A = "[F4] F8* F4> F8* A4 C | C4 B A2 | G8* G4> G8* B4 G | A4 G C,2 | F8* F4> F8* A4 C | C4 B A F | G8 B4> G8 E4 C | F2 F4* r"
A_BASS = "[F3] F4* C* F* C* | A'4 G F2 | C4* G* C* G* | F'4 E C E | F* C* F* C* | A'4 G F D | C E G G | A C F,* r"
A_CHORDS = "F | F:1 C7:1 F:2 | C7 | F:1 C:3 | F | F:1 C7:1 F:1 Dm:1 | C7 | F"
LOW = "[D3] D8* D4> E8* F4 A | G4 F D2 | G8* G4> F8* E4 G | A4 G F2 | D8* D4> E8* F4 A | B4 A G2 | A8* A4> G8* E4 C# | D2 D4* r"
LOW_CHORDS = "Dm | Gm:1 Dm:3 | C7 | F:1 C:1 F:2 | Dm | Gm:1 Dm:1 Gm:2 | A7 | Dm"
TRIO = "[D4] D2( F | G4 F D2) | C2( E | F2.) r4 | D2( F | G4 G B G) | A2( G) | C,2. r4"
TRIO_BASS = "[B2] B2( A | G B) | C2( B | A F') | B,2( A | G D') | C2 C | C4 D E r"
TRIO_CHORDS = "Bb F | Gm | C7 | F | Bb F | Gm | F C7 | C7"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Two Left Feet", "New music", 1.5, "F", "4/4", ("Bouncing", "quarter", 112),
        "alto saxophone and clarinet 1; baritone saxophone, bass clarinet and tuba at B; snare and bass drum at D", composer="",
        ranges=(("C4", "F4"), ("F3", "D4")), loudness="mp",
    )
    s.section(
        8, {"tune": A, "bass": A_BASS}, "tune: as c1; alto: c2; tenor: ts; bass: bs! bc-1!",
        chords=A_CHORDS, comp={"alto": "r4 4* r 4* || r4 4* 4* r", "tenor": "r4 4* r 4* || r4 4* 4* r"}, dyn="1 mp; 7 < 9",
        drums=("4 8 8 4 4", ""),
    )
    s.section(
        8, {"tune": A, "bass": A_BASS, "spark": "[C5] R | r2 r8 C8* C4> | R | r2 r8 C8* C4> | R | R | R | r4 C8* C* F4* r"},
        "tune: t1 c1 as ob!; spark: fl ml; alto: c2 t2; tenor: hn ts; bass: tb! eu! tu-1! bs! bc-1!",
        chords=A_CHORDS, comp={"alto": "r4 4* r 4* || r4 4* 4* r", "tenor": "8* 4> 8* 4 4 | 2 2 | 8* 4> 8* 4 4 | 2 2 | 8* 4> 8* 4 4 | 2 4 4 | 8 4> 8 4 4 | 2 4* r"}, mark="A", dyn="1 f",
        drums=("4 8 8 4 4 | 8 8 8 8 4 4", "4 4 4 4 || 4 4 4 r"), timp="F4 r F r | R | C4 r C r | F r C r | F r F r | R | C r C r | F C F r",
    )
    s.section(
        8, {"bass": LOW, "tune": "[A4] R | r2 r8 A8* A4> | R | r2 r8 A* A4> | R | r2 r8 B* B4> | R | r2 A4* r"},
        "bass: bs bc-1! tu-1! ts eu; tune: fl ob ml; alto: c1; tenor: c2", chords=LOW_CHORDS,
        comp={"alto": "r4 4* r 4* | r4 4* 2", "tenor": "r4 4* r 4* | r4 4* 2"}, mark="B", dyn="1 mf; 5 < 7; 7 f",
        drums=("4 r 4 r", ""), timp="R | R | R | R | R | R | A4 r A r | D r D r",
    )
    s.section(
        8, {"tune": TRIO, "bass": TRIO_BASS}, "tune: t1 fl+1!; alto: as c1 t2; tenor: c2 ts hn; bass: tb! eu! tu-1! bs! bc-1!",
        chords=TRIO_CHORDS, comp={"alto": "r4 4 r 4 | 2 2", "tenor": "r4 4 r 4 | 2 2"}, mark="C", dyn="1 p; 5 < 7; 7 mf",
        drums=("R | R | R | r2 4 8 8", "4 r r2 | R | 4 r r2 | R"), timp="R | R | R | F4 r r2 | R | R | C2 C | C2. r4",
    )
    s.section(
        4,
        {"hit": "[E4] R | r8 E4> E8> r2 | R | r8 E4> E8> F4> r", "low": "[C3] R | r8 C4> C8> r2 | R | r8 C4> C8> C4> r",
         "mid": "[B3] R | r8 B4> B8> r2 | R | r8 B4> B8> A4> r", "top": "[G4] R | r8 G4> G8> r2 | R | r8 G4> G8> A4> r"},
        "hit: t2 c1; mid: c2 hn ts; top: t1 as fl+1 ob+1! ml+1; low: tb eu tu-1! bs! bc-1!", mark="D", dyn="1 f",
        drums=("4 8 8 8 8 4 | 8 4> 8> 4 4 | 8 8 4 8 8 4 | 8 4> 8> 4> r", "4 r 4 r | 8 4 8 r2 | r4 4 r 4 | 8 4 8 4 r"), timp="C4 r C r | r8 C4> C8> r2 | R | r8 C4> C8> F4 r",
    )
    s.jump("fine", 16)
    s.jump("dc-fine", 36)
    s.form = "A 1-8 | A 9-16 | B 17-24 | C 25-32 | D 33-36"
    return s
