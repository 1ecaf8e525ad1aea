"""A published limit held against a piece: met, or broken where and by what."""

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
    """numbers: bpm, least, most."""
    METERS = "meters"
    """terms: the time signature."""
    METER_CHANGES = "meter_changes"
    """numbers: changes, most."""
    CONCERT_KEYS = "concert_keys"
    """keys: the home key; none where it is a signature along the way that no allowed key has."""
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
    """numbers: most."""
    WRITTEN_SHARPS = "written_sharps"
    """numbers: most."""
    RANGES = "ranges"
    """numbers: notes outside; terms: the lowest and the highest allowed, as the set spells them."""


@dataclass(frozen=True, slots=True)
class LimitResult:
    """One limit held against one piece.

    Attributes:
        limit: The limit.
        is_met: Nothing breaks it.
        measures: Written positions that break it, ascending.
        part: Name of the part that breaks it; empty when it concerns the piece.
        numbers: Named numbers; the limit says which.
        terms: What stands on the page or in the set; the limit says which.
        keys: Keys, such as ``"Bb major"``.
    """

    limit: Limit
    is_met: bool
    measures: tuple[int, ...] = ()
    part: str = ""
    numbers: tuple[tuple[str, float], ...] = ()
    terms: tuple[str, ...] = ()
    keys: tuple[str, ...] = ()

    def number(self, name: str) -> float:
        """A named number.

        Raises:
            KeyError: If it has none of that name.
        """
        return dict(self.numbers)[name]
