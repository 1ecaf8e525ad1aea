"""Hall of the Mountain King: Grieg, G minor, level 3: low instruments first, then faster and louder."""

# fmt: off
# ruff: noqa: E501
from ..setting import Setting

HOME = "[G2] G8* A* B* C* D* B* D4* | C#8* A* C#4* Cn8* Ab* C4* | G8* A* B* C* D* B* D* G* | F8* D* B* D* F4> r"
AWAY = "[D3] D8* En* F#* G* A* F#* A4* | B8* F#* B4* A8* F#* A4* | D,8* En* F#* G* A* F#* A4* | B8* F#* B4* A4> r"
HOME_CHORDS = "Gm | A7:2 Ab:2 | Gm | Bb"
AWAY_CHORDS = "D | Gm:2 D:2 | D | Gm:2 D:2"
HOME_BASS = "[G2] G4* D'* G,* D'* | A* En'* Ab,* Eb'* | G,* D'* G,* D'* | B* F'* B,* F'*"
AWAY_BASS = "[D3] D4* A* D* A* | G* D'* D* A* | D* A* D* A* | G* D'* D* A*"
UP = "[G3] G8* A* B* C* D* B* D4* | C#8* A* C#4* Cn8* Ab* C4* | G8* A* B* C* D* B* D* G* | F8* D* B* D* F4> r"
AWAY_UP = "[D4] D8* En* F#* G* A* F#* A4* | B8* F#* B4* A8* F#* A4* | D,8* En* F#* G* A* F#* A4* | B8* F#* B4* A4> r"


def build() -> Setting:
    """Build the piece."""
    s = Setting(
        "Hall of the Mountain King", "Edvard Grieg, Peer Gynt op. 23 (1875); from memory", 3.0, "Gm", "4/4",
        ("Creeping", "quarter", 96), "bass clarinet, baritone saxophone, euphonium and tuba; clarinets; all",
        composer="Edvard Grieg", ranges=(("Bb3", "F4"), ("F3", "D4")), loudness="p",
    )
    s.section(
        4, {"tune": HOME, "bass": HOME_BASS}, "tune: bc bs eu; bass: tu?", dyn="1 p", drums=("R", "4 r r2"), timp="G4 r D r | R | G4 r D r | R",
    )
    s.section(
        4, {"tune": AWAY, "bass": AWAY_BASS}, "tune: bc bs eu; bass: tu?; alto: c2; tenor: ts",
        chords=AWAY_CHORDS, comp={"alto": "r4 4* r 4*", "tenor": "r4 4* r 4*"}, dyn="1 p", drums=("R", "4 r r2"), timp="D4 r A r | R | D4 r A r | R",
    )
    s.section(
        4, {"tune": UP, "bass": HOME_BASS}, "tune: c1 c2 ts; bass: tu? bc bs; alto: as; tenor: hn",
        chords=HOME_CHORDS, comp={"alto": "r4 4* r 4*", "tenor": "r4 4* r 4*"}, mark="A", dyn="1 mp", drums=("R", "4 r 4 r"), timp="G4 r D r | R | G4 r D r | R",
    )
    s.section(
        4, {"tune": AWAY_UP, "bass": AWAY_BASS}, "tune: c1 ob as; bass: tu? bc? bs? eu?; alto: c2 t2; tenor: hn ts",
        chords=AWAY_CHORDS, comp={"alto": "r4 4* r 4*", "tenor": "r4 4* r 4*"}, dyn="1 mp; 3 < 5", drums=("r4 4 r 4", "4 r 4 r"), timp="D4 r A r | R | D4 r A r | R",
    )
    s.section(
        4, {"tune": UP, "bass": HOME_BASS}, "tune: fl+1 ob+1 c1+1 as ml+1; bass: tu? bc bs eu; alto: c2 t1; tenor: hn ts t2; tenor2: tb",
        chords=HOME_CHORDS, comp={"alto": "r4 4* r 4*", "tenor": "r4 4* r 4*", "tenor2": "r4 4* r 4*"}, mark="B", dyn="1 mf",
        drums=("r4 4 r 4 | r4 8 8 r4 4", "4 r 4 r"), timp="G4 r D r | R | G4 r D r | R", tempo=("Faster", "quarter", 116),
    )
    s.section(
        4, {"tune": AWAY_UP, "bass": AWAY_BASS}, "tune: fl+1 ob c1 as ml; bass: tu? bc? bs? eu?; alto: c2 t1; tenor: hn ts t2; tenor2: tb",
        chords=AWAY_CHORDS, comp={"alto": "r4 4* r 4*", "tenor": "r4 4* r 4*", "tenor2": "r4 4* r 4*"}, dyn="1 mf; 1 < 5",
        drums=("r4 4 r 4 | r4 8 8 r4 4", "4 r 4 r"), timp="D4 r A r | R | D4 r A r | R",
    )
    s.section(
        8, {"tune": f"{UP} | {UP}", "bass": f"{HOME_BASS} | {HOME_BASS}"},
        "tune: fl+1 ob+1 c1+1 as ml+1 t1; bass: tu? bc bs eu tb; alto: c2 t2; tenor: hn ts",
        chords=f"{HOME_CHORDS} | {HOME_CHORDS}", comp={"alto": "r8 8> r 8> r 8> r 8>", "tenor": "r4 4> r 4>"}, mark="C", dyn="1 f; 5 ff",
        drums=("8 8 8 8 8 8 4 | 8 8 4 8 8 4", "4 4 4 4"), timp="G4 G D G | R | G4 G D G | R", tempo=("Faster still", "quarter", 132),
    )
    crash = "4^ r r2 | 4^ r r2 | 4^ 4^ 4^ 4^ | 2^ r | r1 | 1^@"
    s.section(
        6,
        {
            "top": "[G4] G4^ r r2 | G4^ r r2 | G4^ G^ G^ A^ | G2^ r | r1 | G1^@", "mid": "[D4] D4^ r r2 | D4^ r r2 | D4^ D^ Eb^ F#^ | D2^ r | r1 | D1^@",
            "low": "[G2] G4^ r r2 | G4^ r r2 | G4^ G^ C^ D^ | G,2^ r | r1 | G1^@",
        },
        "top: fl+1 ob t1 c1 as ml; mid: c2 t2 hn ts; low: tb eu tu bs bc",
        mark="D", dyn="1 ff", drums=(crash.replace("4^ r r2", "c4^ r r2"), crash), timp="G4 r r2 | G4 r r2 | G4 G r D | G2 r | R | G1@",
    )
    s.form = "A 1-8 | A 9-16 | A 17-24 | A' 25-32 | coda 33-38"
    return s
