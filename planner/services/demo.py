"""The whole job once, with an invented band and the sample library."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import partial
from pathlib import Path

from planner.core.change import Author, Door
from planner.core.ensemble import Ensemble, Exposure, Player
from planner.core.piece import PieceQuery
from planner.core.term import Attendance, PlayerMark, Slot, Term
from planner.errors import ConflictError, InputError
from planner.levels.curve import expected_share
from planner.services.day.attendance import enter_marks
from planner.services.day.gradebook import publish_gradebook
from planner.services.day.log_results import log_results
from planner.services.day.result_entry import ResultEntry
from planner.services.demo_band import (
    BAND_KIND,
    BAND_NAME,
    HEARD_LAST_YEAR,
    MINUTES,
    READING_WEEKDAYS,
    SECTIONS,
    TERM_NAME,
    TERM_WEEKS,
    away,
    holidays,
    wobble,
)
from planner.services.imports.import_scores import import_paths
from planner.services.levels.in_force import profile_in_force
from planner.services.levels.section_levels import part_level
from planner.services.people.exposures import record_exposures
from planner.services.people.roster import add_ensemble, add_sections
from planner.services.plan.plan_term import plan_term
from planner.services.ports.files import Filed
from planner.services.ports.work import UnitOfWork
from planner.services.sheets.make_guides import make_guides, note_guides
from planner.services.term.publish_plan import publish_plan
from planner.services.term.terms import keep_term
from planner.services.toolbox import Toolbox, changing

StepProgress = Callable[[str, int, int, str], None]
"""Called as ``progress(step, done, total, what)``."""

_LOGGED_DAYS = 3


@dataclass(frozen=True, slots=True)
class DemoReport:
    """What the demo did, line by line, and the files it left."""

    lines: tuple[str, ...]
    files: tuple[Path, ...]


def run_demo(tools: Toolbox, sample_library: Path, progress: StepProgress) -> DemoReport:
    """Read the sample scores, set up the band, plan its term, log three days, plan again, print.

    Args:
        tools: Ports over an empty home folder.
        sample_library: Folder of the sample scores.
        progress: Told how each step goes.

    Raises:
        ConflictError: If the home folder already holds an ensemble.
        InputError: If no sample score could be read.
    """
    with tools.work() as work:
        if work.ensembles.list_ensembles():
            raise ConflictError(
                f"The home folder {tools.settings.home} already holds a library.",
                hint="Give the demo a folder of its own with --home.",
            )
    report = import_paths(
        [sample_library],
        source=tools.studies,
        files=tools.files,
        open_work=tools.work,
        today=tools.today(),
        progress=lambda done, total, what: progress("Reading and studying scores", done, total, what),
    )
    if not report.added:
        raise InputError("No sample score could be read.", hint="; ".join(r.sentence for r in report.refused))
    ensemble = _set_up_band(tools)
    term = _set_term(tools, ensemble)
    dates = term.reading_dates()
    lines = [
        f"{len(report.added)} pieces read and studied, {len(report.refused)} refused.",
        f"{ensemble.name}: {len(ensemble.sections)} sections.",
        f"{term.name}: {len(dates)} reading days from {dates[0]} to {dates[-1]}.",
    ]
    progress("Planning the term", 0, 2, "before the first day")
    settings, by = tools.settings, Author(Door.COMMAND, tools.now())
    plan = partial(
        plan_term, tools.work, term.id, by=by, limit_s=settings.plan_limit_s,
        steps=settings.plan_steps or None, leave_open=True,
    )  # fmt: skip
    plan(today=term.first)
    lines += _log_first_days(tools, term, ensemble)
    progress("Planning the term", 1, 2, "again, after three days")
    view = plan(today=tools.today())
    progress("Planning the term", 2, 2, "")
    proven = "proven best by the rules" if view.plan.is_proven else "the best found in the time allowed"
    lines += [f"{len(view.slots)} readings planned, {proven}.", *view.notes]
    files = tuple(each.path for each in _print_all(tools, term, progress))
    return DemoReport((*lines, *_listed(files)), files)


def _set_up_band(tools: Toolbox) -> Ensemble:
    with changing(tools.work) as work:
        by = Author(Door.COMMAND, tools.now())
        ensemble = add_ensemble(work, BAND_NAME, BAND_KIND, by=by)
        sections = [
            replace(demo.as_section(), players=tuple(Player(0, name) for name in demo.players))
            for demo in SECTIONS
        ]
        add_sections(work, ensemble.id, sections, by=by)
        met = [
            Exposure(ensemble.id, piece.id, "performed")
            for piece in work.pieces.list_pieces(PieceQuery(limit=0))[0]
            if piece.title in HEARD_LAST_YEAR
        ]
        record_exposures(work, met, by=by, today=tools.today())
        return work.ensembles.get(ensemble.id)


def _set_term(tools: Toolbox, ensemble: Ensemble) -> Term:
    """A term whose first three reading days lie just behind today, with the school's days off."""
    first = tools.today()
    for _ in range(_LOGGED_DAYS):
        first -= timedelta(days=1)
        while first.weekday() not in READING_WEEKDAYS or holidays(first, first):
            first -= timedelta(days=1)
    last = first + timedelta(weeks=TERM_WEEKS, days=-1)
    off = holidays(first, last)
    term = Term(0, ensemble.id, TERM_NAME, first, last, READING_WEEKDAYS, off, minutes=MINUTES)
    with changing(tools.work) as work:
        return keep_term(work, term, by=Author(Door.COMMAND, tools.now()), today=tools.today())


def _log_first_days(tools: Toolbox, term: Term, ensemble: Ensemble) -> Iterator[str]:
    by = Author(Door.COMMAND, tools.now())
    true_level = {demo.name: demo.true_level for demo in SECTIONS}
    with tools.work() as work:
        plan = work.terms.plan(term.id)
    days = sorted({slot.on for slot in plan.slots})[:_LOGGED_DAYS] if plan else []
    for number, on in enumerate(day for day in days if day < tools.today()):
        with changing(tools.work) as work:
            slots = plan.on(on) if plan else ()
            entries = [e for slot in slots for e in _entries(work, ensemble, slot, true_level, number)]
            log_results(work, ensemble.id, on, entries, by=by, today=tools.today())
            _mark_absences(work, ensemble, on, number, by=by)
        yield f"{on}: results of {len(entries)} sections logged."


def _entries(
    work: UnitOfWork, ensemble: Ensemble, slot: Slot, true_level: dict[str, float], number: int
) -> Iterator[ResultEntry]:
    piece = work.pieces.get(slot.piece_id)
    profile = profile_in_force(work, piece)
    for section in ensemble.sections:
        asked = part_level(profile, section, ensemble)
        if asked is None:
            continue
        share = expected_share(true_level[section.name], asked[0]) + wobble(section.name, number)
        first = round(min(1.0, max(0.0, share)), 2)
        second = round(first + (1 - first) / 2, 2)
        problems = (slot.focus,) if first < 0.8 else ()
        missing = [player for player in section.players if away(player.name, number)]
        yield ResultEntry(
            section.id, slot.piece_id, first, second, problems=problems,
            counts=2 * len(missing) < len(section.players),
        )  # fmt: skip


def _mark_absences(work: UnitOfWork, ensemble: Ensemble, on: date, number: int, *, by: Author) -> None:
    marks = [
        PlayerMark(player.id, on, Attendance.ABSENT if away(player.name, number) else Attendance.PRESENT)
        for section in ensemble.sections
        for player in section.players
    ]
    enter_marks(work, ensemble, on, marks, today=on, by=by)


def _print_all(tools: Toolbox, term: Term, progress: StepProgress) -> Iterator[Filed]:
    exports, today = tools.exports, tools.today()
    with changing(tools.work) as work:
        yield from publish_plan(
            work, tools.plan_writers, term_id=term.id, exports=exports, today=today, now=tools.now()
        )
    with tools.work() as work:
        yield publish_gradebook(work, tools.gradebook_writer, term_id=term.id, exports=exports, today=today)
        plan = work.terms.plan(term.id)
        ahead = sorted({slot.on for slot in plan.slots if slot.on >= today}) if plan else []
        for on in ahead[:1]:
            yield from make_guides(
                work,
                tools.files,
                tools.engraver,
                tools.guide_writer,
                term_id=term.id,
                on=on,
                exports=exports,
                today=today,
                paper=tools.settings.paper,
                director_writer=tools.director_writer,
                progress=lambda done, total, what: progress("Printing guides", done, total, what),
            )
    with changing(tools.work) as work:
        for on in ahead[:1]:
            note_guides(work, term.id, on)


def _listed(files: tuple[Path, ...]) -> list[str]:
    """The files by folder, the many guides as one line."""
    loose = [f"Wrote {path}" for path in files if path.parent == files[0].parent]
    folders = sorted({path.parent for path in files if path.parent != files[0].parent})
    counts = [f"Wrote {sum(p.parent == f for p in files)} guides in {f}" for f in folders]
    return loose + counts
