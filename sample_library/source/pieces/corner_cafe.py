"""Corner Café: new music in D minor over a dotted bass, chromatic neighbours, level 2, with D.S. al Coda."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

A = "[A4] A4.( G#8 A4) D | B4( A G2) | G4.( F#8 G4) E | A4( G F2) | A4.( G#8 A4) D | D4( B G2) | F4.( E8 D4) E | D2. r4"
A_CHORDS = "Dm | Gm | A7 | Dm | Dm | Gm | Dm:3 A7:1 | Dm"
A_BASS = "[D3] D4. A8 D4 A | G4. D'8 G,4 B | A4. E'8 A,4 E' | D4. A8 D4 A | D4. A8 D4 D | G,4. D'8 B4 G | A4. A8 A4 A | D4. A8 D4 r"
COUNTER = "[F3] F2( D') | D2( B) | C#2( A) | F2( A) | F2( D') | B2( D) | D2.( C#4 | D2.) r4"
C = "[C5] C4.( A8 F4) A | G4( A B2) | B4.( G8 E4) G | F4( G A2) | C4.( A8 F4) A | B4( C D2) | D4.( C8 B4) G | A2. r4"
C_CHORDS = "F | C7 | C7 | F | F | Bb | Gm | A7"
C_BASS = "[F3] F4. C8 F4 C | C4. G8 C4 E | C4. G8 C4 E | F4. C8 F4 C | F4. C8 F4 C | B4. F'8 B,4 D | G,4. D'8 G,4 B | A4. E'8 A,4 r"
SWAY = "4. 8* 4* 4*"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Corner Café", "New music", 2.0, "Dm", "4/4", ("Swaying, not fast", "quarter", 112),
        "clarinets and alto saxophone; trombone and tenor saxophone with the counter-melody at B; trumpets and flute at C", composer="",
        ranges=(("A3", "F4"), ("F3", "D4")), loudness="mp",
    )
    s.section(
        4, {"sway": "[D3] D4. A8 D4 A | D4. A8 D4 A | D4. A8 D4 A | D4. A8 C#4 A", "turn": "[A4] R | R | r2 r4 A | G#4( A B C#)"},
        "sway: bs bc eu tu!; turn: c1 as", dyn="1 mp; 3 < 5", drums=("R | R | 4. 8 4 4 | 4. 8 8 8 4", "4 r 4 r"), timp="D4 r D A | D r D A | D r D A | D r r A",
    )
    s.section(
        8, {"tune": A, "bass": A_BASS}, "tune: c1 as; alto: c2; tenor: ts hn; bass: bs! bc!", chords=A_CHORDS,
        comp={"alto": "r4 r8 8* 4* r || 4 r r2", "tenor": "r4 r8 8* 4* r || 4 r r2"}, mark="A", dyn="1 mf; 5 mp; 7 < 9", drums=("4. 8 4 4", ""),
    )
    s.section(
        8, {"tune": A, "bass": A_BASS, "counter": COUNTER}, "tune: fl+1 ob c1 t1; counter: tb ts as; alto: c2 t2; tenor: hn; bass: bs! bc! eu! tu!",
        chords=A_CHORDS, comp={"alto": f"{SWAY} || 2. r4", "tenor": f"{SWAY} || 2. r4"}, mark="B", dyn="1 f; 5 mf; 7 < 9", under="counter",
        drums=("4. 8 4 4 | 4. 8 4 8 8", "4 r 4 r"), timp="D4. A8 D4 A | R | A4. A8 A4 r | D4. A8 D4 r | D4. A8 D4 A | R | A4 r r A | D4. A8 D4 r",
    )
    s.section(
        8, {"tune": C, "bass": C_BASS, "trim": "[A5] R | r2 r4 B8* G* | E4* r r2 | r2 r4 A8* F* | C4* r r2 | R | R | r2 E8( F E C#)"},
        "tune: t1 ob c1; trim: fl ml; alto: t2 c2; tenor: as hn; bass: bs! bc! tu! eu! tb!", chords=C_CHORDS,
        comp={"alto": "r4 r8 8* 4* 4*", "tenor": "r4 r8 8* 4* 4*"}, mark="C", dyn="1 mf; 5 f; 7 > 9", drums=("4. 8 4 4", "4 r 4 r"), timp="F4. C8 F4 C | R | C4. C8 C4 r | F r r2 | F4. C8 F4 C | R | R | A4. A8 A4 r",
    )
    s.section(
        6,
        {"tune": "[B4] B4.( A8 G4) B | A4.( G#8 A4) D | F,4.( E8 D4) E | D2.> r4 | R | r2 D4* D^", "bass": "[G2] G4. D'8 G,4 G | F4. F8 F4 F | A4. A8 A4 A | D2.> r4 | R | r2 D4* D^",
         "counter": "[D4] D2( B) | A2( D) | D2.( C#4 | D2.)> r4 | R | r2 D4* D^"},
        "tune: fl+1! ob! c1 t1 ml+1!; counter: tb ts as; alto: c2 t2; tenor: hn; bass: bs! bc! eu! tu!", chords="Gm | Dm | Dm:3 A7:1 | Dm | Dm | Dm",
        comp={"alto": f"{SWAY} | {SWAY} | {SWAY} | 2.> r4 | R | r2 4* 4^", "tenor": f"{SWAY} | {SWAY} | {SWAY} | 2.> r4 | R | r2 4* 4^"}, mark="D",
        dyn="1 mf; 1 < 4; 4 f; 5 p; 6 f", drums=("4. 8 4 4 | 4. 8 4 8 8 | 4. 8 4 4 | 4> 8 8 4 4 | 4. 8 4 4 | 4. 8 4* 4^", "4 r 4 r | 4 r 4 r | 4 r 4 r | 4 r r2 | R | r2 4 4"), timp="R | A4. A8 r2 | A4 r r A | D2. r4 | R | r2 D4 D^",
    )
    s.jump("segno", 5)
    s.jump("to-coda", 20)
    s.jump("ds-coda", 28)
    s.jump("coda", 29)
    s.form = "introduction 1-4 | A 5-12 | A 13-20 | B 21-28 | coda 29-34"
    return s
