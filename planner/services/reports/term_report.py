"""The term for the head of the school: what was read and covered, what is thin, attendance, levels.

Nobody's name is in it.
"""

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from statistics import fmean

from planner import __version__
from planner.core.difficulty import FOCUSES
from planner.core.ensemble import Ensemble
from planner.core.piece import Piece
from planner.core.term import Attendance, Plan, Result, Term
from planner.levels.history import LevelBelief
from planner.scheduling.problem import OPEN_PIECE
from planner.services.day.gradebook import gradebook_sheet
from planner.services.day.marks import marks_of_sheet
from planner.services.levels.section_term import SectionTerm, sections_over_term
from planner.services.plan.term_problem import even_shares, problem_shares
from planner.services.ports.work import UnitOfWork
from planner.services.read_once import read_once
from planner.services.reports.names import TERM_FILE
from planner.services.reports.section_report import level_at_end, shown_share, trained_by
from planner.services.reports.views import (
    CountRow,
    CountsPicture,
    LevelRow,
    LevelsPicture,
    ReportColumn,
    ReportPart,
    ReportTable,
    ReportView,
)
from planner.services.sheets.views import GradebookSheet
from planner.wording.director.reports import (
    attendance_share_text,
    mean_levels_text,
    nothing_thin_text,
    outside_text,
    span_text,
    spread_text,
    term_read_text,
    thin_skill_text,
    unplanned_text,
)
from planner.wording.director.sections import range_text
from planner.wording.words import day, short_day
from planner.wording.words import key as key_words

_READ_COLUMNS = (
    ReportColumn("Day", 0.09), ReportColumn("Piece", 0.36), ReportColumn("Level", 0.08, is_number=True),
    ReportColumn("Meter", 0.1), ReportColumn("Key", 0.13), ReportColumn("Trained", 0.13),
    ReportColumn("Right of 100", 0.11, is_number=True),
)  # fmt: skip
_POINTS_COLUMN = ReportColumn("Form of 100", 0.11, is_number=True)
"""Of a term in which a scoring form was filled in."""
_LEVEL_COLUMNS = (
    ReportColumn("Section", 0.34), ReportColumn("Beginning", 0.13, is_number=True),
    ReportColumn("Between", 0.15), ReportColumn("End", 0.1, is_number=True),
    ReportColumn("Between", 0.15), ReportColumn("Results", 0.13, is_number=True),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Reading:
    """One piece on one day: what the sections came to, 0 to 1, in the mean.

    Attributes:
        on, piece: What was read.
        focus: The skill it trained; empty where it was not planned.
        share: Bars right on the first reading; None where only the scoring form was filled in.
        points: Of the scoring form; None where that is not filled in.
    """

    on: date
    piece: Piece
    focus: str
    share: float | None
    points: float | None


def term_report(work: UnitOfWork, term_id: int, today: date) -> ReportView:
    """The report of a term.

    Raises:
        NotFoundError: If there is no such term.
    """
    work = read_once(work)
    term = work.terms.get(term_id)
    ensemble = work.ensembles.get(term.ensemble_id)
    plan = work.terms.plan(term_id)
    every = work.results.list_results(ensemble.id)
    results = [r for r in every if term.first <= r.on <= term.last]
    book = gradebook_sheet(work, term_id, today=today)
    shares, points = _shares(results), _points(book)
    read = shares.keys() | points.keys()
    ahead = _ahead(plan, term, read, today)
    ids = {r.piece_id for r in every} | {piece for _, piece in read} | {piece for _, piece, _ in ahead}
    pieces = work.pieces.get_all(ids)
    trained = trained_by(read, plan)
    readings = tuple(
        _Reading(
            on, pieces[piece], trained.get((on, piece), ""), shares.get((on, piece)), points.get((on, piece))
        )
        for on, piece in sorted(read)
        if piece in pieces
    )
    levels = work.pieces.levels_for(ensemble.id, {reading.piece.id for reading in readings})
    views = sections_over_term(work, ensemble, term, today)
    planned = [(pieces[piece], focus) for _, piece, focus in ahead if piece in pieces]
    return ReportView(
        name=TERM_FILE,
        title=term.name,
        about=f"{ensemble.name}, {span_text(term.first, term.last)}",
        lead=(*_read_lead(term, readings, today), _attendance(book)),
        parts=(
            _levels_part(ensemble, views),
            *((_skills_part(readings, results, planned), *_kinds(readings, planned)) if readings else ()),
            *((ReportPart("What was read", table=_read_table(readings, levels)),) if readings else ()),
        ),
        ensemble=ensemble.name,
        made_on=today,
        library_version=__version__,
    )


def _ahead(
    plan: Plan | None, term: Term, read: Collection[tuple[date, int]], today: date
) -> list[tuple[date, int, str]]:
    """Day, piece and skill of what is planned from today on and was not read yet; each piece once a day."""
    reading = set(term.reading_dates())
    slots = [s for s in (plan.slots if plan else ()) if s.on >= today and s.piece_id != OPEN_PIECE]
    found = {(s.on, s.piece_id): s.focus for s in slots if s.on in reading}
    return [(on, piece, focus) for (on, piece), focus in found.items() if (on, piece) not in read]


def _shares(results: Sequence[Result]) -> dict[tuple[date, int], float]:
    """The mean share of bars right of the sections that read, by day and piece."""
    found: dict[tuple[date, int], list[float]] = {}
    for result in results:
        found.setdefault((result.on, result.piece_id), []).append(result.first_share)
    return {place: fmean(shares) for place, shares in found.items()}


def _points(book: GradebookSheet) -> dict[tuple[date, int], float]:
    """What the points of the scoring form come to, the mean of the sections, by day and piece."""
    found: dict[tuple[date, int], list[float]] = {}
    for day_ in book.days:
        for each in day_.readings:
            if each.form_share is not None:
                found.setdefault((day_.on, each.piece_id), []).append(float(each.form_share))
    return {place: fmean(shares) for place, shares in found.items()}


def _read_lead(term: Term, readings: Sequence[_Reading], today: date) -> list[str]:
    read_on = {reading.on for reading in readings}
    over = [on for on in term.reading_dates() if on < today or on in read_on]
    days = len(read_on & set(over))
    extra = len(read_on - set(over))
    lead = term_read_text(
        len({reading.piece.id for reading in readings}), days, len(over),
        [on for on in over if on not in read_on],
    )  # fmt: skip
    return [*lead, outside_text(extra)] if extra else lead


def _attendance(book: GradebookSheet) -> str:
    """The attendance of all players together, as the gradebook counts it."""
    players = marks_of_sheet(book).players
    counts = {state: sum(row.count(state) for row in players) for state in Attendance}
    return attendance_share_text(counts)


def _skills_part(
    readings: Sequence[_Reading], results: Sequence[Result], planned: Sequence[tuple[Piece, str]]
) -> ReportPart:
    done = Counter(reading.focus for reading in readings if reading.focus)
    ahead = Counter(focus for _, focus in planned)
    named = Counter(problem for result in results for problem in result.problems)
    shares = even_shares(done.total(), problem_shares(FOCUSES, named, len(results)))
    thin = tuple(
        thin_skill_text(skill, done[skill], shares[skill], ahead[skill])
        for skill in FOCUSES
        if done[skill] < shares[skill]
    )
    unplanned = sum(not reading.focus for reading in readings)
    beside = (unplanned_text(unplanned),) if unplanned else ()
    rows = tuple(CountRow(skill, done[skill], ahead[skill]) for skill in FOCUSES)
    missing = [skill for skill in FOCUSES if not done[skill]]
    sentences = thin or (nothing_thin_text(missing),)
    return ReportPart("Skills", (*sentences, *beside), _counts("Readings by skill", rows))


def _counts(title: str, rows: tuple[CountRow, ...]) -> CountsPicture:
    return CountsPicture(title, rows, "read", "still planned")


def _kinds(readings: Sequence[_Reading], planned: Sequence[tuple[Piece, str]]) -> tuple[ReportPart, ...]:
    """Meters and keys: in how many pieces each was read, and in how many it is still planned."""
    read = {reading.piece.id: reading.piece for reading in readings}.values()
    ahead = {piece.id: piece for piece, _ in planned if piece.id not in {each.id for each in read}}.values()
    return (
        _kind("Meters", "meter", [meters_of(p) for p in read], [meters_of(p) for p in ahead]),
        _kind("Keys", "key", [_keys_of(p) for p in read], [_keys_of(p) for p in ahead]),
    )


def meters_of(piece: Piece) -> tuple[str, ...]:
    """The meters of a piece, of one on paper those that were entered, each once."""
    return tuple(dict.fromkeys(piece.time_signatures if piece.is_on_paper else piece.meters))


def _keys_of(piece: Piece) -> tuple[str, ...]:
    return (key_words(piece.home_key),) if piece.home_key else ()


def _kind(
    heading: str, what: str, read: Iterable[tuple[str, ...]], ahead: Iterable[tuple[str, ...]]
) -> ReportPart:
    done = Counter(name for names in read for name in names)
    later = Counter(name for names in ahead for name in names)
    names = sorted(done.keys() | later.keys(), key=lambda name: (-done[name], -later[name], name))
    if not names:
        return ReportPart(heading, (f"No {what} is known of what was read.",))
    spread = spread_text(what, {name: done[name] for name in names if done[name]})
    rows = tuple(CountRow(name, done[name], later[name]) for name in names)
    return ReportPart(heading, (spread,), _counts(f"Pieces by {what}", rows))


def _levels_part(ensemble: Ensemble, views: Mapping[int, SectionTerm]) -> ReportPart:
    found: list[tuple[str, LevelBelief, LevelBelief, int]] = []
    for section in ensemble.sections:
        view = views[section.id]
        on, end = level_at_end(view)
        begin = view.so_far[0].belief if view.so_far and view.so_far[0].on <= on else end
        results = sum(each.counts and not each.is_in_start for each in view.results)
        found.append((section.name, begin, end, results))
    if not found:
        return ReportPart("Levels", ("No sections yet.",))
    any_view = next(iter(views.values()))
    last = min(any_view.today, any_view.last)
    begins, ends = ([each[at].level for each in ((b, e) for _, b, e, _ in found)] for at in (0, 1))
    is_over = any_view.today > any_view.last
    sentences = (
        mean_levels_text(fmean(begins), fmean(ends), len(found)),
        f"The end is {'the last day of the term' if is_over else f'as of {day(last)}'}.",
    )
    rows = tuple(
        (name, f"{begin.level:.1f}", range_text(begin), f"{end.level:.1f}", range_text(end), str(count))
        for name, begin, end, count in found
    )
    picture = LevelsPicture(tuple(LevelRow(name, begin, end) for name, begin, end, _ in found))
    return ReportPart("Levels", sentences, picture, ReportTable(_LEVEL_COLUMNS, rows))


def _read_table(readings: Sequence[_Reading], levels: Mapping[int, float | None]) -> ReportTable:
    has_points = any(reading.points is not None for reading in readings)

    def shown_level(level: float | None) -> str:
        return "" if level is None else f"{level:.1f}"

    rows = tuple(
        (
            short_day(reading.on),
            reading.piece.title,
            shown_level(levels.get(reading.piece.id)),
            ", ".join(meters_of(reading.piece)),
            "".join(_keys_of(reading.piece)),
            reading.focus,
            shown_share(reading.share),
            *((shown_share(reading.points),) if has_points else ()),
        )
        for reading in readings
    )
    return ReportTable((*_READ_COLUMNS, _POINTS_COLUMN) if has_points else _READ_COLUMNS, rows)
