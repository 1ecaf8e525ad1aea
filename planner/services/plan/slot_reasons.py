"""Why a piece stands where it stands in the plan."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date

from planner.core.fact import named
from planner.core.term import Reason, ReasonKind, Slot, Term
from planner.matching.outlook import PieceOutlook
from planner.scheduling import check
from planner.scheduling.problem import OPEN_PIECE
from planner.services.plan.demands import skill_evidence
from planner.services.plan.reading_time import ReadingTime
from planner.services.plan.term_days import easier_days
from planner.services.plan.term_problem import TermFacts, TermProblem
from planner.wording.words import bar_names, printed_ends


def reasons_for(term_problem: TermProblem, slots: Sequence[Slot]) -> tuple[Slot, ...]:
    """The slots with their reasons; those of settled days keep the reasons they had."""
    facts = term_problem.facts
    outlooks = {outlook.piece.id: outlook for outlook in facts.outlooks}
    again = {(slot.on, slot.piece_id) for slot in term_problem.again}
    settled = {day.on for day in term_problem.problem.days if day.is_settled}
    explained = []
    for at, slot in enumerate(slots):
        is_again = (slot.on, slot.piece_id) in again
        is_known = slot.piece_id in term_problem.problem.piece_by_id
        if slot.piece_id == OPEN_PIECE or not is_known or (slot.on in settled and not is_again):
            explained.append(slot)
        elif is_again:
            reasons = _of_second_reading(term_problem, slot, outlooks[slot.piece_id], slots[:at])
            explained.append(replace(slot, reasons=tuple(reasons)))
        else:
            reasons = _reasons(term_problem, slot, outlooks[slot.piece_id], slots[:at])
            explained.append(replace(slot, reasons=tuple(reasons)))
    return tuple(explained)


def _reasons(
    term_problem: TermProblem, slot: Slot, outlook: PieceOutlook, before: Sequence[Slot]
) -> Iterator[Reason]:
    facts = term_problem.facts
    if slot.is_pinned:
        yield Reason(ReasonKind.PINNED)
    yield from _levels(term_problem, slot)
    yield Reason(
        ReasonKind.TRAINS,
        named(named=term_problem.named.get(slot.focus, 0)),
        evidence=skill_evidence(outlook, slot.focus),
    )
    yield from _featured(facts, slot, before)
    yield _time(term_problem, slot, outlook)


def _of_second_reading(
    term_problem: TermProblem, slot: Slot, outlook: PieceOutlook, before: Sequence[Slot]
) -> Iterator[Reason]:
    facts = term_problem.facts
    read = [r.on for r in facts.results if r.piece_id == slot.piece_id and r.on < slot.on]
    read += [s.on for s in before if s.piece_id == slot.piece_id and s.on < slot.on]
    yield Reason(ReasonKind.AGAIN, last_on=max(read, default=None))
    yield _time(term_problem, slot, outlook)


def _levels(term_problem: TermProblem, slot: Slot) -> Iterator[Reason]:
    """What the sections should get right, what the day aims at, and who is worst off."""
    problem, term = term_problem.problem, term_problem.facts.term
    sitting, piece = problem.sitting_of(slot), problem.piece_by_id[slot.piece_id]
    if sitting is None:
        return
    asks = check.asks(problem, piece, sitting)
    if not asks:
        return
    mean = sum(ask.share for _, ask in asks) / len(asks)
    yield Reason(ReasonKind.AIM, named(share=round(mean, 3), aim=round(problem.days[sitting.day].aim, 3)))
    if slot.on in easier_days(term):
        yield Reason(ReasonKind.EASIER, last_on=_concert_after(term, slot))
    section, ask = min(asks, key=lambda each: each[1].share)
    yield Reason(ReasonKind.HARDEST, named(share=round(ask.share, 3)), section_id=section)


def _concert_after(term: Term, slot: Slot) -> date | None:
    """The concert that a day is the last reading before; None where it follows a break."""
    dates = term.reading_dates()
    ahead = [c for c in term.concerts if c >= slot.on and not any(slot.on < on <= c for on in dates)]
    return min(ahead, default=None)


def _featured(facts: TermFacts, slot: Slot, before: Sequence[Slot]) -> Iterator[Reason]:
    section = slot.featured_section_id
    if any(each.id == section for each in facts.ensemble.sections):
        last = next((each.on for each in reversed(before) if each.featured_section_id == section), None)
        yield Reason(ReasonKind.FEATURES, section_id=section, last_on=last)


def _time(term_problem: TermProblem, slot: Slot, outlook: PieceOutlook) -> Reason:
    time: ReadingTime = term_problem.times[slot.piece_id]
    numbers = named(minutes=slot.minutes, available=term_problem.facts.term.minutes_on(slot.on))
    if time.excerpt is None:
        return Reason(ReasonKind.TIME, numbers)
    bars = printed_ends(bar_names(outlook.profile), time.excerpt.measure, time.excerpt.end_measure)
    return Reason(ReasonKind.PASSAGE, numbers, bars=bars)
