"""Switchback: new music in 5/4 (2 + 3), E flat with a middle section in C minor, level 3."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

A = "[B4] B4> G* B4.( C8 B4) | A4> F* A4.( B8 A4) | G4> E* G4.( A8 G4) | F2 F4* G* A* | B4> G* B4.( C8 D4) | E2 C4( B A) | A4* F* D4.( E8 F4) | E2~ E2."
A_CHORDS = "Eb | Bb7 | Cm | Bb | Eb | Ab | Bb7 | Eb"
A_BASS = "[E3] E2 B4* G* B* | B2 D4* F* B,* | C2 E4* C* E* | B2 F'4* D* B* | E2 B4* G* B* | A2 C4* E* A* | B,2 F'4* D* B* | E2 B4* E,2"
B = "[E4] E2( D4 Bn D | E2 G2.) | A2( F4 A F | D2~ D2.) | E2( D4 C D | E2 A2.) | E4( G F D Bn | C2~ C2.)"
B_CHORDS = "Cm:2 G:3 | Cm | Fm | G | Cm:2 Gm:3 | Ab | Cm:2 G7:3 | Cm"
B_BASS = "[C3] C2 G2. | C2 E2. | F2 C2. | G2 D'2. | C2 B2. | A2 C2. | G2 G2. | C2~ C2."
PUSH = "4* 4* r 4* 4*"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Switchback", "New music", 3.0, "Eb", "5/4", ("With a swing, 2 + 3", "quarter", 138),
        "bass clarinet, baritone saxophone and tuba in the figure of the bass; clarinet 1 and alto saxophone; horn and tenor saxophone at C", composer="",
        ranges=(("Bb3", "G4"), ("G3", "Eb4")), loudness="mf",
    )
    s.section(
        4,
        {"bass": "[E3] E2 B4* G* B* | E2 B4* G* B* | E2 B4* G* B* | B2 D4* F* D*", "push": "[G3] R | R | G4* G* r G* G* | A* A* r A* A*", "push2": "[E4] R | R | R | D4* D* r D* D*"},
        "bass: tu! bs! bc eu; push: hn ts; push2: as c2", dyn="1 mp; 3 < 5", drums=("R | R | 4 4 4 8 8 4 | 4 4 8 8 8 8 4", "R | R | 2 2. | 2 2."), timp="R | R | E2 E2. | B2 B2.",
    )
    s.section(
        8, {"tune": A, "bass": A_BASS}, "tune: c1 as; alto: c2; tenor: ts hn; bass: bc! bs! tu!", chords=A_CHORDS,
        comp={"alto": PUSH + " || 2~ 2.", "tenor": PUSH + " || 2~ 2."}, mark="A", dyn="1 mf; 5 < 6; 6 f; 7 > 9", drums=("4 4 4 8 8 4", "2 2."),
    )
    s.section(
        8,
        {"tune": A, "bass": A_BASS, "reply": "[E5] R | R | R | r2 D4* D* F* | R | C2( E4 C E) | R | r2 B8( C D B E4)"},
        "tune: t1 fl! ob! ml; reply: c1; alto: t2 c2 as; tenor: hn ts tb; bass: bc! bs! tu! eu!", chords=A_CHORDS,
        comp={"alto": PUSH + " || 2~ 2.", "tenor": PUSH + " || 2~ 2."}, mark="B", dyn="1 f; 3 mf; 5 < 6; 6 f; 7 > 9",
        drums=("4> 4 4 8 8 4 | 4> 4 8 8 4 4", "2 2."), timp="E2 E2. | R | R | B2 B2. | E2 r2. | R | B2 B2. | E2 r2.",
    )
    s.section(
        8, {"tune": B, "bass": B_BASS, "high": "[G5] R | r2 E4( F G) | R | r2 Bn,4( D F) | R | r2 E4( D C) | R | R"},
        "tune: hn ts; high: fl ob; alto: c1; tenor: c2 as; bass: bc! eu tu!", chords=B_CHORDS, comp={"alto": "2 2.", "tenor": "2 2."}, mark="C",
        dyn="1 mp; 3 < 4; 4 > 5; 5 mp; 5 < 6; 7 > 9", drums=("R", "2 r2. | R"), timp="C2 r2. | R | R | G2 r2. | R | R | R | R", under="high",
    )
    s.section(
        8,
        {"tune": A, "bass": A_BASS, "line": "[G3] G2( E'2. | D2 A2.) | E'2( C2. | D2) D4* D* F* | E2( G2. | C,2 E2.) | D2( A2. | G2~ G2.)"},
        "tune: t1 fl c1 ob! ml; line: hn ts; alto: t2 c2 as; bass: bc! bs! tu! tb! eu!", chords=A_CHORDS,
        comp={"alto": PUSH + " || 2~ 2."}, mark="D", dyn="1 f; 5 < 6; 6 ff; 7 > 9", under="line",
        drums=("4> 4 4> 8 8 4 | 4> 4 8> 8 8 8 4", "2 2."), timp="E2 E2. | B2 r2. | R | B2 B2. | E2 r2. | R | B2 B2. | E2 r2.",
    )
    s.section(
        4, {"tune": "[B4] B4> G* B4.( C8 B4) | B4> G* B4.( C8 D4) | E2> B4* G* B* | E,4^ r r r2", "bass": "[E3] E2 B4* G* B* | E2 B4* G* B* | E2> B4* G* B* | E4^ r r r2"},
        "tune: t1 fl c1 as ml ob; alto: t2 c2; tenor: hn ts tb; bass: bc! bs! tu! eu!", chords="Eb | Eb | Eb | Eb",
        comp={"alto": f"{PUSH} | {PUSH} | 2> 4* 4* 4* | 4^ r r r2", "tenor": f"{PUSH} | {PUSH} | 2> 4* 4* 4* | 4^ r r r2"}, mark="E", dyn="1 p; 1 < 3; 3 f; 4 ff",
        drums=("4 4 4 8 8 4 | 4 4 8 8 8 8 4 | 4> 4 4 4 4 | 4^ r r r2", "2 2. | 2 2. | 2 4 4 4 | 4 r r r2"), timp="E2 r2. | E2 r2. | E2 B4 E B | E^ r r r2",
    )
    s.form = "introduction 1-4 | A 5-12 | A 13-20 | B 21-28 | A 29-36 | coda 37-40"
    return s
