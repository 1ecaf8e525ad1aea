"""Largo: the song of the New World symphony's slow movement in E flat, level 3, with a C minor middle."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

SONG_1 = "G8.( B16 B4) G8.( F16 E4) | F8( G) B8.( G16) F2 | G8.( B16 B4) G8.( F16 E4) | F8( G) F8.( E16) E2"
SONG_2 = "C8( E) E4 D8( B) C4 | C8( E) D8( B) C2 | C8( E) E4 D8( B) C4 | C8( E) D8( B) C2"
CHORDS_1 = "Eb | Bb/D:2 Bb:2 | Eb:2 Ab:1 Eb:1 | Bb7:1 Bb7:1 Eb:2"
CHORDS_2 = "Ab:2 Gm:1 Cm:1 | Ab:1 Gm:1 Cm:2 | Ab:2 Gm:1 Cm:1 | Ab:1 Gm:1 Cm:2"
BASS_1 = "E2 E | D B | E C4 E | B2 E"
BASS_2 = "[A3] A2 G4 C, | A' G C,2 | A'2 G4 C, | A'4 G C,2"
MIDDLE = "[C5] C4.( D8 E4 D | C2 G) | A4.( G8 F4 A | G2.) r4 | C4.( D8 E4 F | G2 E) | D4( G, Bn D | C2.) r4"
MIDDLE_CHORDS = "Cm:3 G:1 | Cm | Fm | G | Cm | Cm:2 Ab:2 | G7 | Cm"
MIDDLE_BASS = "[C3] C4 G' C, G' | C, G' C, G' | F C F C | G' D G r | C, G' C, G' | C, G' C,2 | G'4 D G G, | "


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Largo from the New World", "Antonín Dvořák, Symphony no. 9 (1893), second movement, the song; from memory; introduction and C minor middle section new",
        3.0, "Eb", "4/4", ("Largo", "quarter", 52), "alto saxophone and oboe; brass choir; flute and clarinet 1 at B",
        composer="Antonín Dvořák", ranges=(("Bb3", "G4"), ("F3", "D4")), loudness="pp",
    )
    s.section(
        4, {"tune": "[G4] G2( A | G1) | A2( G | F1)", "bass": "[E3] E2 F | C1 | F2 E | B1"},
        "tune: t1; alto: t2 hn; tenor: tb; bass: eu tu-1", chords="Eb Fm | Cm | Fm Eb | Bb",
        comp={"alto": "2 2 | 1", "tenor": "2 2 | 1"}, dyn="1 p; 1 < 2; 2 > 3; 3 < 4; 4 > 5", timp="R | R | R | B1",
    )
    s.section(
        4, {"tune": f"[G4] {{Solo}} {SONG_1}", "bass": f"[E3] {BASS_1}"},
        "tune: as; alto: c1 c2; tenor: ts hn; bass: bc eu", chords=CHORDS_1,
        comp={"alto": "1 | 2 2 | 1 | 4 4 2", "tenor": "1 | 2 2 | 2 4 4 | 4 4 2"}, mark="A", dyn="1 p; 1 < 2; 2 > 3; 3 < 4; 4 > 5",
    )
    s.section(
        4, {"tune": SONG_2.replace("C8(", "[C5] C8(", 1), "bass": BASS_2},
        "tune: ob as; alto: c1 c2; tenor: ts hn; bass: bc bs? eu", chords=CHORDS_2,
        comp={"alto": "2 4 4 | 4 4 2", "tenor": "2 4 4 | 4 4 2"}, dyn="1 mp; 2 > 3; 3 p; 4 > 5",
    )
    s.section(
        4, {"tune": f"[G4] {SONG_1}", "bass": f"[E3] {BASS_1}"},
        "tune: as ob ml; alto: c1 c2 t1; tenor: ts hn t2; bass: bc bs? eu tu-1; alto2: fl", chords=CHORDS_1,
        comp={"alto": "1 | 2 2 | 1 | 4 4 2", "alto2": "1 | 2 2 | 1 | 4 4 2", "tenor": "1 | 2 2 | 2 4 4 | 4 4 2"}, dyn="1 mp; 1 < 2; 2 > 3; 3 < 4; 4 > 5",
    )
    s.section(
        8,
        {
            "tune": MIDDLE, "bass": MIDDLE_BASS + "C G' C,2",
            "counter": "[E4] R | r4 E8( F G4 E) | R | r4 D8( E F4 D) | R | r4 E8( D C2) | R | r4 E8( D C2)",
        },
        "tune: fl c1; counter: ts hn; alto: c2 as; tenor: t2; bass: bc bs?; alto2: ob", chords=MIDDLE_CHORDS,
        comp={"alto": "2 2", "alto2": "r4 4 r 4", "tenor": "1"}, mark="B", dyn="1 mp; 3 < 4; 4 > 5; 5 mf; 6 > 9",
        tempo=("A little faster", "quarter", 66),
    )
    s.section(
        8, {"tune": MIDDLE, "bass": MIDDLE_BASS + "C2. r4",
            "echo": "[G5] R | r4 G8( F E4 C) | R | r4 D8( E F4 D) | R | r4 G8( F E2) | R | r4 E8( D C4) r"},
        "tune: t1-1 as-1 c1; echo: fl ob ml-1; alto: c2 t2; tenor: hn ts tb; bass: bc bs? eu tu-1", chords=MIDDLE_CHORDS,
        comp={"alto": "2 2", "tenor": "4 4 4 4"}, dyn="1 f; 3 < 4; 4 > 5; 5 ff; 6 > 9", drums=("R", "4 r r2 | R | R | 4 r r2 | 4 r r2 | R | R | 2 r"), timp="C4 r G r | C2 r | R | G4 r G r | C4 r r2 | R | G4 r G r | C2. r4",
    )
    s.section(
        4, {"tune": f"[G4] {{Soli}} {SONG_1}", "bass": f"[E3] {BASS_1}"},
        "tune: as ob c1; alto: c2 t1; tenor: ts hn; bass: bc eu", chords=CHORDS_1, mark="C",
        comp={"alto": "1 | 2 2 | 1 | 4 4 2", "tenor": "1 | 2 2 | 2 4 4 | 4 4 2"}, dyn="1 p; 1 < 2; 2 > 3; 3 < 4; 4 > 5", tempo=("Largo", "quarter", 52),
    )
    s.section(
        4,
        {"tune": "[G4] G8.( B16 B4) G8.( F16 E4) | F8( G) F8.( E16) E2 | A1( | G)@", "bass": "[E3] E2 C4 E | B2 E | A,2 C | E1@"},
        "tune: as; alto: t1 c2 c1; tenor: hn ts t2; bass: eu tu-1? bc tb", chords="Eb:2 Ab:1 Eb:1 | Bb7:2 Eb:2 | Ab:2 Fm:2 | Eb",
        comp={"alto": "2 4 4 | 2 2 | 2 2 | 1@", "tenor": "2 4 4 | 2 2 | 2 2 | 1@"}, dyn="1 p; 2 > 4; 4 pp", timp="R | R | R | E1@",
    )
    s.say(38, "dying away")
    s.form = "introduction 1-4 | A 5-16 | B 17-24 | B 25-32 | A' 33-40"
    return s
