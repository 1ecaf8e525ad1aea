"""Greensleeves: the English tune in D minor, 6/8 in two with B naturals and C sharps, level 2 1/2."""

# fmt: off
# ruff: noqa: E501
from fractions import Fraction

from ..setting import Setting

VERSE = "F4 G8 A8( B A) | G4 E8 C8( D E) | F4 D8 D8( C# D) | E4 C#8 A4 D8 | F4 G8 A8( B A) | G4 E8 C8( D E) | F8( E D) C#( Bn C#) |"
CHORUS = "[C5] C4. C8( B A) | G4 E8 C8( D E) | F4 D8 D8( C# D) | E4 C#8 A4. | [C5] C4. C8( B A) | G4 E8 C8( D E) | F8( E D) C#( Bn C#) |"
BASS = "D4. F | C C | D F | A, A | D F | C C | D A |"
CHORUS_BASS = "[F3] F4. F | C C | D F | A, A | F' F | C C | D A |"
CHORDS = "Dm | C | Dm | A | Dm | C | Dm:1.5 A:1.5 |"
CHORUS_CHORDS = "F | C | Dm | A | F | C | Dm:1.5 A:1.5 |"
HALVES = "4. 4."


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Greensleeves", "English tune, 16th century; from memory", 2.5, "Dm", "6/8", ("Gently, in two", "quarter.", 56),
        "clarinet 1 and flute; euphonium, trombone and baritone saxophone in the second verse with oboe against them; bass clarinet", ranges=(("A3", "F4"), ("F3", "D4")), loudness="p",
        pickup=Fraction(1, 2),
    )
    s.section(
        8, {"tune": f"[D4] D8 | {VERSE} D4. D4 r8", "bass": f"r8 | [D3] {BASS} D4. D4 r8"}, "tune: c1; alto: c2; tenor: as; bass: bc", chords=f"Dm | {CHORDS} Dm",
        comp={"alto": HALVES, "tenor": HALVES}, dyn="1 < 3; 3 > 4; 5 mp; 5 < 7; 7 > 9",
    )
    s.section(
        8, {"tune": f"{CHORUS} D4.~ D4 r8", "bass": f"{CHORUS_BASS} D4. D4 r8"}, "tune: fl+1 ob+1! c1 ml+1!; alto: c2 t1 t2; tenor: as ts hn tb; bass: bc bs! eu! tu!",
        chords=f"{CHORUS_CHORDS} Dm", comp={"alto": "4 8 4 8 || 4. 4 r8", "tenor": f"{HALVES} || 4. 4 r8"}, mark="A", dyn="1 mf; 3 > 5; 5 f; 7 > 9",
        drums=("R", "4. r | R"), timp="F4. r | R | R | A4. A | F4. r | R | R | D4. D4 r8",
    )
    s.section(
        4, {"tune": "[A4] A4( G#8 A4) D8 | C4. A | B4( A8 B4) G8 | A4.~ A4 r8", "bass": "[D3] D4. F | F C | G B | A4.~ A4 r8", "pick": "[D4] R | R | R | r4. r4 D8"},
        "tune: ob; bass: bc bs!; alto: c1 c2; tenor: as ts; pick: eu-1 tb-1", chords="Dm | F | Gm | A", comp={"alto": f"{HALVES} || 4.~ 4 r8", "tenor": f"{HALVES} || 4.~ 4 r8"}, mark="B",
        dyn="1 mp; 1 < 3; 3 > 4; 4@2.5 mf",
    )
    s.section(
        8,
        {"tune": f"[D4] {VERSE} D4. D4 r8", "bass": f"[D3] {BASS} D4. D4 r8", "against": "[A4] A4.( D | E4. G) | F4.( A, | C#4. E) | F4.( A | G4. E) | F4.( E | F4.) F4 r8"},
        "tune: eu-1 tb-1 bs-1; bass: tu! bc; against: ob fl; alto: c1 c2; tenor: as hn ts", chords=f"{CHORDS} Dm",
        comp={"alto": "r4 8 r4 8 || 4. 4 r8", "tenor": "4 8 4 8 || 4. 4 r8"}, mark="C", dyn="1 mf; 1 < 3; 3 > 4; 5 < 7; 7 > 9", under="against",
    )
    s.section(
        8, {"tune": f"{CHORUS} D4.~ D4 r8", "bass": f"{CHORUS_BASS} D4. D4 r8", "over": "[A5] A4. A8( G F) | E4.( C) | F4.( D) | C#4.~ C#4 r8 | A'4. A8( G F) | E4.( C) | A8( B A) E'( D E) | F4.~ F4 r8"},
        "tune: t1 c1 as! ml+1!; over: fl ob-1!; alto: t2 c2; tenor: hn ts; bass: bc! bs! eu! tu! tb!", chords=f"{CHORUS_CHORDS} Dm",
        comp={"alto": "4 8 4 8 || 4. 4 r8", "tenor": f"{HALVES} || 4. 4 r8"}, mark="D", dyn="1 f; 3 > 5; 5 ff; 7 > 9", under="over",
        drums=("4. 4 8", "4. 4."), timp="F4. F | R | R | A4. A | F4. F | R | D4. A | D4. D4 r8",
    )
    s.section(
        4, {"tune": "[F4] F8( E D) C#( Bn C#) | D4.~ D | F8( E D) C#( Bn C#) | D2.@", "bass": "[D3] D4. A | D4. D | D A | D2.@"}, "tune: c1; bass: bc eu; alto: c2; tenor: as hn",
        chords="Dm A | Dm | Dm A | D", comp={"alto": "4. 4. | 2. | 4. 4. | 2.@", "tenor": "4. 4. | 2. | 4. 4. | 2.@"}, mark="E", dyn="1 mp; 2 > 3; 3 p; 3 > 5", timp="R | D4. D4 r8 | R | D2.@",
    )
    s.say(39, "slower")
    s.form = "A 1-8 | B 9-16 | C 17-20 | A 21-28 | B 29-36 | coda 37-40"
    return s
