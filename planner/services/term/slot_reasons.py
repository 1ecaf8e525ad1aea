"""Why a piece stands where it stands in the plan."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from planner.core.fact import named
from planner.core.term import Reason, ReasonKind, Slot
from planner.levels.curve import expected_share
from planner.matching.outlook import PieceOutlook
from planner.scheduling.problem import OPEN_PIECE
from planner.services.term.reading_time import ReadingTime
from planner.services.term.term_problem import TermFacts, TermProblem, skill_levels
from planner.wording.words import bar_names, printed_ends


def reasons_for(facts: TermFacts, term_problem: TermProblem, slots: Sequence[Slot]) -> tuple[Slot, ...]:
    """The slots with their reasons; past ones keep the reasons they had."""
    outlooks = {outlook.piece.id: outlook for outlook in facts.outlooks}
    past = {day.on for day in term_problem.problem.days if day.is_past}
    explained = []
    for at, slot in enumerate(slots):
        if slot.on not in past and slot.piece_id != OPEN_PIECE:
            reasons = _reasons(facts, term_problem, slot, outlooks[slot.piece_id], slots[:at])
            explained.append(replace(slot, reasons=tuple(reasons)))
        else:
            explained.append(slot)
    return tuple(explained)


def _reasons(
    facts: TermFacts, term_problem: TermProblem, slot: Slot, outlook: PieceOutlook, before: Sequence[Slot]
) -> Iterator[Reason]:
    problem = term_problem.problem
    at = problem.day_by_date[slot.on]
    day = problem.days[at]
    if slot.is_pinned:
        yield Reason(ReasonKind.PINNED)
    level = problem.piece_by_id[slot.piece_id].level
    yield Reason(ReasonKind.LEVEL, named(level=level, target=day.target))
    yield Reason(
        ReasonKind.TRAINS,
        named(named=term_problem.named.get(slot.focus, 0)),
        evidence=skill_levels(outlook.profile).get(slot.focus),
    )
    yield from _featured(facts, slot, before)
    hardest = outlook.hardest
    if hardest is not None and hardest.level is not None:
        share = expected_share(problem.level_on(hardest.section.id, at), hardest.level)
        yield Reason(ReasonKind.HARDEST, named(share=round(share, 3)), section_id=hardest.section.id)
    yield _time(outlook, term_problem.times[slot.piece_id], facts.term.minutes)


def _featured(facts: TermFacts, slot: Slot, before: Sequence[Slot]) -> Iterator[Reason]:
    section = slot.featured_section_id
    if any(each.id == section for each in facts.ensemble.sections):
        last = next((each.on for each in reversed(before) if each.featured_section_id == section), None)
        yield Reason(ReasonKind.FEATURES, section_id=section, last_on=last)


def _time(outlook: PieceOutlook, time: ReadingTime, available: float) -> Reason:
    numbers = named(minutes=time.minutes, available=available)
    if time.excerpt is None:
        return Reason(ReasonKind.TIME, numbers)
    bars = printed_ends(bar_names(outlook.profile), time.excerpt.measure, time.excerpt.end_measure)
    return Reason(ReasonKind.PASSAGE, numbers, bars=bars)
