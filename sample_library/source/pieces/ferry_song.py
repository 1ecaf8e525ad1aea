"""Ferry Song: a new waltz song in F with a horn and tenor counter-melody, level 1 1/2."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

A = "[A4] A2( B4) | C2( A4) | G4( A B) | A2. | D2( C4) | B4( A G) | A4( G F) | G2. |"
A_END = "[A4] A2( B4) | C2( A4) | G4( A B) | A2( F4) | D4( E F) | G2( E4) | F2.~ |"
BASS = "[F3] F2. | A2 F4 | E2 C4 | F2. | B,2 A4 | G2 B4 | C2 D4 | C2. |"
BASS_END = "[F3] F2. | A2 F4 | E2 C4 | D2 C4 | B2. | C2. | A2 G4 |"
CHORDS = "F | F | C7 | F | Bb:2 F:1 | Gm | F:2 Dm:1 | C |"
CHORDS_END = "F | F | C7 | Dm | Bb | C7 | F |"
COUNTER = "[C4] C4( D C) | F,2( A4) | C2( G4) | A4( C A) | F4( G A) | D2. | F,2( A4) | E'4( D C) |"
COUNTER_END = "[C4] C4( D C) | F,2( A4) | C2( E4) | A,2( D4) | D2. | B2( C4) | A2( C4) |"
B = "[D4] D2( F4) | A2( G4) | F4( E D) | E2. | D2( F4) | A2( B4) | A4( G E) | F2."
B_BASS = "[D3] D2. | D2 E4 | D2 G4 | C2. | D2. | F2 G4 | C2. | F2."
B_CHORDS = "Dm | Dm:2 C:1 | Dm:2 Gm:1 | C | Dm | F:2 Gm:1 | C7 | F"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Ferry Song", "New music", 1.5, "F", "3/4", ("Swaying", "quarter", 108),
        "clarinet 1 and alto saxophone; horn and tenor saxophone with the counter-melody at B; oboe at C", composer="",
        ranges=(("C4", "F4"), ("F3", "D4")), loudness="p",
    )
    s.section(
        4, {"rock": "[F3] F2. | C2. | F2. | C2.", "wave": "[A4] R | R | A4( B A) | G2.", "wave2": "[F4] R | R | F4( G F) | E2."},
        "rock: bc-1! eu tu-1!; wave: c1; wave2: c2", dyn="1 p; 3 < 5", drums=("R", "2. | R"),
    )
    s.section(
        16, {"tune": A + A_END + "F2.", "bass": BASS + BASS_END + "F2."}, "tune: c1 as; alto: c2; tenor: ts; bass: bc-1! bs! eu!",
        chords=CHORDS + CHORDS_END + "F", comp={"alto": "r4 4 4 || 2.~ | 2.", "tenor": "r4 4 4 || 2.~ | 2."}, mark="A", dyn="1 mp; 5 mf; 7 > 9; 9 mp; 12 < 14; 14 > 16",
        drums=("R | R | R | r4 4 4", "2. | R | R | R"),
    )
    s.section(
        8, {"tune": A, "bass": BASS, "counter": COUNTER}, "tune: fl! as ml!; counter: hn ts; alto: c1 c2 t1 t2; bass: tb! eu! tu-1! bs! bc-1!",
        chords=CHORDS, comp={"alto": "r4 4 4"}, mark="B", dyn="1 mf; 5 f; 7 > 9", drums=("4 r r | 4 4 4", "4 r r"), timp="F2. | R | C2. | F2. | R | R | R | C2.",
    )
    s.section(
        8, {"tune": B, "bass": B_BASS, "ring": "[A5] R | R | R | G4 E C | R | R | R | A'4 F C"}, "tune: ob as; ring: ml fl; alto: c1 t1 t2; tenor: c2 ts; bass: bc-1! bs! eu! tb!",
        chords=B_CHORDS, comp={"alto": "2 4", "tenor": "2 4"}, mark="C", dyn="1 p; 5 < 7; 7 mf", under="ring",
    )
    s.section(
        8, {"tune": A_END + "F2.", "bass": BASS_END + "F2.", "counter": COUNTER_END + "A2."},
        "tune: fl! t1 c1 ob!; counter: hn ts as; alto: c2 t2; bass: tb! eu! tu-1! bs! bc-1!", chords=CHORDS_END + "F",
        comp={"alto": "r4 4 4 || 2.~ | 2."}, mark="D", dyn="1 f; 4 < 5; 6 > 8; 8 mp", drums=("4 r r | 4 4 4 | 4 r r | 4 4 4 | 4 r r | 4 4 4 | 4 r r | R", "4 r r | 4 r r | 4 r r | 4 r r | 4 r r | 4 r r | 4 r r | R"),
        timp="F2. | R | C2. | R | R | C2. | F2. | R",
    )
    s.section(
        4, {"tune": "[A4] A2( B4) | C2( D4 | C2.)~ | C2.@", "bass": "[F3] F2. | A,2 B4 | F'2.~ | F2.@"}, "tune: c1 fl; alto: c2 as; tenor: hn ts; bass: bc-1! bs! eu tu-1!",
        chords="F | F:2 Bb:1 | F | F", comp={"alto": "2 4 | 2 4 | 2.~ | 2.@", "tenor": "2 4 | 2 4 | 2.~ | 2.@"}, dyn="1 p; 2 > 4; 4 pp",
    )
    s.say(46, "rit.")
    s.form = "introduction 1-4 | A 5-20 | A' 21-28 | B 29-36 | A' 37-44 | coda 45-48"
    return s
