"""One finding about a part for the section that reads it, as values."""

from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How much a finding matters, the worst first."""

    ERROR = "error"
    """Cannot be played."""
    WARNING = "warning"
    """Hard at this level."""
    NOTE = "note"
    """Worth knowing."""


TOO_HIGH, TOO_LOW = "too high", "too low"


class CheckKind(StrEnum):
    """What was looked at. Beside each: its numbers (``measures`` are always where)."""

    FULL_RANGE = "full range"
    """``notes`` the instrument does not have; terms: ``TOO_HIGH`` or ``TOO_LOW``."""
    COMFORTABLE_RANGE = "comfortable range"
    """``notes`` outside what a player of ``level`` reaches in comfort; terms as above."""
    TESSITURA = "tessitura"
    """``share`` of the playing time in the top fifth of what ``level`` reaches."""
    TIME_HIGH = "time spent high"
    """``seconds`` there without a rest."""
    BREATH = "breath"
    """No place to breathe for ``share`` of the playing time, for ``seconds`` at the longest, from measure
    ``worst``; a breath lasts ``breath`` seconds at ``level``."""
    PARTIALS = "partials"
    """``leaps`` over more than ``partials``."""
    CLARINET_BREAK = "clarinet break"
    """``times`` crossed too quickly for ``level``."""
    VALVE_CHANGES = "valve changes"
    """``times`` an awkward one, too quick for ``level``."""
    SLIDE_MOVES = "slide moves"
    """``times`` a move of ``positions`` or more that no alternate position saves, too quick for ``level``."""
    STRING_CROSSINGS = "string crossings"
    """``times`` a jump over a string that no fingering saves, too quick for ``level``."""
    POSITIONS = "positions"
    """``notes`` in comfort above position ``allowed``, up to position ``highest``."""
    TIMPANI_RETUNING = "timpani retuning"
    """``times`` with four drums, the quickest in ``seconds`` before measure ``worst``; terms: from, to."""
    PERCUSSION_CHANGES = "percussion changes"
    """``times`` a quick one; the quickest in ``seconds`` before measure ``worst``; terms: from, to."""


class Fix(StrEnum):
    """What would help."""

    OCTAVE_LOWER = "octave lower"
    """Of all notes of ``measures``."""
    OCTAVE_HIGHER = "octave higher"
    NOTES_OCTAVE_LOWER = "these notes an octave lower"
    """Of the notes that were found alone."""
    NOTES_OCTAVE_HIGHER = "these notes an octave higher"
    OTHER_SECTION = "other section"
    """``helper`` plays these notes too, in comfort."""
    CUE = "cue"
    """``helper`` has a cue with these notes and can play it in comfort."""
    GIVE_TO = "give to"
    """``helper`` rests here and can play these notes in comfort."""
    LEAVE_OUT = "leave out"
    """Nobody else can play them."""
    REST_OR_SHARE = "rest or share"
    ALTERNATE_PLAYERS = "alternate players"
    REST_IN_TUTTI = "rest in the tutti"
    """Of a player alone on the part, who has nobody to alternate with."""
    STAGGER_BREATHS = "stagger breaths"
    LEAVE_A_NOTE = "leave a note"
    """To breathe, of a player alone on the part."""
    BUZZ_FIRST = "buzz first"
    RIGHT_HAND_DOWN = "right hand down"
    SILENT_FINGERING = "silent fingering"
    F_ATTACHMENT = "F attachment"
    MOVE_EARLY = "move early"
    BOW_NEAR_MIDDLE_STRING = "bow near the middle string"
    FINGERING = "fingering"
    WRITE_CHANGES = "write changes"
    ADD_DRUM = "add drum"
    """A fifth drum of a usual size leaves time for every change."""
    LEAVE_STROKES = "leave strokes"
    """No fifth drum leaves time."""
    TWO_PLAYERS = "two players"
    ONE_OF_TWO = "one of two"
    """Of a player alone on the part."""


@dataclass(frozen=True, slots=True)
class Check:
    """One thing a section should know about a part.

    Attributes:
        kind: What was looked at.
        severity: How much it matters.
        fix: What would help.
        measures: Written positions, ascending; empty when it holds throughout.
        numbers: Named numbers; the kind says which.
        helper: Name of the section that helps, where one does.
        instrument: Id of the instrument it is played on.
        terms: Names the kind speaks of.
    """

    kind: CheckKind
    severity: Severity
    fix: Fix
    measures: tuple[int, ...] = ()
    numbers: tuple[tuple[str, float], ...] = ()
    helper: str = ""
    instrument: str = ""
    terms: tuple[str, ...] = ()

    def number(self, name: str) -> float:
        """A named number.

        Raises:
            KeyError: If it has none of that name.
        """
        return dict(self.numbers)[name]
