"""By Moonlight: the French song in E flat, level 1; the tune begins in the tuba."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

A = "E4 E E F | G2 F | E4 G F F | E1"
B = "F4 F F F | C2 C | F4 E D C | B1"
PAD = "[B4] B2.( B4 | E2 D) | B2( B4 A | G1)"
A_CHORDS = "Eb:3 Bb:1 | Eb Bb | Eb:2 Bb7:2 | Eb"
A_BASS = "[E3] E2. D4 | E2 B | C4 E B B | E1"
A_CHORDS_2 = "Eb:3 Bb7:1 | Eb Bb | Cm:1 Eb:1 Bb7:2 | Eb"
B_CHORDS = "Bb | Cm | Bb:1 Cm:1 Bb:1 F7:1 | Bb"
B_BASS = "[B2] B2 D | E C | D4 C B F | B2 D"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "By Moonlight", "French song (Au clair de la lune), 18th century; from memory", 1.0, "Eb", "4/4",
        ("Calmly", "quarter", 92), "tuba, baritone saxophone and bass clarinet; flute and oboe; trumpets at C",
        ranges=(("Bb3", "F4"), ("G3", "D4")), loudness="mp",
    )
    s.section(
        4, {"bells": "[B5] B4 r G r | B r F r | G r B r | E,4 r r2", "air": "[E3] E1~ | E | B | B2. r4"}, "bells: ml; air: bc-1! bs",
        dyn="1 p; 3 < 5", timp="E1 | R | B1 | R",
    )
    s.section(
        8, {"bass": f"[E3] {A} | {A}", "tune": f"{PAD} | {PAD}"},
        "bass: tu-1 bs bc-1; tune: fl ob!; alto: c1 c2; tenor: hn ts",
        chords=f"{A_CHORDS} | {A_CHORDS}", comp={"alto": "1 | 2 2 | 2 2 | 1", "tenor": "1 | 2 2 | 2 2 | 1"},
        mark="A", dyn="1 mf; 5 mp", drums=("R", "R | R | R | 2. r4"),
    )
    s.section(
        8, {"tune": f"[F4] {B} | [E4] {A}", "bass": f"{B_BASS} | {A_BASS}"},
        "tune: fl+1 ob+1 c1; alto: c2 as; tenor: ts; bass: bc-1! bs! eu!",
        chords=f"{B_CHORDS} | {A_CHORDS_2}", comp={"alto": "2 2 | 2 2 | 4 4 4 4 | 1 | 2 2 | 2 2 | 2 2 | 1", "tenor": "2 2"},
        mark="B", dyn="1 mp; 3 > 4; 4 p; 5 mp; 6 < 7; 7 > 9",
    )
    s.section(
        8,
        {"tune": f"[F4] {B} | [E4] {A}", "bass": f"{B_BASS} | {A_BASS}",
         "over": "[D5] D2( B) | C2( E) | D4( E D E | D1) | B2.( A4 | G2 B) | G2( A | G1)"},
        "tune: t1 t2 as; over: fl ob! ml; alto: c1; alto2: c2; tenor: hn ts; bass: tb! eu! tu-1! bc-1! bs!",
        chords=f"{B_CHORDS} | {A_CHORDS_2}", comp={"alto": "r4 4 4 4", "alto2": "2 2", "tenor": "2 2"},
        mark="C", dyn="1 mf; 3 < 5; 5 f; 7 > 9", under="over",
        drums=("4 r 4 r | 4 r 4 4", "4 r r2"), timp="B4 r r2 | R | R | B4 r B r | E4 r r2 | R | r2 B4 B | E4 r r2",
    )
    s.section(
        8,
        {"bass": f"[E3] {A} | {A}", "tune": f"{PAD} | {PAD}",
         "after": "[E4] R | r4 E D2 | E4 G F F | E2 r | R | r4 E D2 | E4 G F F | E1"},
        "bass: tu-1 bs bc-1! eu tb; tune: fl ob! ml; after: t1 t2 as; alto: c1 c2; tenor: hn ts",
        chords=f"{A_CHORDS} | {A_CHORDS}", comp={"alto": "1 | 2 2 | 2 2 | 1", "tenor": "1 | 2 2 | 2 2 | 1"},
        mark="D", dyn="1 mf; 5 mp; 7 > 9",
        drums=("R", "2 r"),
    )
    s.section(
        4, {"tune": "[E4] E4 E E F | G2 F | E1~ | E1@", "bass": "[E3] C2 A | B2 B | E1~ | E1@"},
        "tune: t1 fl+1 c1; alto: c2 as; tenor: hn ts; bass: tu-1! bs! bc-1! eu! tb!",
        chords="Cm:2 Ab:2 | Eb:2 Bb7:2 | Eb | Eb", comp={"alto": "2 2 | 2 2 | 1~ | 1@", "tenor": "2 2 | 2 2 | 1~ | 1@"},
        dyn="1 mp; 1 > 3; 3 p", timp="R | R | E1 | E1@",
    )
    s.say(37, "slowing down")
    s.form = "introduction 1-4 | A 5-12 | B 13-20 | B 21-28 | A 29-36 | coda 37-40"
    return s
