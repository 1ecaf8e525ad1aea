"""The prompts of the study: what a good reader looks for, in reading order, each true and short."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from planner.core.fact import Fact, FactKind, Topic
from planner.core.piece import Piece
from planner.core.profile import AccidentalKind, PartProfile, PatternKind, PieceProfile, Spot
from planner.study.page.dynamics import LOUDNESS
from planner.wording.director.room import (
    HEADINGS,
    LOOK_FOR,
    NO_DYNAMICS,
    ONCE_THROUGH,
    bars_played,
    loudness,
    meter_count,
    only_these_bars,
    outside_signature,
    pattern_of_part,
    short_form,
    spot_of_part,
)
from planner.wording.study.sentences import sentence_of
from planner.wording.words import key, listed

LONGEST = 110
"""Letters of a prompt at most: three lines at 60 pixels. A longer sentence stays unsaid. House choice."""


@dataclass(frozen=True, slots=True)
class Prompt:
    """A prompt: what it is about, and one or two sentences."""

    topic: Topic
    sentence: str

    @property
    def heading(self) -> str:
        """What stands above it."""
        return HEADINGS[self.topic]


@dataclass(frozen=True, slots=True)
class Scope:
    """What of a piece is read, and by whom.

    Attributes:
        first, last: Its written measures, both included.
        is_whole: It is the whole piece.
        lead: Name of the part that is featured, or has the tune; empty where nobody has.
        parts: Names of the parts that somebody reads, in score order.
    """

    first: int
    last: int
    is_whole: bool
    lead: str
    parts: tuple[str, ...]

    def holds(self, measure: int) -> bool:
        """Whether a measure is read."""
        return self.first <= measure <= self.last

    def holds_all(self, fact: Fact) -> bool:
        """Whether everything that a fact speaks of is read."""
        return self.is_whole or (
            bool(fact.places) and all(self.holds(a) and self.holds(b) for a, b in fact.places)
        )


def study_prompts(profile: PieceProfile, piece: Piece, scope: Scope) -> tuple[Prompt, ...]:
    """The prompts for a piece, in reading order. Of music on paper they say what to look for."""
    if profile.is_on_paper:
        return tuple(_of_paper(piece))
    found = []
    for topic, say in (
        (Topic.METER, _meter), (Topic.ROADMAP, _roadmap), (Topic.FORM, _form), (Topic.KEY, _key),
        (Topic.HARMONY, _harmony), (Topic.ACCIDENTALS, _accidentals), (Topic.SPOTS, _spots),
        (Topic.PATTERNS, _patterns), (Topic.EXPRESSION, _dynamics),
    ):  # fmt: skip
        sentence = _joined(say(profile, scope))
        if sentence:
            found.append(Prompt(topic, sentence))
    return tuple(found)


def _joined(sentences: Iterator[str]) -> str:
    """Sentences as far as there is room, the first ones first."""
    text = ""
    for sentence in sentences:
        longer = f"{text} {sentence}".strip()
        text = longer if sentence and len(longer) <= LONGEST else text
    return text


def _of_paper(piece: Piece) -> Iterator[Prompt]:
    for topic in HEADINGS:
        known = ""
        if topic is Topic.METER and piece.time_signatures:
            known = f"{listed(piece.time_signatures)}. "
        elif topic is Topic.KEY and piece.keys:
            known = f"{listed([key(each) for each in piece.keys])}. "
        text = f"{known}{LOOK_FOR[topic]}"
        yield Prompt(topic, text if len(text) <= LONGEST else LOOK_FOR[topic])


def _facts(profile: PieceProfile, kind: FactKind, part: str = "") -> list[Fact]:
    return [fact for fact in profile.facts_for(part) if fact.kind is kind]


def _meter(profile: PieceProfile, scope: Scope) -> Iterator[str]:
    within = [meter for meter in profile.meters if scope.first < meter.measure <= scope.last]
    if scope.first == 0:
        for kind in (FactKind.METER, FactKind.PICKUP):
            yield from (sentence_of(fact, profile) for fact in _facts(profile, kind))
    else:
        before = [meter for meter in profile.meters if meter.measure <= scope.first]
        yield f"{before[-1].time}." if before else ""
    if not within:
        return
    changes = [sentence_of(fact, profile) for fact in _facts(profile, FactKind.METER_CHANGES)]
    if scope.is_whole and changes and len(changes[0]) < LONGEST // 2:
        yield changes[0]
    elif len({(meter.time, meter.grouping) for meter in (*within, profile.meters[0])}) > 1:
        yield meter_count(len(within))


def _roadmap(profile: PieceProfile, scope: Scope) -> Iterator[str]:
    if not scope.is_whole:
        is_all = (scope.first, scope.last) == (0, profile.measures - 1)
        yield ONCE_THROUGH if is_all else only_these_bars(profile, scope.first, scope.last)
        return
    for kind in (FactKind.PLAYED_STRAIGHT, FactKind.ROADMAP):
        for fact in _facts(profile, kind):
            sentence = sentence_of(fact, profile)
            is_short = len(sentence) <= LONGEST or kind is FactKind.PLAYED_STRAIGHT
            numbers = (int(fact.number(name)) for name in ("written", "played")) if not is_short else ()
            yield sentence if is_short else bars_played(*numbers)


def _form(profile: PieceProfile, scope: Scope) -> Iterator[str]:
    if _facts(profile, FactKind.SECTIONS):
        yield short_form([one for one in profile.form if scope.holds(one.measure)])


def _key(profile: PieceProfile, scope: Scope) -> Iterator[str]:
    yield from (sentence_of(fact, profile) for fact in _facts(profile, FactKind.HOME_KEY))
    away = [fact for fact in _facts(profile, FactKind.AWAY_FROM_HOME) if scope.holds_all(fact)]
    yield from (sentence_of(fact, profile) for fact in _heaviest(away))


def _harmony(profile: PieceProfile, scope: Scope) -> Iterator[str]:
    kinds = (FactKind.PEDAL_POINT, FactKind.CADENCE)
    found = [fact for kind in kinds for fact in _facts(profile, kind) if scope.holds_all(fact)]
    yield from (sentence_of(fact, profile) for fact in _heaviest(found)[:1])


def _accidentals(profile: PieceProfile, scope: Scope) -> Iterator[str]:
    pitched = [part for part in _read(profile, scope) if part.written_range is not None]
    counts: Counter[int] = Counter()
    for part in pitched:
        uses = (use for use in part.accidentals if use.kind is AccidentalKind.FIRST)
        counts.update({at for use in uses for at in (use.measure, *use.measures) if scope.holds(at)})
    if pitched:
        yield outside_signature(counts, profile)


def _spots(profile: PieceProfile, scope: Scope) -> Iterator[str]:
    for part in _read(profile, scope):
        if part.name == scope.lead:
            sentences = (spot_of_part(part.name, spot, profile) for spot in hard_spots(part, scope))
            yield next((each for each in sentences if len(each) <= LONGEST), "")


def hard_spots(part: PartProfile, scope: Scope) -> list[Spot]:
    """The hard places of a part that are read, the heaviest first."""
    inside = [
        spot
        for spot in part.spots
        if scope.holds(spot.measure)
        and scope.holds(spot.measure if spot.end_measure is None else spot.end_measure)
    ]
    return sorted(inside, key=lambda spot: (-spot.weight, spot.measure))


def _patterns(profile: PieceProfile, scope: Scope) -> Iterator[str]:
    own = _facts(profile, FactKind.PATTERN, scope.lead) if scope.lead else []
    for fact in _heaviest(own):
        found = profile.part(scope.lead).patterns[int(fact.number("pattern"))]
        is_read = all(scope.holds(a) and scope.holds(b) for a, b in found.places)
        sentence = pattern_of_part(scope.lead, found, profile)
        if found.kind is not PatternKind.UNISON and is_read and len(sentence) <= LONGEST:
            yield sentence
            return


def _dynamics(profile: PieceProfile, scope: Scope) -> Iterator[str]:
    parts = _read(profile, scope)
    uses = [use for part in parts for use in part.dynamics if scope.holds(use.measure)]
    lasting = sorted((LOUDNESS[use.mark], use.measure, use.mark) for use in uses if use.mark in LOUDNESS)
    if lasting:
        loudest = min((at, mark) for rank, at, mark in lasting if rank == lasting[-1][0])
        yield loudness((lasting[0][2], lasting[0][1]), (loudest[1], loudest[0]), profile)
    elif parts and scope.is_whole and not uses:
        yield NO_DYNAMICS


def _heaviest(facts: Sequence[Fact]) -> list[Fact]:
    return sorted(facts, key=lambda fact: -fact.weight)


def _read(profile: PieceProfile, scope: Scope) -> list[PartProfile]:
    return [part for part in profile.parts if part.name in scope.parts and part.plays]
