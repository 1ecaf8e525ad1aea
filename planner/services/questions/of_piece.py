"""Questions about the whole piece: what stands on every page, or is seen in the score."""

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from planner.core.fact import Fact, FactKind, Place
from planner.core.key_notes import fifths_of_key, leading_note, scale_of_key
from planner.core.pitch import Pitch
from planner.core.profile import AccidentalKind, KeySpan, MeterSpan, PartProfile, PieceProfile
from planner.core.room_question import Ask, RoomQuestion
from planner.core.tempo_places import tempo_places
from planner.study.time.tempo_marks import BEAT_NAMES

MOST_PLACES = 4
"""Most places of an answer: what a room keeps in mind. House choice."""
SURE_OF_GROUPING = 0.6
"""How sure of a grouping the study must be, 0 to 1. House choice."""

LEAST_TELLING = 2
"""Fewest bars in which a note tells of another key: in one alone it may be in passing. House choice."""

LAST_OPENING_BAR = 1
"""Written measure in which the tune begins at the latest, a pickup or a bar before it. House choice."""

_SHOWN = frozenset({"words", "beams", "accents"})
"""What on the page shows a grouping."""
_CLOSES = frozenset({"authentic", "plagal"})
"""Cadences that end on the tonic."""


def piece_questions(profile: PieceProfile) -> Iterator[RoomQuestion]:
    """Every question about the whole piece that has one answer."""
    yield from _meter(profile)
    yield from _pickup(profile)
    yield from _meter_changes(profile)
    yield from _grouping(profile)
    yield from _roadmap(profile)
    yield from _home_key(profile)
    yield from _fermatas(profile)
    yield from _tempo_turns(profile)
    yield from _opening_returns(profile)
    yield from _against_meter(profile)
    yield from _leaves_key(profile)
    yield from _pedal_point(profile)
    yield from _last_cadence(profile)


def facts_of(profile: PieceProfile, kind: FactKind, part: str = "") -> list[Fact]:
    """The facts of a kind about one part, or about everyone."""
    return [fact for fact in profile.facts if fact.kind is kind and fact.part == part]


def _has_one_meter(profile: PieceProfile) -> bool:
    """Whether every page has the same signatures."""
    return not any(fact.kind is FactKind.OWN_METER for fact in profile.facts)


def _meter(profile: PieceProfile) -> Iterator[RoomQuestion]:
    """Where the tempo counts another beat than the signature, how many beats a bar has is a choice."""
    tempo = profile.tempo_bpm.unit.replace("-", " ")
    for fact in facts_of(profile, FactKind.METER):
        if not (fact.numbers and profile.meters[0].is_printed and _has_one_meter(profile)):
            continue
        if BEAT_NAMES.get(Fraction(fact.number("quarters"))) == tempo:
            yield RoomQuestion(Ask.METER, terms=(profile.meters[0].time, *fact.terms), numbers=fact.numbers)


def _pickup(profile: PieceProfile) -> Iterator[RoomQuestion]:
    is_pickup = any(bar.measure == 0 and bar.kind == "pickup" for bar in profile.unnumbered)
    for fact in facts_of(profile, FactKind.PICKUP):
        if is_pickup:
            yield RoomQuestion(Ask.PICKUP, numbers=fact.numbers)


def _is_one(profile: PieceProfile) -> bool:
    """Whether the bars are numbered once through: several movements are no changes on the way."""
    numbers = [int(number) for number in profile.measure_numbers if number.isdecimal()]
    return all(one <= two for one, two in pairwise(numbers))


def _signatures(profile: PieceProfile) -> list[MeterSpan]:
    """Where the signature changes, whatever the grouping does; the first is that of the beginning."""
    spans = profile.meters
    return [span for at, span in enumerate(spans) if at == 0 or span.time != spans[at - 1].time]


def _meter_changes(profile: PieceProfile) -> Iterator[RoomQuestion]:
    changes = _signatures(profile)[1:]
    is_shown = all(span.is_printed and span.time != "free" for span in changes)
    if 0 < len(changes) <= MOST_PLACES and is_shown and _has_one_meter(profile) and _is_one(profile):
        yield RoomQuestion(
            Ask.METER_CHANGES,
            places=tuple((span.measure, span.measure) for span in changes),
            terms=tuple(span.time for span in changes),
        )


def _grouping(profile: PieceProfile) -> Iterator[RoomQuestion]:
    """The grouping of each uneven meter that keeps one throughout."""
    for time in dict.fromkeys(span.time for span in profile.meters):
        spans = [span for span in profile.meters if span.time == time]
        grouping = spans[0].grouping
        is_sure = all(
            span.grouping == grouping and span.confidence >= SURE_OF_GROUPING and span.source in _SHOWN
            for span in spans
        )
        if is_sure and len(set(grouping)) > 1 and _has_one_meter(profile):
            at = spans[0].measure
            groups = tuple(("group", float(group)) for group in grouping)
            yield RoomQuestion(Ask.GROUPING, asked=((at, at),), terms=(time,), numbers=groups)


def _roadmap(profile: PieceProfile) -> Iterator[RoomQuestion]:
    """Not where the page leaves a choice, or pages differ in their marks."""
    differs = profile.roadmap.with_repeats or any(
        fact.kind is FactKind.MARKS_LACKING for fact in profile.facts
    )
    if facts_of(profile, FactKind.ROADMAP) and profile.roadmap.turns and not differs:
        yield RoomQuestion(Ask.ROADMAP)


def _home_key(profile: PieceProfile) -> Iterator[RoomQuestion]:
    """Where signature, first and last key, last chord and last cadence agree; else it is for discussion."""
    facts = facts_of(profile, FactKind.HOME_KEY)
    last = profile.harmony[-1] if profile.harmony else None
    tonic = profile.home_key.split(" ")[0]
    is_plain = (
        last is not None
        and last.root == tonic
        and all(not fact.terms for fact in facts)
        and {profile.keys[0].key, profile.keys[-1].key} == {profile.home_key}
        if profile.keys
        else False
    )
    ends = [each for each in profile.cadences if each.measure >= profile.measures - 2]
    closes = any(each.kind in _CLOSES and each.key == profile.home_key for each in ends)
    if facts and is_plain and closes and _is_signed(profile):
        yield RoomQuestion(Ask.HOME_KEY, keys=(profile.home_key,))


def _is_signed(profile: PieceProfile) -> bool:
    """Whether the one signature of every pitched part is that of the home key."""
    wanted = fifths_of_key(profile.home_key)
    pitched = [part for part in profile.parts if part.written_range is not None]
    return bool(pitched) and all(_sounding_fifths(part) == {wanted % 12} for part in pitched)


def _sounding_fifths(part: PartProfile) -> set[int]:
    """The signatures of a part as they sound, modulo twelve: a transposition may be spelled either way."""
    written = {signature.fifths for signature in part.signatures} or {0}
    return {(fifths + 7 * part.transposition_semitones) % 12 for fifths in written}


def _fermatas(profile: PieceProfile) -> Iterator[RoomQuestion]:
    for fact in facts_of(profile, FactKind.FERMATAS):
        if len(fact.places) <= MOST_PLACES:
            yield RoomQuestion(Ask.FERMATAS, places=fact.places)


def _tempo_turns(profile: PieceProfile) -> Iterator[RoomQuestion]:
    turns, places = profile.tempo_turns, tempo_places(profile)
    is_printed = all(turn.source != "playback" for turn in turns)
    if turns and len(places) <= MOST_PLACES and is_printed and _is_one(profile):
        yield RoomQuestion(Ask.TEMPO_TURNS, places=tuple((each.measure, each.measure) for each in places))


def _opening_returns(profile: PieceProfile) -> Iterator[RoomQuestion]:
    """The first place alone, where the tune of the first bars returns there and nowhere before."""
    shifts = [
        again[0] - first[0]
        for fact in facts_of(profile, FactKind.TUNE_RETURNS)
        for first, *later in (fact.places,)
        for again in later[:1]
        if first[0] <= LAST_OPENING_BAR
    ]
    for fact in facts_of(profile, FactKind.OPENING_RETURNS):
        is_first = bool(shifts) and abs(min(shifts) - fact.places[0][0]) <= LAST_OPENING_BAR
        if is_first and _is_one(profile):
            yield RoomQuestion(Ask.OPENING_RETURNS, places=fact.places[:1])


def _against_meter(profile: PieceProfile) -> Iterator[RoomQuestion]:
    facts = facts_of(profile, FactKind.AGAINST_METER)
    for name in dict.fromkeys(term for fact in facts for term in fact.terms):
        places = [place for fact in facts if name in fact.terms for place in fact.places]
        if len(places) <= MOST_PLACES:
            yield RoomQuestion(Ask.AGAINST_METER, terms=(name,), places=tuple(sorted(places)))


def _leaves_key(profile: PieceProfile) -> Iterator[RoomQuestion]:
    """The first other key, where it closes, and one note tells it: foreign to home, and not heard before."""
    first = first_other_key(profile)
    if first is None:
        return
    stays = [
        (place, fact)
        for fact in facts_of(profile, FactKind.AWAY_FROM_HOME)
        if fact.keys == (first.key,)
        for place in fact.places
        if place[0] <= first.measure <= place[1]
    ]
    arrivals = [
        each.measure for each in profile.cadences if (each.kind, each.key) == ("authentic", first.key)
    ]
    for place, fact in stays[:1]:
        if not any(place[0] <= at <= place[1] for at in arrivals):
            return
        leading = leading_note(first.key)
        for bars in _bars_that_tell(profile, leading, place):
            yield RoomQuestion(
                Ask.LEAVES_KEY, places=(bars,), keys=(first.key,), terms=fact.terms, notes=(leading,)
            )


def first_other_key(profile: PieceProfile) -> KeySpan | None:
    """The first key after the home key; None where it begins in another, or has other signatures."""
    spans = profile.keys
    if not spans or spans[0].key != profile.home_key or not _is_signed(profile):
        return None
    return next((span for span in spans if span.key != profile.home_key), None)


def _bars_that_tell(profile: PieceProfile, note: str, place: Place) -> Iterator[Place]:
    """The bars of a place from the first to the last with a note that home lacks and no part has before."""
    heard = {
        measure
        for part in profile.parts
        for use in part.accidentals
        if use.kind is AccidentalKind.FIRST and _sounds_as(part, use.pitch, note)
        for measure in use.measures
    }
    inside = [at for at in heard if place[0] <= at <= place[1]]
    is_new = note not in scale_of_key(profile.home_key) and min(inside, default=-1) == min(heard, default=0)
    if is_new and len(inside) >= LEAST_TELLING:
        yield min(inside), max(inside)


def _sounds_as(part: PartProfile, written: str, sounding: str) -> bool:
    apart = Pitch.parse(f"{written}4").midi + part.transposition_semitones - Pitch.parse(f"{sounding}4").midi
    return apart % 12 == 0


def _goes_lowest(profile: PieceProfile) -> str:
    """Name of the part that goes lowest; empty without pitches."""
    lows = [
        (Pitch.parse(part.sounding_range[0]).midi, part.name)
        for part in profile.parts
        if part.sounding_range is not None
    ]
    return min(lows, default=(0, ""))[1]


def _pedal_point(profile: PieceProfile) -> Iterator[RoomQuestion]:
    """Where the bass holds the only one there is."""
    facts = facts_of(profile, FactKind.PEDAL_POINT)
    if len(facts) == 1 and _goes_lowest(profile) in facts[0].parts:
        [fact] = facts
        yield RoomQuestion(Ask.PEDAL_POINT, places=fact.places, notes=fact.notes, terms=fact.parts)


def _last_cadence(profile: PieceProfile) -> Iterator[RoomQuestion]:
    """Where the last two chords are dominant seventh and tonic of the home key, and the piece ends there."""
    facts = facts_of(profile, FactKind.CADENCE)
    if not facts or len(profile.harmony) < 2:
        return
    last, (before, after) = facts[-1], profile.harmony[-2:]
    tonic = profile.home_key.split(" ")[0]
    fifth = Pitch.parse(f"{tonic}4").midi + 7 if tonic else 0
    is_close = (
        last.terms == ("authentic",)
        and last.keys == (profile.home_key,)
        and last.places[0][1] >= profile.measures - 2
        and last.places[0][0] == after.measure
        and (after.root, after.quality) == (tonic, profile.home_key.split(" ")[-1])
        and (before.function, before.quality) == ("dominant", "dominant seventh")
        and (Pitch.parse(f"{before.root}4").midi - fifth) % 12 == 0
    )
    if is_close and _stands_on_root(profile, last.places):
        yield RoomQuestion(Ask.LAST_CADENCE, keys=last.keys, terms=last.terms, places=last.places)


def _stands_on_root(profile: PieceProfile, places: tuple[Place, ...]) -> bool:
    """Whether the part that goes lowest of those in the last chord of a cadence has its root there."""
    members = {
        fact.part: fact.terms
        for fact in profile.facts
        if fact.kind is FactKind.CHORD_MEMBER and fact.places == places
    }
    lows = [
        (Pitch.parse(part.sounding_range[0]).midi, part.name)
        for part in profile.parts
        if part.name in members and part.sounding_range is not None
    ]
    return bool(lows) and members[min(lows)[1]] == ("root",)
