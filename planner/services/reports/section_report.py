"""A section's term: its level over the days, first against second readings, skills trained, marks."""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import date

from planner import __version__
from planner.core.difficulty import FOCUSES
from planner.core.ensemble import Ensemble, Section
from planner.core.term import Plan, Result
from planner.errors import NotFoundError
from planner.levels.history import LevelBelief
from planner.services.day.marks import read_term_marks
from planner.services.levels.section_term import SectionTerm, sections_over_term
from planner.services.ports.work import UnitOfWork
from planner.services.read_once import read_once
from planner.services.reports.names import section_file
from planner.services.reports.section_marks import section_marks
from planner.services.reports.views import (
    CountRow,
    CountsPicture,
    LevelPicture,
    ReadingsPicture,
    ReportColumn,
    ReportPart,
    ReportTable,
    ReportView,
    TwoReadings,
)
from planner.wording.director.read_in import APART
from planner.wording.director.reports import (
    level_change_text,
    level_now_text,
    no_results_text,
    read_text,
    second_text,
    skills_text,
    span_text,
)
from planner.wording.director.sections import OUT_WORDS, focus_text, interval_text, misfit_text
from planner.wording.words import listed, short_day

_COLUMNS = (
    ReportColumn("Day", 0.09), ReportColumn("Piece", 0.32), ReportColumn("Trained", 0.15),
    ReportColumn("Expected", 0.1, is_number=True), ReportColumn("First", 0.08, is_number=True),
    ReportColumn("Second", 0.09, is_number=True), ReportColumn("Went wrong", 0.17),
)  # fmt: skip


def section_report(work: UnitOfWork, term_id: int, section_id: int, today: date) -> ReportView:
    """The report of a section.

    Raises:
        NotFoundError: If there is no such term, or no such section in its ensemble.
    """
    work = read_once(work)
    term = work.terms.get(term_id)
    ensemble = work.ensembles.get(term.ensemble_id)
    section = find_section_of(ensemble, section_id)
    view = sections_over_term(work, ensemble, term, today, only=section_id)[section_id]
    results = [
        result
        for result in work.results.list_results(ensemble.id)
        if result.section_id == section_id and term.first <= result.on <= term.last
    ]
    results.sort(key=lambda result: (result.on, result.piece_id))
    titles = {p.id: p.title for p in work.pieces.get_all({r.piece_id for r in results}).values()}
    plan = work.terms.plan(term_id)
    (marks,) = read_term_marks(work, term_id, today=today, only=(section_id,)).sections
    return ReportView(
        name=section_file(section_id),
        title=section.name,
        about=f"{term.name}, {span_text(term.first, term.last)}",
        lead=_lead(section, view, results),
        parts=(
            *(_parts(view, results, titles, plan) if results else ()),
            *section_marks(marks),
        ),
        ensemble=ensemble.name,
        made_on=today,
        library_version=__version__,
    )


def find_section_of(ensemble: Ensemble, section_id: int) -> Section:
    """A section of an ensemble.

    Raises:
        NotFoundError: If it has no such section.
    """
    found = next((section for section in ensemble.sections if section.id == section_id), None)
    if found is None:
        raise NotFoundError("section", f"{section_id} in {ensemble.name}")
    return found


def level_at_end(view: SectionTerm) -> tuple[date, LevelBelief]:
    """The level today, or on the last day of a term that is over, as its results up to then have it."""
    on = min(view.today, view.last)
    known = tuple(day for day in view.trace.days if day.on <= on)
    return on, replace(view.trace, days=known).forecast(on)


def _lead(section: Section, view: SectionTerm, results: Sequence[Result]) -> tuple[str, ...]:
    if not results:
        return (no_results_text(section.name),)
    on, end = level_at_end(view)
    lead = [level_now_text(section.name, end, on, is_over=view.today > view.last), interval_text(end)]
    if view.so_far and view.so_far[0].on < on:
        begin = view.so_far[0]
        lead.append(level_change_text(begin.belief, end, begin.on))
    lead.append(
        read_text(len(results), len({r.on for r in results}), sum(not result.counts for result in results))
    )
    misfit = view.trace.misfit
    if misfit is not None and view.first <= misfit.until <= on:
        lead.append(misfit_text(section.name, misfit))
    return tuple(lead)


def _parts(
    view: SectionTerm, results: Sequence[Result], titles: Mapping[int, str], plan: Plan | None
) -> tuple[ReportPart, ...]:
    trained = trained_by({(result.on, result.piece_id) for result in results}, plan)
    by_focus = tuple(focus_text(each) for each in view.trace.by_focus)
    beside = (f"From all its results, also earlier ones: {' '.join(by_focus)}",) if by_focus else ()
    pairs = [(r.first_share, r.second_share) for r in results if r.second_share is not None]
    readings = ReadingsPicture(
        view.first, view.last, tuple(TwoReadings(r.on, r.first_share, r.second_share) for r in results)
    )
    return (
        ReportPart("Reading level", picture=LevelPicture(view)),
        ReportPart("First and second reading", (second_text(pairs),), readings if pairs else None),
        _skills(results, trained, beside),
        ReportPart("Result by result", table=_table(view, results, titles, trained)),
    )


def trained_by(read: Collection[tuple[date, int]], plan: Plan | None) -> dict[tuple[date, int], str]:
    """The skill that a reading trained as it was planned, by day and piece; unplanned ones are left out."""
    return {
        (slot.on, slot.piece_id): slot.focus
        for slot in (plan.slots if plan else ())
        if (slot.on, slot.piece_id) in read and slot.focus
    }


def _skills(
    results: Sequence[Result], trained: Mapping[tuple[date, int], str], beside: Sequence[str]
) -> ReportPart:
    readings = {(result.on, result.piece_id) for result in results}
    done = Counter(trained.values())
    wrong = Counter(problem for result in results for problem in result.problems)
    sentences = skills_text(
        {skill: done[skill] for skill in FOCUSES},
        {skill: wrong[skill] for skill in FOCUSES},
        len(readings - trained.keys()),
    )
    rows = tuple(CountRow(skill, done[skill], wrong[skill]) for skill in FOCUSES)
    picture = CountsPicture("Readings and results by skill", rows, "readings that trained it", "went wrong")
    return ReportPart("Skills", (*sentences, *beside), picture)


def _table(
    view: SectionTerm,
    results: Sequence[Result],
    titles: Mapping[int, str],
    trained: Mapping[tuple[date, int], str],
) -> ReportTable:
    expected = {(point.on, point.piece_id): point.expected for point in view.results}
    rows = tuple(
        (
            short_day(result.on),
            titles.get(result.piece_id, "") + ("" if result.counts else f" ({OUT_WORDS})"),
            trained.get((result.on, result.piece_id), ""),
            shown_share(expected.get((result.on, result.piece_id))),
            APART if result.fell_apart else shown_share(result.first_share),
            shown_share(result.second_share),
            listed(result.problems) if result.problems else "",
        )
        for result in results
    )
    return ReportTable(_COLUMNS, rows)


def shown_share(share: float | None) -> str:
    """Bars right of 100, as tables show them; empty where there are none.

    Example:
        >>> shown_share(0.855), shown_share(None)
        ('86', '')
    """
    return "" if share is None else str(round(100 * share))
