"""How low and how high a part goes, and whether its instrument can."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import takewhile

import numpy as np

from planner.core.instruments import INSTRUMENTS, Instrument, get_instrument
from planner.core.issue import Issue, valued
from planner.core.pitch import Pitch, Transposition
from planner.study.notes.columns import Ints, PartColumns


@dataclass(frozen=True, slots=True)
class RangeFacts:
    """The compass of one part.

    Attributes:
        written: Lowest and highest written pitch by name, as spelled; None without pitches.
        sounding: The same as it sounds.
        low, high: Written MIDI numbers of those two; NaN without pitches.
    """

    written: tuple[str, str] | None
    sounding: tuple[str, str] | None
    low: float = float("nan")
    high: float = float("nan")
    issues: tuple[Issue, ...] = ()


def measure_range(part: PartColumns) -> RangeFacts:
    """Compass of a part, with an issue where it leaves its instrument.

    Args:
        part: The part.

    Example:
        >>> from planner.study.notes.columns import columns_of
        >>> from planner.core.pitch import Pitch, Transposition
        >>> from planner.core.score import Note, Part, Score, Measure, TimeSignature
        >>> from fractions import Fraction
        >>> quarter = Fraction(1)
        >>> notes = tuple(Note(0, n * quarter, quarter, Pitch.parse(p)) for n, p in enumerate(("C4", "G5")))
        >>> time = TimeSignature((((2,), 4),))
        >>> measures = (Measure(0, "1", Fraction(0), Fraction(2), time),)
        >>> score = Score("Two notes", measures, (Part("P1", "Flute", instrument="flute", notes=notes),))
        >>> measure_range(columns_of(score).parts[0]).written
        ('C4', 'G5')
    """
    if not part.is_pitched:
        return RangeFacts(None, None, issues=_oddities(part))
    heads = np.flatnonzero(~np.isnan(part.sounding))
    order = heads[np.argsort(part.sounding[heads], kind="stable")]
    ends = [part.part.notes[int(part.note[at])] for at in (order[0], order[-1])]
    written = [note.pitch for note in ends if note.pitch]
    sounding = [
        part.part.transposition_at(note.measure).to_sounding(note.pitch) for note in ends if note.pitch
    ]
    low, high = float(part.written[order[0]]), float(part.written[order[-1]])
    return RangeFacts(
        _names(written),
        _names(sounding),
        low,
        high,
        (*_oddities(part), *_out_of_range(part, heads)),
    )


def _oddities(part: PartColumns) -> tuple[Issue, ...]:
    """What makes the part hard to judge: no known instrument, another transposition, pitches on a drum."""
    if not part.struck.any():
        return ()
    name, instrument = part.part.name, instrument_of(part)
    if instrument is None:
        if part.part.staves > 1:
            return ()
        return (Issue("instrument-unknown", "note", name),)
    if part.is_pitched and not instrument.is_pitched:
        return (Issue("drum-with-pitches", "note", name, values=valued(instrument=instrument.id)),)
    own, stated = instrument.transposition.semitones, part.part.transposition.semitones
    if (
        part.part.transpositions
        and (stated - own) % 12
        and instrument.is_pitched
        and instrument.id != "timpani"
    ):
        values = valued(instrument=instrument.id, semitones=stated, usual_semitones=own)
        return (Issue("transposition-odd", "warning", name, values=values),)
    return ()


def _names(pitches: list[Pitch]) -> tuple[str, str]:
    return str(pitches[0]), str(pitches[-1])


def instrument_of(part: PartColumns) -> Instrument | None:
    """The part's row of the instrument table, or None when it was not recognised."""
    try:
        return get_instrument(part.part.instrument) if part.part.instrument else None
    except KeyError:
        return None


def family_of(part: PartColumns) -> str:
    """Family of the part's instrument; several staves make an unknown one a keyboard; empty when unknown."""
    instrument = instrument_of(part)
    if instrument:
        return instrument.family
    return "keyboard" if part.part.staves > 1 else ""


def _out_of_range(part: PartColumns, heads: Ints) -> tuple[Issue, ...]:
    """Notes beyond the end of the instrument, or of the one that the player has changed to.

    In a part that is written as its instrument is read, another transposition on the way is another
    instrument: of the same kind where there is one (a clarinet in A), else of the same family (a piccolo).
    Where several would do, a note is out of range only when none of them has it.
    """
    instrument = instrument_of(part)
    if instrument is None or instrument.full is None or not heads.size:
        return ()
    changes = part.part.transpositions or ((0, part.part.transposition),)
    stops = [*(start for start, _ in changes[1:]), int(part.measure.max()) + 1]
    too_low: dict[Instrument, list[Ints]] = {}
    too_high: dict[Instrument, list[Ints]] = {}
    for at, (start, transposition) in enumerate(changes):
        from_here = part.measure[heads] >= (start if at else 0)
        inside = heads[from_here & (part.measure[heads] < stops[at])]
        held = _played_there(part, instrument, transposition)
        if held:
            low, high = _beyond(part, inside, held)
            too_low.setdefault(held[0], []).append(low)
            too_high.setdefault(held[0], []).append(high)
    return (
        *(
            issue
            for each, found in too_low.items()
            for issue in _range_issue("below-range", part, found, each)
        ),
        *(
            issue
            for each, found in too_high.items()
            for issue in _range_issue("above-range", part, found, each)
        ),
    )


def _played_there(part: PartColumns, instrument: Instrument, here: Transposition) -> tuple[Instrument, ...]:
    """What the player may hold where the part transposes like that, the likeliest first."""
    own, now = instrument.transposition.semitones, here.semitones
    if part.part.transposition.semitones != own or now == own:
        return (instrument,)
    others = [
        each
        for each in INSTRUMENTS
        if each.transposition.semitones == now and each.family == instrument.family and each.full is not None
    ]
    nearest = max((_kinship(instrument, each) for each in others), default=0)
    return tuple(each for each in others if _kinship(instrument, each) == nearest)


def _kinship(one: Instrument, other: Instrument) -> int:
    """How near two instruments are: names their sounds share (``wind.flutes.flute``), one kind nearest."""
    if one.group == other.group:
        return 9
    names = zip(one.sound.split("."), other.sound.split("."), strict=False)
    return len(list(takewhile(lambda pair: pair[0] == pair[1], names)))


def _beyond(part: PartColumns, heads: Ints, instruments: tuple[Instrument, ...]) -> tuple[Ints, Ints]:
    """The heads too low, and those too high, for every one of the instruments."""
    low, high = np.ones(len(heads), dtype=np.bool_), np.ones(len(heads), dtype=np.bool_)
    for each in instruments:
        assert each.full is not None
        read = part.sounding[heads] - each.transposition.semitones
        low &= read < each.full.low_midi
        high &= read > each.full.high_midi
    return heads[low], heads[high]


def _range_issue(
    slug: str, part: PartColumns, found: Sequence[Ints], instrument: Instrument
) -> tuple[Issue, ...]:
    """The issue of a part with notes beyond the end of an instrument; none without notes."""
    heads = np.concatenate(found)
    if not heads.size or instrument.full is None:
        return ()
    border = instrument.full.low if slug == "below-range" else instrument.full.high
    values = valued(notes=len(heads), border=str(border), instrument=instrument.id)
    return (Issue(slug, "error", part.part.name, int(part.measure[heads[0]]), values),)
