"""Scarborough Fair: D minor coloured by B naturals, 3/4, level 2."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

SONG = (
    "[D4] D2( D4) | A'2( A4) | E4.( F8 E4) | D2. | r4 A'( C) | D2( C4) | A4( Bn G) | A2. |"
    "D2( D4) | C2( A4) | A4( G F) | E2( C4) | D2( A'4) | G2( F4) | E4( D C) |"
)
CHORDS = "Dm | Dm | C | Dm | F | Bb:2 F:1 | G | Dm | Bb | F | Dm | C | Dm | Gm:2 Dm:1 | Am |"
BASS = "[D3] D2. | D2 F4 | C2 G'4 | D2 C4 | F2. | B,2 A4 | G2 Bn4 | D2. | B2 B4 | F'2 C4 | D2. | C2 G4 | D'2 D4 | G2 D4 | A2 A4 |"
WAVE = (
    "[D4] D8( F A F A F) | D( F A F A F) | C( E G E G E) | D( F A F A F) | C( F A F A F) | D( F B F A F) | D( G Bn G Bn G) | D( F A F A F) |"
    "D( F B F B F) | C( F A F A F) | D( F A F A F) | C( E G E G E) | D( F A F A F) | D( G B G A F) | C( E A E A E) | D2."
)
CLAR = "[D4] D8( F A F A F) | D( F A F A F) | C( E G E G E) | D( F A F A F)"
DESCANT = (
    "[A4] A2( D4) | F2 D4 | G2( E4) | F2( D4 | C2.) | r4 D( C) | D2( Bn4) | A4( C D) |"
    "F2. | F4( C A) | D2( A4) | G2. | F4( A D) | D2( F4) | C4( A G) | A2."
)


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Scarborough Fair", "English ballad tune; from memory", 2.0, "Dm", "3/4", ("Flowing", "quarter", 112),
        "flute, then horn and euphonium with an oboe descant; mallets", ranges=(("A3", "F4"), ("F3", "D4")), loudness="p",
    )
    s.section(
        4, {"clar": CLAR, "low": "[D3] D2. | D | C | D"}, "clar: c1; low: bc", dyn="1 p", timp="R",
    )
    s.section(
        16, {"tune": SONG + "D2.", "bass": BASS + "D2.", "clar": WAVE},
        "tune: fl+1; clar: c1; alto: c2; tenor: as; bass: bc", chords=CHORDS + "Dm",
        comp={"alto": "2 4", "tenor": "2 4"}, dyn="5 < 6; 6 mp; 8 > 9; 9 mf; 11 > 13; 13 p", mark="A", under="clar",
    )
    s.section(
        16,
        {
            "tune": SONG + "D2.", "bass": BASS + "D2.", "descant": DESCANT,
            "bells": "[D5] D4 r r | A r r | E r r | D r r | R | R | R | A'4 r r | D r r | C r r | R | E,4 r r | R | R | R | D4 r r",
        },
        "tune: hn-1 eu-1; descant: ob; alto: c1 c2; tenor: as ts tb; bass: bc tu-1? bs; bells: ml",
        chords=CHORDS + "Dm", comp={"alto": "4 4 4", "tenor": "2 4"},
        dyn="1 mp; 5 < 6; 6 mf; 11 > 13; 13 mp", mark="B", under="descant",
    )
    s.section(
        8,
        {
            "tune": "[A4] A4( C F) | E2( C4) | D4( F B) | G2. | A2( F4) | E2( C4) | B4( D G,) | A2.",
            "bass": "[F3] F2. | E2 F4 | B,2 D4 | E2. | D2. | A2 C4 | G2. | A2.",
            "counter": "[F3] F2( A4) | C2. | D2( F4) | E4( D C) | D2. | C2. | B2( D4) | C#2.",
        },
        "tune: fl ob as-1 ml; counter: hn eu-1; alto: c1 c2 t1 t2; tenor: ts tb; bass: bc? bs? tu-1?",
        chords="F | C:2 F:1 | Bb | C | Dm | Am | Gm | A", comp={"alto": "r4 4 4", "tenor": "2 4"},
        dyn="1 mp; 3 < 4; 5 > 8; 8 p", mark="C",
    )
    s.section(
        16, {"tune": SONG + "D2.", "bass": BASS + "D2.", "descant": DESCANT},
        "tune: t1 c1 as; descant: fl ob ml; alto: t2 c2; tenor: hn ts tb; bass: tu-1? bs bc eu",
        chords=CHORDS + "Dm", comp={"alto": "2 4", "tenor": "2 4"},
        dyn="1 mf; 5 < 6; 6 f; 11 > 13; 13 mp", mark="D", drums=("R", "2. | R | R | R"),
        timp="D2. | R | R | D2 D4 | R | R | R | D2. | R | R | R | R | D2. | R | A4 r A | D2.",
    )
    s.section(
        4,
        {"clar": f"{CLAR[: CLAR.rindex('|')]} | D2.@", "low": "[D3] D2. | D | C | D@", "last": "[A4] R | A2. | G | F@"},
        "clar: c1; low: bc tu-1; last: fl+1 hn-1", dyn="1 p; 2 > 4; 4 pp", mark="E",
    )
    s.say(61, "slower")
    s.form = "introduction 1-4 | A 5-20 | A 21-36 | B 37-44 | A 45-60 | coda 61-64"
    return s
