"""Windmill: new music in an easy 6/8, level 1 1/2, with repeats."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

A_1 = "[F4] F4.( D) | F4 G8 F4 E8 | D4.( B) | C4. r | E4.( C) | E4 F8 E4 D8 | C4 D8 E4 C8 | D4. r |"
A_2 = "[F4] F4.( D) | F4 G8 F4 E8 | D4.( G) | F4.~ F4 r8 | E4 E8 D4 D8 | C4 D8 E4 C8 | B4. D | B4.~ B4 r8"
BASS = (
    "[B2] B4. F' | B,4. F' | B,4. D | F4. C | C4. F | C4. F | F4. C | B4. F' |"
    "B,4. F' | B,4. D | G4. E | F4.~ F4 r8 | C4. B | F'4. F | B,4. F' | B,4. B4 r8"
)
CHORDS = "Bb | Bb | Bb Gm | F | Cm | Cm | F7 | Bb | Bb | Bb | Gm Eb | Bb/F | Cm:1.5 Bb:1.5 | F7 | Bb | Bb"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Windmill",
        "New music",
        1.5,
        "Bb",
        "6/8",
        ("Turning easily", "quarter.", 72),
        "flute and clarinet 1; horn, trombone and euphonium at B",
        composer="",
        ranges=(("Bb3", "F4"), ("F3", "D4")),
        loudness="mf",
    )
    s.section(
        4,
        {
            "low": "[B2] B4.* F'* | B,* F'* | B,* F'* | B,* F'*",
            "turn": "[D4] R | R | D8* E* D* C* D* E* | F4.~ F4 r8",
        },
        "low: tu-1 eu bs bc; turn: c1 as",
        drums=("4 8 4 8", "4. 4."),
        timp="B4. F",
    )
    s.section(
        16,
        {"tune": A_1 + A_2, "bass": BASS},
        "tune: fl+1 ob+1 c1 ml+1; alto: c2 as t1 t2; tenor: ts; bass: bc bs eu tu-1",
        chords=CHORDS,
        comp={"alto": "r4 8 r4 8", "tenor": "2."},
        mark="A",
        dyn="7 < 9; 9 f; 15 > 17",
        drums=("4 8 4 8", "4. r"),
        timp="R | R | R | F4. r | R | R | F4. r | B4. F | R | R | R | F4. F | R | F4. F | B4. F | B4. B4 r8",
    )
    s.repeat(5, 20)
    s.section(
        8,
        {
            "tune": "[G3] G4 A8 B4 G8 | A4. D, | G4 A8 B4 G8 | A4.~ A4 r8 | B4 C8 B4 A8 | G4. C | B4 A8 G4 F#8 | G4.~ G4 r8",
            "bass": "[G3] G4. D | D4. F# | G4. E | D4.~ D4 r8 | G4. G | E4. C | D4. D | G4. G4 r8",
        },
        "tune: hn tb eu; alto: c1 as; tenor: c2 ts; bass: tu-1 bs? bc-1?",
        chords="Gm | D | Gm Eb | D | Gm | Eb Cm | Gm:1.5 D:1.5 | Gm",
        comp={"alto": "4. 4.", "tenor": "2."},
        dyn="1 mp; 5 < 7; 7 > 9",
        mark="B",
        drums=("4. r", ""),
        timp="R",
    )
    s.section(
        8,
        {
            "tune": "[D4] D4 E8 F4 D8 | G4.( F) | E4 D8 C4 E8 | D4.~ D4 r8 | F4 G8 A4 F8 | B4.( G) | F4 E8 D4 E8 | F4.~ F4 r8",
            "bass": "[B2] B4. B | E4. B | C4. F | B4. F | D4. F | G4. E | F4. F | F4. E8 D C",
        },
        "tune: t1 ob? fl+1 ml+1; alto: c1 c2 t2; tenor: as ts hn; bass: tb eu tu-1 bs bc?",
        chords="Bb | Eb Bb | Cm:1.5 F7:1.5 | Bb | Bb F | Gm Eb | Bb/F:1.5 F7:1.5 | F7",
        comp={"alto": "r4 8 r4 8", "tenor": "4. 4."},
        dyn="1 mf; 5 < 8; 8 f",
        mark="C",
        drums=("4 8 4 8 | 8 8 8 4 8", "4. 4."),
        timp="B4. r | R | R | B4. F | R | R | F4. F | F4. F",
    )
    s.section(
        10,
        {
            "tune": A_2[: A_2.index("| B4. D |")] + "| B4. D | B4 C8 D4 E8 | F4. F,4. | B4.~> B4 r8",
            "bass": "[B2] B4. F' | B,4. D | G4. E | F4.~ F4 r8 | C4. B | F'4. F | B,4. F' | B,4. B4. | F'4.> F> | B,4.~> B4 r8",
        },
        "tune: fl+1 ob+1? c1 t1? t2? as ml+1?; alto: c2; tenor: ts hn; bass: tb eu tu-1 bs bc?",
        chords="Bb | Bb | Gm Eb | Bb/F | Cm:1.5 Bb:1.5 | F7 | Bb | Bb | F7 | Bb",
        comp={"alto": "4 8 4 8", "tenor": "4. 4."},
        dyn="1 f; 8 < 10; 10 ff",
        mark="D",
        drums=("4 8 4 8 | 8 8 8 4 8", "4. 4."),
        timp="B4. F | R | R | F4. F | R | F4. F | B4. F | B4. B | F4. F | B4. B4 r8",
    )
    s.form = "introduction 1-4 | A 5-20 | B 21-28 | C 29-36 | A' 37-46"
    return s
