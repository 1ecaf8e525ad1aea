"""What makes a level, and which published limits are broken or cannot be judged, in words."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from planner.core.difficulty import Measured, Quantity
from planner.core.instruments import get_instrument
from planner.core.limit import Answer, Doubt, Limit, LimitResult
from planner.wording.words import bars, capital, count_of, counted, key, listed, pitch, signature

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


_INTERVALS = ("unison", "second", "third", "fourth", "fifth", "sixth", "seventh", "octave")


def _interval(steps: int) -> str:
    """An interval of so many staff steps by its name; beyond two octaves in steps.

    Example:
        >>> _interval(4), _interval(9), _interval(20)
        ('a fifth', 'a third over an octave', '20 steps')
    """
    if steps <= 7:
        return f"{'an' if steps == 7 else 'a'} {_INTERVALS[steps]}"
    return f"a {_INTERVALS[steps - 7]} over an octave" if steps < 14 else f"{steps} steps"


MEASURED: Mapping[Quantity, Callable[[Measured], str]] = {
    Quantity.FIGURE: lambda it: FIGURES[int(it.number)],
    Quantity.BAR_RHYTHMS: lambda it: (
        f"about {count_of(max(1, round(it.number)), 'different rhythm')} in sixteen bars"
    ),
    Quantity.SYNCOPATED_NOTES: _share("of the notes syncopated or tied"),
    Quantity.METER: lambda it: it.terms[0] if it.terms else "no meter is printed",
    Quantity.METER_CHANGES: _counted("change", after=" of meter"),
    Quantity.SIGNATURE: lambda it: signature(int(it.number)),
    Quantity.SIGNATURE_CHANGES: _counted("change", after=" of signature"),
    Quantity.OUTSIDE_SIGNATURE: _share("of the notes outside the signature"),
    Quantity.DIFFERENT_ALTERED: lambda it: (
        f"{it.number:.0f} different ones" if it.number > 1 else "always the same one"
    ),
    Quantity.TRANSPOSED_BY: lambda it: (
        f"read {count_of(abs(int(it.number)), 'semitone')} "
        f"{'higher' if it.number > 0 else 'lower'} than printed"
    ),
    Quantity.COMPASS: lambda it: " to ".join(pitch(name) for name in it.notes),
    Quantity.ABOVE_POSITION: _share("of the notes above first position"),
    Quantity.LEDGER_LINES: lambda it: f"{it.number:.1f} ledger lines to a note",
    Quantity.OTHER_CLEF: _share("of the notes in a less usual clef"),
    Quantity.CLEF_CHANGES: _counted("change", after=" of clef"),
    Quantity.ONE_NOTE: _plain("one note"),
    Quantity.LEAPS: _share("leaps"),
    Quantity.WIDEST_INTERVAL: lambda it: f"the widest {_interval(int(it.number))}",
    Quantity.STAFF_PLACES: lambda it: (
        f"about {count_of(max(1, round(it.number)), 'different note')} on the staff"
    ),
    Quantity.CHORDS: _share("of the attacks are chords"),
    Quantity.ATTACKS: lambda it: f"{it.number:.1f} notes a second at full tempo in the busiest bars",
    Quantity.QUICK_NOTES: _share("of the notes at four a second or quicker"),
    Quantity.UNSHARED_ATTACKS: _share("of its beats struck alone"),
    Quantity.ONE_HAND: _share("of the attacks in one hand alone"),
    Quantity.ENTRANCES: _counted("entrance", after=" after rests"),
    Quantity.JUMPS: lambda it: count_of(int(it.number), "jump") if it.number else "straight through",
    Quantity.MARKS: _counted("kind", after=" of marks"),
    Quantity.LONGEST_STRETCH: _counted("quarter", after=" without a rest"),
}
"""For each quantity the function that says what was measured, as part of a list."""


def measured_words(evidence: Iterable[Measured]) -> str:
    """What was measured for the level of one dimension, as a list; empty without evidence.

    Example:
        >>> measured_words((Measured(Quantity.LEAPS, 0.25), Measured(Quantity.WIDEST_INTERVAL, 7)))
        '25% leaps, the widest an octave'
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
    def words(it: LimitResult) -> str:
        named = _named_signature(it)
        return f"more than {count_of(int(it.number('most')), sign)}{f': {named}' if named else ''}"

    return words


def _named_signature(it: LimitResult) -> str:
    """A signature by its key and its signs, ``F♯ major, six sharps``; empty where there is none."""
    fifths = dict(it.numbers).get("fifths")
    if fifths is None:
        return ""
    count = abs(int(fifths))
    signs = f"{counted(count)} {'sharp' if fifths > 0 else 'flat'}{'' if count == 1 else 's'}"
    return ", ".join((*(key(name) for name in it.keys[:1]), signs if count else "no sharps or flats"))


def _tempo(it: LimitResult) -> str:
    if it.terms:
        return f"“{_tempo_words(it)}” is usually {_spread(it)}, {_between(it)} is allowed"
    return f"the tempo is {it.number('bpm'):g}, {_between(it)} is allowed"


def _tempo_words(it: LimitResult) -> str:
    return it.terms[0].rstrip(" .,:;")


def _spread(it: LimitResult) -> str:
    low, high = sorted((it.number("slowest"), it.number("fastest")))
    return f"{low:.1f} to {high:.1f} minutes" if it.limit is Limit.MINUTES else f"{low:.0f} to {high:.0f}"


def _concert_key(it: LimitResult) -> str:
    named = _named_signature(it)
    if dict(it.numbers).get("home") or (it.keys and not named):
        return f"the piece is in {named or key(it.keys[0])}"
    of = f" of {named}{',' if it.keys else ''}" if named else ""
    return f"the signature{of} belongs to no key that is allowed"


LIMITS: Mapping[Limit, Callable[[LimitResult], str]] = {
    Limit.MEASURES: lambda it: f"{it.number('measures'):.0f} measures, {_between(it)} are allowed",
    Limit.MINUTES: lambda it: f"it lasts {it.number('minutes'):.1f} minutes, {_at_most(it)} are allowed",
    Limit.BPM: _tempo,
    Limit.METERS: lambda it: f"the meter {it.terms[0]} is not allowed",
    Limit.METER_CHANGES: _changes("meter"),
    Limit.CONCERT_KEYS: _concert_key,
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


def _no_tempo(it: LimitResult) -> str:
    lasts = f", and it could last {_spread(it)}" if it.limit is Limit.MINUTES else ""
    return f"no tempo is printed{lasts}"


def _tempo_in_words(it: LimitResult) -> str:
    words = f"“{_tempo_words(it)}”"
    if it.limit is Limit.MINUTES:
        return f"the tempo is given only in words: at {words} it could last {_spread(it)}"
    return f"the tempo is given only in words: {words} could be {_spread(it)} beats a minute"


def _key_unclear(it: LimitResult) -> str:
    if len(it.keys) < 2:
        return "no part prints a key signature and it is not clear what key the piece is in"
    one, other = map(key, it.keys)
    return f"the signature fits {one} and {other}, and it is not clear which of the two it is in"


def _absent(it: LimitResult) -> str:
    if len(it.terms) > 3:
        return "no part is for an instrument that it names"
    return f"no part is for {' or '.join(get_instrument(id_).name for id_ in it.terms)}"


DOUBTS: Mapping[Doubt, Callable[[LimitResult], str]] = {
    Doubt.NO_BARS: lambda _: "the score has no bars",
    Doubt.NO_NOTES: lambda _: "the score has no notes",
    Doubt.NO_TEMPO: _no_tempo,
    Doubt.TEMPO_IN_WORDS: _tempo_in_words,
    Doubt.NO_METER: lambda it: (
        "it has bars without a time signature" if it.measures else "no time signature is printed"
    ),
    Doubt.NO_PITCHES: lambda it: "its notes have no pitches" if it.part else "no part has pitches",
    Doubt.KEY_UNCLEAR: _key_unclear,
    Doubt.INSTRUMENT_UNKNOWN: lambda _: "it is not known what instrument the part is for",
    Doubt.NO_WINDS: lambda _: "no part is for a wind instrument",
    Doubt.INSTRUMENTS_ABSENT: _absent,
    Doubt.VALUES_UNKNOWN: lambda it: (
        f"{count_of(int(it.number('notes')), 'note has', 'notes have')} no printed note value"
    ),
}
"""For each doubt the function that says why a limit cannot be judged."""


def limit_sentence(result: LimitResult, numbers: Sequence[str] = ()) -> str:
    """What breaks a limit, in which part and bar; that nothing does; or why it cannot be judged.

    Args:
        result: The limit held against a piece.
        numbers: Printed bar numbers by written measure; counted from 1 without them.

    Example:
        >>> limit_sentence(LimitResult(Limit.METERS, False, (0,), terms=("4/4",)))
        'The meter 4/4 is not allowed (bar 1).'
        >>> limit_sentence(LimitResult(Limit.BPM, False, doubt=Doubt.NO_TEMPO))
        'Cannot be judged, because no tempo is printed.'
    """
    if result.is_met:
        return f"{result.limit.replace('_', ' ').capitalize()} as allowed."
    if result.doubt:
        return _stated(result, f"cannot be judged, because {DOUBTS[result.doubt](result)}", numbers)
    return _stated(result, LIMITS[result.limit](result), numbers)


def doubt_sentence(result: LimitResult, numbers: Sequence[str] = ()) -> str:
    """Why a limit cannot be judged, where it stands beside that answer; empty where it can.

    Example:
        >>> doubt_sentence(LimitResult(Limit.BPM, False, doubt=Doubt.NO_TEMPO))
        'No tempo is printed.'
    """
    return _stated(result, DOUBTS[result.doubt](result), numbers) if result.doubt else ""


def _stated(result: LimitResult, words: str, numbers: Sequence[str]) -> str:
    """Words about a limit as a sentence, with the part and the first of its bars."""
    more = len(result.measures) - 1
    where = f" ({bars(numbers, result.measures[0])}" if result.measures else ""
    where += f" and {more} more)" if more > 0 else ")" if where else ""
    return f"{result.part}: {words}{where}." if result.part else f"{capital(words)}{where}."


def summary_words(counts: Mapping[Answer, int]) -> str:
    """What a set says of a piece as a whole, from how many of its limits have each answer.

    Example:
        >>> summary_words({Answer.MET: 3}), summary_words({Answer.MET: 1, Answer.BROKEN: 2})
        ('every limit met', '2 of 3 limits broken')
        >>> summary_words({Answer.MET: 1, Answer.CANNOT_BE_JUDGED: 1})
        'no limit broken, but 1 of 2 cannot be judged'
    """
    total = sum(counts.values())
    broken, doubtful = counts.get(Answer.BROKEN, 0), counts.get(Answer.CANNOT_BE_JUDGED, 0)
    if not broken and not doubtful:
        return "every limit met"
    if not broken:
        return f"no limit broken, but {doubtful} of {total} cannot be judged"
    return f"{broken} of {total} limits broken" + (f", {doubtful} cannot be judged" if doubtful else "")


LIMIT_NAMES: Mapping[Limit, str] = {
    Limit.MEASURES: "Number of bars",
    Limit.MINUTES: "Playing time",
    Limit.BPM: "Tempo",
    Limit.METERS: "Meters",
    Limit.METER_CHANGES: "Changes of meter",
    Limit.CONCERT_KEYS: "Concert keys",
    Limit.KEY_CHANGES: "Changes of key",
    Limit.CONCERT_NOTES: "Concert notes",
    Limit.VALUES: "Note values",
    Limit.PERCUSSION_VALUES: "Note values of percussion",
    Limit.EIGHTHS_IN_REPEATED_PAIRS: "Eighths",
    Limit.TUPLETS: "Tuplets",
    Limit.ROLLS: "Percussion rolls",
    Limit.TIMPANI_PITCHES: "Timpani pitches",
    Limit.RANGE_SEMITONES: "Range of each wind part",
    Limit.WRITTEN_FLATS: "Flats in a part’s signature",
    Limit.WRITTEN_SHARPS: "Sharps in a part’s signature",
    Limit.RANGES: "Written ranges",
}
"""What a limit is about, as a heading."""


def allowed_words(limit: Limit, value: Any) -> str:
    """What a limit of a set allows.

    Example:
        >>> allowed_words(Limit.MEASURES, [40, 64]), allowed_words(Limit.CONCERT_KEYS, ["Bb major"])
        ('40 to 64', 'B♭ major')
        >>> allowed_words(Limit.MINUTES, 2), allowed_words(Limit.KEY_CHANGES, 0)
        ('at most 2 minutes', 'none')
    """
    if limit in (Limit.MEASURES, Limit.BPM):
        return f"{value[0]:g} to {value[1]:g}"
    if isinstance(value, bool):
        if limit is Limit.EIGHTHS_IN_REPEATED_PAIRS:
            return "in repeated pairs only" if value else "any"
        return "allowed" if value else "none"
    if isinstance(value, dict):
        spans = {get_instrument(id_).name: " to ".join(map(pitch, span)) for id_, span in value.items()}
        return "; ".join(f"{name} {span}" for name, span in spans.items())
    if isinstance(value, list):
        return listed([key(name) if limit in SPELLED else name for name in value])
    unit = {Limit.MINUTES: " minutes", Limit.RANGE_SEMITONES: " semitones"}.get(limit, "")
    return f"at most {value:g}{unit}" if value else "none"


SPELLED = (Limit.CONCERT_KEYS, Limit.CONCERT_NOTES)
"""Limits whose values are names of keys or notes."""
