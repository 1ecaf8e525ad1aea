"""Theme of Joy: Beethoven's melody, level 1, with first and second endings."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

A1 = "[D4] D4 D E F | F E D C | B B C D | D4. C8 C2 |"
A2 = "D4 D E F | F E D C | B B C D | C4. B8 B2"
B = "[C4] C4 C D B | C D8 E D4 B | C D8 E D4 C | B C F2 |"
BASS = "[B2] B2 B | F' A | G F | F F | B, B | F' F | G F | F4 F B,2"
CHORDS = "Bb | F F7 | Gm F7 | Bb F | Bb | F7 | Gm F7 | F Bb"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Theme of Joy", "Ludwig van Beethoven, Symphony no. 9 (1824), fourth movement; from memory", 1.0, "Bb",
        "4/4", ("Allegro moderato", "quarter", 104), "clarinets and flutes, then trumpets; low brass at C",
        composer="Ludwig van Beethoven", ranges=(("Bb3", "Eb4"), ("F3", "D4")), loudness="f",
    )  # fmt: skip
    s.section(
        4,
        {
            "tune": "[F4] F4> F F2 | E4 D C2 | D4> D D2 | C1",
            "second": "[D4] D4> D D2 | C4 B A2 | B4> B B2 | A1",
            "bass": "[B2] B2 B | C F | B B | F1",
        },
        "tune: t1 fl+1 ob+1 c1 ml+1; second: t2 c2 as; bass: tb eu tu-1? bs? bc?; second: hn? ts",
        drums=("4 4 4 4 | 4 8 8 4 4", "2 2"), timp="B4 r B r | B r F r | B r B r | F4 F F2",
    )  # fmt: skip
    s.section(
        8, {"tune": A1 + A2, "bass": BASS}, "tune: fl+1 c1; alto: c2 as; tenor: ts; bass: bc? bs?",
        chords=CHORDS, comp={"alto": "2 2", "tenor": "1"}, dyn="1 mp; 5 < 7; 7 > 9", mark="A",
        drums=("4 r 4 r", ""),
    )  # fmt: skip
    s.section(
        8, {"tune": A1 + A2, "bass": BASS},
        "tune: t1 ob+1 ml+1; alto: t2 c2 as; alto2: c1 fl+1; tenor: hn ts; bass: tb eu tu-1? bc? bs?",
        chords=CHORDS, comp={"alto": "2 2", "alto2": "4* 4* 4* 4*", "tenor": "2 2"}, dyn="1 mf", mark="B",
        drums=("4 8 8 4 4", "4 r 4 r"), timp="B4 r B r | F r F r | B r F r | F2 F",
    )  # fmt: skip
    s.section(
        10,
        {
            "tune": B + "[D4] D4 D E F | F E D C | B B C D | D4. C8 C2 | B4 B C D | C4. B8 B2",
            "bass": "[F3] F2 B, | F' B, | F' F | G4 F B,2 | B B | F' F | G F | F F | G F | F4 F B,2",
        },
        "tune: tb-1 eu-1 as t1; alto: c1 c2 t2; alto2: fl+1 ob+1 ml+1; tenor: hn ts; bass: tu-1? bs? bc?",
        chords="F7 Bb | F7 Bb | F7 F | Gm:1 F:1 Bb:2 | Bb | F F7 | Gm F7 | Bb F | Gm F7 | F Bb",
        comp={"alto": "2 2", "alto2": "r4 4* r 4*", "tenor": "1"}, dyn="1 f; 4@2 > 5; 5 mf; 5 < 7; 9 f",
        mark="C", drums=("4 8 8 4 8 8", "4 r 4 r"), timp="F4 r B r | F r B r | F r F r | R | B r B r | F r F r | R | F2 F | R | F2 B",
    )  # fmt: skip
    s.endings(21, (27, 28), (29, 30))
    s.section(
        4,
        {
            "tune": "[F4] F4> F F2 | E4 D C2 | D4> D C> C | B1@",
            "second": "[D4] D4> D D2 | C4 B A2 | B4> B A> A | B1@",
            "bass": "[B2] B2 B | C F | B4> B F> F | B1@",
        },
        "tune: t1 fl+1 ob+1 c1 ml+1; second: t2 c2 as; bass: tb eu tu-1? bs? bc?; second: hn? ts",
        dyn="1 ff; 3 < 4", mark="D", drums=("4 4 4 4 | 4 8 8 4 4 | 4> 4> 4> 4> | 1@", "2 2 | 2 2 | 2 2 | 1@"),
        timp="B4 r B r | B r F r | B r F F | B1@",
    )  # fmt: skip
    s.form = "introduction 1-4 | A 5-12 | A 13-20 | B 21-30 | coda 31-34"
    return s
