"""What makes music hard to read: dimensions, challenges of single places, levels the director corrects."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Self


class Dimension(StrEnum):
    """A dimension of difficulty, with the skill that it trains; each gives its own level from 0.5 to 6."""

    _skill: str

    def __new__(cls, slug: str, skill: str = "") -> Self:
        """A dimension with its slug, which is its value, and the slug of its skill when that is another."""
        member = str.__new__(cls, slug)
        member._value_ = slug
        member._skill = skill or slug
        return member

    RHYTHM = "rhythm"
    VARIETY = "variety", "rhythm"
    SYNCOPATION = "syncopation", "rhythm"
    METER = "meter"
    KEY = "key"
    ACCIDENTALS = "accidentals", "key"
    TRANSPOSITION = "transposition", "key"
    RANGE = "range"
    POSITION = "position", "range"
    LEDGER = "ledger lines", "range"
    CLEF = "clef", "range"
    MOTION = "motion"
    NOTES = "notes", "motion"
    CHORDS = "chords", "motion"
    DENSITY = "density", "motion"
    RUNS = "runs", "motion"
    INDEPENDENCE = "independence"
    HANDS = "hands", "independence"
    RESTS = "rests", "independence"
    ROADMAP = "roadmap"
    EXPRESSION = "expression"
    ENDURANCE = "endurance", "range"

    @property
    def skill(self) -> "Dimension":
        """The skill that stands for it; most are skills themselves.

        Example:
            >>> Dimension.DENSITY.skill.value, Dimension.KEY.skill.value
            ('motion', 'key')
        """
        return Dimension(self._skill)


DIMENSIONS: tuple[str, ...] = tuple(each.value for each in Dimension)
"""The dimensions of difficulty; each gives its own level from 0.5 to 6."""

FOCUSES: tuple[str, ...] = tuple(name for name in DIMENSIONS if Dimension(name).skill == name)
"""The skills a slot can train."""


class Quantity(StrEnum):
    """What was measured of a part or a piece to find the level of a dimension, with its unit."""

    unit: str

    def __new__(cls, slug: str, unit: str = "") -> Self:
        """A quantity with its slug, which is its value, and its unit; no unit where it is a count."""
        member = str.__new__(cls, slug)
        member._value_ = slug
        member.unit = unit
        return member

    FIGURE = "hardest common figure", "rank"
    """0 (whole beats) to 6 (the finest divisions), see ``study.difficulty.rhythm_dimensions``."""
    BAR_RHYTHMS = "different bar rhythms in sixteen bars", "bars"
    SYNCOPATED_NOTES = "syncopated or tied notes", "share"
    METER = "hardest meter"
    """terms: the time signature; none where no meter is printed."""
    METER_CHANGES = "changes of meter"
    SIGNATURE = "fullest signature", "fifths"
    """Sharps above 0, flats below, as written for the part."""
    SIGNATURE_CHANGES = "changes of signature"
    OUTSIDE_SIGNATURE = "notes outside the signature", "share"
    DIFFERENT_ALTERED = "different notes outside the signature"
    TRANSPOSED_BY = "what the player transposes by", "semitones"
    COMPASS = "compass"
    """notes: lowest and highest, as written."""
    ABOVE_POSITION = "notes above first position", "share"
    LEDGER_LINES = "ledger lines to a note", "lines"
    OTHER_CLEF = "notes in another than the usual clef", "share"
    CLEF_CHANGES = "changes of clef"
    ONE_NOTE = "a single note", "truth"
    LEAPS = "leaps", "share"
    WIDEST_INTERVAL = "widest interval", "staff steps"
    STAFF_PLACES = "different places on the staff among 64 notes", "places"
    CHORDS = "attacks of several notes", "share"
    ATTACKS = "attacks in the busiest bars", "a second"
    QUICK_NOTES = "notes at four a second or quicker", "share"
    UNSHARED_ATTACKS = "beats in which it attacks alone", "share"
    ONE_HAND = "attacks of one hand alone", "share"
    ENTRANCES = "entrances after rests"
    JUMPS = "jumps of the roadmap"
    MARKS = "kinds of marks"
    LONGEST_STRETCH = "longest stretch without a rest", "quarters"


@dataclass(frozen=True, slots=True)
class Measured:
    """One thing that was measured.

    Attributes:
        quantity: What.
        number: How much, in the quantity's unit; 0 where the quantity has terms or notes instead.
        measure: Written position where it stands, when it has one place.
        notes: Pitches as written for the part.
        terms: What is printed on the page.
    """

    quantity: Quantity
    number: float = 0.0
    measure: int | None = None
    notes: tuple[str, ...] = ()
    terms: tuple[str, ...] = ()


class ChallengeKind(StrEnum):
    """What makes one place hard, with the skill that it trains. Beside each: the values it carries."""

    skill: Dimension

    def __new__(cls, slug: str, skill: Dimension) -> Self:
        """A kind with its slug, which is its value, and the skill that it trains."""
        member = str.__new__(cls, slug)
        member._value_ = slug
        member.skill = skill
        return member

    RUN = "run", Dimension.MOTION
    """numbers: notes, all of them ``quarters`` long; terms: ``scale`` or ``arpeggio``, then ``up`` or
    ``down``, where it is one throughout."""
    DENSE_PASSAGE = "dense passage", Dimension.MOTION
    """numbers: notes_a_second, at full tempo."""
    SYNCOPATION = "syncopation", Dimension.RHYTHM
    """numbers: notes."""
    TIE_OVER_BAR_LINE = "tie over the bar line", Dimension.RHYTHM
    CROSS_RHYTHM = "cross-rhythm", Dimension.RHYTHM
    WIDE_LEAP = "wide leap", Dimension.MOTION
    """notes: where it leaves and where it arrives."""
    REGISTER_CHANGE = "register change", Dimension.RANGE
    """numbers: semitones, above 0 when it goes up."""
    ACCIDENTAL_CLUSTER = "accidental cluster", Dimension.KEY
    """notes: pitch names with a sign, each once; numbers: accidentals."""
    ENTRANCE_AFTER_REST = "entrance after a long rest", Dimension.INDEPENDENCE
    """numbers: bars of rest, and how many bars ``before`` it the parts named come in, 0 where one part alone
    plays in the bar before; terms: those parts, none where nothing stands out."""
    EXPOSED_ENTRANCE = "exposed entrance", Dimension.INDEPENDENCE
    SUDDEN_DYNAMIC = "sudden dynamic", Dimension.EXPRESSION
    """terms: the mark before, the new mark."""
    QUICK_CHANGE = "quick change", Dimension.EXPRESSION
    """terms: the words on the page; numbers: seconds."""
    METER_CHANGE = "meter change", Dimension.METER
    """terms: the new time signature."""
    KEY_CHANGE = "key change", Dimension.KEY
    """numbers: fifths of the new signature, flats below 0."""
    BREAK_CROSSING = "break crossing", Dimension.MOTION
    """numbers: times."""
    SLIDE_MOVE = "slide move", Dimension.MOTION
    """numbers: times, positions."""
    VALVE_CHANGE = "valve change", Dimension.MOTION
    """numbers: times."""
    STRING_CROSSING = "string crossing", Dimension.MOTION
    """numbers: times."""


@dataclass(frozen=True, slots=True)
class Challenge:
    """One thing that makes one place of a part hard.

    Attributes:
        measure: Written position where it stands.
        kind: What it is.
        weight: How much it matters; 1 is a leap of an octave.
        end_measure: Last written position it reaches; its own measure when None.
        notes: Pitches or pitch names as written for the part (``"Bb4"``, ``"F#"``); the kind says which.
        terms: Words, marks or signatures printed on the page; the kind says which.
        numbers: Named numbers; the kind says which.
    """

    measure: int
    kind: ChallengeKind
    weight: float
    end_measure: int | None = None
    notes: tuple[str, ...] = ()
    terms: tuple[str, ...] = ()
    numbers: tuple[tuple[str, float], ...] = ()

    def number(self, name: str) -> float:
        """A named number.

        Raises:
            KeyError: If it has none of that name.
        """
        return dict(self.numbers)[name]


@dataclass(frozen=True, slots=True)
class LevelCorrection:
    """A level as the director sees it.

    Attributes:
        piece_id: Of which piece.
        level: From 0.5 to 6.
        part: Name of the part; empty for the whole piece.
        dimension: One of ``DIMENSIONS``; empty for the level as a whole.
    """

    piece_id: int
    level: float
    part: str = ""
    dimension: str = ""
