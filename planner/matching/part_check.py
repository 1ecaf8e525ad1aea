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


class CheckKind(StrEnum):
    """What was looked at. Beside each: its numbers (``measures`` are always where)."""

    FULL_RANGE = "full range"
    """``notes`` the instrument does not have."""
    COMFORTABLE_RANGE = "comfortable range"
    """``notes`` outside what a player of ``level`` reaches in comfort."""
    TESSITURA = "tessitura"
    """``share`` of the playing time in the top fifth of what ``level`` reaches."""
    TIME_HIGH = "time spent high"
    """``seconds`` there without a rest."""
    BREATH = "breath"
    """``stretches`` longer than a breath at ``level``, the longest of ``seconds`` from measure ``worst``."""
    PARTIALS = "partials"
    """``leaps`` over more than ``partials``."""
    CLARINET_BREAK = "clarinet break"
    """``times`` crossed."""
    VALVE_CHANGES = "valve changes"
    """``times`` an awkward one."""
    SLIDE_MOVES = "slide moves"
    """``times`` a move of ``positions`` or more."""
    STRING_CROSSINGS = "string crossings"
    """``times`` a jump over a string."""
    POSITIONS = "positions"
    """``notes`` above position ``allowed``, up to position ``highest``."""
    TIMPANI_RETUNING = "timpani retuning"
    """``times`` with four drums, the quickest in ``seconds`` before measure ``worst``."""
    PERCUSSION_CHANGES = "percussion changes"
    """``times`` a quick one; the quickest in ``seconds`` before measure ``worst``; terms: from, to."""


class Fix(StrEnum):
    """What would help."""

    OCTAVE_LOWER = "octave lower"
    OCTAVE_HIGHER = "octave higher"
    OTHER_SECTION = "other section"
    """``fix_part`` has these notes too."""
    CUE = "cue"
    """``fix_part`` has a cue that covers them."""
    GIVE_AWAY = "give away"
    REST_OR_SHARE = "rest or share"
    ALTERNATE_PLAYERS = "alternate players"
    MARK_BREATHS = "mark breaths"
    BUZZ_FIRST = "buzz first"
    RIGHT_HAND_DOWN = "right hand down"
    SILENT_FINGERING = "silent fingering"
    ALTERNATE_POSITION = "alternate position"
    NEIGHBORING_STRINGS = "neighboring strings"
    FINGERING_OR_OCTAVE = "fingering or octave"
    ADD_DRUM = "add drum"
    TWO_PLAYERS = "two players"


@dataclass(frozen=True, slots=True)
class Check:
    """One thing a section should know about a part.

    Attributes:
        kind: What was looked at.
        severity: How much it matters.
        fix: What would help.
        measures: Written positions, ascending; empty when it holds throughout.
        numbers: Named numbers; the kind says which.
        fix_part: Name of the part that helps, where the fix is one.
        instrument: Id of the instrument it is played on.
        terms: Names the kind speaks of.
    """

    kind: CheckKind
    severity: Severity
    fix: Fix
    measures: tuple[int, ...] = ()
    numbers: tuple[tuple[str, float], ...] = ()
    fix_part: str = ""
    instrument: str = ""
    terms: tuple[str, ...] = ()

    def number(self, name: str) -> float:
        """A named number.

        Raises:
            KeyError: If it has none of that name.
        """
        return dict(self.numbers)[name]
