"""What each limit of a criteria file takes as its value."""

import re
from collections.abc import Callable, Mapping
from typing import Any

from planner.core.instruments import INSTRUMENTS
from planner.core.limit import Limit
from planner.core.pitch import Pitch
from planner.study.difficulty.criteria_rules import MAJOR_FIFTHS, VALUES, signature_of

Takes = tuple[Callable[[Any], bool], str]
"""Whether a value will do, and what the limit takes, in words."""

_NOTE = re.compile(r"[A-G](##?|bb?)?")
_METER = re.compile(r"[1-9]\d*/(1|2|4|8|16|32)")


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and value >= 0


def _is_count(value: Any) -> bool:
    return _is_number(value) and isinstance(value, int)


def _is_span(value: Any) -> bool:
    return (
        isinstance(value, list) and len(value) == 2 and all(map(_is_number, value)) and value[0] <= value[1]
    )


def _list_of(is_one: Callable[[str], bool]) -> Callable[[Any], bool]:
    def each(value: Any) -> bool:
        return (
            isinstance(value, list) and bool(value) and all(isinstance(v, str) and is_one(v) for v in value)
        )

    return each


def _is_key(text: str) -> bool:
    tonic, _, mode = text.partition(" ")
    return tonic in MAJOR_FIFTHS and mode in ("major", "minor") and -7 <= signature_of(text) <= 7


def _is_pitch(text: Any) -> bool:
    try:
        Pitch.parse(text)
    except (TypeError, ValueError):
        return False
    return True


def _are_ranges(value: Any) -> bool:
    known = {instrument.id for instrument in INSTRUMENTS if instrument.full}
    return isinstance(value, dict) and all(
        id_ in known
        and isinstance(span, list)
        and len(span) == 2
        and all(map(_is_pitch, span))
        and Pitch.parse(span[0]).midi <= Pitch.parse(span[1]).midi
        for id_, span in value.items()
    )


_COUNT: Takes = (_is_count, "a whole number, such as 2")
_SPAN: Takes = (_is_span, "the least and the most, such as [40, 64]")
_FLAG: Takes = (lambda value: isinstance(value, bool), "true or false")
_VALUES: Takes = (
    _list_of(VALUES.__contains__), f'names of note values, such as ["half", "quarter"]: {", ".join(VALUES)}'
)  # fmt: skip

TAKES: Mapping[Limit, Takes] = {
    Limit.MEASURES: _SPAN,
    Limit.MINUTES: (_is_number, "a number of minutes, such as 2.5"),
    Limit.BPM: _SPAN,
    Limit.METERS: (
        _list_of(lambda text: _METER.fullmatch(text) is not None),
        'time signatures, such as ["2/4", "6/8"]; cut time is "2/2"',
    ),
    Limit.METER_CHANGES: _COUNT,
    Limit.CONCERT_KEYS: (_list_of(_is_key), 'keys, such as ["Bb major", "G minor"]'),
    Limit.KEY_CHANGES: _COUNT,
    Limit.CONCERT_NOTES: (
        _list_of(lambda text: _NOTE.fullmatch(text) is not None), 'names of notes, such as ["Bb", "F#"]'
    ),
    Limit.VALUES: _VALUES,
    Limit.PERCUSSION_VALUES: _VALUES,
    Limit.EIGHTHS_IN_REPEATED_PAIRS: _FLAG,
    Limit.TUPLETS: _FLAG,
    Limit.ROLLS: _FLAG,
    Limit.TIMPANI_PITCHES: _COUNT,
    Limit.RANGE_SEMITONES: _COUNT,
    Limit.WRITTEN_FLATS: _COUNT,
    Limit.WRITTEN_SHARPS: _COUNT,
    Limit.RANGES: (
        _are_ranges,
        "for each instrument the lowest and the highest written note, such as flute = [\"D4\", \"Eb6\"]; "
        "an instrument is named as in clarinet-bflat, horn-f or saxophone-alto",
    ),
}  # fmt: skip
"""For each limit the value it takes."""


def fault_of(limit: Limit, value: Any) -> str:
    """What the limit takes, in words, when the value is not that; empty when it is.

    Example:
        >>> fault_of(Limit.TUPLETS, "no"), fault_of(Limit.TUPLETS, False)
        ('true or false', '')
    """
    will_do, words = TAKES[limit]
    return "" if will_do(value) else words
