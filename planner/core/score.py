"""The neutral score: what is printed on the page, exactly, and nothing derived from it.

Time is in quarter notes as ``Fraction``. ``measure`` is always the 0-based
position of the written measure; the printed number is ``Measure.number``. An
``onset_quarters`` beside a ``measure`` counts from the start of that measure.
Pitches are *written* (as the player sees them); ``Part.transposition_at`` says
how they sound.
"""

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from planner.core.issue import Issue
from planner.core.pitch import CONCERT, Pitch, Transposition


@dataclass(frozen=True, slots=True)
class TimeSignature:
    """A printed time signature.

    ``groups`` holds one entry for each printed fraction: ``(((3, 2), 8),)`` is
    3+2/8, ``(((2,), 4), ((3,), 8))`` is 2/4 + 3/8. ``symbol`` is ``common``,
    ``cut``, ``free`` (no measure) or empty.

    Example:
        >>> sig = TimeSignature((((3, 2), 8),))
        >>> str(sig), sig.length_quarters
        ('3+2/8', Fraction(5, 2))
    """

    groups: tuple[tuple[tuple[int, ...], int], ...]
    symbol: str = ""

    @property
    def length_quarters(self) -> Fraction:
        """Length of a full measure; 0 for free time."""
        return sum((Fraction(4 * sum(beats), unit) for beats, unit in self.groups), Fraction(0))

    @property
    def beats(self) -> int:
        """Upper number, all groups of the first fraction added."""
        return sum(self.groups[0][0]) if self.groups else 0

    @property
    def unit(self) -> int:
        """Lower number of the first fraction (4 is a quarter)."""
        return self.groups[0][1] if self.groups else 4

    def __str__(self) -> str:
        if not self.groups:
            return "free"
        return " + ".join(f"{'+'.join(map(str, beats))}/{unit}" for beats, unit in self.groups)


@dataclass(frozen=True, slots=True)
class Measure:
    """One written measure of the score.

    Attributes:
        index: 0-based position.
        number: Number as printed (``"12"``, ``"0"`` for a pickup, ``"X1"`` …).
        start_quarters: Onset from the start of the written score.
        length_quarters: Actual length (a pickup is shorter than its signature).
        time: Signature in force.
        time_changes: True where a signature is printed here.
        right_bar: Bar line style at its end, MusicXML bar-style names, or empty.
        rehearsal: Rehearsal mark printed here, or empty.
        implicit: True for a measure that does not count in the numbering (pickup, split bar).
        closing_fermata: A fermata stands over its right bar line, on the page of any part.
    """

    index: int
    number: str
    start_quarters: Fraction
    length_quarters: Fraction
    time: TimeSignature
    time_changes: bool = False
    right_bar: str = ""
    rehearsal: str = ""
    implicit: bool = False
    closing_fermata: bool = False


MarkKind = Literal[
    "repeat-start", "repeat-end", "ending-start", "ending-stop",
    "segno", "coda", "to-coda", "fine", "da-capo", "dal-segno",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class RoadmapMark:
    """One printed mark that steers the order of play.

    Attributes:
        kind: What the mark is.
        measure: Position of the measure that carries it.
        part: Index of the part whose page has it; -1 when every page has it.
        name: Token that tells several segnos or codas apart (MusicXML sound attributes).
        numbers: For endings, the passes it belongs to, e.g. ``(1, 2)``.
        times: For ``repeat-end``, how often the passage is played in all (2 unless stated).
        text: Words as printed, e.g. ``"D.S. al Coda"``; empty for a bare sign.
        time_only: Passes on which a jump holds; empty means the usual reading.
        after_jump: For ``repeat-end``: the repeat is also taken after a jump.
        implied: For ``repeat-start``: not printed but meant (MusicXML forward-repeat).
        open_ended: For ``ending-stop``: no downward jog (MusicXML ``discontinue``).
    """

    kind: MarkKind
    measure: int
    part: int = -1
    name: str = ""
    numbers: tuple[int, ...] = ()
    times: int = 2
    text: str = ""
    time_only: tuple[int, ...] = ()
    after_jump: bool = False
    implied: bool = False
    open_ended: bool = False


@dataclass(frozen=True, slots=True)
class TempoMark:
    """A tempo as printed.

    Attributes:
        measure: Position of the measure.
        onset_quarters: From the start of the measure.
        text: Words such as ``"Allegro"``; empty for a bare metronome mark.
        beat_unit_quarters: Length of the note in the metronome mark; None without one.
        bpm: Number in the metronome mark, the slower one of two; None without one.
        quarter_bpm: Quarters per minute meant for playback; None when unknown.
        bpm_high: The quicker number of a mark that gives two; None otherwise.
        equal_quarters: Length of the second note of a mark that sets two notes equal
            (``beat_unit_quarters`` is the first); None otherwise.
    """

    measure: int
    onset_quarters: Fraction
    text: str = ""
    beat_unit_quarters: Fraction | None = None
    bpm: float | None = None
    quarter_bpm: float | None = None
    bpm_high: float | None = None
    equal_quarters: Fraction | None = None


@dataclass(frozen=True, slots=True)
class KeySignature:
    """A key signature *as written* on one staff of a part, from a place on.

    ``fifths``: sharps positive, flats negative. ``mode`` is ``major``, ``minor``,
    another church mode, or empty when the page does not say.
    """

    measure: int
    fifths: int
    mode: str = ""
    onset_quarters: Fraction = Fraction(0)
    staff: int = 1


@dataclass(frozen=True, slots=True)
class TimeChange:
    """A time signature in one part, from a measure on; not printed where the file hides it."""

    measure: int
    time: TimeSignature
    is_printed: bool = True


@dataclass(frozen=True, slots=True)
class Clef:
    """A clef from a place on: MusicXML sign (G, F, C, percussion, TAB, none), line, octave change."""

    measure: int
    sign: str
    line: int
    octave_change: int = 0
    onset_quarters: Fraction = Fraction(0)
    staff: int = 1


@dataclass(frozen=True, slots=True)
class Note:
    """One note head, or one rest.

    Attributes:
        measure: Position of the measure.
        onset_quarters: From the start of the measure.
        duration_quarters: Sounding length on the page; 0 for a grace note.
        pitch: Written pitch; None for a rest, and for an unpitched head its ``unpitched`` place is used.
        voice: Voice name within the part.
        staff: 1-based staff within the part.
        value: Note value name as printed (``quarter``, ``eighth`` …), or empty for a whole-measure rest.
        dots: Augmentation dots.
        tuplet: ``(actual, normal)`` of the innermost ratio in all, e.g. ``(3, 2)``; None outside tuplets.
        tie_from_previous: The head continues a tied note: it is not struck again.
        tie_to_next: The head is tied onward.
        in_chord: Second and later heads of a chord.
        is_rest: A rest.
        is_grace: A grace note (no length of its own).
        is_cue: Small cue note: another part's line, not to be played unless told so.
        unpitched: Display place of an unpitched (percussion) head as a pitch; None otherwise.
        percussion: Name of the percussion instrument struck, when the page says so.
        beams: Beam states level by level: ``begin``, ``continue``, ``end``, ``hook``.
        accidental: Accidental printed before the head (MusicXML name), or empty.
        is_courtesy: The printed accidental is cautionary or bracketed.
        articulations: MusicXML names: ``staccato``, ``accent``, ``tenuto``, ``strong-accent`` …
        ornaments: ``trill-mark``, ``mordent``, ``tremolo-3`` …
        technical: ``mute``, ``open``, ``down-bow``, ``harmonic`` …
        slurs_started: How many slurs begin here.
        slurs_stopped: How many slurs end here.
        has_fermata: A fermata stands over it.
        notehead: ``normal`` or another MusicXML notehead name.
        lyric: Syllable of the first verse under it as printed, with a hyphen where the word goes on.
    """

    measure: int
    onset_quarters: Fraction
    duration_quarters: Fraction
    pitch: Pitch | None = None
    voice: str = "1"
    staff: int = 1
    value: str = ""
    dots: int = 0
    tuplet: tuple[int, int] | None = None
    tie_from_previous: bool = False
    tie_to_next: bool = False
    in_chord: bool = False
    is_rest: bool = False
    is_grace: bool = False
    is_cue: bool = False
    unpitched: Pitch | None = None
    percussion: str = ""
    beams: tuple[str, ...] = ()
    accidental: str = ""
    is_courtesy: bool = False
    articulations: tuple[str, ...] = ()
    ornaments: tuple[str, ...] = ()
    technical: tuple[str, ...] = ()
    slurs_started: int = 0
    slurs_stopped: int = 0
    has_fermata: bool = False
    notehead: str = "normal"
    lyric: str = ""

    @property
    def is_struck(self) -> bool:
        """A head that begins to sound here: counted as a note (no rest, tie, grace or cue)."""
        return not (self.is_rest or self.tie_from_previous or self.is_grace or self.is_cue)


@dataclass(frozen=True, slots=True)
class Dynamic:
    """A dynamic mark such as ``mf`` or ``sfz``."""

    measure: int
    onset_quarters: Fraction
    mark: str
    staff: int = 1


@dataclass(frozen=True, slots=True)
class Hairpin:
    """A crescendo or diminuendo, by sign or by word, with where it ends (None when not printed)."""

    measure: int
    onset_quarters: Fraction
    kind: Literal["crescendo", "diminuendo"]
    end_measure: int | None = None
    end_onset_quarters: Fraction | None = None
    in_words: bool = False
    staff: int = 1


@dataclass(frozen=True, slots=True)
class Words:
    """Words printed over or under the staff (``dolce``, ``con sord.``), not roadmap and not tempo."""

    measure: int
    onset_quarters: Fraction
    text: str
    staff: int = 1


@dataclass(frozen=True, slots=True)
class OctaveLine:
    """An 8va / 8vb line. Written pitches already include it: they are what sounds by the player's reading."""

    measure: int
    onset_quarters: Fraction
    octaves: int
    end_measure: int
    end_onset_quarters: Fraction
    staff: int = 1


@dataclass(frozen=True, slots=True)
class Part:
    """One player's line (or one staff group of a keyboard).

    Attributes:
        id: Identity inside the file (``P1``).
        name: Name as printed, white space folded.
        abbreviation: Short name as printed.
        instrument: Id in the instrument table, or empty when not recognised.
        sound: MusicXML instrument sound, e.g. ``wind.reed.clarinet.bflat``; may be empty.
        midi_program: General MIDI program 1-128, or None.
        transpositions: ``(measure, transposition)`` in order; empty means concert pitch.
        staves: Number of staves.
        clefs, keys, notes, dynamics, hairpins, words, octave_lines: In order of place.
            ``notes`` are ordered by measure, onset, staff, voice, grace before struck, then pitch;
            ``keys`` hold each signature once for every staff it is printed on.
        times: The time signatures of its own page; empty means those of the measures.
        group: Name of the bracket group it stands in, or empty.
    """

    id: str
    name: str
    abbreviation: str = ""
    instrument: str = ""
    sound: str = ""
    midi_program: int | None = None
    transpositions: tuple[tuple[int, Transposition], ...] = ()
    staves: int = 1
    clefs: tuple[Clef, ...] = ()
    keys: tuple[KeySignature, ...] = ()
    notes: tuple[Note, ...] = ()
    dynamics: tuple[Dynamic, ...] = ()
    hairpins: tuple[Hairpin, ...] = ()
    words: tuple[Words, ...] = ()
    octave_lines: tuple[OctaveLine, ...] = ()
    group: str = ""
    times: tuple[TimeChange, ...] = ()

    def keys_of(self, staff: int = 1) -> tuple[KeySignature, ...]:
        """The key signatures of one staff, in order of place."""
        return tuple(key for key in self.keys if key.staff == staff)

    @property
    def transposition(self) -> Transposition:
        """Transposition at the start."""
        return self.transpositions[0][1] if self.transpositions else CONCERT

    def transposition_at(self, measure: int) -> Transposition:
        """Transposition in force in a measure."""
        found = self.transposition
        for start, transposition in self.transpositions:
            if start <= measure:
                found = transposition
        return found


@dataclass(frozen=True, slots=True)
class Creator:
    """Who made the piece, in which role (``composer``, ``arranger``, ``lyricist`` …)."""

    role: str
    name: str


@dataclass(frozen=True, slots=True)
class Score:
    """A whole piece as printed. Immutable; see the module docstring for units."""

    title: str
    measures: tuple[Measure, ...]
    parts: tuple[Part, ...]
    subtitle: str = ""
    creators: tuple[Creator, ...] = ()
    rights: str = ""
    marks: tuple[RoadmapMark, ...] = ()
    tempos: tuple[TempoMark, ...] = ()
    issues: tuple[Issue, ...] = field(default=())
