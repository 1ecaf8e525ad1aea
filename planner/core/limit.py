"""A published limit held against a piece: met, broken where and by what, or not to be judged, and why."""

from dataclasses import dataclass
from enum import StrEnum


class Limit(StrEnum):
    """Every limit that a set of criteria can have, by its key in a criteria file.

    Beside each: what a ``LimitResult`` that breaks it carries.
    """

    MEASURES = "measures"
    """numbers: measures, least, most."""
    MINUTES = "minutes"
    """numbers: minutes, most."""
    BPM = "bpm"
    """numbers: bpm, least, most; of a tempo in words slowest and fastest in place of bpm, and terms: those
    words."""
    METERS = "meters"
    """terms: the time signature."""
    METER_CHANGES = "meter_changes"
    """numbers: changes, most."""
    CONCERT_KEYS = "concert_keys"
    """keys: the home key, numbers: ``home`` 1 and the fifths of its signature; or a signature that no allowed
    key has, numbers: its fifths, keys: the key it is named after, none beyond seven signs."""
    KEY_CHANGES = "key_changes"
    """numbers: changes, most."""
    CONCERT_NOTES = "concert_notes"
    """numbers: notes outside; terms: the names allowed, as the set spells them."""
    VALUES = "values"
    """terms: the printed note values that are not allowed."""
    PERCUSSION_VALUES = "percussion_values"
    """terms: the same."""
    EIGHTHS_IN_REPEATED_PAIRS = "eighths_in_repeated_pairs"
    TUPLETS = "tuplets"
    ROLLS = "rolls"
    TIMPANI_PITCHES = "timpani_pitches"
    """numbers: pitches, most."""
    RANGE_SEMITONES = "range_semitones"
    """numbers: semitones, most."""
    WRITTEN_FLATS = "written_flats"
    """numbers: most, and the fifths of the fullest signature; keys: the key it is named after."""
    WRITTEN_SHARPS = "written_sharps"
    """numbers and keys: the same."""
    RANGES = "ranges"
    """numbers: notes outside; terms: the lowest and the highest allowed, as the set spells them."""


class Answer(StrEnum):
    """What a limit, or a whole set, says of a piece."""

    MET = "met"
    BROKEN = "broken"
    CANNOT_BE_JUDGED = "cannot be judged"


class Doubt(StrEnum):
    """Why a limit cannot be judged. Beside each: what a ``LimitResult`` carries."""

    NO_BARS = "no bars"
    NO_NOTES = "no notes"
    NO_TEMPO = "no tempo"
    TEMPO_IN_WORDS = "tempo in words"
    """terms: the words; numbers: slowest and fastest, in beats a minute or in minutes of playing time."""
    NO_METER = "no meter"
    """measures: where; empty: throughout."""
    NO_PITCHES = "no pitches"
    """Of a part, or with ``part`` empty of all."""
    KEY_UNCLEAR = "key unclear"
    """keys: the two that have its signature; numbers: its fifths. None of these where none is printed."""
    INSTRUMENT_UNKNOWN = "instrument unknown"
    NO_WINDS = "no winds"
    INSTRUMENTS_ABSENT = "instruments absent"
    """terms: ids of the instruments that the limit names."""
    VALUES_UNKNOWN = "values unknown"
    """numbers: notes."""


@dataclass(frozen=True, slots=True)
class LimitResult:
    """One limit held against one piece.

    Attributes:
        limit: Which limit.
        is_met: The piece keeps it.
        measures: Written positions that break it or leave it open, ascending; empty when it is no matter of
            place.
        part: Name of the part; empty when it is the piece.
        numbers: Named numbers; the limit, or the doubt, says which.
        terms: Signatures, note values or names of notes.
        keys: Keys, such as ``"Bb major"``.
        doubt: Why it can neither be called met nor broken; None where it can.
    """

    limit: Limit
    is_met: bool
    measures: tuple[int, ...] = ()
    part: str = ""
    numbers: tuple[tuple[str, float], ...] = ()
    terms: tuple[str, ...] = ()
    keys: tuple[str, ...] = ()
    doubt: Doubt | None = None

    @property
    def answer(self) -> Answer:
        """Which of the three answers it is.

        Example:
            >>> LimitResult(Limit.BPM, False, doubt=Doubt.NO_TEMPO).answer
            <Answer.CANNOT_BE_JUDGED: 'cannot be judged'>
        """
        if self.doubt is not None:
            return Answer.CANNOT_BE_JUDGED
        return Answer.MET if self.is_met else Answer.BROKEN

    def number(self, name: str) -> float:
        """A named number.

        Raises:
            KeyError: If it has none of that name.
        """
        return dict(self.numbers)[name]


def answer_of(answers: "list[Answer]") -> Answer:
    """One answer of several: broken when one is, else open when one is, else met.

    Example:
        >>> answer_of([Answer.MET, Answer.CANNOT_BE_JUDGED]), answer_of([])
        (<Answer.CANNOT_BE_JUDGED: 'cannot be judged'>, <Answer.MET: 'met'>)
    """
    return next((one for one in (Answer.BROKEN, Answer.CANNOT_BE_JUDGED) if one in answers), Answer.MET)
