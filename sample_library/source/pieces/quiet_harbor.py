"""Quiet Harbor: a new chorale in B flat, level 2; its middle section in G minor shows by its F sharps."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

TUNE = "F2( G4 A | B2 F) | G4( F E D | C2.) r4 | D2( E4 F | G2 F4 E) | D4( B C C | B2.) r4"
BASS = "[B2] B2 E4 D | G2 D | E4 D C B | F2. r4 | G2 C4 A | E'2 D4 C | D4 G F F | B,2. r4"
CHORDS = "Bb:2 Eb:1 Dm:1 | Gm Bb | Eb:1 Bb:1 Cm:1 Bb:1 | F | Gm:2 Cm:1 F:1 | Eb:2 Bb:1 Cm:1 | Bb:1 Gm:1 F7:2 | Bb"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Quiet Harbor", "New music", 2.0, "Bb", "4/4", ("Broad and warm", "quarter", 72),
        "woodwind choir, then brass choir; alto saxophone and clarinets in the G minor section",
        composer="", ranges=(("C4", "F4"), ("F3", "D4")), loudness="mp",
    )
    comp = {"alto": "2 4 4 | 2 2 | 4 4 4 4 | 2. r4 | 2 4 4 | 2 4 4 | 4 4 2 | 2. r4"}
    comp["tenor"] = comp["alto"]
    s.section(
        8, {"tune": f"[F4] {TUNE}", "bass": BASS},
        "tune: fl+1 c1; alto: ob c2 as; tenor: ts; bass: bc bs",
        chords=CHORDS, comp=comp, dyn="1 < 2; 3 > 4; 5 mp; 5 < 6; 7 > 9",
    )
    s.section(
        8, {"tune": f"[F4] {TUNE}", "bass": BASS},
        "tune: t1; alto: t2; tenor: hn tb; bass: eu tu-1?", chords=CHORDS, comp=comp,
        dyn="1 mf; 1 < 2; 3 > 4; 5 < 6; 6 f; 7 > 9", mark="A", timp="B2 r | R | R | F2. r4 | R | R | r2 F2 | B2. r4",
    )
    s.section(
        8,
        {
            "tune": "[D4] D2( G4 A | B4 A G2) | A4( D, F# A | G2 D) | G2( A4 B | C2 B4 A) | B4( G A F# | G2.) r4",
            "bass": "[G3] G2 G4 F# | G4 D G2 | D2 C | B2 G | E'2 F4 D | C2 G4 D' | G4 B, D2 | G,2. r4",
            "echo": "[B4] R | r2 r4 B8( C | D2) r | r4 B8( A G2) | R | r2 r4 D'8( C | B4) r r2 | r4 D8( C B4) r",
        },
        "tune: as c1; echo: fl+1 ob; alto: c2; tenor: ts hn; bass: bc bs? eu",
        chords="Gm:3 D:1 | Gm:1 D:1 Gm:2 | D:2 D7:2 | Gm | Eb:2 F:1 Bb:1 | Cm:2 Gm:1 D:1 | Gm:2 D:2 | Gm",
        comp={
            "alto": "2 4 4 | 4 4 2 | 2 2 | 1 | 2 4 4 | 2 4 4 | 4 4 2 | 2. r4",
            "tenor": "2 4 4 | 4 4 2 | 2 2 | 1 | 2 4 4 | 2 4 4 | 4 4 2 | 2. r4",
        },
        dyn="1 p; 1 < 2; 3 > 4; 5 mp; 5 < 6; 7 > 9", mark="B", under="echo",
    )
    s.section(
        4,
        {
            "tune": "[F4] F4( G F D | B2 C) | D4( F A B | C2.)> r4", "bass": "[D3] D2 B | G' E | D F | F2. r4",
        },
        "tune: t1 as; alto: c1 c2; tenor: ts hn; bass: eu bc bs? tu-1",
        chords="Bb | Gm Cm | Bb F | F", comp={"alto": "2 2", "tenor": "2 2"}, dyn="1 mp; 1 < 5", mark="C",
        timp="R | R | R | F2. r4",
    )
    s.section(
        8, {"tune": f"[F4] {TUNE}", "bass": BASS, "high": "[D5] D2( E4 C | D2 B) | B2 C4 B | C4( A F A) | B2( C4 A | B2 B4 C) | D4 D C2 | D2. r4"},
        "tune: t1 fl+1 c1 ml+1; high: ob; alto: t2 c2 as; tenor: hn ts tb; bass: eu tu-1? bc bs",
        chords=CHORDS, comp=comp, dyn="1 f; 1 < 2; 2 ff; 3 f; 5 < 6; 7 > 9", mark="D",
        drums=("R", "2 r | R | R | 2. r4 | R | R | r2 2 | 2. r4"), timp="B2 r | R | R | F2. r4 | R | R | r2 F2 | B2. r4",
    )
    s.section(
        4, {"tune": "[F4] G2( F4 E | D2.) r4 | E1( | D1)@", "bass": "[B2] E2 C | G'2. r4 | E1 | B1@"},
        "tune: c1 fl+1 t1 ob; alto: c2 as t2; tenor: hn ts tb; bass: eu tu-1? bc bs",
        chords="Eb Cm | Gm | Eb | Bb", comp={"alto": "2 2 | 2. r4 | 1 | 1@", "tenor": "2 2 | 2. r4 | 1 | 1@"},
        dyn="1 mp; 2 > 3; 3 p; 3 > 5", timp="R | R | R | B1@",
    )
    s.say(38, "rit.")
    s.form = "A 1-8 | A 9-16 | B 17-24 | C 25-28 | A 29-36 | coda 37-40"
    return s
