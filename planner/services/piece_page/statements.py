"""What the page of a piece states: each sentence with the bars it speaks of and what it rests on.

Of a part, what its player's sheet says comes first, in the order of the sheet; what the study found
beside it follows.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from planner.core.fact import Fact, Topic
from planner.core.profile import PartProfile, PieceProfile
from planner.services.piece_page.passages import Passage, passages_of
from planner.services.piece_page.thresholds import THRESHOLDS
from planner.services.sheets.guide_topics import LOUD, TIRING_SECONDS, cautions_for, facts_shown
from planner.wording.guide import HEADINGS, Caution, caution_text
from planner.wording.study.evidence import caution_reason, evidence_of
from planner.wording.study.sentences import sentence_of


@dataclass(frozen=True, slots=True)
class Statement:
    """One sentence, the passages that it speaks of, and what it rests on, in sentences."""

    sentence: str
    passages: tuple[Passage, ...] = ()
    evidence: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class StatedTopic:
    """The sentences on one topic."""

    heading: str
    statements: tuple[Statement, ...]


@dataclass(frozen=True, slots=True)
class StatedStudy:
    """What is stated of a piece, or of one part of it.

    Attributes:
        on_sheet: What the sheet of the part says, cautions last; empty for the whole score.
        beside: What the study found beside it; for the whole score all that concerns everyone.
    """

    on_sheet: tuple[StatedTopic, ...]
    beside: tuple[StatedTopic, ...]


def state_study(profile: PieceProfile, part_name: str = "") -> StatedStudy:
    """The sentences true of a part, or of everyone.

    Args:
        profile: The study.
        part_name: A part of it; empty for what concerns everyone.
    """
    part = profile.part(part_name) if part_name else None
    shown = list(facts_shown(profile, part)) if part else []
    taken = {fact for _, facts in shown for fact in facts}
    on_sheet = [_topic(topic, facts, profile, part_name) for topic, facts in shown]
    if part:
        on_sheet.append(
            StatedTopic("Care", tuple(_caution(each, profile, part) for each in cautions_for(profile, part)))
        )
    others = [fact for fact in profile.facts_for("", part_name) if fact not in taken]
    spoken = {each.sentence for topic in on_sheet for each in topic.statements}
    beside = (_topic(topic, _of(topic, others), profile, part_name, spoken) for topic in Topic)
    return StatedStudy(tuple(on_sheet), tuple(topic for topic in beside if topic.statements))


def _of(topic: Topic, facts: Iterable[Fact]) -> Sequence[Fact]:
    return [fact for fact in facts if fact.topic is topic]


def _topic(
    topic: Topic,
    facts: Iterable[Fact],
    profile: PieceProfile,
    reader: str,
    spoken: Iterable[str] = (),
) -> StatedTopic:
    """The facts of one topic in sentences, none twice and none of those spoken before."""
    stated: dict[str, Statement] = {}
    left_out = set(spoken)
    for fact in facts:
        sentence = sentence_of(fact, profile)
        if sentence not in stated and sentence not in left_out:
            passages = passages_of(fact, profile, reader)
            evidence = evidence_of(fact, profile, [each.place for each in passages], THRESHOLDS)
            stated[sentence] = Statement(sentence, passages, evidence)
    return StatedTopic(HEADINGS[topic], tuple(stated.values()))


def _caution(caution: Caution, profile: PieceProfile, part: PartProfile) -> Statement:
    loud = sorted({use.measure for use in part.dynamics if use.mark in LOUD})
    places = [(measure, measure) for measure in loud] if caution is Caution.LOUD else []
    return Statement(
        caution_text(caution), evidence=(caution_reason(caution, profile, places, TIRING_SECONDS),)
    )
