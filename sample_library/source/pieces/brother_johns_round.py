"""Brother John's Round: the French round in E flat, once in C minor; four entrances, level 1."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

BARS = ["E4 F G E", "E F G E", "G A B2", "G4 A B2", "B8 C B A G4 E", "B'8 C B A G4 E", "E B E2", "E4 B E2"]
MINOR = "C4 D E C | C D E C | E F G2 | E4 F G2 | G8 A G F E4 C | G'8 A G F E4 C | C G C2 | C4 G C2"


def entering(at: int, bars: int) -> str:
    """The round from bar ``at`` on, begun again until ``bars`` are full."""
    again = BARS * 2
    sung = again[: bars - at]
    sung[0] = f"[E4] {sung[0]}"
    if len(sung) > 8:
        sung[8] = f"[E4] {sung[8]}"
    return " | ".join([f"R*{at}"] * bool(at) + sung)


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Brother John's Round", "French round (Frère Jacques), 18th century; from memory", 1.0, "Eb", "4/4",
        ("Merrily", "quarter", 108), "every family in turn: woodwinds, trumpets, clarinets, low brass; low reeds in C minor",
        ranges=(("Bb3", "F4"), ("G3", "D4")), loudness="mf",
    )
    s.section(
        8, {"tune": entering(0, 8), "bass": "[E3] E2 B | E B | E B | E B | E B | E B | E4 D E2 | E4 D E2"},
        "tune: fl+1 ob+1! c1-1! ml+1; bass: bc-1! bs!",
        drums=("4 r 4 r", ""), timp="R | R | R | R | R | R | E4 B E r | E B E r",
    )
    s.section(
        14,
        {"one": entering(0, 14), "two": entering(2, 14), "three": entering(4, 14), "four": entering(6, 14),
         "bell": "[E3] R*8 | E2 B | E B | E B | E B | E4 D E2 | E4 D E r"},
        "one: fl+1 ob+1! ml+1; two: t1 t2 as; three: c1-1! c2-1! ts-1!; four: tb-1 eu-1 bs-1 hn-1!; bell: tu-1! bc-1!",
        mark="A", dyn="1 mf; 9 < 13; 13 f", drums=("4 r 4 r | 4 r 4 r | 4 8 8 4 4 | 4 4 8 8 4", "R | R | R | R | R | R | 4 r 4 r | 4 r 4 r | 4 r 4 r | 4 r 4 r | 4 r 4 r | 4 r 4 r | 4 r 4 r | 4 r 4 r"),
        timp="R | R | R | R | R | R | E4 r B r | E r B r | E r B r | E r B r | E r B r | E r B r | E B E r | E B E r",
    )
    s.section(
        8,
        {"tune": f"[C4] {MINOR}", "bass": "[C3] C2 C | A A | C C | C B | C G | F A | C4 G C2 | C4 G C2",
         "toll": "[G4] G1 | A | G2 C | B1 | G | A2 F | G1 | G"},
        "tune: bs-1 bc-1 eu-1!; toll: fl ob c1!; alto: c2 as; tenor: ts; bass: tu-1!",
        chords="Cm | Ab | Cm | Cm:2 Gm:2 | Cm | Fm | Cm | Cm", comp={"alto": "1", "tenor": "1"},
        mark="B", dyn="1 p; 3 < 5; 5 mp; 7 > 9", drums=("R", "2 r"), timp="C4 r r2 | R | C4 r r2 | R | C4 r r2 | R | C4 G C r | C G C r",
    )
    s.section(
        10,
        {"one": entering(0, 10), "two": entering(2, 10), "bass": "[E3] E2 B | E B | E B | E B | E B | E B | E B | E B | E4 D E2 | E4 D E2"},
        "one: fl+1 ob+1! t1 c1-1! ml+1; two: t2 as hn-1! c2-1! ts-1!; bass: tb eu tu-1! bs! bc-1!",
        mark="C", dyn="1 f; 9 < 11", drums=("4 8 8 4 4 | 4 4 8 8 4", "4 r 4 r"), timp="E4 r B r",
    )
    s.section(
        2, {"tune": "[E4] E4 B E r | E1@", "mid": "[G3] G4 B G r | G1@", "bass": "[E3] E4 B E r | E1@"},
        "tune: fl+1 ob+1! t1 t2 as ml+1; mid: c1 c2 hn! ts; bass: tb eu tu-1! bs! bc-1!", dyn="1 f",
        drums=("4 8 8 4 r | 1@", "4 4 4 r | 1@"), timp="E4 B E r | E1@",
    )
    s.form = "A 1-8 | A' 9-22 | A' 23-30 | A' 31-42"
    return s
