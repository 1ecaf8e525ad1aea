"""What makes a level, and which published limits are broken, in words."""

from collections.abc import Callable, Iterable, Mapping, Sequence

from planner.core.difficulty import Measured, Quantity
from planner.core.limit import Limit, LimitResult
from planner.wording.words import bars, capital, count_of, key, pitch, signature

FIGURES = (
    "whole beats", "beats in two", "figures that begin after the beat", "beats in three or four",
    "broken figures of short notes", "fine or crossed divisions", "the finest divisions",
)  # fmt: skip
"""The hardest common figure of a rhythm, by its rank."""


def _counted(one: str, many: str = "", after: str = "") -> Callable[[Measured], str]:
    return lambda it: count_of(round(it.number), one, many) + after


def _share(after: str) -> Callable[[Measured], str]:
    return lambda it: f"{it.number:.0%} {after}"


def _plain(words: str) -> Callable[[Measured], str]:
    return lambda _: words


MEASURED: Mapping[Quantity, Callable[[Measured], str]] = {
    Quantity.FIGURE: lambda it: FIGURES[int(it.number)],
    Quantity.SYNCOPATED_NOTES: _share("of the notes syncopated"),
    Quantity.METER: lambda it: it.terms[0] if it.terms else "no meter is printed",
    Quantity.METER_CHANGES: _counted("change", after=" of meter"),
    Quantity.SIGNATURE: lambda it: signature(int(it.number)),
    Quantity.ACCIDENTALS: _counted("accidental"),
    Quantity.SIGNATURE_CHANGES: _counted("change", after=" of signature"),
    Quantity.MINOR: _plain("minor"),
    Quantity.COMPASS: lambda it: " to ".join(pitch(name) for name in it.notes),
    Quantity.ONE_NOTE: _plain("one note"),
    Quantity.LEAPS: _share("leaps"),
    Quantity.WIDEST_INTERVAL: lambda it: f"the widest {count_of(int(it.number), 'semitone')}",
    Quantity.BREAK_CROSSINGS: _plain("crossings of the break"),
    Quantity.SLIDE_MOVES: _plain("long slide moves"),
    Quantity.VALVE_CHANGES: _plain("awkward valve changes"),
    Quantity.STRING_CROSSINGS: _plain("jumps over a string"),
    Quantity.ATTACKS: lambda it: f"{it.number:.1f} notes a second at full tempo in the busiest bars",
    Quantity.UNSHARED_ATTACKS: _share("of its notes begin alone"),
    Quantity.ENTRANCES: _counted("entrance", after=" after rests"),
    Quantity.RHYTHMS_BESIDE: _counted("rhythm", after=" beside the top line in the richest sixteen bars"),
    Quantity.JUMPS: lambda it: count_of(int(it.number), "jump") if it.number else "straight through",
    Quantity.MARKS: _counted("kind", after=" of marks"),
    Quantity.LONGEST_STRETCH: _counted("quarter", after=" without a rest"),
}
"""For each quantity the function that says what was measured, as part of a list."""


def measured_words(evidence: Iterable[Measured]) -> str:
    """What was measured for the level of one dimension, as a list; empty without evidence.

    Example:
        >>> measured_words((Measured(Quantity.LEAPS, 0.25), Measured(Quantity.WIDEST_INTERVAL, 12)))
        '25% leaps, the widest 12 semitones'
    """
    return ", ".join(MEASURED[each.quantity](each) for each in evidence)


def _changes(what: str) -> Callable[[LimitResult], str]:
    return lambda it: f"{count_of(int(it.number('changes')), 'change')} of {what}, {_at_most(it)} allowed"


def _at_most(it: LimitResult) -> str:
    return f"at most {it.number('most'):g}"


def _between(it: LimitResult) -> str:
    return f"{it.number('least'):g} to {it.number('most'):g}"


def _not_allowed(it: LimitResult) -> str:
    return f"{', '.join(it.terms)} notes are not allowed"


def _outside(between: str) -> Callable[[LimitResult], str]:
    def words(it: LimitResult) -> str:
        notes = count_of(int(it.number("notes")), "note")
        return f"{notes} outside {between.join(pitch(name) for name in it.terms)}"

    return words


def _more_than(sign: str) -> Callable[[LimitResult], str]:
    return lambda it: f"more than {count_of(int(it.number('most')), sign)}"


LIMITS: Mapping[Limit, Callable[[LimitResult], str]] = {
    Limit.MEASURES: lambda it: f"{it.number('measures'):.0f} measures, {_between(it)} are allowed",
    Limit.MINUTES: lambda it: f"it lasts {it.number('minutes'):.1f} minutes, {_at_most(it)} are allowed",
    Limit.BPM: lambda it: f"the tempo is {it.number('bpm'):g}, {_between(it)} is allowed",
    Limit.METERS: lambda it: f"the meter {it.terms[0]} is not allowed",
    Limit.METER_CHANGES: _changes("meter"),
    Limit.CONCERT_KEYS: lambda it: (
        f"the piece is in {key(it.keys[0])}" if it.keys else "the signature belongs to no key that is allowed"
    ),
    Limit.KEY_CHANGES: _changes("key"),
    Limit.CONCERT_NOTES: _outside(" "),
    Limit.VALUES: _not_allowed,
    Limit.PERCUSSION_VALUES: _not_allowed,
    Limit.EIGHTHS_IN_REPEATED_PAIRS: lambda _: "eighths that are not a repeated pair",
    Limit.TUPLETS: lambda _: "tuplets are not allowed",
    Limit.ROLLS: lambda _: "rolls are not allowed",
    Limit.TIMPANI_PITCHES: lambda it: f"{it.number('pitches'):.0f} pitches, {_at_most(it)} allowed",
    Limit.RANGE_SEMITONES: lambda it: (
        f"a range of {it.number('semitones'):.0f} semitones, {_at_most(it)} allowed"
    ),
    Limit.WRITTEN_FLATS: _more_than("flat"),
    Limit.WRITTEN_SHARPS: _more_than("sharp"),
    Limit.RANGES: _outside(" to "),
}
"""For each limit the function that says how it is broken."""


def limit_sentence(result: LimitResult, numbers: Sequence[str] = ()) -> str:
    """What breaks a limit, in which part and bar; or that nothing does.

    Args:
        result: The limit held against a piece.
        numbers: Printed bar numbers by written measure; counted from 1 without them.

    Example:
        >>> limit_sentence(LimitResult(Limit.METERS, False, (0,), terms=("4/4",)))
        'The meter 4/4 is not allowed (bar 1).'
    """
    if result.is_met:
        return f"{result.limit.replace('_', ' ').capitalize()} as allowed."
    words, more = LIMITS[result.limit](result), len(result.measures) - 1
    where = f" ({bars(numbers, result.measures[0])}" if result.measures else ""
    where += f" and {more} more)" if more > 0 else ")" if where else ""
    return f"{result.part}: {words}{where}." if result.part else f"{capital(words)}{where}."
