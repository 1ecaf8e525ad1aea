"""What the program knows about an instrument, and the small notation its tables are written in."""

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Literal

from planner.core.pitch import CONCERT, Pitch, Transposition

Family = Literal["woodwind", "brass", "percussion", "strings", "plucked", "keyboard", "voice"]
LANGUAGES: tuple[str, ...] = ("en", "it", "fr", "de", "es")

SOURCES: dict[str, str] = {
    "OL": "Orchestra Library, reference tables: instrument ranges, orchestralibrary.com/reftables/rang.html",
    "SS": "Instrument ranges, studystack.com/flashcard-697185",
    "TP": "Pitch range and notation, trpercussion.com/en/pitch-range-and-notation.html",
    "HM": "Definite-pitch instruments, hansenmedia.net/courses/orchestration",
    "NB": "Brass basics, newyorkbrass.com/brass-basics.html",
    "NE": "Grading chart of a band publisher, nemusicpub.com/grading (letters only; octaves read by us)",
    "TM": "Teaching Music through Performance in Beginning Band, as quoted by banddirectorstalkshop.com",
    "PB": "Encyclopedia article stored at princeton.edu/~achaney/tmve/wiki100k/docs/"
    "Pitch_of_brass_instruments.html",
    "AF": "Grades of a service jazz ensemble, armyfieldband.com/pages/listening/albums/perspectives",
    "ST": "String charts by position, zicatomusic.com/grade-levels, kendormusic.com, docslib.org/doc/12446430"
    " (they name positions; the fourth finger on the top string read by us)",
    "SR": "Soprano recorder, encyclopedia article stored at ipfs.io",
    "MS": "Middle-school choirs, c4net.work/about-ensemble-types",
    "VC": "Volunteer church choirs, a director's list at musica.narkive.it/G7xA3ZY6",
    "BA": "A chamber choir's usual and stretched ranges, bristolacappella.co.uk/range-check",
    "M": "from memory",
}
"""Where a range cell comes from; the key stands in the tables."""


@dataclass(frozen=True, slots=True)
class RangeCell:
    """Lowest and highest written pitch, with the source of the statement.

    ``disputed`` says in words what another source states, and is empty when none disagrees.
    """

    low: Pitch
    high: Pitch
    source: str
    disputed: str = ""

    @property
    def low_midi(self) -> int:
        """Written lowest pitch on the MIDI scale."""
        return int(self.low.midi)

    @property
    def high_midi(self) -> int:
        """Written highest pitch on the MIDI scale."""
        return int(self.high.midi)


@dataclass(frozen=True)
class Instrument:
    """One instrument as a section plays it.

    Attributes:
        id: Stable name used everywhere, e.g. ``"clarinet-bflat"``.
        name: English name as a director says it.
        family: Family, for score order and for which technical checks apply.
        clefs: Usual clefs, the first is the most usual: ``treble``, ``bass``, ``alto``, ``tenor``,
            ``percussion``, ``treble-8vb``.
        transposition: From written to sounding pitch.
        sound: MusicXML standard sound id, or empty.
        midi_program: General MIDI program 1-128, or None.
        full: Written pitches that exist on it for the best players; None when unpitched.
        by_level: ``(level, cell)`` in rising order: what players of that level reach in comfort. Empty
            for keyboards, whose keys are all in everyone's reach, and for a voice of no stated kind.
        names: ``(language, name)`` with language of ``LANGUAGES``; the first of a language is the
            singular, then the plural, then abbreviations and other spellings.
        group: Id of the instrument that stands for all of its kind (all trumpets: ``"trumpet-bflat"``).
        staves: Staves it usually reads from.
    """

    id: str
    name: str
    family: Family
    clefs: tuple[str, ...] = ("treble",)
    transposition: Transposition = CONCERT
    sound: str = ""
    midi_program: int | None = None
    full: RangeCell | None = None
    by_level: tuple[tuple[float, RangeCell], ...] = ()
    names: tuple[tuple[str, str], ...] = ()
    group: str = ""
    staves: int = 1

    @cached_property
    def is_pitched(self) -> bool:
        """True when written pitches mean something on it."""
        return self.full is not None

    def names_in(self, language: str) -> tuple[str, ...]:
        """Every spelling of its name in a language: singular, plural, abbreviations."""
        return tuple(name for tongue, name in self.names if tongue == language)

    def comfortable(self, level: float) -> tuple[float, float] | None:
        """Lowest and highest written MIDI number in comfort at a player level; None when unpitched.

        Between the levels of the table the borders move in a straight line.

        Args:
            level: Player level from 0.5 to 6; outside it the end cells hold.

        Example:
            >>> from planner.core.instruments import get_instrument
            >>> get_instrument("clarinet-bflat").comfortable(1)
            (52.0, 70.0)
        """
        if not self.by_level:
            return (self.full.low_midi, self.full.high_midi) if self.full else None
        below = self.by_level[0]
        for above in self.by_level:
            if level <= above[0]:
                return _between(below, above, level)
            below = above
        return _between(below, below, level)


def _between(
    below: tuple[float, RangeCell], above: tuple[float, RangeCell], level: float
) -> tuple[float, float]:
    span = above[0] - below[0]
    share = 1.0 if span <= 0 else min(1.0, max(0.0, (level - below[0]) / span))
    low = below[1].low_midi + share * (above[1].low_midi - below[1].low_midi)
    high = below[1].high_midi + share * (above[1].high_midi - below[1].high_midi)
    return float(low), float(high)


def cell(text: str) -> RangeCell:
    """Read ``"E3-C7 OL"``, with an optional ``"! what another source says"`` at the end.

    Where the two ends have different sources the keys stand beside each other, the low end's first:
    ``"Bb3-F#6 SS+M"``.

    Raises:
        ValueError: If a pitch or a source key is unknown.

    Example:
        >>> found = cell("Bb3-F#6 SS+M ! the published table ends at F6")
        >>> found.source
        'low end: Instrument ranges, studystack.com/flashcard-697185; high end: from memory'
    """
    body, _, disputed = text.partition("!")
    span, _, keys = body.strip().partition(" ")
    low, _, high = span.partition("-")
    unknown = [key for key in keys.split("+") if key not in SOURCES]
    if unknown:
        raise ValueError(f"{text!r} has no known source")
    named = [SOURCES[key] for key in keys.split("+")]
    source = named[0] if len(named) == 1 else f"low end: {named[0]}; high end: {named[1]}"
    return RangeCell(Pitch.parse(low), Pitch.parse(high), source, disputed.strip())


_TIERS: dict[str, tuple[float, ...]] = {
    "beg": (0.5, 1.0),
    "int": (2.0, 3.0),
    "adv": (4.0, 5.0),
    "pro": (6.0,),
}


def level_cells(text: str) -> tuple[tuple[float, RangeCell], ...]:
    """Read ``"beg E3-Bb4 TM | 2 E3-C6 TM | adv E3-F6 M"`` into cells by level.

    ``beg`` holds at levels 0.5 and 1, ``int`` at 2 and 3, ``adv`` at 4 and 5, ``pro`` at 6; a number is
    one level.
    """
    found: list[tuple[float, RangeCell]] = []
    for entry in filter(None, (part.strip() for part in text.split("|"))):
        key, _, rest = entry.partition(" ")
        levels = _TIERS.get(key) or (float(key),)
        found += [(level, cell(rest)) for level in levels]
    return tuple(sorted(found, key=lambda pair: pair[0]))


def alike(base: Instrument) -> tuple[tuple[float, RangeCell], ...]:
    """The cells by level of an instrument that is fingered alike and read at the same written pitches."""
    return tuple(
        (level, replace(each, source=f"as on the {base.name} ({each.source})"))
        for level, each in base.by_level
    )


def rewritten(base: Instrument, id_: str, name: str, move: Transposition, **changes: Any) -> Instrument:
    """The same instrument read from a part in another key or clef: it sounds the same, so ranges move.

    Args:
        base: The instrument that is played.
        id_: Id of the row.
        name: Name of the row.
        move: From the pitches of that part to what sounds.
        changes: Other columns that differ.
    """

    def moved(each: RangeCell) -> RangeCell:
        low, high = (move.to_written(base.transposition.to_sounding(end)) for end in (each.low, each.high))
        return replace(
            each, low=low, high=high, source=f"moved from the {base.name} ({each.source})", disputed=""
        )

    assert base.full is not None
    cells = tuple((level, moved(each)) for level, each in base.by_level)
    return replace(
        base, id=id_, name=name, transposition=move, full=moved(base.full), by_level=cells, **changes
    )
