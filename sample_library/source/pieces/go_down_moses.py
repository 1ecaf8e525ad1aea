"""Go Down, Moses: the spiritual in D minor, low brass first, call and answer, level 1 1/2."""

# fmt: off
# ruff: noqa: E501
from fractions import Fraction

from ..setting import Setting

CALL = "F'4_ F_ E_ E_ | F F D2"
ANSWER = "A4> A> C#> C#>"
VERSE = f"{CALL} | {ANSWER} | D2. A4 | {CALL} | [A3] {ANSWER} |"
CHORUS = "D2> D> | G> G> | A4. A8 C4 A | A2. r4 | A2 G | F( D) | A4> A> C#> C#> |"
CHORDS = "Dm A | Dm Bb | A7 | Dm | Dm A | Dm Bb | A7 |"
BASS = "D2 C# | D B | A A | D2. r4 | D2 C# | D B | A A |"
CHORUS_CHORDS = "Dm | Gm | Dm | A | Dm A7 | Dm Bb | A7 |"
CHORUS_BASS = "D2 C | B B | D F | C#4 E A, r | F'2 E | D B | A A |"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Go Down, Moses", "Spiritual, 19th century; from memory", 1.5, "Dm", "4/4", ("Slow and strong", "quarter", 84),
        "trombone, euphonium and baritone saxophone; clarinets and alto saxophone at B; timpani", ranges=(("A3", "F4"), ("F3", "D4")), loudness="mf",
        pickup=Fraction(1),
    )
    s.section(
        8, {"tune": f"[A3] {{Soli}} A4 | {VERSE} D2. r4", "bass": f"r4 | [D3] {BASS} D2. r4", "knell": "r4 | [D4] R | R | R | r4 D4 D r | R | R | R | r4 D4 D r"},
        "tune: tb-1 eu-1 bs-1; bass: tu-1! bc-1!; knell: hn c2", dyn="1 mf; 3 f; 5 mp; 7 < 9",
        drums=("R", "2 r"), timp="D2 r | D r | A r | D4 D D r",
    )
    s.section(
        8, {"tune": f"[D4] {CHORUS} D2. r4", "bass": f"[D3] {CHORUS_BASS} D2. r4"},
        "tune: t1 as c1 fl+1! ob!; alto: t2 c2; tenor: hn ts; bass: tb eu tu-1! bs! bc-1!", chords=f"{CHORUS_CHORDS} Dm",
        comp={"alto": "2 2 | 2 2 | 4. 8 4 4 | 4 4 4 r | 2 2 | 2 2 | 4 4 4 4 | 2. r4", "tenor": "2 2 | 2 2 | 4. 8 4 4 | 4 4 4 r | 2 2 | 2 2 | 4 4 4 4 | 2. r4"},
        mark="A", dyn="1 f; 5 mf; 6 < 7; 7 f", drums=("4 r r2", "2 r"), timp="D2 r | R | D r | A4 A A r | R | R | A4 A A A | D4 D D r",
    )
    s.section(
        8,
        {"tune": "[F4] F4( F E E | F F D2) | R | r2 r4 A | F'4( F E E | F F D2) | R | R", "bass": "[D3] D2( C# | D B) | R | R | D2( C# | D B) | R | R",
         "reply": f"[A3] R | R | {ANSWER} | D4> D> D2 | R | R | {ANSWER} | D4> F> D2", "ground": "[A2] R | R | A4> A> A> A> | D> D> D2 | R | R | A4> A> A> A> | D> D> D2",
         "mid": "[E3] R | R | E4> E> G> G> | F> F> F2 | R | R | E4> E> G> G> | F> A> F2"},
        "tune: c1 as fl!; bass: bc-1! bs!; alto: c2; tenor: ts; reply: t1 t2; mid: hn; ground: tb eu tu-1!", chords="Dm A | Dm Bb | A7 | Dm | Dm A | Dm Bb | A7 | Dm",
        comp={"alto": "2 2 | 2 2 | R | R", "tenor": "2 2 | 2 2 | R | R"}, mark="B", dyn="1 p; 3 f; 4@3 p; 7 f", drums=("R | R | 4 r 4 r | 4 4 2", "R | R | 4 r 4 r | 4 r r2"),
        timp="R | R | A4 r A r | D D D2",
    )
    s.section(
        8, {"tune": f"[D4] {CHORUS} D2. r4", "bass": f"[D3] {CHORUS_BASS} D2. r4",
            "over": "[F5] F2.( F4 | D2 B) | A4.( D8 D4 F) | E4( C# A) r | D2 C# | D1 | E4> E> E> E> | F2. r4"},
        "tune: t1 as c1; over: fl ob-1! ml!; alto: t2 c2; tenor: hn ts; bass: tb eu tu-1! bs! bc-1!", chords=f"{CHORUS_CHORDS} Dm",
        comp={"alto": "2 2 | 2 2 | 4. 8 4 4 | 4 4 4 r | 2 2 | 2 2 | 4 4 4 4 | 2. r4", "tenor": "2 2 | 2 2 | 4. 8 4 4 | 4 4 4 r | 2 2 | 2 2 | 4 4 4 4 | 2. r4"},
        mark="C", dyn="1 f; 5 < 7; 7 ff", drums=("4 r 4 r | 4 r 4 8 8", "2 2"), timp="D2 D | R | D r | A4 A A r | R | R | A4 A A A | D4 D D r",
    )
    s.section(
        4, {"tune": "[A3] A4_ A_ C#_ C#_ | D2. r4 | A4 A C# C# | D1@", "bass": "[A2] A2 A | D2. r4 | A2 A | D1@"},
        "tune: tb-1 eu-1 bs-1; alto: c1 c2; tenor: hn ts; bass: tu-1! bc-1!", chords="A7 | Dm | A7 | Dm",
        comp={"alto": "2 2 | 2. r4 | 2 2 | 1@", "tenor": "2 2 | 2. r4 | 2 2 | 1@"}, dyn="1 mp; 2 > 3; 3 p; 3 > 5", timp="R | D4 D D r | R | D1@",
    )
    s.say(35, "slower")
    s.form = "A 1-8 | B 9-16 | A' 17-24 | B 25-32 | coda 33-36"
    return s
