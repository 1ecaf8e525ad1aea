"""What the points of scoring forms count as in marks, for each section that read."""

from collections.abc import Mapping, Sequence
from datetime import date
from fractions import Fraction

from planner.core.ensemble import Ensemble
from planner.core.scoring_form import FilledForm
from planner.core.term import DayShape, Plan, Result, Slot, Term
from planner.marks.form_points import outcome
from planner.services.ports.work import UnitOfWork


def form_shares(
    work: UnitOfWork, term: Term, ensemble: Ensemble, plan: Plan | None, results: Sequence[Result]
) -> Mapping[tuple[date, int, int], Fraction]:
    """Shares from 0 to 1 by day, piece and section; nothing of a form that is not filled in.

    A section has its own points, or else those of the whole ensemble if it was to read the piece that day.
    """
    if term.form is None:
        return {}
    read = {(r.on, r.piece_id, r.section_id) for r in results}
    whole: dict[tuple[date, int, int], Fraction] = {}
    own: dict[tuple[date, int, int], Fraction] = {}
    for filled in work.results.points(ensemble.id):
        share = outcome(term.form, filled.points).share
        if share is None or not term.first <= filled.on <= term.last:
            continue
        if filled.section_id is not None:
            own[filled.on, filled.piece_id, filled.section_id] = share
            continue
        for section in ensemble.sections:
            place = (filled.on, filled.piece_id, section.id)
            if place in read or _was_to_read(term, plan, filled, section.id):
                whole[place] = share
    shown = {section.id for section in ensemble.sections}
    return {place: share for place, share in {**whole, **own}.items() if place[2] in shown}


def _was_to_read(term: Term, plan: Plan | None, filled: FilledForm, section_id: int) -> bool:
    """Whether a section was in the room: not away, nor at a station that had other pieces."""
    shape = term.shape_on(filled.on)
    slots = [slot for slot in (plan.on(filled.on) if plan else ()) if slot.piece_id == filled.piece_id]
    return section_id not in shape.absent and (
        not slots or any(_sits_at(shape, slot, section_id) for slot in slots)
    )


def _sits_at(shape: DayShape, slot: Slot, section_id: int) -> bool:
    if slot.station is None or slot.station >= len(shape.stations):
        return True
    return section_id in shape.stations[slot.station].section_ids
