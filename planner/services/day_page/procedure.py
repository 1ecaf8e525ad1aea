"""By which published procedure music is studied on a day: chosen, stored and journaled."""

from dataclasses import replace
from datetime import date

from planner.core.change import Author, ChangeKind
from planner.core.procedures import BY_SLUG
from planner.core.term import Term
from planner.errors import NotFoundError
from planner.services.changes.journal import recorded
from planner.services.changes.term_record import term_subject
from planner.services.day.read_day import find_day
from planner.services.entered.words import short
from planner.services.ports.work import UnitOfWork


def set_procedure(work: UnitOfWork, term_id: int, on: date, slug: str, *, by: Author) -> Term:
    """Study the music of a day by a published procedure; empty: as planned. The term as it is stored.

    Raises:
        NotFoundError: If it is no reading day of the term, or there is no such procedure.
    """
    term, _ = find_day(work, term_id, on)
    if slug and slug not in BY_SLUG:
        raise NotFoundError("procedure", f"“{short(slug)}”", hint=f"There are {', '.join(BY_SLUG)}.")
    chosen = {day: each for day, each in term.procedures if day != on} | ({on: slug} if slug else {})
    procedures = tuple(sorted(chosen.items()))
    if procedures == term.procedures:
        return term
    with recorded(work, ChangeKind.TERM, term_subject(term), by):
        work.terms.update(replace(term, procedures=procedures))
    return work.terms.get(term_id)
