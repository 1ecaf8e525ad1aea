"""Auld Lang Syne: the Scottish song in E flat with its dotted quarters, a pickup, level 1 1/2."""

# fmt: off
# ruff: noqa: E501
from fractions import Fraction

from ..setting import Setting

VERSE = "E4. E8 E4 G | F4. E8 F4 G | E4. E8 G4 B | C2. C4 | B4. G8 G4 E | F4. E8 F4 G | E4. C8 C4 B |"
CHORUS = "B4. G8 G4 E | F4. E8 F4 C' | B4. G8 G4 B | C2. C4 | B4. G8 G4 E | F4. E8 F4 G | E4. C8 C4 B |"
BASS = "E2 E | B B | C E | A2. A4 | E'2 C | B B | A A4 D |"
BASS_2 = "E2 C | B B4 A | E'2 E4 G | A2. A4 | E2 C | B B | A A4 D |"
CHORDS = "Eb | Bb | Cm Eb | Ab | Eb Cm | Bb | Ab:3 Bb7:1 |"
CHORDS_2 = "Eb Cm | Bb7:3 Ab:1 | Eb | Ab | Eb Cm | Bb | Ab:3 Bb7:1 |"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Auld Lang Syne", "Scottish song, 18th century; from memory; the interlude new", 1.5, "Eb", "4/4",
        ("Warmly", "quarter", 100), "trombone and euphonium; clarinet 1 and flute; horn and tenor saxophone in the second verse",
        ranges=(("Bb3", "F4"), ("G3", "D4")), loudness="mp", pickup=Fraction(1),
    )
    s.section(
        8, {"tune": f"[B3] {{Soli}} B4 | {VERSE} E2. C'4", "bass": f"r4 | [E3] {BASS} E2. E4"},
        "tune: tb-1 eu-1; alto: c1 c2; tenor: as ts; bass: tu-1! bs! bc-1!", chords=f"Eb | {CHORDS} Eb:3 Ab:1",
        comp={"alto": "2 2 || 2 4 4", "tenor": "2 2 || 2 4 4"}, dyn="3 < 5; 5 mf; 7 > 9",
    )
    s.section(
        8, {"tune": f"[B4] {CHORUS} E2. r4", "bass": f"[E3] {BASS_2} E2. r4"},
        "tune: fl+1! c1 as; alto: c2 t2; tenor: hn ts; bass: tu-1! bs! bc-1! eu!", chords=f"{CHORDS_2} Eb",
        comp={"alto": "2 2 | 2 4 4", "tenor": "2 2 | 2 4 4 || 2. r4"}, mark="A", dyn="1 mf; 3 < 4; 5 > 7; 7 mp",
        drums=("4 r 4 r", "4 r r2"), timp="E2 r | R | R | R | R | R | R | E2 r4 B",
    )
    s.section(
        4,
        {"tune": "[E4] E4. F8 G4 E | C'2 A | B4. A8 G4 F | B2. B,4", "bass": "[C3] C2 B | A C | D4 B E D | B2. r4",
         "bell": "[G5] R | r2 r4 C4 | B r r2 | r4 B4 F r"},
        "tune: t1 t2; bass: tb! eu! tu-1! bs! bc-1!; alto: as c2; tenor: hn ts; bell: ml fl",
        chords="Cm:2 Eb:2 | Ab Fm | Bb:2 Eb:1 Bb:1 | Bb7", comp={"alto": "2 2 | 2 2 | 4 4 4 4 | 2. r4", "tenor": "2 2 | 2 2 | 4 4 4 4 | 2. r4"},
        mark="B", dyn="1 f; 3 > 5", drums=("4 8 8 4 4", "4 r 4 r"), timp="R | R | R | B2. r4",
    )
    s.section(
        8,
        {"tune": f"[E4] {VERSE} E2. C'4", "bass": f"[E3] {BASS} E2. E4",
         "counter": "[G3] G2( B) | B2( D) | C2( B) | A4( B C E) | E1 | D2( F,) | A2.( A4) | G2. C4"},
        "tune: t1 c1; counter: hn ts as; alto: c2 t2 ob!; bass: tb! eu! tu-1! bs! bc-1!", chords=f"{CHORDS} Eb:3 Ab:1",
        comp={"alto": "2 2 | 2 4 4"}, mark="C", dyn="1 mf; 3 < 5; 5 f; 6 > 7; 7 < 9",
        drums=("4 r 4 r | 4 r 4 8 8", "4 r r2"), timp="E2 r | B r | R | R | R | B r | R | E2 r4 r",
    )
    s.section(
        8, {"tune": f"[B4] {CHORUS} E2. r4", "bass": f"[E3] {BASS_2} E2. r4",
            "over": "[E5] E2( G4 E | D2. C4) | B4.( C8 B4 E) | E4( C B A) | G2( E'4 C | D2. D4) | C4( E A, B) | B2. r4"},
        "tune: t1 c1 as ob!; over: fl ml; alto: c2 t2; tenor: hn ts; bass: tb! eu! tu-1! bs! bc-1!", chords=f"{CHORDS_2} Eb",
        comp={"alto": "2 2 | 2 4 4 || 2. r4", "tenor": "2 2 | 2 4 4 || 2. r4"}, mark="D", dyn="1 f; 5 > 7; 7 mf", under="over",
        drums=("4 8 8 4 4", "4 r 4 r"), timp="E2 r | B r | R | R | R | B r | R | E2. r4",
    )
    s.section(
        4, {"tune": f"[B4] {VERSE[VERSE.index('B4. G8'):]} E1@", "bass": "[E3] E2 C | B B | A2 A4 D | E1@"},
        "tune: c1 fl+1 as t1; alto: c2 ob! t2; tenor: ts hn; bass: bc-1! bs! eu! tu-1! tb!", chords="Eb Cm | Bb | Ab:3 Bb7:1 | Eb",
        comp={"alto": "2 2 | 2 2 | 2 4 4 | 1@", "tenor": "2 2 | 2 2 | 2 4 4 | 1@"}, mark="E", dyn="1 p; 1 > 4; 4 pp", timp="R | R | R | E1@",
    )
    s.say(39, "slowing down")
    s.form = "A 1-8 | B 9-16 | C 17-20 | A 21-28 | B 29-36 | coda 37-40"
    return s
