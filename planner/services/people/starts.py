"""Where a section's level starts: years of playing, last year, a placement reading, the director's word."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

from planner.core.change import Author, Change, ChangeKind
from planner.core.ensemble import (
    HIGHEST_LEVEL,
    LOWEST_LEVEL,
    Ensemble,
    Section,
    StartBasis,
    StartKind,
)
from planner.core.term import Term
from planner.errors import ConflictError, InputError
from planner.levels.belief import DEFAULT_ERROR
from planner.levels.history import trace_level
from planner.levels.starts import (
    SUMMER_WEEKS,
    start_from_last_year,
    start_from_placement,
    start_from_years,
)
from planner.services.changes.journal import recorded
from planner.services.changes.records import Means, section_subject
from planner.services.changes.undo import undo_change
from planner.services.entered.answers import NONE_YET, Answers
from planner.services.entered.shares import check_share, share_questions
from planner.services.levels.section_levels import refresh_levels, section_evidence, take_word
from planner.services.people.find import find_section
from planner.services.ports.work import UnitOfWork

MOST_YEARS = 80.0
"""Years of playing beyond which a number is a slip of the pen (house choice)."""


def set_start(
    work: UnitOfWork,
    section_id: int,
    basis: StartBasis,
    *,
    today: date,
    by: Author,
    answers: Answers = NONE_YET,
) -> Section:
    """Let a section's level start anew, and journal it; the section as it is then.

    The director's own number holds from the day after the section's last result on: what was read before
    is in it. Every other start holds from the first day of the term: what was read before is in it, and
    the results of this term move it.

    Args:
        work: An open unit of work.
        section_id: Which section.
        basis: From what. Last year's level may be left out where the section has results from before the
            term; then it is the level they come to.
        today: Tells which term is meant: the one that holds today, else the next, else the last.
        by: Who sets it.
        answers: What was said yes to.

    Raises:
        NotFoundError: If there is no such section.
        InputError: If a number is missing or cannot hold.
        OddEntryError: If a single bar of a placement reading came out right.
    """
    ensemble, before = find_section(work, section_id)
    first = _first_day(work.terms.list_terms(ensemble.id), today)
    if basis.kind is StartKind.LAST_YEAR and basis.level is None:
        basis = _last_year(work, ensemble, before, first)
    _check(before, basis)
    answers.ask(share_questions(before.name, basis.share, _FIELDS["share"]))
    if basis.kind is StartKind.WORD:
        word = replace(before, level=basis.level or before.level)
        section = take_word(work, ensemble, before, word)
    else:
        level, error = _start(basis)
        section = replace(
            before, level=level, level_error=error, start_level=level, start_error=error, start_on=first,
            start_basis=basis,
        )  # fmt: skip
    with recorded(work, ChangeKind.SECTION, section_subject(before), by):
        work.ensembles.update_section(section)
    refresh_levels(work, section_evidence(work, work.ensembles.get(ensemble.id)))
    return find_section(work, section_id)[1]


def take_back_start(work: UnitOfWork, section_id: int, by: Author, means: Means) -> Section:
    """Undo the newest change of a section's start; the section as it is then.

    Raises:
        NotFoundError: If there is no such section.
        ConflictError: If there is no change of its start to take back.
    """
    _, section = find_section(work, section_id)
    start = last_start_change(work, section)
    if start is None:
        raise ConflictError(
            f"There is no change to where {section.name} starts that could be taken back.",
            hint="Set its level instead.",
        )
    undo_change(work, start.id, by, means)
    return find_section(work, section_id)[1]


def last_start_change(work: UnitOfWork, section: Section) -> Change | None:
    """The newest change of a section's start that stands and can be taken back; None when there is none."""
    changes = [
        each
        for each in work.changes.about(ChangeKind.SECTION, section_subject(section))
        if "start" in each.after
    ]
    undoes = {each.id: each.undoes for each in changes}
    standing = [each for each in changes if each.undone_by is None and _is_made(each.id, undoes)]
    return standing[-1] if standing else None


def _is_made(change_id: int, undoes: Mapping[int, int | None]) -> bool:
    """Whether an entry makes something, or makes again what was undone, rather than undoing it."""
    steps = 0
    at = undoes.get(change_id)
    while at is not None:
        steps, at = steps + 1, undoes.get(at)
    return steps % 2 == 0


def _first_day(terms: Sequence[Term], today: date) -> date | None:
    """First day of the term that holds today, else of the next, else of the last; None without terms."""
    found = next((term for term in terms if term.last >= today), terms[-1] if terms else None)
    return found.first if found else None


def _last_year(work: UnitOfWork, ensemble: Ensemble, section: Section, first: date | None) -> StartBasis:
    """Last year's level by the results from before the term.

    Raises:
        InputError: If there are none.
    """
    began = section
    if first is not None and section.start_on is not None and section.start_on >= first:
        level = section.level if section.start_level is None else section.start_level
        began = replace(section, start_level=level, start_error=DEFAULT_ERROR, start_on=None)
    sections = tuple(began if each.id == section.id else each for each in ensemble.sections)
    known = section_evidence(work, replace(ensemble, sections=sections), only=section.id)[section.id]
    points = [point for point in known.points if first is not None and point.on < first]
    start, error = known.trace.start.level, known.trace.start.error
    trace = trace_level(start, error, points, start_on=began.start_on)
    if first is None or not trace.days:
        raise InputError(
            f"{section.name} has no results from before this term.",
            hint="Enter the level it had at the end of last year.",
        )
    weeks = (first - trace.days[-1].on).days / 7
    return StartBasis(
        StartKind.LAST_YEAR,
        level=round(trace.now.level, 2),
        error=round(trace.now.error, 2),
        weeks=round(weeks, 1),
    )


def _check(section: Section, basis: StartBasis) -> None:
    """Raise ``InputError`` where a number is missing or cannot hold."""
    needed = {
        StartKind.WORD: ("level",),
        StartKind.YEARS: ("years",),
        StartKind.LAST_YEAR: ("level",),
        StartKind.PLACEMENT: ("level", "share"),
    }[basis.kind]
    for name in needed:
        if getattr(basis, name) is None:
            raise InputError(
                f"{section.name}: {_NAMES[name]} is missing.", hint="Enter a number.", field=_FIELDS[name]
            )
    if basis.share is not None:
        check_share(section.name, basis.share, _FIELDS["share"])
    for name, (least, most) in _BOUNDS.items():
        value = getattr(basis, name)
        if value is not None and not least <= value <= most:
            raise InputError(
                f"{section.name}: {_NAMES[name]} must be from {least:g} to {most:g}, not {value:g}.",
                field=_FIELDS[name],
            )


_NAMES = {
    "level": "the level", "years": "the number of years", "share": "the share of bars right",
    "weeks": "the number of weeks",
}  # fmt: skip
_FIELDS = {"level": "level", "years": "years", "share": "bars_right", "weeks": "weeks"}
"""What each number is called in a form."""
_BOUNDS = {
    "level": (LOWEST_LEVEL, HIGHEST_LEVEL), "years": (0.0, MOST_YEARS),
    "weeks": (0.0, 520.0),
}  # fmt: skip


def _start(basis: StartBasis) -> tuple[float, float]:
    """Level and standard error that a basis, checked, comes to."""
    if basis.kind is StartKind.YEARS:
        return start_from_years(basis.years or 0.0)
    if basis.kind is StartKind.LAST_YEAR:
        weeks = SUMMER_WEEKS if basis.weeks is None else basis.weeks
        return start_from_last_year(basis.level or LOWEST_LEVEL, basis.error, weeks)
    return start_from_placement(basis.level or LOWEST_LEVEL, basis.share or 0.0)
