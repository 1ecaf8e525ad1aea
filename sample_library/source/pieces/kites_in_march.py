"""Kites in March: new music in C, 2/4, level 2: dotted quarters, xylophone, a break for snare drum and timpani."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

A = "[C5] C4.> G8 | E( G) C4 | B8* C* D* B* | C4_ G_ | A4.> F8 | G( E) C'4 |"
FIRST, SECOND = "A8* C* B* A* | G4 r", "[D5] D8* C* B* D* | C4 r"
A_BASS = "[C3] C4* E* | G* E* | G* G,* | C* E* | F* A,* | C* E* |"
A_CHORDS = "C | C | G | C | F | C | D7 | G | G7 | C"
B = "[A3] A4.> B8 | C( B) A4 | E'8* E* D* B* | C4_ A_ | D4.> D8 | C( D) E4 | D8* C* B* G#* | A4 r"
B_CHORDS = "Am | Am | E7 | Am | Dm | Am | E7 | Am"
B_BASS = "[A2] A4* E'* | A,* C* | G#* E'* | A,* C* | F* F* | C* A* | E'* E,* | A* r"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Kites in March", "New music", 2.0, "C", "2/4", ("Gusty", "quarter", 112),
        "flute, oboe and xylophone; horn, trombone and tenor saxophone at B; snare drum and timpani at C", composer="",
        ranges=(("B3", "G4"), ("E3", "E4")), loudness="f", mallets="Xylophone",
    )
    s.section(
        4, {"up": "[C4] R | R | C8* D* E* F* | G8* A* B4>", "low": "[C3] R | R | C4* E* | G* G,>"}, "up: c1 as ml+1; low: bs bc eu! tu!",
        dyn="1 f; 3 mf; 3 < 5", drums=("8 16 16 8 8 | 4 8 8 | 8 16 16 8 8 | 8 8 4>", "4 4 | 4 r"), timp="C4 G | C r | C G | G8 G G4",
    )
    s.section(
        10, {"tune": A + FIRST + " | " + SECOND, "bass": A_BASS + "F#4* D* | G* G,* | G'* G,* | C* r"},
        "tune: fl+1 ob c1 ml+1; alto: c2 as; tenor: ts hn; bass: bs! bc eu!", chords=A_CHORDS,
        comp={"alto": "r8 8* r 8*", "tenor": "r8 8* r 8*"}, mark="A", dyn="1 mf; 5 < 7; 7 f",
        drums=("4 8 8 | 8 16 16 4", "4 r"), timp="C4 r | R | G r | C r | R | R | R | G r | G G | C r",
    )
    s.endings(5, (11, 12), (13, 14))
    s.section(
        8, {"tune": B, "bass": B_BASS, "flip": "[E5] R | r4 E8* C* | R | r4 E8* C* | R | r4 A8* E'* | R | A8* E* C4*"},
        "tune: hn ts tb-1; flip: fl ob ml; alto: c1; alto2: c2; bass: bs! bc tu! eu!", chords=B_CHORDS,
        comp={"alto": "r8 8* r 8* || r8 8* 4", "alto2": "r8 8* r 8* || r8 8* 4"}, mark="B", dyn="1 mp; 5 < 7; 7 f",
        drums=("4 8 8", "4 r"), timp="R",
    )
    s.section(
        8,
        {"cry": "[G4] R | r4 r8 G> | C4> r | R | R | r4 r8 B> | D4> r | R", "cry2": "[E4] R | r4 r8 E> | E4> r | R | R | r4 r8 F> | F4> r | R", "ground": "[C3] R | r4 r8 C> | C4> r | R | R | r4 r8 G> | G4> r | R"},
        "cry: fl+1 ob t1 ml+1 c1 as; cry2: t2 c2 hn ts; ground: tb! eu tu! bs bc", mark="C", dyn="1 f; 4 mp; 4 < 6; 6 f",
        drums=("8 16 16 8 8 | 8 8 r8 8> | 4> 8 8 | 8 16 16 8 16 16 | 8 8 8 8 | 8 8 r8 8> | 4> 8 16 16 | 8 8 16 16 16 16", "4 r | r r8 8 | 4 r | R | R | r4 r8 8 | 4 r | R"),
        timp="C4 G8 G | C C r C | C4 G8 G | C C C4 | G8 C G4 | C8 C r G | G4 C8 G | G G G4",
    )
    s.section(
        8, {"tune": A + SECOND, "bass": A_BASS + "G'4* G,* | C* r", "over": "[G5] G4. E8 | C4 G' | D8* E* F* D* | E4_ C_ | F4. C8 | E( G) E4 | F8* E* D* F* | E4 r"},
        "tune: t1 c1 as ml+1; over: fl ob-1!; alto: t2 c2; tenor: hn ts tb; bass: eu! tu! bs! bc!", chords="C | C | G | C | F | C | G7 | C",
        comp={"alto": "r8 8* r 8* || 4 r", "tenor": "4* 4* || 4 r"}, mark="D", dyn="1 f", drums=("4 8 8 | 8 16 16 4", "4 4"), timp="C4 G | C r | G r | C r | R | C r | G G | C r",
    )
    s.section(
        6, {"tune": "[A4] A4.> F8 | G( E) C'4 | A4.> A8 | G8* A* B* G* | C4> G8* G* | C4^ r", "bass": "[F3] F4* A,* | C* E* | F* D* | G* G,* | C> E* | C^ r"},
        "tune: t1 c1 as fl+1 ml+1 ob; alto: t2 c2; tenor: hn ts tb; bass: eu! tu! bs! bc!", chords="F | C | Dm | G7 | C | C",
        comp={"alto": "r8 8* r 8* | r8 8* r 8* | r8 8* r 8* | 4* 4* | 4> 4* | 4^ r", "tenor": "r8 8* r 8* | r8 8* r 8* | r8 8* r 8* | 4* 4* | 4> 4* | 4^ r"}, mark="E",
        dyn="1 mf; 1 < 5; 5 ff", drums=("4 8 8 | 8 16 16 4 | 4 8 8 | 8 8 16 16 16 16 | 4> 8 8 | 4^ r", "4 4 | 4 4 | 4 4 | 4 4 | 4 4 | 4 r"), timp="R | C4 r | R | G G | C G | C^ r",
    )
    s.form = "introduction 1-4 | A 5-14 | B 15-22 | C 23-30 | A 31-38 | coda 39-44"
    return s
