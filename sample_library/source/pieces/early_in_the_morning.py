"""Early in the Morning: the shanty "Drunken Sailor" in cut time, C minor with A naturals, level 2."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

VERSE = (
    "[G4] G4 G8 G G4 G8 G | G4 C, E G | F4 F8 F F4 F8 F | F4 B, D F |"
    "G4 G8 G G4 G8 G | G4 An B C | B4 G F D | C2 C4 r"
)
CHORUS = (
    "[G4] G2> G4. G8 | G4 C, E G | F2> F4. F8 | F4 B, D F |"
    "G2> G4. G8 | G4 An B C | B4 G F D | C2> C4 r"
)
CHORDS = "Cm | Cm | Bb | Bb | Cm | F:2 Bb:2 | Gm:2 Bb:2 | Cm"
BASS = "[C3] C2 G' | C, E | B F' | B, D | C G' | An,4 F D' F | D2 B | C4 G C r"
ANSWER = "[C4] R | r2 r4 G4* | R | r2 r4 F* | R | r4 F8 G B4 D | D4 B C B | G4> r r2"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Early in the Morning", "English-language sea shanty (Drunken Sailor), 19th century; from memory", 2.0, "Cm", "C|",
        ("Heave ho!", "half", 80), "trombone, euphonium, tenor and baritone saxophone; clarinets at C",
        ranges=(("Bb3", "F4"), ("F3", "Eb4")), loudness="mp",
    )
    s.section(
        4, {"drone": "[C3] C2> G' | C,> G' | B,> F' | B,> F'"}, "drone: tu-1 bs bc",
        dyn="1 mp; 1 < 5", drums=("R | R | 2 4 4 | 4 4 8 8 4", "2 2"), timp="C2 G | C G | R | R",
    )
    s.section(
        8, {"tune": VERSE, "bass": BASS},
        "tune: tb-1 eu-1 ts-1; bass: tu-1? bs bc; alto: c2",
        chords=CHORDS, comp={"alto": "r4 4* r 4*"}, mark="A", dyn="1 mf", drums=("2 4 4 | 4 4 4 4", "2 2"), timp="C2 G | C2 r | R | R | C2 G | R | R | C4 G C r",
    )
    s.section(
        8, {"tune": CHORUS, "bass": BASS, "answer": ANSWER},
        "tune: t1 c1 as fl+1 ob?; answer: ml+1; alto: t2 c2; tenor: hn ts; bass: tb eu? tu-1? bs bc",
        chords=CHORDS, comp={"alto": "2> 4. 8 | 4 4 4 4", "tenor": "2> 4. 8 | 4 4 4 4"}, mark="B", dyn="1 f",
        drums=("2 4. 8 | 4 8 8 4 4", "2 2"), timp="C2 G | C2 C4 r | R | R | C2 G | R | R | C4 G C r",
    )
    s.section(
        8,
        {
            "tune": VERSE.replace("G8 G G4 G8 G", "G8* G* G4* G8* G*").replace("F8 F F4 F8 F", "F8* F* F4* F8* F*"),
            "bass": "[C3] C4* r G* r | C* r r2 | B4* r F'* r | B,* r r2 | C4* r G'* r | An,* r B* r | D* r B* r | C* G* C* r",
            "high": "[C5] R | r2 r4 G4* | R | r2 r4 F* | R | R | r4 G8( F E D C D) | C4* r r2",
        },
        "tune: c1; bass: bc bs; high: fl ob ml; alto: as c2; tenor: ts",
        chords=CHORDS, comp={"alto": "r4 4* r 4* | r4 4* r2", "tenor": "r4 4* r 4* | r4 4* r2"}, mark="C", dyn="1 p; 5 < 7; 7 mf",
        drums=("R | r2 r4 4", "R"), timp="R",
    )
    s.section(
        8,
        {
            "tune": VERSE, "bass": "[C3] C1 | C2 E | B1 | B2 D | C1 | F2 B, | G' B, | C2. r4",
            "slow": "[C4] C2( E | E2. C4) | D2( F | D2. B4) | C2( E | F2 D) | D2( F | E2.) r4",
        },
        "tune: t1 t2 ob?; slow: hn as ts; alto: c1 c2; bass: tu-1 bs bc tb eu",
        chords=CHORDS, comp={"alto": "1"}, mark="D", dyn="1 mf; 5 < 8; 8 f", under="tune",
        drums=("2 4 4 | 4 4 4 4", "2 2"), timp="C1 | R | R | R | C1 | R | R | C4 G C r",
    )
    s.repeat(29, 36)
    s.section(
        8, {"tune": CHORUS, "bass": BASS, "answer": ANSWER, "high": CHORUS},
        "tune: t1 c1 as; high: fl+1 ob?; answer: ml+1; alto: t2 c2; tenor: hn ts; bass: tb eu? tu-1? bs bc",
        chords=CHORDS, comp={"alto": "2> 4. 8 | 4 4 4 4", "tenor": "2> 4. 8 | 4 4 4 4"}, mark="E", dyn="1 ff",
        drums=("2> 4. 8 | 4 8 8 4 8 8", "2 2"), timp="C2 G | C2 C4 r | R | R | C2 G | R | R | C4 G C r",
    )
    s.section(
        4,
        {
            "tune": "[B4] B4> G> F> D> | C2>@ r | r1 | C4^ r r2", "low": "[D3] D4> B> D> G,> | C2>@ r | r1 | C4^ r r2",
            "hush": "[G4] R | R | G4* G8* G* G4* An* | G4^ r r2",
        },
        "tune: t1 t2 as ob ml c2-1?; hush: c1 fl+1; low: tb? eu? tu-1? bs? bc ts? hn?",
        dyn="1 f; 3 pp; 4 ff", drums=("4> 4> 4> 4> | 2@ r | R | 4^ r r2", "4 4 4 4 | 2@ r | R | 4^ r r2"),
        timp="R | C2@ r | R | C4^ r r2",
    )
    s.say(45, "broadly")
    s.say(47, "in tempo")
    s.form = "introduction 1-4 | A 5-12 | A' 13-20 | A 21-28 | A 29-36 | A' 37-44 | coda 45-48"
    return s
