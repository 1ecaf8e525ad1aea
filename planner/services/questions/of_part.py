"""Questions that the page of one part answers."""

from collections.abc import Iterator, Sequence

from planner.core.fact import Fact, FactKind
from planner.core.glossary.terms import glossary
from planner.core.key_notes import leading_note, scale_of_key
from planner.core.profile import (
    AccidentalKind,
    AccidentalUse,
    DynamicUse,
    PartProfile,
    PatternKind,
    PieceProfile,
)
from planner.core.room_question import Ask, RoomQuestion
from planner.services.questions.of_piece import MOST_PLACES, facts_of, first_other_key
from planner.study.page.dynamics import LOUDNESS

CLEARLY_MORE = 1.5
"""How many times as often as any other a kind must come to be seen as the usual one. House choice."""
LEAST_TIMES = 3
"""Fewest articulations of a kind that are asked about. House choice."""
LEAST_REPEAT = 2
"""Fewest bars of a repeat that is asked about. House choice."""
LONG_REPEAT = 4
"""Bars from which a repeat may come soon; a shorter one comes after more bars than that, or it is one of many
times that a figure is stated. House choice."""
MOST_RESTS = 3
"""Most rests of a part that are asked about. House choice."""
LEAST_HELD = 3
"""Fewest felt beats of a note that is asked about. House choice."""
FIRST_BOOK = 1.5
"""Level of a part up to which a long note without a tie is asked about. House choice: as for five notes to
finger (``sheets.player.key``)."""
MOST_WORDS = 2
"""Most words of a part that are asked about. House choice."""
LONGEST_WORDS = 30
"""Letters of words that are asked about. House choice: longer ones explain themselves."""

_NO_STYLE = frozenset({"breath-mark", "caesura"})
_CLEAR_TUPLETS = (" triplet", " sextuplet")
"""Tuplets that always stand for the next smaller even number; what others stand for is not in their name."""


def part_questions(profile: PieceProfile, index: int) -> Iterator[RoomQuestion]:
    """Every question to a part that has one answer."""
    part = profile.parts[index]
    if not part.plays:
        return
    yield from _signature(profile, part)
    yield from _signature_changes(profile, part)
    yield from _clef_changes(profile, part)
    yield from _shortest_value(part)
    yield from _highest_note(profile, part)
    yield from _widest_leap(profile, part)
    yield from _extremes(part)
    yield from _long_rests(profile, part)
    yield from _rhythms(profile, part)
    yield from _accidentals(profile, part)
    yield from _articulation(part)
    yield from _words(profile, part)
    yield from _sudden(part)
    yield from _accented_beat(profile, part)
    yield from _patterns(part)
    yield from _tells_key(profile, part)


def _opening_fifths(part: PartProfile) -> int | None:
    """The signature at the beginning; None where the staves have several, or nothing has a pitch."""
    found = {each.fifths for each in part.signatures if (each.measure, each.offset_quarters) == (0, 0.0)}
    return found.pop() if len(found) == 1 and part.written_range is not None else None


def _signature(_profile: PieceProfile, part: PartProfile) -> Iterator[RoomQuestion]:
    fifths = _opening_fifths(part)
    if fifths is not None:
        yield RoomQuestion(Ask.SIGNATURE, part.name, numbers=(("fifths", fifths),))


def _signature_changes(profile: PieceProfile, part: PartProfile) -> Iterator[RoomQuestion]:
    for fact in facts_of(profile, FactKind.SIGNATURE_CHANGES, part.name):
        if len(fact.places) <= MOST_PLACES:
            fifths = tuple(("fifths", each) for each in fact.each("fifths"))
            yield RoomQuestion(Ask.SIGNATURE_CHANGES, part.name, places=fact.places, numbers=fifths)


def _clef_changes(profile: PieceProfile, part: PartProfile) -> Iterator[RoomQuestion]:
    for fact in facts_of(profile, FactKind.CLEF_CHANGES, part.name):
        if len(fact.places) <= MOST_PLACES and fact.number("staves") == 1:
            yield RoomQuestion(Ask.CLEF_CHANGES, part.name, places=fact.places, terms=fact.terms)


def _shortest_value(part: PartProfile) -> Iterator[RoomQuestion]:
    is_clear = all(value.endswith(_CLEAR_TUPLETS) for value in part.values if value.endswith("let"))
    if len(part.values) > 1 and is_clear:
        yield RoomQuestion(Ask.SHORTEST_VALUE, part.name, terms=part.values[-1:])


def _highest_note(profile: PieceProfile, part: PartProfile) -> Iterator[RoomQuestion]:
    for fact in facts_of(profile, FactKind.HIGHEST_NOTE, part.name):
        yield RoomQuestion(Ask.HIGHEST_NOTE, part.name, places=fact.places, notes=fact.notes)


def _widest_leap(profile: PieceProfile, part: PartProfile) -> Iterator[RoomQuestion]:
    for fact in facts_of(profile, FactKind.WIDEST_LEAP, part.name):
        yield RoomQuestion(Ask.WIDEST_LEAP, part.name, places=fact.places, notes=fact.notes)


def _extremes(part: PartProfile) -> Iterator[RoomQuestion]:
    """The loudest or the softest mark, whichever stands in fewer bars; none where accents add their own."""
    bars: dict[str, list[int]] = {}
    for use in part.dynamics:
        if use.mark in LOUDNESS:
            bars.setdefault(use.mark, []).append(use.measure)
        elif use.end_measure is None and use.mark not in ("crescendo", "diminuendo"):
            return
    marks = sorted(bars, key=LOUDNESS.__getitem__)
    if len(marks) < 2:
        return
    ends = ((Ask.LOUDEST, marks[-1]), (Ask.SOFTEST, marks[0]))
    kind, mark = min(ends, key=lambda end: len(set(bars[end[1]])))
    places = tuple((at, at) for at in sorted(set(bars[mark])))
    if len(places) <= MOST_PLACES:
        yield RoomQuestion(kind, part.name, places=places, terms=(mark,))


def _long_rests(profile: PieceProfile, part: PartProfile) -> Iterator[RoomQuestion]:
    """The longest rests through which play goes straight on."""
    found = [
        (int(bars), at)
        for fact in facts_of(profile, FactKind.COUNTED_RESTS, part.name)
        for (at, _), bars in zip(fact.places, fact.each("bars"), strict=True)
        if goes_straight(profile, at, int(bars))
    ]
    for bars, at in sorted(found, key=lambda each: (-each[0], each[1]))[:MOST_RESTS]:
        yield RoomQuestion(Ask.LONG_REST, part.name, asked=((at, at),), numbers=(("bars", bars),))


def _rhythms(profile: PieceProfile, part: PartProfile) -> Iterator[RoomQuestion]:
    """How bars are counted, on which beat the part comes in or plays, what is tied over and held."""
    for fact in facts_of(profile, FactKind.RHYTHM_TO_COUNT, part.name):
        yield RoomQuestion(Ask.COUNTS, part.name, asked=fact.places, numbers=fact.numbers)
    for fact in facts_of(profile, FactKind.SAME_BEATS, part.name):
        yield RoomQuestion(Ask.ON_BEATS, part.name, asked=fact.places, numbers=fact.numbers)
    for fact in facts_of(profile, FactKind.BARS_BEGIN_SILENT, part.name):
        if len(fact.places) <= MOST_PLACES:
            for place in fact.places[:1]:
                yield RoomQuestion(Ask.ENTERS_ON, part.name, asked=(place,), numbers=fact.numbers)
    for fact in facts_of(profile, FactKind.BARS_BEGIN_TIED, part.name):
        if len(fact.places) <= MOST_PLACES and fact.number("in_all") == len(fact.places):
            yield RoomQuestion(Ask.BEGIN_TIED, part.name, places=fact.places)
    fermatas = {place[0] for fact in facts_of(profile, FactKind.FERMATAS) for place in fact.places}
    for fact in facts_of(profile, FactKind.HELD_NOTE, part.name):
        at, last = fact.places[0]
        if not fermatas.isdisjoint(range(at, last + 1)):
            continue
        is_first_book = part.level is not None and part.level <= FIRST_BOOK
        if fact.number("beats") >= LEAST_HELD and (last > at or is_first_book):
            beats = (("beats", fact.number("beats")),)
            yield RoomQuestion(Ask.HELD_FOR, part.name, asked=((at, at),), numbers=beats)


def goes_straight(profile: PieceProfile, entrance: int, rest: int) -> bool:
    """Whether the rest, and the bar before it, come in the order of the page whenever the entrance does.

    And that there is no doubt how it is counted: no bar of it but a pickup is passed over by the numbers.
    """
    kinds = {bar.measure: bar.kind for bar in profile.unnumbered}
    split = [at for at in profile.uncounted if entrance - rest - 1 <= at < entrance]
    if any(kinds.get(at) != "pickup" for at in split):
        return False
    order = profile.roadmap.play_order
    before = tuple(range(max(0, entrance - rest - 1), entrance))
    is_opening = before[:1] == (0,)
    return all(
        order[max(0, at - len(before)) : at] == before and (at == len(before) or not is_opening)
        for at, each in enumerate(order)
        if each == entrance
    )


def _staves(part: PartProfile) -> int:
    return max((each.staff for each in part.signatures), default=1)


def _uses(part: PartProfile, kind: AccidentalKind) -> list[AccidentalUse]:
    return [use for use in part.accidentals if use.kind is kind]


def _accidentals(profile: PieceProfile, part: PartProfile) -> Iterator[RoomQuestion]:
    if facts_of(profile, FactKind.IN_SIGNATURE, part.name):
        yield RoomQuestion(Ask.IN_SIGNATURE, part.name)
    outside = _uses(part, AccidentalKind.FIRST)
    if 0 < len(outside) <= MOST_PLACES:
        yield RoomQuestion(
            Ask.OUTSIDE_SIGNATURE,
            part.name,
            notes=tuple(use.pitch for use in outside),
            places=tuple((use.measure, use.measure) for use in outside),
        )
    again = [(use.pitch, at) for use in _uses(part, AccidentalKind.AGAIN) for at in use.measures]
    if 0 < len(again) <= MOST_PLACES and _staves(part) == 1:
        again.sort(key=lambda each: each[1])
        yield RoomQuestion(
            Ask.STILL_ALTERED,
            part.name,
            notes=tuple(note for note, _ in again),
            places=tuple((at, at) for _, at in again),
        )
    for use in [use for use in _uses(part, AccidentalKind.ENHARMONIC) if use.sounds_as][:1]:
        yield RoomQuestion(
            Ask.SPELLING, part.name, asked=((use.measure, use.measure),), notes=(use.pitch, use.sounds_as)
        )


def _articulation(part: PartProfile) -> Iterator[RoomQuestion]:
    styles = [each for each in part.articulations if each.name not in _NO_STYLE]
    kinds = sorted(styles, key=lambda each: -each.count)
    if not kinds or kinds[0].count < LEAST_TIMES:
        return
    if len(kinds) == 1 or kinds[0].count >= CLEARLY_MORE * kinds[1].count:
        first = kinds[0]
        yield RoomQuestion(
            Ask.ARTICULATION,
            part.name,
            places=((first.measure, first.measure),),
            terms=(first.name,),
            numbers=(("times", first.count),),
        )


def _words(profile: PieceProfile, part: PartProfile) -> Iterator[RoomQuestion]:
    """Foreign words on the page, each once."""
    known = {(each.measure, each.text): each for each in profile.expression}
    asked: set[str] = set()
    for text, place in (
        (text, place)
        for fact in facts_of(profile, FactKind.WORDS, part.name)
        for text, place in zip(fact.terms, fact.places, strict=True)
    ):
        found = known.get((place[0], text))
        is_foreign = found is not None and any(glossary()[use.term].language != "en" for use in found.terms)
        if is_foreign and len(text) <= LONGEST_WORDS and text.casefold() not in asked:
            asked.add(text.casefold())
            yield RoomQuestion(Ask.WORD, part.name, asked=(place,), terms=(text,))
        if len(asked) == MOST_WORDS:
            return


def _sudden(part: PartProfile) -> Iterator[RoomQuestion]:
    found: Sequence[DynamicUse] = [use for use in part.dynamics if use.sudden_from]
    if 0 < len(found) <= MOST_PLACES:
        yield RoomQuestion(
            Ask.SUDDEN,
            part.name,
            places=tuple((use.measure, use.measure) for use in found),
            terms=tuple(term for use in found for term in (use.sudden_from, use.mark)),
        )


def _accented_beat(profile: PieceProfile, part: PartProfile) -> Iterator[RoomQuestion]:
    for fact in facts_of(profile, FactKind.ACCENTED_BEATS, part.name)[:1]:
        yield RoomQuestion(Ask.ACCENTED_BEAT, part.name, asked=fact.places, numbers=fact.numbers)


def _patterns(part: PartProfile) -> Iterator[RoomQuestion]:
    """The longest repeat in whole bars, and the first sequence, of a part with one staff.

    Bars that come again at once may be counted off in several ways.
    """
    if _staves(part) > 1:
        return
    repeats = [
        each
        for each in part.patterns
        if each.kind is PatternKind.REPEAT and each.fills_bars and not each.steps
    ]
    length = {each: each.places[0][1] - each.places[0][0] + 1 for each in repeats}
    for found in sorted(repeats, key=lambda each: (-length[each], each.places))[:1]:
        first, again = found.places[:2]
        is_long, comes_later = length[found] >= LONG_REPEAT, again[0] - first[1] > LONG_REPEAT
        if again[0] > first[1] + 1 and (is_long or (length[found] >= LEAST_REPEAT and comes_later)):
            yield RoomQuestion(Ask.REPEAT, part.name, asked=(again,), places=(first,))
    sequences = [
        each for each in part.patterns if each.kind is PatternKind.SEQUENCE and len(set(each.steps)) == 1
    ]
    for found in sequences[:1]:
        numbers = (("times", found.times), ("notes", found.notes), ("steps", found.steps[0]))
        yield RoomQuestion(Ask.SEQUENCE, part.name, asked=found.places[:1], numbers=numbers)


def _tells_key(profile: PieceProfile, part: PartProfile) -> Iterator[RoomQuestion]:
    """The first other key in which the music stays, where its leading note is new to the part."""
    first = first_other_key(profile)
    facts = [
        fact
        for fact in facts_of(profile, FactKind.KEY_ACCIDENTALS, part.name)
        if first is not None
        and fact.keys[-1] == first.key
        and fact.places[0][0] >= first.measure
        and "touched" not in fact.terms
    ]
    for fact in sorted(facts, key=lambda each: each.places)[:1]:
        if fact.each("leading") and leading_note(fact.keys[-1]) not in scale_of_key(profile.home_key):
            yield from _asked_of_leading(fact, part, fact.notes[int(fact.number("leading"))])


def _asked_of_leading(fact: Fact, part: PartProfile, note: str) -> Iterator[RoomQuestion]:
    uses = [use for use in _uses(part, AccidentalKind.FIRST) if use.pitch == note]
    first, last = fact.places[0]
    for use in uses:
        inside = [at for at in use.measures if first <= at <= last]
        if inside and use.measures[0] == inside[0]:
            places = ((inside[0], inside[-1]),)
            yield RoomQuestion(Ask.TELLS_KEY, part.name, places=places, notes=(note,), keys=fact.keys)
