"""Lightly Row: 2/4, level one half, D.C. al Fine."""

# fmt: off
from ..setting import Setting

LINE_1 = "[F4] F4 D | D2 | E4 C | C2 | B4 C | D E | F F | F2 |"
LINE_2 = "[F4] F4 D | D2 | E4 C | C2 | B4 D | F F | B,2 | B2"
BASS_1 = "[B3] B2 | B | F | F | B | G | B | B |"
BASS_2 = "[B3] B2 | B | F | F | B | F | B4 F | B2"
CHORDS_1 = "Bb | Bb | F7no3 | F7no3 | Bb | Gm | Bb | Bb |"
CHORDS_2 = "Bb | Bb | F7no3 | F7no3 | Bb | F7no3 | Bb | Bb"
MIDDLE = "[C4] C4 C | C C | C D | E2 | D4 D | D D | D E | F2"
MIDDLE_BASS = "[F3] F2 | F | F4 F | F2 | B | B | B4 G | D2"
MIDDLE_CHORDS = "F7no3 | F7no3 | F7no3 | F7no3 | Bb | Bb | Gm | Bb"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Lightly Row",
        "German children's song (Hänschen klein), 19th century; from memory",
        0.5,
        "Bb",
        "2/4",
        ("Brightly", "quarter", 96),
        "clarinets and alto saxophone; trumpets at C",
        ranges=(("Bb3", "Eb4"), ("F3", "D4")),
        loudness="mf",
    )
    s.section(
        8,
        {"tune": LINE_1, "bass": BASS_1},
        "tune: c1 as ml+1; alto: c2; tenor: ts hn; bass: bc-1? bs? eu",
        chords=CHORDS_1,
        comp={"alto": "2", "tenor": "2"},
        drums=("4 4 | 4 r", ""),
    )
    s.section(
        8,
        {"tune": LINE_2, "bass": BASS_2},
        "tune: fl+1 ob+1 c1 t1 t2 ml+1; alto: c2 as; tenor: ts hn; bass: tb eu tu-1 bs? bc-1?",
        chords=CHORDS_2,
        comp={"alto": "2", "tenor": "2"},
        dyn="1 f",
        mark="A",
        drums=("4 8 8 | 4 4", "4 4 | 4 r"),
        timp="B4 r | B r | F r | F r | B r | F r | B F | B r",
    )
    s.section(
        8,
        {"tune": MIDDLE, "bass": MIDDLE_BASS},
        "tune: fl+1 ob+1 ml+1; alto: c1 c2 as; tenor: ts; bass: bc-1? bs?",
        chords=MIDDLE_CHORDS,
        comp={"alto": "2", "tenor": "2"},
        dyn="1 p",
        mark="B",
        drums=("4 r | 4 r", ""),
    )
    s.section(
        8,
        {"tune": MIDDLE, "bass": MIDDLE_BASS, "answer": "[B3] R | R | R | r4 C | R | R | R | D4 D"},
        "tune: t1 t2 c1; answer: fl+1 ob+1 ml+1; alto: c2 as; tenor: ts hn; bass: tb eu tu-1 bs? bc-1?",
        chords=MIDDLE_CHORDS,
        comp={"alto": "4 4", "tenor": "2"},
        dyn="1 mf",
        mark="C",
        drums=("4 8 8 | 4 4", "4 4 | 4 r"),
        timp="F4 r | F r | F F | F r | B r | B r | B r | B B",
    )
    s.jump("fine", 16)
    s.jump("dc-fine", 32)
    s.form = "A 1-8 | A' 9-16 | B 17-24 | B 25-32"
    return s
