"""Paper Boats: a new waltz song in E flat, level 1, with first and second endings."""

# fmt: off
from ..setting import Setting

A = "[G4] G2( A4) | G2( E4) | F2( G4) | F2. | E2( F4) | G4( A G) | F2 {0}"
BASS = "[E3] E2 D4 | C2 E4 | D2 B4 | B2. | C2. | E4 D E | B2 B4 |"
CHORDS = "Eb:2 Bb7:1 | Cm | Bb7 | Bb | Cm | Eb:1 Bb7:1 Eb:1 | Bb7 |"
B = "[B4] B2( A4) | G4( A B) | C2( B4) | A2. | G2( F4) | E4( F G) | F2 G8 F | F2."
B_BASS = "[E3] E2 D4 | E2. | A2 E4 | F2. | C2 D4 | C2. | B2. | B4 C D"
B_CHORDS = "Eb:2 Bb7:1 | Eb | Ab:2 Eb:1 | Fm | Cm:2 Bb:1 | Cm | Bb | Bb7"
LAST = "[G4] G2( A4) | G2( E4) | F2( G4) | F2. | A2( G4) | F2( E4) | F4 G F | E2.~ | E2.@"
LAST_BASS = "[E3] E2 D4 | C2 E4 | D2 B4 | B2. | C2 E4 | A,4 B C | B2 B4 | E2.~ | E2.@"
LAST_CHORDS = "Eb:2 Bb7:1 | Cm | Bb7 | Bb | Ab:2 Eb:1 | Fm:2 Cm:1 | Bb | Eb | Eb"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Paper Boats",
        "New music",
        1.0,
        "Eb",
        "3/4",
        ("Gently rocking", "quarter", 104),
        "clarinets and flute; alto saxophone and trumpet at A",
        composer="",
        ranges=(("Bb3", "F4"), ("G3", "D4")),
        loudness="mp",
    )
    s.section(
        9,
        {"tune": A.replace("{0}", "G8 F | E2 F4 | E2."), "bass": BASS + "E2 B4 | E2."},
        "tune: fl+1 c1; alto: c2 as; tenor: ts hn; bass: eu tu-1? bc-1? bs?",
        chords=CHORDS + "Eb:2 Bb7:1 | Eb",
        comp={"alto": "r4 4 4", "tenor": "2."},
        dyn="5 < 7; 7 mf; 8 mp",
        drums=("4 r r", ""),
        timp="E4 r r | R | R | B4 r r | R | R | B4 r r | E4 r B | E4 r r",
    )
    s.endings(1, (8, 8), (9, 9))
    s.section(
        8,
        {"tune": B, "bass": B_BASS, "answer": "[E5] R | R | r4 E2 | C4 D C | R | R | R | r4 B4 A"},
        "tune: t1 as; answer: fl ml; alto: c1 c2 t2; tenor: ts hn; bass: tb eu tu-1? bc-1? bs?",
        chords=B_CHORDS,
        comp={"alto": "r4 4 4", "tenor": "2."},
        dyn="1 mf; 5 < 7; 7 f; 7 > 9",
        mark="A",
        drums=("4 8 8 4 | 4 r r", "4 r r"),
        timp="E4 r r | R | R | R | R | R | B4 r r | B4 r r",
    )
    s.section(
        9,
        {"tune": LAST, "bass": LAST_BASS},
        "tune: fl+1 c1 ob? ml+1 t1; alto: c2 t2 as; tenor: ts hn; bass: tb eu tu-1? bc-1? bs?",
        chords=LAST_CHORDS,
        comp={"alto": "2 4 || 2.~ | 2.@", "tenor": "2. || 2.~ | 2.@"},
        dyn="1 f; 5 mf; 7 > 9; 9 mp",
        mark="B",
        drums=(
            "4 8 8 4 | 4 r 4 | 4 8 8 4 | 4 r 4 | 4 8 8 4 | 4 r 4 | 4 4 4 | 4 r r | R",
            "4 r r | 4 r r | 4 r r | 4 r r | 4 r r | 4 r r | 4 r r | 4 r r | R",
        ),
        timp="E4 r r | R | R | B4 r r | R | R | B4 r B | E4 r r | E2.@",
    )
    s.say(24, "rit.")
    s.form = "A 1-9 | B 10-17 | A' 18-26"
    return s
