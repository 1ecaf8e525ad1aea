"""The Old Clock: new music in G minor, level 1."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

TUNE = "[G4] G4 A B G | C2 A | B4 B A G | A1 | G4 A B G | D'2 D4 C | B4 G A2 |"
LOWER = TUNE.replace("D'2 D4 C", "B2 A4 C")
BASS = "[G3] G2 D | C D | G D | D1 | G2 D | B D | G D |"
CHORDS = "Gm | Cm D | Gm | D | Gm | Bb D7 | Gm D |"
MIDDLE = "[D4] D4 D E F | G2 F | E4 D C E | D1 | D4 D E F | G2 F | E4 E8 D C4 E | D2 D"
MIDDLE_BASS = "[B3] B1 | E,2 B' | C,2 F | B1 | B1 | E,2 D | C F | B D,"
MIDDLE_CHORDS = "Bb | Eb Bb | Cm F7 | Bb | Bb | Eb Bb | Cm F7 | Bb D"
TICK = "[D5] D4 G, D' G, | D' G, D' G,"
TICKS = "[D5] D4 G, D' G, | C4 G D' A | D G, D' G, | D' A D A | D G, D' G, | D' B D A | D G, D' A |"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "The Old Clock",
        "New music",
        1.0,
        "Gm",
        "4/4",
        ("Like a clock", "quarter", 96),
        "clarinets and tenor saxophone; flute, oboe and alto saxophone at C",
        composer="",
        ranges=(("Bb3", "F4"), ("F3", "D4")),
        loudness="mp",
    )
    s.section(
        4,
        {"tick": f"{TICK} | {TICK}", "low": "[G3] R | R | G4* r G* r | D4* r D* r"},
        "tick: ml; low: tb eu tu-1 bs? bc-1?",
        drums=("4 r 4 r", ""),
        timp="R | R | G4 r G r | D4 r D r",
    )
    s.section(
        8,
        {"tune": TUNE + "G1", "bass": BASS + "G1", "tick": TICKS + "D G, D' G,"},
        "tune: c1-1? ts-1?; alto: c2; bass: bc-1? bs? tb; tick: ml",
        chords=CHORDS + "Gm",
        comp={"alto": "2 2"},
        mark="A",
        drums=("4 r 4 r", ""),
    )
    s.section(
        8,
        {"tune": LOWER + "G1", "bass": BASS + "G2 G4 r"},
        "tune: t1 ob; alto: as t2 c1; tenor: hn ts c2; bass: tb eu tu-1 bc-1? bs?",
        chords=CHORDS + "Gm",
        comp={"alto": "4* 4* 4* 4*", "tenor": "2 2"},
        dyn="1 mf; 5 < 7; 7 f",
        mark="B",
        drums=("4 8 8 4 4", "4 r 4 r"),
        timp="G4 r D r | R | G4 r G r | D4 r D r | G4 r D r | R | G4 r D r | G4 r G r",
    )
    s.section(
        8,
        {"tune": MIDDLE, "bass": MIDDLE_BASS},
        "tune: fl+1 ob+1 as; alto: c1; alto2: c2 t1 t2; tenor: ts hn; bass: bc-1? bs? eu",
        chords=MIDDLE_CHORDS,
        comp={"alto": "2 2", "alto2": "r4 4 r 4", "tenor": "2 2"},
        dyn="1 mp; 5 < 7; 7 mf",
        mark="C",
        drums=("4 r r 4", ""),
    )
    s.section(
        8,
        {
            "tune": TUNE + "G1",
            "tune2": LOWER + "G1",
            "bass": BASS + "G1",
            "tick": TICKS + "G4 r G r",
        },
        "tune: fl ob; tune2: t1 t2; alto: c1 as; alto2: c2; tenor: hn ts; bass: tb eu tu-1 bc-1? bs?; tick: ml",
        chords=CHORDS + "Gm",
        comp={"alto": "2 2", "alto2": "4* 4* 4* 4*", "tenor": "2 2"},
        dyn="1 f; 7 > 9",
        mark="D",
        drums=("4 8 8 4 4 | 4 8 8 8 8 4", "4 r 4 r"),
        timp="G4 r D r | R | G4 r G r | D4 r D r | G4 r D r | R | G4 r D r | G4 r G r",
    )
    s.section(
        4,
        {
            "tick": f"{TICK} | D'4 G, D' r | G,4* r r2",
            "end": "[G3] R | R | R | G4* r r2",
            "top": "[B3] R | R | R | B4* r r2",
        },
        "tick: ml; end: tb eu tu-1 bs? bc-1?; top: c1 c2 as ts t1 t2",
        dyn="1 mp; 1 > 4; 4 p",
        drums=("4 r 4 r | 4 r 4 r | 4 r 4 r | 4 r r2", ""),
        timp="R | R | R | G4 r r2",
    )
    s.say(39, "slowing down")
    s.form = "introduction 1-4 | A 5-12 | A' 13-20 | B 21-28 | A 29-36 | coda 37-40"
    return s
