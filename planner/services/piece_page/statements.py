"""What the page of a piece states: each sentence with the bars it speaks of and what it rests on.

Of a part, what its player's sheet says comes first, in the order of the sheet; what the study found
beside it follows.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from planner.core.fact import Fact, Topic
from planner.core.instruments import family_of
from planner.core.profile import PartProfile, PieceProfile
from planner.services.piece_page.passages import Passage, passages_of
from planner.services.piece_page.thresholds import THRESHOLDS
from planner.services.sheets.player.line import Block, Line
from planner.services.sheets.player.sheet import LOUD, care_line, sheet_lines
from planner.wording.guide import HEADINGS
from planner.wording.player_sheet import BLOCK_HEADINGS
from planner.wording.study.evidence import FROM_THE_PAGE, care_reason, evidence_of
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
    lines = sheet_lines(profile, part) if part else ()
    taken = {fact for line in lines for fact in line.facts if line.block is not Block.GOING_ON}
    on_sheet = [
        StatedTopic(BLOCK_HEADINGS[block], tuple(_line(line, profile, part_name) for line in inside))
        for block in Block
        if (inside := [line for line in lines if line.block is block])
    ]
    if part:
        on_sheet.append(StatedTopic("Care", (_care(profile, part),)))
    others = [fact for fact in profile.facts_for("", part_name) if fact not in taken]
    spoken = {each.sentence for topic in on_sheet for each in topic.statements}
    beside = (_topic(topic, _of(topic, others), profile, part_name, spoken) for topic in Topic)
    return StatedStudy(tuple(on_sheet), tuple(topic for topic in beside if topic.statements))


def _line(line: Line, profile: PieceProfile, reader: str) -> Statement:
    """A line of the sheet with the passages of all its facts, and what these rest on."""
    passages = tuple(
        dict.fromkeys(passage for fact in line.facts for passage in passages_of(fact, profile, reader))
    )
    places = [each.place for each in passages]
    evidence = (evidence_of(fact, profile, places, THRESHOLDS) for fact in line.facts)
    reasons = tuple(dict.fromkeys(each for some in evidence for each in some))
    return Statement(line.text, passages, reasons or (FROM_THE_PAGE,))


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


def _care(profile: PieceProfile, part: PartProfile) -> Statement:
    loud = sorted({use.measure for use in part.dynamics if use.mark in LOUD})
    places = [(measure, measure) for measure in loud]
    return Statement(care_line(part), evidence=(care_reason(family_of(part.instrument), profile, places),))
