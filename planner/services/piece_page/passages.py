"""Which bars a fact of the study speaks of, and whose: what is engraved beside its sentence."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import inf

from planner.core.difficulty import Challenge, ChallengeKind
from planner.core.fact import Fact, FactKind, Place, Topic
from planner.core.pitch import Pitch
from planner.core.profile import AccidentalKind, PartProfile, PatternKind, PieceProfile, Spot
from planner.core.tempo_places import tempo_places
from planner.wording.study.dynamics import SWELLS
from planner.wording.study.expression import MOST_KINDS
from planner.wording.study.time import MOST_CHANGES

MOST_BARS = 8
"""Most bars of one place that are drawn; of a longer one its beginning. Source: house choice: two lines."""
SHORT = 2
"""Places of so few bars are drawn with the bar before and the bar after them. Source: house choice."""
MOST_PARTS = 4
"""Most parts drawn together. Source: house choice: what an eye compares."""
WHOLE_SCORE = 4
"""Scores of so few parts are drawn whole where a sentence concerns everyone. Source: house choice."""


@dataclass(frozen=True, slots=True)
class Passage:
    """Bars to draw.

    Attributes:
        place: The bars that the sentence speaks of, as written measures.
        drawn: First and last measure drawn: with the bars around a short place, the beginning of a long one.
        parts: Places in the score of the parts drawn, ascending.
    """

    place: Place
    drawn: Place
    parts: tuple[int, ...]

    @property
    def is_cut(self) -> bool:
        """Whether only the beginning of the place is drawn."""
        return self.drawn[1] < self.place[1]

    @property
    def is_widened(self) -> bool:
        """Whether bars around the place are drawn with it."""
        return self.drawn[0] < self.place[0] or self.drawn[1] > self.place[1]


def passages_of(fact: Fact, profile: PieceProfile, reader: str = "") -> tuple[Passage, ...]:
    """The passages that a fact speaks of, in its order, each once; none for what holds throughout.

    Args:
        fact: One of the profile's.
        profile: The study.
        reader: Name of the part whose page is looked at; empty for a look at the whole score.
    """
    places = dict.fromkeys(_places(fact, profile))
    return tuple(
        Passage(place, _drawn(place, profile.measures), parts_of(fact, profile, place, reader))
        for place in places
    )


def _drawn(place: Place, measures: int) -> Place:
    first, last = place
    if last - first < SHORT:
        return max(0, first - 1), min(measures - 1, last + 1)
    return first, min(last, first + MOST_BARS - 1)


def _places(fact: Fact, profile: PieceProfile) -> Iterable[Place]:
    find = _PLACES.get(fact.kind)
    found = find(fact, profile) if find else fact.places
    return (place for place in found if 0 <= place[0] <= place[1] < profile.measures)


def _single(measures: Iterable[int]) -> Iterable[Place]:
    return ((measure, measure) for measure in measures)


def _pattern(fact: Fact, profile: PieceProfile) -> Iterable[Place]:
    return profile.part(fact.part).patterns[int(fact.number("pattern"))].places


def _sections(fact: Fact, profile: PieceProfile) -> Iterable[Place]:
    shown = profile.form[: int(fact.number("shown"))]
    return ((section.measure, section.end_measure) for section in shown)


def _phrases(_fact: Fact, profile: PieceProfile) -> Iterable[Place]:
    return ((phrase.measure, phrase.end_measure) for phrase in profile.phrases)


def _first_altered(kind: AccidentalKind) -> Callable[[Fact, PieceProfile], Iterable[Place]]:
    """The first bar of each note that is named."""

    def places(fact: Fact, profile: PieceProfile) -> Iterable[Place]:
        uses = {use.pitch: use for use in profile.part(fact.part).accidentals if use.kind is kind}
        return _single(sorted(uses[name].measure for name in fact.notes if name in uses))

    return places


def _every_altered(kind: AccidentalKind) -> Callable[[Fact, PieceProfile], Iterable[Place]]:
    """Every bar of each note that is named."""

    def places(fact: Fact, profile: PieceProfile) -> Iterable[Place]:
        uses = [use for use in profile.part(fact.part).accidentals if use.kind is kind]
        return _single(sorted({at for use in uses if use.pitch in fact.notes for at in use.measures}))

    return places


def _dynamics(fact: Fact, profile: PieceProfile) -> Iterable[Place]:
    are_left_out = bool(sum(fact.each("swells")))
    for use in profile.part(fact.part).dynamics:
        if not (are_left_out and use.mark in SWELLS):
            yield use.measure, use.measure if use.end_measure is None else use.end_measure


def _extremes(fact: Fact, profile: PieceProfile) -> Iterable[Place]:
    yield from fact.places
    sudden = [use.measure for use in profile.part(fact.part).dynamics if use.sudden_from]
    yield from _single(sudden[: int(sum(fact.each("sudden")))])


def _articulations(fact: Fact, profile: PieceProfile) -> Iterable[Place]:
    every = profile.part(fact.part).articulations
    usual = sorted(every, key=lambda found: -found.count)[:MOST_KINDS]
    return _single(found.measure for found in every if found in usual)


def _turns(_fact: Fact, profile: PieceProfile) -> Iterable[Place]:
    """Where play leaves the page order, and where it goes on."""
    order = profile.roadmap.play_order
    for turn in profile.roadmap.turns:
        yield from _single(order[at] for at in (turn.at - 1,) if 0 <= at < len(order))
        yield turn.target, max(turn.target, turn.last)


def _marks(fact: Fact, profile: PieceProfile) -> Iterable[Place]:
    marks = profile.roadmap.marks
    return _single(marks[int(at)].measure for at in fact.each("mark"))


def _meters(_fact: Fact, profile: PieceProfile) -> Iterable[Place]:
    """Where each change stands; of many changes how long each meter holds, as the sentence says it."""
    starts = [span.measure for span in profile.meters[1:]]
    if len(starts) <= MOST_CHANGES:
        return _single(starts)
    ends = [*(start - 1 for start in starts[1:]), profile.measures - 1]
    return ((start, max(start, end)) for start, end in zip(starts, ends, strict=True))


def _spot(fact: Fact, profile: PieceProfile) -> Iterable[Place]:
    """The spot, with all of what makes it hard: a run may begin before it, or go on after it."""
    for spot in profile.part(fact.part).spots:
        if spot.measure == fact.measure:
            each: tuple[Spot | Challenge, ...] = (spot, *spot.challenges)
            last = max(one.measure if one.end_measure is None else one.end_measure for one in each)
            yield min(one.measure for one in each), last
            return


def _tempo(_fact: Fact, profile: PieceProfile) -> Iterable[Place]:
    return _single([0] if profile.measures else [])


def _tempo_turns(_fact: Fact, profile: PieceProfile) -> Iterable[Place]:
    return _single(each.measure for each in tempo_places(profile))


def _later_tempos(_fact: Fact, profile: PieceProfile) -> Iterable[Place]:
    return _single(span.measure for span in profile.tempos[1:] if span.first_reading)


def _nowhere(_fact: Fact, _profile: PieceProfile) -> Iterable[Place]:
    return ()


_PLACES: Mapping[FactKind, Callable[[Fact, PieceProfile], Iterable[Place]]] = {
    FactKind.METER_CHANGES: _meters,
    FactKind.SPOT: _spot,
    FactKind.PATTERN: _pattern,
    FactKind.IN_PATTERNS: _nowhere,
    FactKind.SECTIONS: _sections,
    FactKind.PHRASES: _phrases,
    FactKind.OUTSIDE_SIGNATURE: _first_altered(AccidentalKind.FIRST),
    FactKind.STILL_ALTERED: _every_altered(AccidentalKind.AGAIN),
    FactKind.REMINDERS: _every_altered(AccidentalKind.COURTESY),
    FactKind.SPELLINGS: _first_altered(AccidentalKind.ENHARMONIC),
    FactKind.DYNAMICS: _dynamics,
    FactKind.DYNAMIC_EXTREMES: _extremes,
    FactKind.ARTICULATIONS: _articulations,
    FactKind.ROADMAP: _turns,
    FactKind.ROADMAP_MARKS: _marks,
    FactKind.MARKS_LACKING: _marks,
    FactKind.TEMPO: _tempo,
    FactKind.TEMPO_TURNS: _tempo_turns,
    FactKind.READING_TEMPO: _later_tempos,
}
"""Where kinds of facts keep the bars they speak of, other than in ``Fact.places``."""


def parts_of(fact: Fact, profile: PieceProfile, place: Place, reader: str = "") -> tuple[int, ...]:
    """Places in the score of the parts to draw: whose the fact is, with those that it speaks of.

    What concerns everyone is drawn on the reader's own page; in a look at the whole score for all parts of a
    small one, else for the part that has the tune there, with the bass where harmony is spoken of.
    """
    names = [part.name for part in profile.parts]
    own = [name for name in (fact.part or reader,) if name in names]
    others = [name for name in _spoken_of(fact, profile) if name in names]
    if not own and not others:
        if len(names) <= WHOLE_SCORE:
            return tuple(range(len(names)))
        own = [_leading(profile, place[0])]
        others = [_lowest(profile.parts)] if fact.topic in (Topic.KEY, Topic.HARMONY) else []
    kept = list(dict.fromkeys([*own, *others]))[:MOST_PARTS]
    return tuple(sorted(names.index(name) for name in kept))


def _spoken_of(fact: Fact, profile: PieceProfile) -> Sequence[str]:
    """Names of the other parts of a fact."""
    if fact.kind is FactKind.PATTERN:
        found = profile.part(fact.part).patterns[int(fact.number("pattern"))]
        return found.with_parts if found.kind is PatternKind.UNISON else ()
    if fact.kind is FactKind.SPOT:
        challenges = (each for spot in profile.part(fact.part).spots for each in spot.challenges)
        return [
            name
            for each in challenges
            if each.kind is ChallengeKind.ENTRANCE_AFTER_REST and each.measure == fact.measure
            for name in each.terms
        ]
    return fact.parts


def _leading(profile: PieceProfile, measure: int) -> str:
    """The part that has the tune in a bar; where nobody has, the first with notes."""
    before = [span.part for span in profile.melody if span.measure <= measure and span.part]
    playing = [part.name for part in profile.parts if part.plays]
    return before[-1] if before else (playing or [profile.parts[0].name])[0]


def _lowest(parts: Sequence[PartProfile]) -> str:
    """The part whose middle lies lowest as it sounds; the last one where none has pitches."""

    def middle(part: PartProfile) -> float:
        ends = [Pitch.parse(name).midi for name in part.sounding_range or ()]
        return float(sum(ends) / len(ends)) if ends else inf

    lowest = min(parts, key=middle)
    return lowest.name if lowest.sounding_range else parts[-1].name
