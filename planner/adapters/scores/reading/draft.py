"""What one part's walk through its measures gathers, before parts are put together."""

from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from math import lcm

from lxml import etree

from planner.core.issue import Issue, Severity, Value
from planner.core.pitch import Transposition
from planner.core.score import (
    Clef,
    Dynamic,
    Hairpin,
    KeySignature,
    MarkKind,
    Note,
    OctaveLine,
    TempoMark,
    TimeChange,
    Words,
)

_LARGEST_CLOCK = 10**9


class Clock:
    """Exact score time as whole ticks, fine enough for every ``divisions`` value in a score.

    ``per_quarter`` is the least common multiple of them all, so a position is a
    whole number and two parts with different divisions meet exactly.
    """

    def __init__(self, divisions: set[int]) -> None:
        per_quarter = lcm(1, *divisions)
        self.per_quarter = per_quarter if per_quarter <= _LARGEST_CLOCK else max(divisions)
        self._fractions: dict[int, Fraction] = {}

    def quarters(self, ticks: int) -> Fraction:
        """Ticks as quarter notes."""
        found = self._fractions.get(ticks)
        if found is None:
            found = self._fractions[ticks] = Fraction(ticks, self.per_quarter)
        return found

    def ticks(self, quarters: Fraction) -> int:
        """Quarter notes as ticks, to the nearest tick."""
        return round(quarters * self.per_quarter)


def clock_of(root: etree._Element) -> Clock:
    """The clock of a score: from every valid ``divisions`` in it."""
    found = set()
    for element in root.iter("divisions"):
        value = whole(element.text)
        if value is not None and value > 0:
            found.add(value)
    return Clock(found or {1})


@dataclass(frozen=True, slots=True)
class RawMark:
    """A roadmap mark as one part's page has it; ``on_barline`` tells barlines from directions."""

    kind: MarkKind
    measure: int
    on_barline: bool
    name: str = ""
    numbers: tuple[int, ...] = ()
    times: int = 2
    text: str = ""
    time_only: tuple[int, ...] = ()
    after_jump: bool = False
    implied: bool = False
    open_ended: bool = False


@dataclass(frozen=True, slots=True)
class Landmark:
    """A direction that belongs on every player's page although one part may carry it for all.

    ``kinds`` says what it is: ``rehearsal``, ``segno``, ``coda``, ``jump`` or ``tempo``.
    """

    measure: int
    onset_quarters: Fraction
    kinds: frozenset[str]
    element: etree._Element


@dataclass
class PartDraft:
    """Everything read from one ``part`` element; lists are in document order.

    Attributes:
        mends: What the clean file has otherwise than the file: an element with its new text, or
            None where it was left out.
        landmarks: What every page shows.
        lengths: Ticks reached in each measure; 0 where nothing stands.
        right_bars, rehearsals: By measure.
        fermatas: Measures with a fermata over their right bar line.
    """

    name: str
    lengths: list[int] = field(default_factory=list)
    times: list[TimeChange] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)
    clefs: list[Clef] = field(default_factory=list)
    keys: list[KeySignature] = field(default_factory=list)
    transpositions: list[tuple[int, Transposition]] = field(default_factory=list)
    dynamics: list[Dynamic] = field(default_factory=list)
    hairpins: list[Hairpin] = field(default_factory=list)
    words: list[Words] = field(default_factory=list)
    octave_lines: list[OctaveLine] = field(default_factory=list)
    tempos: list[TempoMark] = field(default_factory=list)
    marks: list[RawMark] = field(default_factory=list)
    right_bars: dict[int, str] = field(default_factory=dict)
    rehearsals: dict[int, str] = field(default_factory=dict)
    fermatas: set[int] = field(default_factory=set)
    staves: int = 1
    mends: list[tuple[etree._Element, str | None]] = field(default_factory=list)
    landmarks: list[Landmark] = field(default_factory=list)
    issues: list[Issue] = field(default_factory=list)
    _reported: set[str] = field(default_factory=set)

    def add_issue(
        self, slug: str, measure: int | None = None, *, warning: bool = False, **values: Value
    ) -> None:
        """Add an issue, once a kind and part: the first place is enough for a director."""
        if slug not in self._reported:
            self._reported.add(slug)
            severity: Severity = "warning" if warning else "note"
            self.issues.append(Issue(slug, severity, self.name, measure, tuple(values.items())))


@lru_cache(maxsize=4096)
def whole(text: str | None) -> int | None:
    """A whole number from an element's text, or None.

    Example:
        >>> whole(" 4 "), whole("4.0"), whole("x")
        (4, 4, None)
    """
    value = decimal(text)
    return int(value) if value is not None and value.denominator == 1 else None


@lru_cache(maxsize=4096)
def decimal(text: str | None) -> Fraction | None:
    """An exact decimal number from an element's text, or None.

    Example:
        >>> decimal("0.5"), decimal("1e999"), decimal("")
        (Fraction(1, 2), None, None)
    """
    stripped = (text or "").strip()
    if not stripped or len(stripped) > 20 or "e" in stripped.lower() or "/" in stripped or "_" in stripped:
        return None
    try:
        return Fraction(stripped)
    except ValueError:
        return None


def fold(text: str | None) -> str:
    r"""Text with its white space folded to single blanks.

    Example:
        >>> fold(" Oboe \n 2 ")
        'Oboe 2'
    """
    return " ".join((text or "").split())
