"""The hardest bars of a part: where, why, and how to get over them."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from planner.core.difficulty import Challenge, ChallengeKind
from planner.core.fact import Fact, FactKind, Place
from planner.core.instruments import family_of, get_instrument
from planner.core.pitch import Pitch
from planner.core.profile import PartProfile, PieceProfile, Spot
from planner.services.questions.of_part import goes_straight
from planner.services.sheets.player.line import Block, Consequence, Line, PassageMusic
from planner.wording.player_sheet import (
    Entrance,
    entrance_words,
    hard_words,
    high_note_words,
    place_of,
)
from planner.wording.study.spots import challenge_of

MOST = 3
"""Hard bars on a sheet. Source: house choice: what a player keeps in mind through a reading."""
MOST_ALIKE = 2
"""Of them with the same kind of challenge. Source: house choice: the next one is met in the same way."""
ENTRANCE, HEAVIEST, OTHERS = 0.93, 0.86, 0.8
"""Weight of an entrance after a long rest, of the line about the heaviest place, and of the others. Source:
house choice: a word for a change of tempo comes after an entrance, the notes outside the signature and a long
repeat before the hard bars, as for a coach."""
AROUND = 1
"""Bars engraved before and after a hard one, to see where it comes from and leads. Source: house choice."""
LONGEST = 4
"""Most bars engraved of one place. Source: house choice: one line of music."""
NEAR_LETTER = 4
"""Farthest before an entrance, in bars, that a name of a section is spoken of. Source: house choice."""
LEAST_PARTS = 2
"""Of more parts than these an ear has to pick one out. House choice."""
_STOPPING = frozenset({
    ChallengeKind.ENTRANCE_AFTER_REST, ChallengeKind.QUICK_CHANGE,
})  # fmt: skip
_ON_OTHER_LINES = frozenset({
    ChallengeKind.SUDDEN_DYNAMIC, ChallengeKind.METER_CHANGE, ChallengeKind.KEY_CHANGE,
})  # fmt: skip
"""What stands on the dynamics line, or among meters and keys."""
_HIGH_IS_HARD = frozenset({"voice", "brass"})
"""Families that must get ready for their highest note. Source: common practice."""


@dataclass(frozen=True, slots=True)
class _Hard:
    """A hard place: its challenge, what it weighs, and the facts that hold it."""

    challenge: Challenge
    weight: float
    facts: tuple[Fact, ...]

    @property
    def place(self) -> Place:
        """First and last bar."""
        return place_of(self.challenge)


def hard_lines(profile: PieceProfile, part: PartProfile) -> Iterator[Line]:
    """The heaviest places in the order of the page, an entrance after a long rest among them if any."""
    return iter(sorted(_lines(profile, part), key=_bar))


def _bar(line: Line) -> int:
    return line.music.measure if isinstance(line.music, PassageMusic) else 0


def _lines(profile: PieceProfile, part: PartProfile) -> Iterator[Line]:
    places = _chosen(profile, part)
    heaviest = max((each.weight for each in places), default=0.0)
    times = Counter[ChallengeKind]()
    for each in places:
        kind = each.challenge.kind
        weight = HEAVIEST if each.weight == heaviest else OTHERS
        words, facts = _words(each, profile, part, times[kind])
        times[kind] += 1
        if kind is ChallengeKind.ENTRANCE_AFTER_REST:
            weight = ENTRANCE
        grave = Consequence.STOPS if kind in _STOPPING else Consequence.SPOILS
        music = _music(each.place, profile, with_before=kind is not ChallengeKind.ENTRANCE_AFTER_REST)
        yield Line(Block.HARD, words, grave, weight, facts, music)
    if len(places) < MOST:
        yield from _highest(profile, part, [each.place for each in places])


def hard_places(profile: PieceProfile, part: PartProfile) -> tuple[Place, ...]:
    """The bars of the hardest places, in the order of the page."""
    return tuple(each.place for each in _chosen(profile, part))


def _chosen(profile: PieceProfile, part: PartProfile) -> list[_Hard]:
    """The heaviest of each kind, then the next of a kind; of several alike the first."""
    kept: list[_Hard] = []
    ranked = _ranked(profile, part)
    for most in range(1, MOST_ALIKE + 1):
        for each in ranked:
            alike = sum(other.challenge.kind is each.challenge.kind for other in kept)
            is_new = each not in kept and not any(_overlap(each.place, other.place) for other in kept)
            if len(kept) < MOST and is_new and alike < most:
                kept.append(each)
    entrances = [each for each in ranked if each.challenge.kind is ChallengeKind.ENTRANCE_AFTER_REST]
    if entrances and not any(each in kept for each in entrances):
        kept[-1] = entrances[0]
    return sorted(kept, key=lambda each: each.place)


def _ranked(profile: PieceProfile, part: PartProfile) -> list[_Hard]:
    """Every hard place that no other line of the sheet speaks of, heaviest first."""
    facts = profile.facts_for(part.name)
    of_spot = {fact.places[0][0]: (fact,) for fact in facts if fact.kind is FactKind.SPOT}
    found: dict[object, _Hard] = {}
    for spot in part.spots:
        challenge = _lead(spot)
        if challenge is not None:
            hard = _Hard(challenge, spot.weight, of_spot.get(spot.measure, ()))
            found.setdefault(_what(challenge), hard)
    for fact in facts:
        if fact.kind is FactKind.CHALLENGE:
            challenge = challenge_of(fact)
            if challenge.kind not in _ON_OTHER_LINES:
                found.setdefault(_what(challenge), _Hard(challenge, fact.weight, (fact,)))
    return sorted(found.values(), key=lambda each: (-each.weight, each.place))


def _lead(spot: Spot) -> Challenge | None:
    """What makes a spot hard beside what other lines say."""
    return next((each for each in spot.challenges if each.kind not in _ON_OTHER_LINES), None)


def _what(challenge: Challenge) -> tuple[object, ...]:
    """What two places have in common that are met in the same way; an entrance is like no other."""
    at = challenge.measure if challenge.kind is ChallengeKind.ENTRANCE_AFTER_REST else None
    return challenge.kind, challenge.notes, challenge.terms, challenge.numbers, at


def _overlap(one: Place, other: Place) -> bool:
    return one[0] <= other[1] and other[0] <= one[1]


def _music(place: Place, profile: PieceProfile, *, with_before: bool) -> PassageMusic:
    """The bars to engrave: the place, the bar after it, and the one before it where that leaves it whole."""
    first, last = place
    start = max(0, first - AROUND) if with_before and last - first + 1 + AROUND < LONGEST else first
    until = min(profile.measures - 1, start + LONGEST - 1, last + AROUND)
    return PassageMusic(start, until, (first, min(last, until)))


def _words(each: _Hard, profile: PieceProfile, part: PartProfile, times: int) -> tuple[str, tuple[Fact, ...]]:
    """The line about a place, the ``times``-th of its kind from 0, and the facts behind it."""
    if each.challenge.kind is ChallengeKind.ENTRANCE_AFTER_REST:
        entrance, heard = _entrance(each.challenge, profile, part)
        return entrance_words(entrance, profile), (*each.facts, *heard)
    family = family_of(part.instrument)
    return hard_words(each.challenge, profile, family, part.instrument, times), each.facts


def _entrance(
    challenge: Challenge, profile: PieceProfile, part: PartProfile
) -> tuple[Entrance, tuple[Fact, ...]]:
    """An entrance with where it stands and what is heard before it, and the facts that say so."""
    at = challenge.measure
    name = next((each.name for each in profile.form if each.measure == at and at), "")
    beat, counted = _beat(at, profile, part)
    bars = int(challenge.number("bars"))
    is_counted = "short" not in dict(challenge.numbers) and _is_plain_rest(profile, at, bars)
    found = Entrance(challenge, name, beat, is_counted)
    before = max(1, int(challenge.number("before")))
    if not goes_straight(profile, at, before):
        return replace(found, challenge=replace(challenge, terms=())), counted
    if challenge.terms:
        return found, counted
    for fact in profile.facts_for(""):
        if fact.kind is FactKind.FERMATAS and (at - 1, at - 1) in fact.places:
            return replace(found, is_after_fermata=True), (*counted, fact)
    is_choice = sum(each.plays for each in profile.parts) > LEAST_PARTS
    for fact in profile.facts:
        plays_on = fact.kind is FactKind.HAS_TUNE and fact.part != part.name
        if plays_on and is_choice and any(first < at <= last + 1 for first, last in fact.places):
            return replace(found, heard=fact.part), (*counted, fact)
    for section in profile.form:
        since = at - section.measure
        if is_counted and section.name and 0 < since <= min(NEAR_LETTER, bars):
            return replace(found, letter=section.name, bars_after_letter=since), counted
    return found, counted


def _is_plain_rest(profile: PieceProfile, entrance: int, bars: int) -> bool:
    """Whether so many bars of rest are counted alike by everyone: no repeat and no unnumbered bar in them.

    A pickup at the beginning is one that nobody counts. A repeat may lead back to the entrance itself, where
    there is no rest to count.
    """
    lacking = {bar.measure for bar in profile.unnumbered if bar.kind != "pickup"}
    around = range(entrance - bars - 1, entrance + 1)
    is_straight = goes_straight(profile, entrance, bars) or _rests_whole(profile, entrance, bars)
    return is_straight and lacking.isdisjoint(around)


def _rests_whole(profile: PieceProfile, entrance: int, bars: int) -> bool:
    """Whether the rest comes whole, once, before the entrance; at other times a jump may lead right to it."""
    order, rest = profile.roadmap.play_order, tuple(range(entrance - bars, entrance))
    times = [at for at, each in enumerate(order) if each == entrance]
    is_whole = [
        order[max(0, at - bars) : at] == rest and (at == bars or order[at - bars - 1] not in rest)
        for at in times
    ]
    follows = [at > 0 and order[at - 1] == entrance - 1 for at in times]
    return any(is_whole) and follows == is_whole


def _beat(at: int, profile: PieceProfile, part: PartProfile) -> tuple[float, tuple[Fact, ...]]:
    """The felt beat on which an entrance comes, 0 where none is known, and the fact that says so."""
    for fact in profile.facts_for(part.name):
        if fact.kind is FactKind.COUNTED_RESTS and (at, at) in fact.places:
            where = fact.places.index((at, at))
            return fact.each("beat")[where], (fact,)
    return 0.0, ()


def _highest(profile: PieceProfile, part: PartProfile, known: Sequence[Place]) -> Iterator[Line]:
    """The highest note of a singer or brass player, if it is high, where it stands in no hard place yet."""
    family = family_of(part.instrument)
    for fact in profile.facts_for(part.name):
        if fact.kind is FactKind.HIGHEST_NOTE and family in _HIGH_IS_HARD and _is_high(fact.notes[0], part):
            place = fact.places[0]
            if not any(_overlap(each, place) for each in known):
                music = _music(place, profile, with_before=True)
                words = high_note_words(fact, profile, family)
                yield Line(Block.HARD, words, Consequence.SPOILS, OTHERS, (fact,), music)


def _is_high(note: str, part: PartProfile) -> bool:
    """Whether a written note is at the upper end of what players of the part's level reach in comfort."""
    try:
        instrument = get_instrument(part.instrument)
    except KeyError:
        return False
    comfort = instrument.comfortable(part.level) if part.level is not None and instrument.by_level else None
    moved = part.transposition_semitones - instrument.transposition.semitones
    return comfort is not None and float(Pitch.parse(note).midi) + moved >= comfort[1]
