"""Sentences about what comes again in a part: repeats, sequences, ostinati, rhythms, doublings."""

from collections.abc import Sequence

from planner.core.fact import Fact, FactKind
from planner.core.profile import Pattern, PatternKind, PieceProfile
from planner.wording.words import bar_names, bar_spans, bars, capital, counted, interval, listed

MOST_NAMES = 4
"""Most parts of a doubling that are named; of more, the first three are named. House choice."""
MOST_PLACES = 6
"""Most places of a rhythm that are named. House choice."""


def pattern(fact: Fact, profile: PieceProfile) -> str:
    """One pattern of a part."""
    found = profile.part(fact.part).patterns[int(fact.number("pattern"))]
    return pattern_sentence(found, bar_names(profile))


def in_patterns(fact: Fact, _profile: PieceProfile) -> str:
    """How much of a part stands in patterns."""
    share = round(100 * fact.number("share"))
    return f"About {share}% of your notes stand in repeats and sequences."


def pattern_sentence(found: Pattern, numbers: Sequence[str]) -> str:
    """A pattern in a sentence to the player of the part.

    Args:
        found: The pattern.
        numbers: Printed numbers of the measures.

    Example:
        >>> tune = Pattern(PatternKind.REPEAT, ((0, 1), (4, 5)), notes=8, fills_bars=True)
        >>> pattern_sentence(tune, ("1", "2", "3", "4", "5", "6"))
        'Bars 1–2 come back note for note in bars 5–6.'
    """
    sentence = _sentence(found, numbers)
    return (
        f"{sentence[:-1]} ({STAVES.get(found.staff, f'staff {found.staff}')})." if found.staff else sentence
    )


STAVES = {1: "upper staff", 2: "lower staff"}
"""What the staves of a keyboard part are called; a third by its number."""


def _sentence(found: Pattern, numbers: Sequence[str]) -> str:
    if found.kind is PatternKind.UNISON:
        return _doubling(found, numbers)
    if found.kind is PatternKind.RHYTHM:
        return _rhythm(found, numbers)
    if found.kind is PatternKind.OSTINATO:
        where, notes, times = bars(numbers, *found.places[0]), counted(found.notes), counted(found.times)
        return f"Ostinato in {where}: the same {notes} notes, {times} times running."
    if found.kind is PatternKind.SEQUENCE:
        return _sequence(found, numbers)
    return _shape(found, numbers) if found.steps else _repeat(found, numbers)


def _repeat(found: Pattern, numbers: Sequence[str]) -> str:
    first, last = found.places[0]
    where = bars(numbers, first, last)
    if found.fills_bars:
        verb = "come" if where.startswith("bars ") else "comes"
        what = f"{capital(where)} {verb}"
    else:
        what = f"{found.notes} notes from {where} come"
    return f"{what} back note for note in {bar_spans(numbers, found.places[1:])}."


def _shape(found: Pattern, numbers: Sequence[str]) -> str:
    where = bars(numbers, *found.places[0])
    what = f"The shape of {where}" if found.fills_bars else f"The shape of {found.notes} notes from {where}"
    later = [
        f"{interval(step) if step else 'at pitch'} in {bars(numbers, *place)}"
        for step, place in zip(found.steps, found.places[1:], strict=True)
    ]
    return f"{what} comes again: {listed(later)}."


def _sequence(found: Pattern, numbers: Sequence[str]) -> str:
    move = interval(found.steps[0])
    again = f"then again {move}" if found.times == 2 else f"{counted(found.times)} times, each time {move}"
    return (
        f"Sequence in {bars(numbers, *found.places[0])}: a figure of {counted(found.notes)} notes, {again}."
    )


def _rhythm(found: Pattern, numbers: Sequence[str]) -> str:
    where = bar_spans(numbers, found.places[:MOST_PLACES])
    more = len(found.places) - MOST_PLACES
    if more > 0:
        where += f", and {counted(more)} more {'place' if more == 1 else 'places'}"
    return f"One rhythm of {counted(found.notes)} notes fills {where}."


def _doubling(found: Pattern, numbers: Sequence[str]) -> str:
    names = found.with_parts
    if len(names) > MOST_NAMES:
        names = (*names[:3], f"{counted(len(names) - 3)} other parts")
    others, where = listed(names), bar_spans(numbers, found.places)
    apart = set(found.octaves)
    how = "in unison" if apart == {0} else "in unison or octaves" if 0 in apart or not apart else "in octaves"
    if found.has_top_line:
        return f"You have the top line, {how} with {others}, in {where}."
    if len(apart) == 1 and 0 not in apart:
        return f"You play what {others} {_plays(names)}, {octaves_away(*apart)}, in {where}."
    return f"You play {how} with {others} in {where}."


def _plays(names: Sequence[str]) -> str:
    return "plays" if len(names) == 1 else "play"


def octaves_away(above: int) -> str:
    """``an octave lower``, ``two octaves higher``."""
    size = "an octave" if abs(above) == 1 else f"{counted(abs(above))} octaves"
    return f"{size} {'higher' if above > 0 else 'lower'}"


SENTENCES = {FactKind.PATTERN: pattern, FactKind.IN_PATTERNS: in_patterns}
POINTS = frozenset({FactKind.IN_PATTERNS})
