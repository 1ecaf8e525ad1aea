"""What a part's guide speaks of: which of the study's findings, which hard spot, which cautions."""

from collections.abc import Iterator, Sequence

from planner.core.difficulty import ChallengeKind
from planner.core.fact import Fact, FactKind, Topic
from planner.core.instruments import get_instrument
from planner.core.profile import PartProfile, PatternKind, PieceProfile, Spot
from planner.services.sheets.views import GuideTopic
from planner.wording.guide import HEADINGS, Caution
from planner.wording.study.sentences import sentences_of

_MOST: tuple[tuple[Topic, int], ...] = (
    (Topic.METER, 5), (Topic.ROADMAP, 2), (Topic.FORM, 3), (Topic.TUNE, 3), (Topic.KEY, 4),
    (Topic.ACCIDENTALS, 3), (Topic.SPOTS, 3), (Topic.PATTERNS, 3), (Topic.EXPRESSION, 3), (Topic.RANGE, 2),
    (Topic.HARMONY, 1), (Topic.TEMPO, 2),
)  # fmt: skip
"""Topics in the order of a guide, with the most findings of each.

Source: house choice: one page that a player can take in within a study time of 5 to 10 minutes
(UIL/TMAA instruction procedure for band: 7 to 10 minutes in all; MSBOA: 5).
"""
_OF_PITCH = frozenset({Topic.KEY, Topic.ACCIDENTALS, Topic.RANGE, Topic.HARMONY})
"""Topics that a player without pitches (drums) has no use for in a short study time."""
_BY_WEIGHT = frozenset({Topic.SPOTS, Topic.PATTERNS})
"""Topics of which the heaviest findings matter more than the first ones."""
_PIECE_FIRST = frozenset({Topic.METER})
"""Topics that begin with what holds for everyone: the meter stands before what a part does against it."""
LOUD = frozenset({"ff", "fff", "ffff", "sfz", "fz", "sffz"})
TIRING_SECONDS = 180.0
"""Playing time from which a wind part is reminded to use its rests. Source: house choice."""


def topics_for(profile: PieceProfile, part: PartProfile) -> tuple[GuideTopic, ...]:
    """What the study found for this part and for everyone, by topic, the part's own first, in words."""
    return tuple(
        GuideTopic(HEADINGS[topic], sentences_of(facts, profile))
        for topic, facts in facts_shown(profile, part)
    )


def facts_shown(profile: PieceProfile, part: PartProfile) -> Iterator[tuple[Topic, tuple[Fact, ...]]]:
    """The facts of a part's guide by topic, in its order; a topic without any is left out.

    Facts are chosen before they are worded. Nothing is made up here: each sentence is one fact.
    """
    facts = [
        fact
        for fact in profile.facts_for("", part.name)
        if not _repeats_doubled_tune(fact, profile, part) and not _repeats_sections(fact, profile)
    ]
    for topic, most in _MOST:
        if part.written_range is None and topic in _OF_PITCH:
            continue
        chosen = _foremost(topic, [fact for fact in facts if fact.topic is topic], most)
        if chosen:
            yield topic, tuple(chosen)


def _repeats_doubled_tune(fact: Fact, profile: PieceProfile, part: PartProfile) -> bool:
    """Whether a fact says that the part plays the same as another one just where it doubles its tune."""
    if fact.kind is not FactKind.PATTERN:
        return False
    found = part.patterns[int(fact.number("pattern"))]
    return found.kind is PatternKind.UNISON and any(
        set(tune.parts) <= set(found.with_parts)
        and all(any(a <= first and last <= b for a, b in tune.places) for first, last in found.places)
        for tune in profile.facts_for(part.name)
        if tune.kind is FactKind.DOUBLES_TUNE
    )


def _repeats_sections(fact: Fact, profile: PieceProfile) -> bool:
    """Whether a fact says that a tune comes again just where the sections say that one comes again."""
    if fact.kind is not FactKind.TUNE_RETURNS:
        return False
    names = [_section_of(profile, (first + last) // 2) for first, last in fact.places]
    return (
        bool(names[0])
        and len(set(names)) == 1
        and any(each.kind is FactKind.SECTIONS for each in profile.facts)
    )


def _section_of(profile: PieceProfile, measure: int) -> str:
    """The tune of the section that holds a measure, varied or not; empty where there is none."""
    inside = (each for each in profile.form if each.measure <= measure <= each.end_measure)
    return next((each.tune for each in inside), "")


def _foremost(topic: Topic, facts: Sequence[Fact], most: int) -> list[Fact]:
    """So many facts of one topic, the part's own first (of the meter the piece's), else in reading order.

    Of hard spots and patterns the heaviest are taken, of other topics the first; of facts that begin
    together, or hold throughout, the heavier. One entrance after a long rest, where the part has any, is
    always among its hard spots.
    """

    def rank(fact: Fact) -> tuple[bool, float, float]:
        start = -1 if fact.measure is None or topic in _BY_WEIGHT else fact.measure
        return not fact.part, start, -fact.weight

    ranked = sorted(facts, key=rank)
    chosen = ranked[:most]
    entrances = [fact for fact in ranked if ChallengeKind.ENTRANCE_AFTER_REST in fact.terms]
    if entrances and not any(fact in chosen for fact in entrances):
        chosen[-1] = entrances[0]
    if topic in _PIECE_FIRST:
        return sorted(chosen, key=facts.index)
    return sorted(chosen, key=lambda fact: (not fact.part, facts.index(fact)))


def hardest_spot(part: PartProfile, seen_from: int, seen_to: int) -> Spot | None:
    """The heaviest spot that does not lie within the measures already shown."""
    hidden = [
        s for s in part.spots
        if not (seen_from <= s.measure and (s.measure if s.end_measure is None else s.end_measure) <= seen_to)
    ]  # fmt: skip
    return max(hidden, key=lambda s: (s.weight, -s.measure), default=None)


def cautions_for(profile: PieceProfile, part: PartProfile) -> tuple[Caution, ...]:
    """What can hurt in this part, and who has the last word."""
    family = _family(part.instrument)
    cautions = [Caution(family) if family in set(Caution) else Caution.ANY_BODY]
    if any(use.mark in LOUD for use in part.dynamics):
        cautions.append(Caution.LOUD)
    if profile.playing_seconds >= TIRING_SECONDS and family in ("woodwind", "brass"):
        cautions.append(Caution.LONG)
    return (*cautions, Caution.STOP)


def _family(instrument: str) -> str:
    try:
        return get_instrument(instrument).family
    except KeyError:
        return ""
