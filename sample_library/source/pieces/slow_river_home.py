"""Slow River Home: a new song in A flat for euphonium, then horns against it, level 2."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

A = "E4( A B C | D2 C4 B) | A2( F4 A | E2.) r4 | F4( A C B | A2 G4 F) | E4( A B G | A2.) r4"
A_CHORDS = "Ab | Db:2 Ab:1 Eb:1 | Fm | Eb | Db:2 Ab:1 Eb:1 | Fm:2 Cm:1 Bbm:1 | Ab:2 Eb7:2 | Ab"
A_BASS = "[A2] A2 A | F E4 E | F2 A | G2. r4 | D'2 E4 E | F2 C4 D | E2 E | A,2. r4"
COUNTER = "[C4] C2( E | A,2 A4 G) | C2.( F4 | B,4 C D B) | A2( A4 G | C2 E4 B) | C2( D | C2.) r4"
B = "[C5] C4.( B8 A4 C | B2 G) | D'4.( C8 B4 D | C2 A) | A4.( B8 C4 A) | F2( A4 B) | C4( B A F | G2.) r4"
B_CHORDS = "Fm | Eb | Bbm:2 Eb7:2 | Ab | Fm | Db | Fm:2 Bb7:2 | Eb"
B_BASS = "[F2] F2 F | G E | B'2 E | A,2 C | F,2 A | D1 | A2 B | E,2. r4"
EVEN = "2 2 | 2 4 4 | 2 2 | 2. r4 | 2 4 4 | 2 4 4 | 2 2 | 2. r4"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Slow River Home", "New music", 2.0, "Ab", "4/4", ("Slowly flowing", "quarter", 76),
        "euphonium and tenor saxophone; oboe and alto saxophone at B; horn with the counter-melody at C", composer="",
        ranges=(("C4", "F4"), ("Eb3", "C4")), loudness="p",
    )
    s.section(
        4,
        {"air": "[E4] E4( F A2~ | A4 G E2) | E4( F A2~ | A4 G E2)", "mid": "[C4] C2( D | D C) | C2( D | D C)", "low": "[A2] A1( | E) | A1( | E)", "bells": "[E5] R | r2 r4 B | R | r2 B4 G"},
        "air: c1; mid: c2; low: bc bs!; bells: ml", dyn="1 p; 3 < 4; 4 > 5",
    )
    s.section(
        8, {"tune": f"[E4] {A}", "bass": A_BASS}, "tune: eu-1 ts-1; alto: c1 c2; tenor: as hn; bass: tu! bc bs!",
        chords=A_CHORDS, comp={"alto": EVEN, "tenor": EVEN}, mark="A", dyn="1 mf; 1 < 2; 3 > 4; 5 < 6; 7 > 9",
    )
    s.section(
        8, {"tune": B, "bass": B_BASS, "ripple": "[E5] R | r4 E8( D B4) r | R | r4 E8( D C4) r | R | r4 D8( C A4) r | R | r4 B8( C D B G4)"},
        "tune: ob as; ripple: fl ml; alto: c1 c2; alto2: t1 t2; tenor: ts tb; bass: bc bs! eu!",
        chords=B_CHORDS, comp={"alto": "r4 4 4 4 || r4 4 4 r", "alto2": "2 2 || 2. r4", "tenor": "2 2 || 2. r4"}, mark="B", dyn="1 mp; 3 < 4; 4 > 5; 5 p; 6 < 8; 8 mf", under="ripple",
        drums=("R", "2 r | R"), timp="R | R | R | R | R | R | R | E4 E E r",
    )
    s.section(
        8, {"tune": f"[E4] {A}", "bass": A_BASS, "counter": COUNTER},
        "tune: t1 c1 fl+1 ob; counter: hn as; alto: c2 t2; tenor: ts tb; bass: eu! tu! bc bs!",
        chords=A_CHORDS, comp={"alto": EVEN, "tenor": EVEN}, mark="C", dyn="1 f; 1 < 2; 3 > 4; 5 mf; 5 < 6; 6 f; 7 > 9",
        drums=("R", "2 r | R | 2 r | 2. r4"), timp="A2 A | R | R | E2. r4 | R | R | E2 E | A2. r4",
    )
    s.section(
        4, {"tune": "[E4] F4( A C B | A2 G4 F) | E4( A B G | A1)@", "bass": "[D3] D2 E4 E | F2 C4 D | E2 E | A,1@"},
        "tune: eu-1 ts-1; alto: c1 c2 fl+1 t1 t2; tenor: hn as tb; bass: tu! bc bs!", chords="Db:2 Ab:1 Eb:1 | Fm:2 Cm:1 Bbm:1 | Ab:2 Eb7:2 | Ab",
        comp={"alto": "2 4 4 | 2 4 4 | 2 2 | 1@", "tenor": "2 4 4 | 2 4 4 | 2 2 | 1@"}, mark="D", dyn="1 mp; 1 > 4; 4 p", timp="R | R | R | A1@",
    )
    s.say(31, "rit.")
    s.form = "introduction 1-4 | A 5-12 | B 13-20 | A 21-28 | coda 29-32"
    return s
