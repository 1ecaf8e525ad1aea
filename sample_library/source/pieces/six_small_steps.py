"""Six Small Steps: new music on the first six notes, level one half."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

TUNE = "[B3] B2 C | D2 B | E4 D C2 | D1 | D2 E | F2 D | C4 D C2 | B1"
BASS = "[B3] B2 B | B2 G | E2 F | B1 | B2 G | D2 B' | F2 F | B1"
CHORDS = "Bb | Bb Gm | Eb F7no3 | Bb | Bb Gm | Bb | F7no3 | Bb"
TUTTI = "tune: fl+1 ob+1 c1 t1 t2 ml+1; alto: c2 as; tenor: hn ts; bass: tb eu tu-1 bs? bc-1?"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Six Small Steps", "New music", 0.5, "Bb", "4/4", ("Steady", "quarter", 88),
        "low brass; clarinets and saxophones", composer="",
        ranges=(("Bb3", "Eb4"), ("F3", "D4")), loudness="f",
    )  # fmt: skip
    s.section(
        8, {"tune": TUNE, "bass": BASS}, TUTTI, chords=CHORDS, comp={"alto": "1", "tenor": "1"},
        drums=("4 4 4 4 | 4 8 8 4 4", "2 2"), timp="B4 r B r | B r B r | B r F r | B2 r",
    )  # fmt: skip
    s.section(
        8,
        {
            "low": "[F3] F2 F | G F | E4 D E2 | D1 | F2 F | G E | F F | B1",
            "high": "[B3] R | r2 D4 D | R | r2 F4 F | R | r2 C4 C | R | r2 B4 B",
            "pad": "[B3] B1 | C2 B | C1 | B | B | C2 C | C1 | B",
        },
        "low: tb eu tu-1 bs? bc-1?; high: fl+1 ob+1 ml+1; pad: c1 c2 as ts",
        dyn="1 mf", mark="A", drums=("4 r 4 r | 4 r 4 4", "2 r"),
    )  # fmt: skip
    s.section(
        8,
        {
            "call": "[D4] D4 D E2 | D4 C B2 | R*2 | C4 C D2 | E4 D C2 | R*2",
            "under": "[B3] B1 | B | R*2 | B1 | C | R*2",
            "answer": "[F4] R*2 | F4 F G2 | F4 E D2 | R*2 | E4 D C2 | B1",
            "below": "[B3] R*2 | D,2 E | F B | R*2 | F2 F | B1",
        },
        "call: c1 as ml+1; under: c2 ts hn; answer: fl+1 ob+1 t1 t2; below: tb eu tu-1 bs? bc-1?",
        dyn="1 mp; 3 f; 5 mp; 7 f", mark="B", drums=("R | R | 4 8 8 4 4 | 4 8 8 4 4", "R | R | 2 2 | 2 2"),
        timp="R | R | B4 r B r | B2 r",
    )  # fmt: skip
    s.section(
        8, {"tune": TUNE, "bass": BASS}, TUTTI, chords=CHORDS, comp={"alto": "2 2", "tenor": "2 2"}, dyn="1 f",
        mark="C", drums=("4 8 8 4 4 | 4 4 8 8 4 | 4 8 8 4 4 | 4 4 4 r", "4 r 4 r"),
        timp="B4 r B r | B r B r | B r F r | B2 r",
    )  # fmt: skip
    s.form = "A 1-8 | B 9-16 | C 17-24 | A 25-32"
    return s
