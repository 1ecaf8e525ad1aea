"""New Britain (the tune of "Amazing Grace"): 3/4 with a pickup, level 1 1/2."""

# fmt: off
# ruff: noqa: E501
from fractions import Fraction

from ..setting import Setting

HYMN = (
    "E2( G8 E) | G2 F4 | E2( C4) | B2 B4 | E2( G8 E) | G2 F4 | B2.~ | B2 G4 |"
    "B4.( G8) B( G) | E2 B4 | C4.( E8) E( C) | B2 B4 | E2( G8 E) | G2 F4 | E2.~ |"
)
BASS = "E2. | E2 G4 | A2 A4 | G2. | C,2. | B2 B4 | B2 C4 | D2 E4 | G2. | C,2 G'4 | A2. | G2. | C,2. | B2 B4 | E2. |"
CHORDS = (
    "Eb | Eb | Ab | Eb | Cm | Eb:2 Bb7:1 | Bb | Bb7:2 Eb:1 |"
    "Eb | Cm:2 Eb:1 | Ab | Eb | Cm | Eb:2 Bb7:1 | Eb | Eb"
)
COUNTER = (
    "[G3] G2. | B2 B4 | C2 E4 | E2 B4 | C2 E4 | E2 D4 | D4( C B | A2) G4 |"
    "B2 E4 | C2 B4 | C2 E4 | B2 E4 | E2 C4 | B2 A4 | G2.~ | G2 r4"
)
OBBLIGATO = (
    "[G4] R | R | R | r4 G4( B) | C2( G4) | B2 A4 | F4( G A | B2) B4 |"
    "G2 B4 | G2 F4 | E2 A4 | G2 F4 | G2( E4) | G2 F4 | G2.~ | G2 r4"
)


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "New Britain", "American hymn tune, first printed 1829 (sung to Amazing Grace); from memory", 1.5, "Eb",
        "3/4", ("Slowly, singing", "quarter", 80), "trombone and euphonium; clarinet 1 and flute; trumpets",
        ranges=(("Bb3", "E4"), ("G3", "C4")), loudness="mp", pickup=Fraction(1),
    )  # fmt: skip
    s.section(
        16, {"tune": f"[B3] {{Soli}} B4 | {HYMN} E2 r4", "bass": f"[E3] r4 | {BASS} E2 r4"},
        "tune: tb-1 eu-1; alto: c1 c2; tenor: as ts; bass: tu-1 bs bc",
        chords=f"Eb | {CHORDS}", comp={"alto": "2 4", "tenor": "2."}, dyn="6 < 7; 7 mf; 8 > 9; 9 mp",
    )  # fmt: skip
    s.section(
        16,
        {
            "tune": f"[E4] {HYMN.replace('B4.', '[B4] B4.')} E2 B4", "bass": f"[E3] {BASS} E2 r4",
            "counter": COUNTER,
        },
        "tune: fl+1 c1 ml+1; counter: hn ts; alto: c2 as; bass: tu-1 bs bc eu",
        chords=CHORDS, comp={"alto": "2 4"}, dyn="1 mf; 6 < 7; 8 > 9; 13 > 16", mark="A",
        timp="R*8 | R*4 | R | r4 B B | E2. | R",
    )  # fmt: skip
    s.section(
        16,
        {
            "tune": f"[E4] {HYMN} E2.@", "bass": f"[E3] {BASS} E2.@", "counter": COUNTER.replace("G2 r4", "G2.@"),
            "obbligato": OBBLIGATO.replace("G2 r4", "G2.@"),
        },
        "tune: t1 t2 c1; obbligato: fl+1 ob ml+1; counter: hn ts; alto: c2 as; bass: tu-1 bs bc tb eu",
        chords=CHORDS, comp={"alto": "2 4 || 2.~ | 2.@"}, dyn="1 f; 6 < 7; 7 ff; 13 mf; 14 > 17", mark="B",
        drums=("R*6 | R | 4 4 4 | R*8", "2. | R | 2. | R"), timp="E2. | R | r2 E4 | E2. | R | r2 B4 | B2. | B4 B B | E2. | R | R | E2. | R | r4 B B | E2.~ | E2.@",
    )  # fmt: skip
    s.form = "A 1-16 | A 17-32 | A 33-48"
    return s
