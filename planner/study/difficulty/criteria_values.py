"""What each limit of a criteria file takes as its value."""

import re
from collections.abc import Callable, Mapping
from enum import StrEnum
from typing import Any

from planner.core.instruments import INSTRUMENTS
from planner.core.limit import Limit
from planner.core.pitch import Pitch
from planner.study.difficulty.criteria_rules import MAJOR_FIFTHS, VALUES, signature_of

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


class Kind(StrEnum):
    """What a limit takes."""

    COUNT = "count"
    SPAN = "span"
    FLAG = "flag"
    MINUTES = "minutes"
    METERS = "meters"
    KEYS = "keys"
    NOTES = "notes"
    VALUES = "values"
    RANGES = "ranges"


_WILL_DO: Mapping[Kind, Callable[[Any], bool]] = {
    Kind.COUNT: _is_count,
    Kind.SPAN: _is_span,
    Kind.FLAG: lambda value: isinstance(value, bool),
    Kind.MINUTES: _is_number,
    Kind.METERS: _list_of(lambda text: _METER.fullmatch(text) is not None),
    Kind.KEYS: _list_of(_is_key),
    Kind.NOTES: _list_of(lambda text: _NOTE.fullmatch(text) is not None),
    Kind.VALUES: _list_of(VALUES.__contains__),
    Kind.RANGES: _are_ranges,
}

TAKES: Mapping[Limit, Kind] = {
    Limit.MEASURES: Kind.SPAN,
    Limit.MINUTES: Kind.MINUTES,
    Limit.BPM: Kind.SPAN,
    Limit.METERS: Kind.METERS,
    Limit.METER_CHANGES: Kind.COUNT,
    Limit.CONCERT_KEYS: Kind.KEYS,
    Limit.KEY_CHANGES: Kind.COUNT,
    Limit.CONCERT_NOTES: Kind.NOTES,
    Limit.VALUES: Kind.VALUES,
    Limit.PERCUSSION_VALUES: Kind.VALUES,
    Limit.EIGHTHS_IN_REPEATED_PAIRS: Kind.FLAG,
    Limit.TUPLETS: Kind.FLAG,
    Limit.ROLLS: Kind.FLAG,
    Limit.TIMPANI_PITCHES: Kind.COUNT,
    Limit.RANGE_SEMITONES: Kind.COUNT,
    Limit.WRITTEN_FLATS: Kind.COUNT,
    Limit.WRITTEN_SHARPS: Kind.COUNT,
    Limit.RANGES: Kind.RANGES,
}
"""For each limit what it takes."""


def demand(limit: Limit, value: Any) -> None:
    """Refuse a value that a limit cannot take.

    Raises:
        ValueError: If it cannot; with what it takes, in words.

    Example:
        >>> demand(Limit.TUPLETS, False)
        >>> demand(Limit.TUPLETS, "no")
        Traceback (most recent call last):
        ValueError: true or false
    """
    kind = TAKES[limit]
    if not _WILL_DO[kind](value):
        raise ValueError({
            Kind.COUNT: "a whole number, such as 2",
            Kind.SPAN: "the least and the most, such as [40, 64]",
            Kind.FLAG: "true or false",
            Kind.MINUTES: "a number of minutes, such as 2.5",
            Kind.METERS: 'time signatures, such as ["2/4", "6/8"]; cut time is "2/2"',
            Kind.KEYS: 'keys, such as ["Bb major", "G minor"]',
            Kind.NOTES: 'names of notes, such as ["Bb", "F#"]',
            Kind.VALUES: f'names of note values, such as ["half", "quarter"]: {", ".join(VALUES)}',
            Kind.RANGES: 'for each instrument the lowest and the highest written note, such as '
            'flute = ["D4", "Eb6"]; an instrument is named as in clarinet-bflat, horn-f or saxophone-alto',
        }[kind])  # fmt: skip
