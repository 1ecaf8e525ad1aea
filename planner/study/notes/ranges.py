"""How low and how high a part goes, and whether its instrument can."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from planner.core.instruments import Instrument, get_instrument
from planner.core.issue import Issue
from planner.core.pitch import Pitch
from planner.study.notes.columns import Ints, PartColumns


@dataclass(frozen=True, slots=True)
class RangeFacts:
    """The compass of one part.

    Attributes:
        written: Lowest and highest written pitch by name, as spelled; None without pitches.
        sounding: The same as it sounds.
        low, high: Written MIDI numbers of those two; NaN without pitches.
        tessitura: Written MIDI numbers below which a tenth, a half and nine tenths of the sounding time
            lie; NaN without pitches.
        issues: Notes the instrument does not have, and other impossibilities.
    """

    written: tuple[str, str] | None
    sounding: tuple[str, str] | None
    low: float = float("nan")
    high: float = float("nan")
    tessitura: tuple[float, float, float] = (float("nan"),) * 3
    issues: tuple[Issue, ...] = ()


def measure_range(part: PartColumns, numbers: Sequence[str] = ()) -> RangeFacts:
    """Compass and tessitura of a part, with an issue where it leaves its instrument.

    Args:
        part: The part.
        numbers: Printed bar numbers by written position, for the sentences; counted from 1 without them.

    Example:
        >>> from planner.study.notes.columns import columns_of
        >>> from planner.core.pitch import Pitch
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
        _tessitura(part, heads),
        (*_oddities(part), *_out_of_range(part, heads, numbers)),
    )


def _oddities(part: PartColumns) -> tuple[Issue, ...]:
    """What makes the part hard to judge: no known instrument, another transposition, pitches on a drum."""
    if not part.struck.any():
        return ()
    name, instrument = part.part.name, instrument_of(part)
    if instrument is None:
        if part.part.staves > 1:
            return ()
        sentence = (
            f"No instrument was recognised for the part “{name}”: its range and technique are not checked; "
            "name the instrument in the score."
        )
        return (Issue("instrument-unknown", "note", sentence, name),)
    if part.is_pitched and not instrument.is_pitched:
        sentence = (
            f"The part “{name}” is for {instrument.name} but has pitches: they are taken for places on "
            "the staff."
        )
        return (Issue("drum-with-pitches", "note", sentence, name),)
    own, stated = instrument.transposition.semitones, part.part.transposition.semitones
    if (
        part.part.transpositions
        and (stated - own) % 12
        and instrument.is_pitched
        and instrument.id != "timpani"
    ):
        sentence = (
            f"The part “{name}” is written for another transposition ({stated:+d} semitones) than the "
            f"{instrument.name} ({own:+d}): check that players get the right part."
        )
        return (Issue("transposition-odd", "warning", sentence, name),)
    return ()


def bar_number(measure: int, numbers: Sequence[str]) -> str:
    """Printed number of a written measure; its count from 1 when the numbers are not known."""
    return numbers[measure] if measure < len(numbers) else str(measure + 1)


def _names(pitches: list[Pitch]) -> tuple[str, str]:
    return str(pitches[0]), str(pitches[-1])


def _tessitura(part: PartColumns, heads: Ints) -> tuple[float, float, float]:
    order = heads[np.argsort(part.written[heads], kind="stable")]
    share = np.cumsum(part.duration[order])
    at = np.searchsorted(share, np.array([0.1, 0.5, 0.9]) * share[-1])
    low, middle, high = part.written[order[np.minimum(at, len(order) - 1)]].tolist()
    return low, middle, high


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


def _out_of_range(part: PartColumns, heads: Ints, numbers: Sequence[str]) -> tuple[Issue, ...]:
    instrument = instrument_of(part)
    if instrument is None or instrument.full is None or not heads.size:
        return ()
    shift = part.part.transposition.semitones - instrument.transposition.semitones
    written = part.written[heads] + shift
    issues = []
    for outside, side, border in (
        (written < instrument.full.low_midi, "below", instrument.full.low),
        (written > instrument.full.high_midi, "above", instrument.full.high),
    ):
        if outside.any():
            first = int(part.measure[heads[outside]][0])
            count = int(outside.sum())
            notes = f"{count} notes" if count > 1 else "a note"
            sentence = (
                f"{part.part.name} has {notes} {side} {border}, the end of the {instrument.name}, first in "
                f"bar {bar_number(first, numbers)}; move the passage by an octave or give it to another "
                "section."
            )
            issues.append(Issue(f"{side}-range", "error", sentence, part.part.name, first))
    return tuple(issues)
