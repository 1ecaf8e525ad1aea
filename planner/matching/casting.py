"""Which section of an ensemble reads which part of a piece."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache, lru_cache

from planner.core.ensemble import Role, Section
from planner.core.instruments import INSTRUMENTS, read_name
from planner.core.profile import PartProfile
from planner.study.difficulty.roles import is_named_solo, roles_of


class How(StrEnum):
    """How a section comes to a part."""

    OWN = "own"
    """Its instrument and its chair."""
    FOLDED = "folded"
    """Another chair of its instrument."""
    SUBSTITUTE = "substitute"
    """Another instrument's part, in the same clef and key."""
    TRANSPOSING = "transposing"
    """Its instrument's part in another key or clef."""
    SHARED = "shared"
    """One more part within the section."""


class Remedy(StrEnum):
    """What could be done about a part that nobody reads."""

    DIVIDE = "divide"
    """Sections of its instrument could divide."""
    AS_IT_STANDS = "as it stands"
    """Sections of another instrument can read it in its clef and key."""
    NONE = "none"
    """Nobody in the ensemble can."""


KIN: tuple[tuple[str, ...], ...] = (
    ("trumpet-bflat", "cornet-bflat", "flugelhorn"),
    ("cornet-eflat", "trumpet-eflat"),
    ("tenor-horn-eflat", "saxophone-alto"),
    ("horn-f", "mellophone-f"),
    ("euphonium", "baritone-horn", "trombone", "bassoon", "trombone-bass"),
    ("euphonium-treble", "baritone-horn-treble", "trombone-treble"),
    ("tuba", "double-bass"),
    ("flute", "piccolo"),
    ("oboe", "flute"),
    ("clarinet-alto", "saxophone-alto"),
    ("clarinet-bass", "saxophone-tenor"),
    ("cello", "bassoon"),
    ("mallets", "glockenspiel", "xylophone", "marimba", "vibraphone", "chimes"),
    ("soprano", "mezzo-soprano", "voice"),
    ("alto", "mezzo-soprano", "voice"),
    ("tenor", "voice"),
    ("baritone-voice", "bass-voice", "voice"),
    ("guitar", "guitar-electric"),
    ("synthesizer", "piano"),
)
"""Instruments that can read each other's parts as they stand: same clef and same key (or octave).

Source: common practice of cross-cueing in band and orchestra sets; order is preference.
"""

OTHER_CLEF: tuple[tuple[str, ...], ...] = (
    ("euphonium", "euphonium-treble"),
    ("baritone-horn", "baritone-horn-treble"),
    ("euphonium", "baritone-horn-treble"),
    ("euphonium-treble", "baritone-horn"),
    ("trombone", "trombone-treble"),
    ("tuba", "tuba-eflat-treble", "tuba-bflat-treble"),
)
"""The same instrument printed in another clef and key; the players must know that reading."""

UNPITCHED = frozenset(
    i.id for i in INSTRUMENTS if i.family == "percussion" and not i.is_pitched and i.id != "timpani"
)
"""Drums and small percussion, which one section shares out among its players."""

_GROUP = {i.id: i.group or i.id for i in INSTRUMENTS}


@dataclass(frozen=True, slots=True)
class CastPart:
    """That a section reads a part.

    Attributes:
        section_id: Who reads.
        part: Name of the part.
        how: How it comes to it.
        printed_for: Id of the instrument the part is printed for where that is not the section's own.
    """

    section_id: int
    part: str
    how: How
    printed_for: str = ""


@dataclass(frozen=True, slots=True)
class Uncovered:
    """A part nobody reads, and what could be done.

    Attributes:
        part: Its name.
        instrument: Id of its instrument; empty when not known.
        remedy: What could be done.
        could_read: Ids of the sections that could.
    """

    part: str
    instrument: str
    remedy: Remedy = Remedy.NONE
    could_read: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Casting:
    """Who reads what in one piece.

    Attributes:
        readings: In section order; a section's main part comes first.
        uncovered: Parts with notes that nobody reads, in score order, but for ``practice``.
        idle: Ids of the sections that have no part.
        practice: Names of parts printed for rehearsals, which are not read.
    """

    readings: tuple[CastPart, ...]
    uncovered: tuple[Uncovered, ...]
    idle: tuple[int, ...]
    practice: tuple[str, ...] = ()

    def part_of(self, section_id: int) -> CastPart | None:
        """The main part of a section, or None when it has none."""
        return next((r for r in self.readings if r.section_id == section_id), None)


@dataclass(frozen=True, slots=True)
class _Seat:
    """A part with its chairs, the singers that share it, and whether it is a solo apart from the group."""

    part: PartProfile
    chairs: tuple[int, ...]
    singers: tuple[str, ...] = ()
    is_solo: bool = False


def cast_parts(parts: Sequence[PartProfile], sections: Sequence[Section]) -> Casting:
    """Give each section the part it should read.

    A section takes the part of its instrument and chair; else the nearest chair of its instrument; else a
    part it can read as it stands; else its own instrument's part in another key or clef. A solo is left to
    the section called solo, unless its instrument has nothing else. Drums no section claimed are shared out
    within the percussion section as far as it has players.

    Args:
        parts: Of the piece; parts without notes, and those for practice only, are left aside.
        sections: Of the ensemble.

    Example:
        >>> part = PartProfile("Clarinet 2", "clarinet-bflat", -2, 40, None, None, 2.0)
        >>> cast_parts([part], [Section(5, "Clarinet 2", "clarinet-bflat", chair=2)]).part_of(5).part
        'Clarinet 2'
    """
    seats, practice = _seats(parts)
    readings = _read(seats, sections)
    taken, busy = {r.part for r in readings}, {r.section_id for r in readings}
    return Casting(
        readings=tuple(readings),
        uncovered=tuple(_uncovered(seat, sections) for seat in seats if seat.part.name not in taken),
        idle=tuple(s.id for s in sections if s.id not in busy),
        practice=practice,
    )


def read_parts(parts: Sequence[PartProfile], sections: Sequence[Section]) -> tuple[CastPart, ...]:
    """The readings of ``cast_parts`` alone, for thousands of pieces at once."""
    return tuple(_read(_seats(parts)[0], sections))


def _read(seats: Sequence[_Seat], sections: Sequence[Section]) -> list[CastPart]:
    by_instrument: dict[str, list[_Seat]] = {}
    for seat in seats:
        by_instrument.setdefault(seat.part.instrument, []).append(seat)
    cast = (_cast(section, seats, by_instrument) for section in sections)
    readings = [reading for reading in cast if reading is not None]
    readings += _share_drums(seats, sections, readings)
    order = {section.id: at for at, section in enumerate(sections)}
    readings.sort(key=lambda r: order[r.section_id])
    return readings


def _seats(parts: Sequence[PartProfile]) -> tuple[list[_Seat], tuple[str, ...]]:
    """Every part that is to be read with its chairs, and the names of those for practice only.

    Chairs are as named; parts that name none are counted within their instrument.
    """
    playing = [part for part in parts if part.plays]
    seats: list[_Seat] = []
    practice: list[str] = []
    before: Counter[tuple[str, tuple[str, ...]]] = Counter()
    for part, role in zip(playing, roles_of(playing), strict=True):
        if role is Role.PRACTICE:
            practice.append(part.name)
            continue
        chairs, singers = _named(part.name)
        is_solo = role is Role.SOLOIST
        before[part.instrument, singers] += not is_solo
        counted = 1 if is_solo else before[part.instrument, singers]
        seats.append(_Seat(part, chairs or (counted,), singers, is_solo))
    return seats, tuple(practice)


@lru_cache(maxsize=4096)
def _named(name: str) -> tuple[tuple[int, ...], tuple[str, ...]]:
    """The chairs that a part's name tells, and the singers that share it."""
    reading = read_name(name)
    return reading.chairs, reading.singers


def _cast(
    section: Section, seats: Sequence[_Seat], by_instrument: Mapping[str, Sequence[_Seat]]
) -> CastPart | None:
    own = by_instrument.get(section.instrument) or [s for s in seats if section.instrument in s.singers]
    if own:
        return _chair_of(section, own)
    choices = (
        (How.SUBSTITUTE, _kin(section.instrument)),
        (How.TRANSPOSING, _same_in_another_key(section.instrument)),
    )
    for how, others in choices:
        for other in others:
            found = by_instrument.get(other)
            if found:
                return CastPart(section.id, _chair_of(section, found).part, how, printed_for=other)
    return None


def _chair_of(section: Section, seats: Sequence[_Seat]) -> CastPart:
    """The seat of the section's chair, else the nearest one, the lower of two.

    A solo is read by the section called solo, and by another only where its instrument has nothing else.
    """
    is_solo = is_named_solo(section.name)
    seats = [seat for seat in seats if seat.is_solo == is_solo] or seats
    exact = [seat for seat in seats if section.chair in seat.chairs]
    if exact:
        return CastPart(section.id, exact[0].part.name, How.OWN)
    nearest = min(seats, key=lambda s: min((abs(c - section.chair), -c) for c in s.chairs))
    return CastPart(section.id, nearest.part.name, How.FOLDED)


@cache
def _kin(instrument: str) -> tuple[str, ...]:
    return tuple(other for row in KIN if instrument in row for other in row if other != instrument)


@cache
def _same_in_another_key(instrument: str) -> tuple[str, ...]:
    group = _GROUP.get(instrument, instrument)
    crooks = [i.id for i in INSTRUMENTS if _GROUP[i.id] == group and i.id != instrument]
    clefs = [other for row in OTHER_CLEF if instrument in row for other in row if other != instrument]
    return (*clefs, *crooks)


def _share_drums(
    seats: Sequence[_Seat], sections: Sequence[Section], readings: Sequence[CastPart]
) -> list[CastPart]:
    taken = {r.part for r in readings}
    left = [s.part for s in seats if s.part.instrument in UNPITCHED and s.part.name not in taken]
    shared: list[CastPart] = []
    for section in sections:
        if section.instrument not in UNPITCHED:
            continue
        hands = section.size - sum(1 for r in readings if r.section_id == section.id)
        shared += [CastPart(section.id, part.name, How.SHARED) for part in left[: max(0, hands)]]
        left = left[max(0, hands) :]
    return shared


def _uncovered(seat: _Seat, sections: Sequence[Section]) -> Uncovered:
    instrument, name = seat.part.instrument, seat.part.name
    same = tuple(s.id for s in sections if s.instrument == instrument)
    if same:
        return Uncovered(name, instrument, Remedy.DIVIDE, same)
    able = tuple(s.id for s in sections if instrument in _kin(s.instrument))
    return Uncovered(name, instrument, Remedy.AS_IT_STANDS if able else Remedy.NONE, able)
