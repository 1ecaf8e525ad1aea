"""Why a piece stands where it stands in the plan, in sentences."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from planner.core.term import Slot
from planner.levels.curve import expected_share
from planner.matching.outlook import PieceOutlook
from planner.scheduling.problem import OPEN_PIECE
from planner.services.term.reading_time import ReadingTime
from planner.services.term.term_problem import TermFacts, TermProblem, dimension_levels


def reasons_for(facts: TermFacts, term_problem: TermProblem, slots: Sequence[Slot]) -> tuple[Slot, ...]:
    """The slots with their reasons; past ones keep the reasons they had."""
    outlooks = {outlook.piece.id: outlook for outlook in facts.outlooks}
    past = {day.on for day in term_problem.problem.days if day.is_past}
    told = []
    for at, slot in enumerate(slots):
        if slot.on in past or slot.piece_id == OPEN_PIECE:
            told.append(slot)
            continue
        reasons = _reasons(facts, term_problem, slot, outlooks[slot.piece_id], slots[:at])
        told.append(replace(slot, reasons=tuple(filter(None, reasons))))
    return tuple(told)


def _reasons(
    facts: TermFacts, term_problem: TermProblem, slot: Slot, outlook: PieceOutlook, before: Sequence[Slot]
) -> list[str]:
    problem = term_problem.problem
    day = problem.days[problem.day_by_date[slot.on]]
    candidate = problem.piece_by_id[slot.piece_id]
    return [
        "You put it on this day." if slot.is_pinned else "",
        f"Level {candidate.level:.1f}; the term should stand at {day.target:.1f} by then.",
        _focus_reason(term_problem, slot, outlook),
        _feature_reason(facts, slot, before),
        _hardest_reason(outlook, day.growth),
        _time_reason(outlook, term_problem.times[slot.piece_id], facts.term.minutes),
    ]


def _focus_reason(term_problem: TermProblem, slot: Slot, outlook: PieceOutlook) -> str:
    evidence = dimension_levels(outlook.profile).get(slot.focus)
    why = f" ({evidence.why.rstrip('.')})" if evidence and evidence.why else ""
    times = term_problem.named.get(slot.focus, 0)
    lately = f" It was named as a problem {times} times." if times > 1 else ""
    return f"Trains {slot.focus}{why}.{lately}"


def _feature_reason(facts: TermFacts, slot: Slot, before: Sequence[Slot]) -> str:
    name = next((s.name for s in facts.ensemble.sections if s.id == slot.featured_section_id), "")
    if not name:
        return ""
    last = next((s.on for s in reversed(before) if s.featured_section_id == slot.featured_section_id), None)
    since = f"last featured on {_said(last)}" if last else "for the first time this term"
    return f"Features {name}, {since}."


def _hardest_reason(outlook: PieceOutlook, growth: float) -> str:
    hardest = outlook.hardest
    if hardest is None or hardest.level is None:
        return ""
    share = expected_share(hardest.section.level + growth, hardest.level)
    return (
        f"Hardest for {hardest.section.name}: about {round(100 * share)} % of the bars right at first sight."
    )


def _time_reason(outlook: PieceOutlook, time: ReadingTime, minutes: float) -> str:
    what = f"{time.minutes:g} of the day's {minutes:g} minutes"
    if time.excerpt is None:
        return f"Takes {what}."
    numbers = outlook.profile.measure_numbers
    first, last = (_bar(m, numbers) for m in (time.excerpt.measure, time.excerpt.end_measure))
    return f"Bars {first} to {last} take {what}; the whole piece would not fit."


def _bar(measure: int, numbers: Sequence[str]) -> str:
    return numbers[measure] if measure < len(numbers) else str(measure + 1)


def _said(on: date) -> str:
    return f"{on.day} {on.strftime('%B')}"
