"""The seventeen parts of the sample band, and the written ranges each level allows.

Transpositions are standard facts of orchestration. The ranges of levels one half
to 2 read the letter names of the grading chart of nemusicpub.com/grading and the
octave ranges quoted from "Teaching Music through Performance in Beginning Band"
at banddirectorstalkshop.com; level 3 and 4 are common practice, from memory.
"""

from dataclasses import dataclass, field

from .tones import Tone, tone


@dataclass(frozen=True, slots=True)
class Player:
    """One part of the band: how it is named, sounds and is written."""

    code: str
    name: str
    abbreviation: str
    sound: str
    program: int
    steps: int = 0
    semitones: int = 0
    octaves: int = 0
    clef: str = "G2"
    group: str = ""
    key_shift: int = 0
    ranges: dict[float, tuple[str, str]] = field(default_factory=dict)

    def written(self, concert: Tone) -> Tone:
        """The written tone for a sounding one."""
        octaves = self.octaves if self.group != "percussion" else 0
        return concert.moved(-self.steps - 7 * octaves, -self.semitones - 12 * octaves)

    def allowed(self, level: float) -> tuple[Tone, Tone]:
        """Lowest and highest written tone at a level."""
        low, high = self.ranges[max(at for at in self.ranges if at <= level)]
        return tone(low), tone(high)


def _r(half: str, one: str, one_half: str, two: str, three: str, four: str) -> dict[float, tuple[str, str]]:
    texts = dict(zip((0.5, 1.0, 1.5, 2.0, 3.0, 4.0), (half, one, one_half, two, three, four), strict=True))
    return {level: (text.split("-")[0], text.split("-")[1]) for level, text in texts.items()}


_SAX = _r("G4-F5", "E4-A5", "D4-B5", "C4-C6", "C4-C6", "Bb3-Eb6")
_CLARINET_2 = _r("A3-Bb4", "E3-Bb4", "E3-Bb4", "E3-Bb4", "E3-C6", "E3-F6")
_TRUMPET = _r("C4-Bb4", "Bb3-D5", "B3-D5", "G3-F5", "G3-G5", "G3-Bb5")
_LOW_BRASS = _r("D3-Bb3", "Ab2-C4", "A2-C4", "F2-Eb4", "F2-F4", "E2-G4")
_WIND = "woodwind"

PLAYERS: tuple[Player, ...] = (
    Player("fl", "Flute", "Fl.", "wind.flutes.flute", 74, group=_WIND,
           ranges=_r("Bb4-A5", "Eb4-C6", "F4-D6", "C4-Eb6", "C4-G6", "C4-Bb6")),
    Player("ob", "Oboe", "Ob.", "wind.reed.oboe", 69, group=_WIND,
           ranges=_r("Bb4-A5", "E4-A5", "D4-A5", "C4-B5", "C4-D6", "Bb3-F6")),
    Player("c1", "Clarinet 1", "Cl. 1", "wind.reed.clarinet.bflat", 72, -1, -2, group=_WIND, key_shift=2,
           ranges=_r("A3-Bb4", "E3-Bb4", "E3-G5", "E3-A5", "E3-C6", "E3-F6")),
    Player("c2", "Clarinet 2", "Cl. 2", "wind.reed.clarinet.bflat", 72, -1, -2, group=_WIND, key_shift=2,
           ranges=_CLARINET_2),
    Player("bc", "Bass Clarinet", "B. Cl.", "wind.reed.clarinet.bass", 72, -1, -2, -1, group=_WIND,
           key_shift=2, ranges=_r("A3-Bb4", "E3-Bb4", "E3-Bb4", "Eb3-G5", "Eb3-G5", "Eb3-C6")),
    Player("as", "Alto Saxophone", "A. Sax.", "wind.reed.saxophone.alto", 66, -5, -9, group=_WIND,
           key_shift=3, ranges=_SAX),
    Player("ts", "Tenor Saxophone", "T. Sax.", "wind.reed.saxophone.tenor", 67, -1, -2, -1, group=_WIND,
           key_shift=2, ranges=_SAX),
    Player("bs", "Baritone Saxophone", "B. Sax.", "wind.reed.saxophone.baritone", 68, -5, -9, -1, group=_WIND,
           key_shift=3, ranges=_SAX),
    Player("t1", "Trumpet 1", "Tpt. 1", "brass.trumpet.bflat", 57, -1, -2, group="brass", key_shift=2,
           ranges=_TRUMPET),
    Player("t2", "Trumpet 2", "Tpt. 2", "brass.trumpet.bflat", 57, -1, -2, group="brass", key_shift=2,
           ranges=_TRUMPET),
    Player("hn", "Horn in F", "Hn.", "brass.french-horn", 61, -4, -7, group="brass", key_shift=1,
           ranges=_r("C4-A4", "A3-A4", "A3-B4", "G3-C5", "G3-E5", "F3-G5")),
    Player("tb", "Trombone", "Tbn.", "brass.trombone", 58, clef="F4", group="brass", ranges=_LOW_BRASS),
    Player("eu", "Euphonium", "Euph.", "brass.euphonium", 59, clef="F4", group="brass",
           ranges=_r("D3-Bb3", "Ab2-C4", "A2-C4", "F2-F4", "F2-F4", "E2-G4")),
    Player("tu", "Tuba", "Tba.", "brass.tuba", 59, clef="F4", group="brass",
           ranges=_r("D2-Bb2", "Bb1-C3", "Bb1-D3", "A1-D3", "F1-Eb3", "F1-G3")),
    Player("ml", "Mallets (Bells)", "Mal.", "pitched-percussion.glockenspiel", 10, octaves=2,
           group="percussion", ranges=_r("Bb4-C6", "G4-C6", "G4-C6", "G3-C6", "G3-C6", "G3-C6")),
    Player("dr", "Snare Drum / Bass Drum", "S.D./B.D.", "drum.snare-drum", 1, clef="percussion",
           group="percussion"),
    Player("ti", "Timpani", "Timp.", "drum.timpani", 48, clef="F4", group="percussion",
           ranges=_r("F2-F3", "F2-F3", "F2-F3", "F2-F3", "F2-F3", "D2-G3")),
)  # fmt: skip
XYLOPHONE: dict[float, tuple[str, str]] = _r("G4-C6", "G4-C6", "G4-C6", "F4-G6", "F4-G6", "F4-C7")
BY_CODE = {player.code: player for player in PLAYERS}
