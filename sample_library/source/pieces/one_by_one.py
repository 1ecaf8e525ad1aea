"""One by One: new music in G minor, cut time, level 2: four lines that enter in turn and change places."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

SUBJECT = "[G4] G4* G* D'2> | E4( D C2) | A4( B C A) | B4* A* G2"
SECOND = "[B4] B2 B4. A8 | G2( E4 G) | F#4( G A F#) | G2. r4"
THIRD = "[D4] D4. D8 D2> | C4. C8 E2 | D4. D8 D2> | D4* D* B2"
FOURTH = "[G4] G8( A B A G4) G* | C8( D E D C4) C* | A8( G F# G A4) F#* | G4* D* G2"
GROUND = "[G2] G2 B | C C | D D, | G2 G"
SONG = "[D4] D2( E4 F | G2 F) | E4( D C E | D2.) r4 | D2( E4 F | B2 G) | F4( D C E | D2.) r4"
SONG_CHORDS = "Bb | Eb Bb | Cm F7 | Bb | Bb | Gm Eb | Bb F7 | Bb"
SONG_BASS = "[B2] B2 B | E D | C F | B,2. r4 | B2 B | G' E | F F, | B2. r4"
STEPS = "2 2 | 2 2 | 2 2 | 2. r4"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "One by One", "New music", 2.0, "Gm", "C|", ("Steadily", "half", 76),
        "clarinet 2 and bass clarinet, then trumpets, flute and oboe, horn and euphonium; oboe and horn at B", composer="",
        ranges=(("Bb3", "F4"), ("F3", "D4")), loudness="mf",
    )
    s.section(4, {"subject": SUBJECT, "ground": GROUND}, "subject: c2-1 c1-1; ground: bc", dyn="1 mp; 3 < 5")
    s.section(
        4, {"subject": SUBJECT, "second": SECOND, "ground": GROUND}, "subject: t1 t2-1!; second: c1-1 c2-1; ground: bc bs!", dyn="1 mf",
        under="second", drums=("R", "2 r"),
    )
    s.section(
        4, {"subject": SUBJECT, "second": SECOND, "third": THIRD, "ground": GROUND}, "subject: fl+1 ob ml; second: t1; third: c1 c2 t2; ground: bc bs! tu!",
        mark="A", dyn="1 mf; 3 < 5", under="third", drums=("2 2 | 4 4 4 r", "2 r"),
    )
    s.section(
        4, {"subject": SUBJECT, "second": SECOND, "third": THIRD, "fourth": FOURTH, "ground": GROUND},
        "subject: hn-1 eu-1 ts-1 tb-1; second: fl+1 ob; third: t1 t2 c2; fourth: c1 as; ground: bc bs! tu!", dyn="1 f", under="fourth third",
        drums=("2 4 4 | 4 4 4 4", "2 2"), timp="G2 r | R | D2 D | G2 r",
    )
    s.section(
        8, {"tune": SONG, "bass": SONG_BASS}, "tune: ob hn-1; alto: c1 as; tenor: c2 ts; bass: bc bs!",
        chords=SONG_CHORDS, comp={"alto": STEPS, "tenor": STEPS}, mark="B", dyn="1 p; 1 < 2; 3 > 4; 5 mp; 5 < 6; 7 > 9",
    )
    s.section(
        8, {"tune": SONG, "bass": SONG_BASS, "run": "[B5] R | r2 r4 D8( C | B4 A G A | B2.) r4 | R | r2 r4 E8( D | C4 B C A | B2.) r4"}, "tune: t1 eu-1; run: fl ml-1; alto: t2 as; tenor: hn tb; bass: tu! bs! bc",
        chords=SONG_CHORDS, comp={"alto": STEPS, "tenor": STEPS}, mark="C", dyn="1 mf; 1 < 2; 3 > 4; 5 f; 5 < 6; 7 > 9", timp="B2 r | R | R | B2. r4 | R | R | F2 F | B2. r4",
    )
    s.section(
        4, {"subject": SUBJECT, "second": SECOND, "third": THIRD, "fourth": FOURTH, "ground": GROUND},
        "subject: bs-1 bc-1 tu-2!; second: c1 c2-1; third: hn ts tb; fourth: fl+1 ob ml; ground: eu!", mark="D", dyn="1 mp; 2 < 5", under="second third",
        drums=("2 4 4", "R"), timp="R",
    )
    s.section(
        4, {"subject": SUBJECT, "second": SECOND, "third": THIRD, "fourth": FOURTH, "ground": GROUND},
        "subject: t1 as ob; second: c1 t2; third: hn ts c2 tb; fourth: fl+1 ml; ground: eu! bc bs! tu!", dyn="1 f", under="second",
        drums=("2 4 4 | 4 4 8 8 4", "2 2"), timp="G2 B | R | D D | G G",
    )
    s.section(
        4, {"line": "[G4] G4> G> D'2> | E4> D> C2> | A4( B C A) | G4^ r r2", "base": "[G3] G4> G> D'2> | E4> D> C2> | A4( B A F#) | G4^ r r2", "close": "[D4] R | R | F#2 D | B4^ r r2"},
        "line: t1 t2 fl+1 ob c1 as ml; base: tb eu bs! bc hn tu-1!; close: c2 ts", mark="E", dyn="1 f; 3 < 4; 4 ff",
        drums=("4> 4> 2> | 4> 4> 2> | 4 4 8 8 8 8 | 4^ r r2", "4 4 2 | 4 4 2 | 4 4 4 4 | 4 r r2"), timp="G4 G D2 | R | D4 D D D | G4^ r r2",
    )
    s.form = "A 1-8 | A 9-16 | B 17-24 | B 25-32 | A 33-40 | coda 41-44"
    return s
