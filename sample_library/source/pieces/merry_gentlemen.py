"""Merry Gentlemen: the English carol in C minor, with a pickup, level 1 1/2."""

# fmt: off
# ruff: noqa: E501
from fractions import Fraction

from ..setting import Setting

CAROL = (
    "C4 G' G F | E D C B | C D E F | G2. C,4 | C G' G F | E D C B | C D E F | G2. G4 |"
    "A4 F G A | B C G F | E C D E | F2 E4 F | G2> A4 G | G F E D | C2 E8 D C4 | F2 E4 F | G A B C | G F E D |"
)
BASS = (
    "[C4] C2 C | A G | A F | G G | C C | A G | A F | G G4 r |"
    "F2 F | E B' | C C | B E, | E A4 E | C'2 C4 G | A2 A | B E, | E G4 A | C2 C4 G |"
)
CHORDS = (
    "Cm | Ab Gm | Ab Fm | G | Cm | Ab Gm | Ab Fm | G | Fm | Eb Bb | Cm | Bb Eb | Eb:2 Ab:1 Eb:1 |"
    "Cm:3 G:1 | Ab | Bb Eb | Eb:3 Ab:1 | Cm:3 G:1 |"
)


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Merry Gentlemen",
        "English carol (God Rest You Merry, Gentlemen), 18th century or older; from memory",
        1.5,
        "Cm",
        "4/4",
        ("With spirit", "quarter", 120),
        "trombone and euphonium; flute and oboe; trumpets",
        ranges=(("Bb3", "F4"), ("G3", "Eb4")),
        loudness="mf",
        pickup=Fraction(1),
    )
    s.section(
        19,
        {"tune": f"[C4] {{Soli}} C4 | {CAROL} C2. r4", "bass": f"r4 | {BASS} C2. r4"},
        "tune: tb-1 eu-1; alto: c1 as; tenor: c2 hn ts; bass: tu-1? bs? bc-1?",
        chords=f"Cm | {CHORDS} Cm",
        comp={"alto": "2 4 4 | 2 4 4 | 2 4 4 | 2 4 r4", "tenor": "2 2 | 2 2 | 2 2 | 2 4 r4"},
        dyn="9 mp; 11 < 13; 13 f; 18 > 20",
        drums=("4 r 4 r", ""),
        timp="C4 r C r | R | R | G4 r r2 | C4 r C r | R | R | G4 r r2 | R | R | R | R | R | R | R | R | R | r2 r4 G | C4 r r2",
    )
    s.section(
        4,
        {
            "bells": "[G5] G4 r E r | D r B r | C4 r G r | R",
            "soft": "[G4] G4( F E D | C D E F | C2 G' | G2.) r4",
            "low": "[E3] E2 B' | A G | C, G' | G2. r4",
            "pick": "[C4] R | R | R | r2 r4 C4",
        },
        "bells: ml; soft: fl+1 ob+1; low: eu bc-1?; pick: t1 t2 as c1",
        dyn="1 p; 1 < 3; 3 > 5; 4@3 f",
        mark="A",
        drums=("4 r r2 | 4 r r2 | 4 r r2 | R", ""),
    )
    s.section(
        19,
        {
            "tune": f"[C4] {CAROL} C2. r4",
            "bass": f"{BASS} C2. r4",
            "high": "[G4] R | R | R | r4 D8 E F4 r | R | R | R | r4 D8 E F4 r | C2 F, | B4 C D2 | G,4 E F G |"
            "D'2 B4 B | E2 C4 B | E2 C4 Bn | A2 C | D G,4 B | B2 E | E C4 Bn | G2. r4",
        },
        "tune: t1 c1 as; alto: t2 c2; tenor: hn ts; bass: tb? eu? tu-1? bs? bc-1?; high: fl+1? ob? ml+1?",
        chords=f"{CHORDS} Cm",
        comp={"alto": "4* 4* 4 4 | 4* 4* 4 4 | 4* 4* 4 4 | 2 4 r4", "tenor": "2 2 | 2 2 | 2 2 | 2 4 r4"},
        dyn="1 f; 9 mf; 11 < 13; 13 ff",
        mark="B",
        drums=("4 8 8 4 4 | 4 4 8 8 4", "4 r 4 r"),
        timp="C4 r C r | R | R | G4 G G r | C4 r C r | R | R | G4 G G r | R | R | R | R | R | R | R | R | R | r2 r4 G | C4 r C C",
    )
    s.section(
        2,
        {
            "top": "[E4] E4> E> D> D> | C1>@",
            "low": "[C3] C4> C> G> G> | C1>@",
            "mid": "[G3] G4> G> G> Bn> | G1>@",
        },
        "top: t1 t2 fl+1 ob? c1 as ml+1; mid: c2 ts hn; low: tb? eu? tu-1? bs? bc-1?",
        dyn="1 ff",
        drums=("4> 4> 4> 4> | 1@", "4 4 4 4 | 1@"),
        timp="C4 r G G | C1@",
    )
    s.say(42, "broadly")
    s.form = "A 1-19 | B 20-23 | A 24-44"
    return s
