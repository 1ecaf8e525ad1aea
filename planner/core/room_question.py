"""A question that a director asks the room about a piece, with its answer, as values and never as words."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Self

from planner.core.fact import Place


class AskLevel(StrEnum):
    """How much a reader has to see for the answer."""

    EASY = "easy"
    MEDIUM = "medium"
    HARD = "hard"


class Ask(StrEnum):
    """What is asked, with its level. Beside each: the values of the answer, and of the question if any.

    A kind about the whole piece has no part; of the others the answer stands on the page of the part alone.
    """

    level: AskLevel

    def __new__(cls, slug: str, level: AskLevel) -> Self:
        """A kind with its slug, which is its value, and its level."""
        member = str.__new__(cls, slug)
        member._value_ = slug
        member.level = level
        return member

    # the whole piece
    METER = "meter", AskLevel.EASY
    """terms: the signature at the beginning; numbers: ``beats`` of a bar, and the ``quarters`` of one."""
    PICKUP = "pickup", AskLevel.EASY
    """The music begins with a pickup; numbers: its length in ``quarters``."""
    METER_CHANGES = "meter-changes", AskLevel.EASY
    """places: the bar of each change; terms: the new signature of each."""
    ROADMAP = "roadmap", AskLevel.EASY
    """The order of play is that of the profile."""
    HOME_KEY = "home-key", AskLevel.EASY
    """keys: the home key, sounding."""
    FERMATAS = "fermatas", AskLevel.EASY
    """places: every bar with a fermata."""
    GROUPING = "grouping", AskLevel.MEDIUM
    """asked: the first bar in that meter; terms: the meter; numbers: each ``group`` in turn."""
    TEMPO_TURNS = "tempo-turns", AskLevel.MEDIUM
    """The changes of tempo are those of the profile."""
    OPENING_RETURNS = "opening-returns", AskLevel.MEDIUM
    """places: where the melody of the first bars comes again for the first time."""
    AGAINST_METER = "against-meter", AskLevel.HARD
    """terms: the ``Counter`` of ``study.time.hemiola``; places: every passage that follows it."""
    LEAVES_KEY = "leaves-key", AskLevel.HARD
    """keys: the first other key, sounding; terms: its ``KeyRelation``, none for a distant one; notes: the one
    that tells, sounding; places: the bars from its first to its last."""
    PEDAL_POINT = "pedal-point", AskLevel.HARD
    """places: how long it lasts; notes: it, sounding; terms: the parts that hold it."""
    LAST_CADENCE = "last-cadence", AskLevel.HARD
    """keys: the home key; terms: its ``CadenceKind``; places: its bar."""

    # one part
    SIGNATURE = "signature", AskLevel.EASY
    """numbers: ``fifths`` at the beginning, flats below 0."""
    SIGNATURE_CHANGES = "signature-changes", AskLevel.EASY
    """places: the bar of each; numbers: ``fifths``, one for each."""
    CLEF_CHANGES = "clef-changes", AskLevel.EASY
    """places: the bar of each; terms: the new clef of each."""
    SHORTEST_VALUE = "shortest-value", AskLevel.EASY
    """terms: the value, as ``PartProfile.values`` has it."""
    HIGHEST_NOTE = "highest-note", AskLevel.EASY
    """notes: it, as written; places: every bar that has it."""
    LOUDEST = "loudest", AskLevel.EASY
    """terms: the loudest lasting mark; places: every bar that has it."""
    SOFTEST = "softest", AskLevel.EASY
    """terms: the softest lasting mark; places: every bar that has it."""
    LONG_REST = "long-rest", AskLevel.EASY
    """asked: the bar of the entrance; numbers: ``bars`` of rest before it, ``first`` if it is the first."""
    HELD_FOR = "held-for", AskLevel.EASY
    """asked: the bar in which the part's longest note begins; numbers: the felt ``beats`` it is held."""
    IN_SIGNATURE = "in-signature", AskLevel.EASY
    """No note is outside the key signature."""
    ARTICULATION = "articulation", AskLevel.EASY
    """terms: the one printed most often; numbers: ``times``; places: the bar in which it stands first."""
    WIDEST_LEAP = "widest-leap", AskLevel.MEDIUM
    """notes: from which to which the one widest leap goes, as written; places: the bar where it arrives."""
    OUTSIDE_SIGNATURE = "outside-signature", AskLevel.MEDIUM
    """notes: every name outside the key signature; places: the bar of the first of each."""
    COUNTS = "counts", AskLevel.MEDIUM
    """asked: a bar; numbers: those of its rhythm, as in ``FactKind.RHYTHM_TO_COUNT``."""
    ENTERS_ON = "enters-on", AskLevel.MEDIUM
    """asked: a bar that begins with a rest; numbers: the felt ``beat`` on which the part comes in."""
    ON_BEATS = "on-beats", AskLevel.MEDIUM
    """asked: a passage; numbers: each felt ``beat`` on which the part plays in every bar of it."""
    BEGIN_TIED = "begin-tied", AskLevel.MEDIUM
    """places: every bar that begins on a note tied over from the bar before."""
    WORD = "word", AskLevel.MEDIUM
    """terms: words on the page; asked: their bar. What they mean stands in the profile's ``expression``."""
    SUDDEN = "sudden", AskLevel.MEDIUM
    """places: the bar of each sudden change of dynamics; terms: of each the mark before and the new one."""
    ACCENTED_BEAT = "accented-beat", AskLevel.MEDIUM
    """asked: a passage; numbers: the ``beat`` with an accent in each of its bars."""
    REPEAT = "repeat", AskLevel.MEDIUM
    """asked: bars that repeat earlier ones note for note; places: the first bars that have these notes."""
    SPELLING = "spelling", AskLevel.MEDIUM
    """asked: a bar; notes: a spelling in it, and the plain name of the same pitch."""
    STILL_ALTERED = "still-altered", AskLevel.HARD
    """notes: those altered again in a bar without a new sign; places: the bar of each."""
    SEQUENCE = "sequence", AskLevel.HARD
    """asked: a passage; numbers: how many ``times`` a figure of ``notes`` notes is stated, and the ``steps``
    of the staff from each to the next."""
    TELLS_KEY = "tells-key", AskLevel.HARD
    """notes: the leading note of the first other key; places: where it comes; keys: that key, as written, and
    as sounding where that differs."""


@dataclass(frozen=True, slots=True)
class RoomQuestion:
    """One question with its answer.

    Attributes:
        kind: What is asked.
        part: Name of the part that is asked; empty for everyone.
        asked: Bars that the question names, as written measures.
        places: Bars that the answer names.
        notes, keys, terms, numbers: Values as in a ``Fact``; the kind says which.
    """

    kind: Ask
    part: str = ""
    asked: tuple[Place, ...] = ()
    places: tuple[Place, ...] = ()
    notes: tuple[str, ...] = ()
    keys: tuple[str, ...] = ()
    terms: tuple[str, ...] = ()
    numbers: tuple[tuple[str, float], ...] = ()

    @property
    def level(self) -> AskLevel:
        """How much a reader has to see for the answer."""
        return self.kind.level

    def each(self, name: str) -> tuple[float, ...]:
        """All numbers of a name, in order."""
        return tuple(number for own, number in self.numbers if own == name)

    def number(self, name: str) -> float:
        """The first number of a name.

        Raises:
            IndexError: If it has none.
        """
        return self.each(name)[0]
